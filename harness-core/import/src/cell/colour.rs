//! Colours: words, three-letter and two-letter codes, stripes, the list's own table.

use std::collections::BTreeMap;

/// A colour as the netlist writes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Coloured {
    /// IEC letters, a stripe behind a slash.
    pub code: String,
    /// The shade, which the letters do not hold: `tan`, `light blue`.
    pub shade: Option<String>,
}

/// Words and codes of the trade with their IEC letters; a shade where the letters alone would lose it. IEC 60757 for the two-letter codes,
/// all else conventions seen.
const WORDS: &[(&str, &str, Option<&str>)] = &[
    ("black", "BK", None),
    ("blk", "BK", None),
    ("bk", "BK", None),
    ("blck", "BK", None),
    ("sw", "BK", None),
    ("schwarz", "BK", None),
    ("brown", "BN", None),
    ("brn", "BN", None),
    ("bn", "BN", None),
    ("br", "BN", None),
    ("bwn", "BN", None),
    ("braun", "BN", None),
    ("tan", "BN", Some("tan")),
    ("beige", "BN", Some("beige")),
    ("tn", "BN", Some("tan")),
    ("red", "RD", None),
    ("rd", "RD", None),
    ("rt", "RD", None),
    ("rot", "RD", None),
    ("orange", "OG", None),
    ("org", "OG", None),
    ("orn", "OG", None),
    ("orng", "OG", None),
    ("og", "OG", None),
    ("or", "OG", None),
    ("amber", "OG", Some("amber")),
    ("yellow", "YE", None),
    ("yel", "YE", None),
    ("ylw", "YE", None),
    ("ye", "YE", None),
    ("yl", "YE", None),
    ("yw", "YE", None),
    ("ge", "YE", None),
    ("gelb", "YE", None),
    ("green", "GN", None),
    ("grn", "GN", None),
    ("gn", "GN", None),
    ("gruen", "GN", None),
    ("grün", "GN", None),
    ("lime", "GN", Some("lime")),
    ("blue", "BU", None),
    ("blu", "BU", None),
    ("bu", "BU", None),
    ("blau", "BU", None),
    ("navy", "BU", Some("navy")),
    ("violet", "VT", None),
    ("vio", "VT", None),
    ("vt", "VT", None),
    ("vi", "VT", None),
    ("purple", "VT", None),
    ("ppl", "VT", None),
    ("pur", "VT", None),
    ("pu", "VT", None),
    ("prp", "VT", None),
    ("violett", "VT", None),
    ("grey", "GY", None),
    ("gray", "GY", None),
    ("gry", "GY", None),
    ("gra", "GY", None),
    ("gy", "GY", None),
    ("grau", "GY", None),
    ("slate", "GY", Some("slate")),
    ("white", "WH", None),
    ("wht", "WH", None),
    ("whi", "WH", None),
    ("wh", "WH", None),
    ("wt", "WH", None),
    ("ws", "WH", None),
    ("weiss", "WH", None),
    ("weiß", "WH", None),
    ("pink", "PK", None),
    ("pnk", "PK", None),
    ("pk", "PK", None),
    ("rs", "PK", None),
    ("rosa", "PK", None),
    ("turquoise", "TQ", None),
    ("tq", "TQ", None),
    ("trq", "TQ", None),
    ("aqua", "TQ", Some("aqua")),
    ("gold", "GD", None),
    ("gd", "GD", None),
    ("silver", "SR", None),
    ("sr", "SR", None),
    ("sil", "SR", None),
];

/// Codes that mean one colour here and another there.
const AMBIGUOUS: &[(&str, &str)] = &[("bl", "blue or black"), ("gr", "grey or green"), ("gy", ""), ("pl", "purple or pale")];

/// Words for a shade of the colour that follows.
const SHADES: &[(&str, &str)] = &[
    ("light", "light"),
    ("lt", "light"),
    ("lgt", "light"),
    ("dark", "dark"),
    ("dk", "dark"),
    ("drk", "dark"),
    ("pale", "pale"),
    ("sky", "sky"),
    ("bright", "bright"),
];

/// Words that are not colours, though they are in columns of colours.
const OTHERS: &[&str] = &["bare", "shield", "shielded", "screen", "drain", "metal", "clear", "transparent", "natural", "nat"];

/// The colour that a cell gives; `table` is the list's own codes, which come first.
///
/// # Errors
/// Why the cell is not a colour.
pub fn colour(cell: &str, table: &BTreeMap<String, String>) -> Result<Coloured, String> {
    let cell = cell.trim();
    if let Some(own) = of_table(cell, table) {
        return Ok(own);
    }
    let lower = cell.to_lowercase();
    if let Some(word) = OTHERS.iter().find(|word| lower.split(|letter: char| !letter.is_alphabetic()).any(|own| own == **word)) {
        return Err(format!("says `{word}`, which is not a colour"));
    }
    let plain = lower
        .replace(" with ", "/")
        .replace(" w/ ", "/")
        .replace(" w/", "/")
        .replace(" and ", "/")
        .replace(" stripe", "/")
        .replace("stripe ", "/")
        .replace("tracer", "/")
        .replace("solid ", " ")
        .replace("striped", "/");
    let pieces: Vec<&str> = plain
        .split(['/', '-', '|', '\\', '+', ','])
        .map(|piece| piece.trim().trim_end_matches('.'))
        .filter(|piece| !piece.is_empty())
        .collect();
    let (base, stripe) = match pieces.as_slice() {
        [] => return Err("holds no colour".to_owned()),
        [one] => match joined(one, table) {
            Some((base, stripe)) => (base, Some(stripe)),
            None => (single(one, table)?, None),
        },
        [base, stripe] => (single(base, table)?, Some(single(stripe, table)?)),
        [base, stripe, third, ..] => {
            single(base, table)?;
            single(stripe, table)?;
            single(third, table)?;
            return Err("has more than one stripe, which the netlist does not hold".to_owned());
        }
    };
    let shade = match (&base.shade, stripe.as_ref().and_then(|stripe| stripe.shade.as_ref())) {
        (None, None) => None,
        (Some(shade), None) => Some(shade.clone()),
        (None, Some(stripe)) => Some(format!("{stripe} stripe")),
        (Some(shade), Some(stripe)) => Some(format!("{shade} with {stripe} stripe")),
    };
    let code = match stripe {
        Some(stripe) if stripe.code == base.code => return Err("names one colour twice".to_owned()),
        Some(stripe) if base.code == "GN" && stripe.code == "YE" => "GNYE".to_owned(),
        Some(stripe) => format!("{}/{}", base.code, stripe.code),
        None => base.code,
    };
    Ok(Coloured { code, shade })
}

fn of_table(cell: &str, table: &BTreeMap<String, String>) -> Option<Coloured> {
    table.get(cell).map(|code| Coloured { code: code.clone(), shade: None })
}

/// One colour, with its shade.
fn single(text: &str, table: &BTreeMap<String, String>) -> Result<Coloured, String> {
    let own = table.iter().find(|(code, _)| code.eq_ignore_ascii_case(text));
    if let Some((_, code)) = own {
        return Ok(Coloured { code: code.clone(), shade: None });
    }
    let words: Vec<&str> = text.split_whitespace().collect();
    let (shades, word) = match words.as_slice() {
        [word] => (None, *word),
        [shade, word] => (Some(shade.trim_end_matches('.')), *word),
        _ => return Err(format!("`{text}` is not a colour")),
    };
    let shade = match shades {
        Some(shade) => Some(
            SHADES
                .iter()
                .find(|(known, _)| *known == shade)
                .map(|(_, name)| *name)
                .ok_or_else(|| format!("`{text}` is not a colour"))?,
        ),
        None => None,
    };
    if let Some((code, colours)) = AMBIGUOUS.iter().find(|(code, colours)| *code == word && !colours.is_empty()) {
        return Err(format!("`{}` is {colours}: say which in the mapping, under `colours`", code.to_uppercase()));
    }
    if word.chars().count() == 1 {
        return Err(format!(
            "`{}` alone means one colour here and another there: say which in the mapping, under `colours`",
            word.to_uppercase()
        ));
    }
    let Some((_, code, own)) = WORDS.iter().find(|(known, ..)| *known == word) else {
        return Err(format!("`{word}` is not a colour"));
    };
    let shade = match (shade, own) {
        (None, None) => None,
        (None, Some(own)) => Some((*own).to_owned()),
        (Some(shade), own) => Some(format!("{shade} {}", own.unwrap_or(name(code)))),
    };
    Ok(Coloured { code: (*code).to_owned(), shade })
}

/// The English name of IEC letters.
fn name(code: &str) -> &str {
    WORDS.iter().find(|(_, known, _)| *known == code).map_or(code, |(name, ..)| name)
}

/// Two codes written as one: `RDWH`, `GNYE`.
fn joined(text: &str, table: &BTreeMap<String, String>) -> Option<(Coloured, Coloured)> {
    if text.len() != 4 || !text.is_ascii() || single(text, table).is_ok() {
        return None;
    }
    let (base, stripe) = text.split_at(2);
    Some((single(base, table).ok()?, single(stripe, table).ok()?))
}
