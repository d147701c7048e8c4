//! Names of the netlist made of those of the lists.

/// A name without dots and blanks, which references are made of; the sign at its end stays with it.
pub(crate) fn slug(name: &str) -> String {
    let words: Vec<&str> = name.split_whitespace().collect();
    let mut made = String::new();
    for word in words {
        // `Battery -`: the sign belongs to the word before it.
        let is_sign = word == "-" || word == "+";
        if !made.is_empty() && !is_sign {
            made.push('-');
        }
        // A dot or comma would be read as a reference, a list or a range.
        made.push_str(&word.replace(['.', ','], "_"));
    }
    if made.is_empty() { "unnamed".to_owned() } else { made }
}

/// The thing and its sign: `Battery -` is the minus of `Battery`.
pub(crate) fn signed(name: &str) -> Option<(String, &'static str)> {
    for (sign, word) in [("+", "+"), ("-", "-"), ("−", "-")] {
        let stem = name.strip_suffix(sign).map(str::trim_end);
        if let Some(stem) = stem.filter(|stem| !stem.is_empty() && !stem.ends_with(['+', '-'])) {
            return Some((slug(stem), word));
        }
    }
    None
}
