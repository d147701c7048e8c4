//! Colours: words, three-letter and two-letter codes, stripes, the list's own table.

use harness_core::colours::Colour;
use std::collections::BTreeMap;

/// A colour as the netlist writes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Coloured {
    /// IEC letters, a stripe behind a slash.
    pub code: String,
    /// The shade, which the letters do not hold: `tan`, `light blue`.
    pub shade: Option<String>,
}

/// Words and codes of the trade beside the letters of the standard and the English names; conventions seen, and the same in German, French,
/// Italian, Spanish, Dutch and Swedish (common practice, no source).
const WORDS: &[(Colour, &str)] = &[
    (Colour::Black, "blk|blck|sw|schwarz|noir|nero|negro|zwart|svart"),
    (Colour::Brown, "brn|br|bwn|braun|brun|marron|marrón|marrone|bruin"),
    (Colour::Red, "rt|rot|rouge|rosso|rojo|rood|röd"),
    (Colour::Orange, "org|orn|orng|or|arancione|arancio|naranja|oranje"),
    (Colour::Yellow, "yel|ylw|yl|yw|ge|gelb|jaune|giallo|amarillo|geel|gul"),
    (Colour::Green, "grn|gruen|grün|vert|verde|groen|grön"),
    (Colour::Blue, "blu|blau|bleu|azul|blauw|blå"),
    (Colour::Violet, "vio|vi|purple|ppl|pur|pu|prp|violett|viola|violeta|morado|paars"),
    (Colour::Grey, "gray|gry|gra|grau|gris|grigio|grijs|grå"),
    (Colour::White, "wht|whi|wt|ws|weiss|weiß|blanc|bianco|blanco|wit|vit"),
    (Colour::Pink, "pnk|rs|rosa|rose"),
    (Colour::Turquoise, "trq|türkis"),
    (Colour::Silver, "sil"),
];

/// Words for a shade of a colour, which its letters do not hold.
const SHADED: &[(&str, Colour, &str)] = &[
    ("tan", Colour::Brown, "tan"),
    ("tn", Colour::Brown, "tan"),
    ("beige", Colour::Brown, "beige"),
    ("amber", Colour::Orange, "amber"),
    ("lime", Colour::Green, "lime"),
    ("navy", Colour::Blue, "navy"),
    ("azzurro", Colour::Blue, "light blue"),
    ("lila", Colour::Violet, "lilac"),
    ("slate", Colour::Grey, "slate"),
    ("aqua", Colour::Turquoise, "aqua"),
];

/// The colour that a word in small letters means, with its shade.
fn of_word(word: &str) -> Option<(Colour, Option<&'static str>)> {
    let standard = || Colour::ALL.into_iter().find(|colour| colour.name() == word || colour.code().eq_ignore_ascii_case(word));
    let trade = || WORDS.iter().find(|(_, words)| words.split('|').any(|known| known == word)).map(|(colour, _)| *colour);
    let shaded = || SHADED.iter().find(|(known, ..)| *known == word).map(|(_, colour, shade)| (*colour, Some(*shade)));
    standard().or_else(trade).map(|colour| (colour, None)).or_else(shaded)
}

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
    ("hell", "light"),
    ("dunkel", "dark"),
    ("clair", "light"),
    ("foncé", "dark"),
    ("fonce", "dark"),
    ("chiaro", "light"),
    ("scuro", "dark"),
    ("claro", "light"),
    ("oscuro", "dark"),
    ("licht", "light"),
    ("donker", "dark"),
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
        Some(stripe) => striped(&base.code, &stripe.code),
        None => base.code,
    };
    Ok(Coloured { code, shade })
}

/// A colour with a stripe as it was written; green with yellow is joined, as the standard has it.
pub(crate) fn striped(base: &str, stripe: &str) -> String {
    let is_joined = base == Colour::Green.code() && stripe == Colour::Yellow.code();
    if is_joined { format!("{base}{stripe}") } else { format!("{base}/{stripe}") }
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
    let text = parted(text);
    let words: Vec<&str> = text.split_whitespace().collect();
    let (shades, word) = match words.as_slice() {
        [word] => (None, *word),
        // The shade is before the colour in some languages and behind it in others.
        [word, shade] if SHADES.iter().any(|(known, _)| known == shade) => (Some(*shade), *word),
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
    let Some((colour, own)) = of_word(word) else {
        return Err(format!("`{word}` is not a colour"));
    };
    let shade = match (shade, own) {
        (None, None) => None,
        (None, Some(own)) => Some(own.to_owned()),
        (Some(shade), own) => Some(format!("{shade} {}", own.unwrap_or(colour.name()))),
    };
    Ok(Coloured { code: colour.code().to_owned(), shade })
}

/// A shade that is written in one word with its colour, as two: `hellblau`, `dunkelgrün`.
fn parted(text: &str) -> String {
    let behind = |shade: &&str| text.strip_prefix(*shade).filter(|rest| of_word(rest).is_some());
    let found = ["hell", "dunkel", "licht", "donker", "ljus", "mörk"].iter().find_map(|shade| Some((*shade, behind(&shade)?)));
    let as_known = |shade: &str| match shade {
        "ljus" => "light".to_owned(),
        "mörk" => "dark".to_owned(),
        other => other.to_owned(),
    };
    found.map_or_else(|| text.to_owned(), |(shade, colour)| format!("{} {colour}", as_known(shade)))
}

/// Two codes written as one: `RDWH`, `GNYE`.
fn joined(text: &str, table: &BTreeMap<String, String>) -> Option<(Coloured, Coloured)> {
    if text.len() != 4 || !text.is_ascii() || single(text, table).is_ok() {
        return None;
    }
    let (base, stripe) = text.split_at(2);
    Some((single(base, table).ok()?, single(stripe, table).ok()?))
}
