//! Sizes of conductors, kept as they are written.

use super::number::{decimal, leading, shown};

/// What a bare number of a column is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SizeUnit {
    /// American wire gauge.
    Awg,
    /// Square millimetre.
    SquareMillimetre,
}

impl SizeUnit {
    /// The unit as the netlist writes it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Awg => "AWG",
            Self::SquareMillimetre => "mm2",
        }
    }

    /// The unit that a text names somewhere, as in a heading: `Gauge (AWG)`.
    #[must_use]
    pub fn named_in(text: &str) -> Option<Self> {
        let text = text.to_lowercase();
        let words: Vec<&str> = text.split(|letter: char| !letter.is_alphanumeric() && letter != '²' && letter != '^').collect();
        let is_metric = words.iter().any(|word| METRIC.contains(word))
            || ["mm 2", "sq mm", "sq. mm", "square mm"].iter().any(|unit| text.contains(unit));
        let is_gauge = words.iter().any(|word| GAUGE.contains(word));
        match (is_gauge, is_metric) {
            (true, false) => Some(Self::Awg),
            (false, true) => Some(Self::SquareMillimetre),
            _ => None,
        }
    }
}

const METRIC: [&str; 8] = ["mm2", "mm²", "mm^2", "sqmm", "qmm", "mmq", "mm²)", "mm2)"];
const GAUGE: [&str; 6] = ["awg", "ga", "gauge", "gage", "gauges", "awgs"];

/// Cross-sections of copper conductors in mm2 (IEC 60228, table 1, and ISO 6722-1 for those of vehicles; from memory).
const SERIES: [f64; 25] = [
    0.13, 0.22, 0.35, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 35.0, 50.0,
    70.0, 95.0, 120.0,
];

/// Whether bare numbers are areas: all are of the series of cross-sections, and one has a fraction, which no gauge has.
#[must_use]
pub fn are_areas(cells: &[&str]) -> bool {
    let values: Option<Vec<f64>> = cells.iter().map(|cell| decimal(&super::doubt(cell).text)).collect();
    values.is_some_and(|values| {
        values.iter().all(|value| SERIES.contains(value)) && values.iter().any(|value| value.fract() > 0.0) && values.len() >= 3
    })
}

/// What a size cell gives.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Size {
    /// The size as the netlist writes it: `20 AWG`, `0.5 mm2`; one per branch if there are several; none for a cable whose size is not
    /// given.
    pub sizes: Vec<String>,
    /// Cores of a cable; 1 for a wire.
    pub cores: u32,
    /// Whether it is screened.
    pub is_screened: bool,
    /// Whether its cores, or the wire with others, are twisted.
    pub is_twisted: bool,
    /// What else the cell says.
    pub rest: String,
}

/// The size that a cell gives. `unit` is what a bare number is in, if the heading or the other cells say so.
///
/// # Errors
/// Why the cell is not a size.
pub fn size(cell: &str, unit: Option<SizeUnit>) -> Result<Size, String> {
    let lower = cell.trim().to_lowercase();
    let mut made = Size { cores: 1, ..Size::default() };
    let mut words = lower
        .replace("twisted/shielded", "twisted shielded")
        .replace("shielded/twisted", "twisted shielded")
        .replace("mm^2", "mm2")
        .replace("mm²", "mm2")
        .replace("sq. mm", "mm2")
        .replace("sq mm", "mm2")
        .replace("mm 2", "mm2");
    for (mark, screened, twisted) in MARKS {
        if let Some(without) = without_word(&words, mark) {
            words = without;
            made.is_screened |= screened;
            made.is_twisted |= twisted;
        }
    }
    for (mark, cores) in
        [("duplex", 2), ("triplex", 3), ("two core", 2), ("2-core", 2), ("3-core", 3), ("4-core", 4), ("twin", 2)]
    {
        if let Some(without) = without_word(&words, mark) {
            words = without;
            made.cores = cores;
        }
    }
    words = pairs(&words, &mut made);
    // What is in brackets, and a rated voltage behind a comma, is said beside the size.
    let (words, aside) = aside(&words);
    made.rest = aside;
    let mut text = words.trim().trim_matches(',').trim().to_owned();
    if let Some((count, behind)) = counted(&text) {
        made.cores = count;
        text = behind;
    }
    if text.is_empty() {
        return if made.cores > 1 || made.is_screened { Ok(made) } else { Err("holds no size".to_owned()) };
    }
    if let Some((left, right)) = text.split_once('/').map(|(left, right)| (left.trim().to_owned(), right.trim().to_owned())) {
        return slashed(&left, &right, unit, made);
    }
    made.sizes = vec![one(&text, unit)?];
    Ok(made)
}

const MARKS: [(&str, bool, bool); 10] = [
    ("screened", true, false),
    ("shielded", true, false),
    ("shield", true, false),
    ("sh", true, false),
    ("shld", true, false),
    ("twisted", false, true),
    ("tw", false, true),
    ("twp", false, true),
    ("stp", true, true),
    ("tsp", true, true),
];

/// The text without a word, if it has it.
fn without_word(text: &str, word: &str) -> Option<String> {
    let at = text.match_indices(word).map(|(at, _)| at).find(|at| {
        let before = text.get(..*at).and_then(|before| before.chars().next_back());
        let behind = text.get(at + word.len()..).and_then(|behind| behind.chars().next());
        !before.is_some_and(char::is_alphanumeric) && !behind.is_some_and(char::is_alphanumeric)
    })?;
    let (before, behind) = (text.get(..at)?, text.get(at + word.len()..)?);
    Some(format!("{} {}", before.trim_end().trim_end_matches([',', '/']), behind.trim_start()))
}

/// `2-pair`, `1 pair`: two cores each.
fn pairs(text: &str, made: &mut Size) -> String {
    for word in ["pairs", "pair", "pr"] {
        let Some(at) = text.find(word) else { continue };
        let before = text.get(..at).unwrap_or("").trim_end_matches(['-', ' ']);
        let start = before.rfind(|letter: char| !letter.is_ascii_digit()).map_or(0, |at| at + 1);
        let Some(count) =
            before.get(start..).and_then(|count| if count.is_empty() { Some(1) } else { count.parse::<u32>().ok() })
        else {
            continue;
        };
        if (1..=50).contains(&count) {
            made.cores = count * 2;
            made.is_twisted = true;
            return format!("{} {}", before.get(..start).unwrap_or(""), text.get(at + word.len()..).unwrap_or(""));
        }
    }
    text.to_owned()
}

/// What is in brackets or behind a comma that is not a decimal one, apart from the rest.
fn aside(text: &str) -> (String, String) {
    let mut main = text.to_owned();
    let mut said = Vec::new();
    while let (Some(open), Some(close)) = (main.find('('), main.find(')')) {
        if open > close {
            break;
        }
        let inner = main.get(open + 1..close).unwrap_or("").trim().to_owned();
        // `(AWG)` and `(mm2)` are the unit itself.
        let unit =
            if SizeUnit::named_in(&inner).is_some() && leading(&inner).is_none() { format!(" {inner} ") } else { " ".to_owned() };
        if unit == " " && !inner.is_empty() {
            said.push(inner);
        }
        main.replace_range(open..=close, &unit);
    }
    if let Some((size, more)) = main.clone().split_once(", ") {
        said.push(more.trim().to_owned());
        main = size.to_owned();
    }
    let words: Vec<&str> = main.split_whitespace().collect();
    if let [first @ .., volts, "v"] = words.as_slice()
        && !first.is_empty()
        && decimal(volts).is_some()
    {
        said.push(format!("{volts} V"));
        main = first.join(" ");
    }
    said.retain(|text| !text.is_empty());
    let said = said.join("; ").replace("awg", "AWG");
    (main, said.strip_suffix(" v").map_or_else(|| said.clone(), |volts| format!("{volts} V")))
}

/// `2 x 0.75 mm2`, `3G1.5`, `3c 14 AWG`: a count of cores before the size.
fn counted(text: &str) -> Option<(u32, String)> {
    let digits = text.find(|letter: char| !letter.is_ascii_digit())?;
    let count: u32 = text.get(..digits)?.parse().ok().filter(|count| (1..=99).contains(count))?;
    let rest = text.get(digits..)?.trim_start();
    let behind = ["x", "×", "*", "g", "c "].iter().find_map(|sign| rest.strip_prefix(sign))?.trim_start();
    let starts_with_size =
        behind.starts_with(|letter: char| letter.is_ascii_digit() || letter == '#' || letter == '.') || behind.starts_with("awg");
    starts_with_size.then(|| (count, behind.to_owned()))
}

/// The text without a word for the gauge at its end, if it has one.
fn gauge_word(text: &str) -> Option<&str> {
    GAUGE.iter().find_map(|word| text.strip_suffix(word)).map(str::trim_end)
}

/// `2/0`, `18/2`, `12 / 16`: what is on both sides of a slash decides.
fn slashed(left: &str, right: &str, unit: Option<SizeUnit>, mut made: Size) -> Result<Size, String> {
    let number = |text: &str| text.trim_start_matches(['#', ' ']).trim().trim_end_matches(['.', ' ']).to_owned();
    let bare_right = gauge_word(right).unwrap_or(right);
    let named = if gauge_word(right).is_some() || gauge_word(left).is_some() { Some(SizeUnit::Awg) } else { unit };
    if bare_right == "0" {
        let left = number(gauge_word(left).unwrap_or(left).trim_start_matches("awg"));
        return match left.as_str() {
            "1" | "2" | "3" | "4" => {
                made.sizes = vec![format!("{left}/0 AWG")];
                Ok(made)
            }
            _ => Err("is not a gauge: with a zero behind the slash there are 1/0 to 4/0".to_owned()),
        };
    }
    let (first, second) = (number(gauge_word(left).unwrap_or(left).trim_start_matches("awg")), number(bare_right));
    // `18/2`: gauge and number of cores, where the second can't be a gauge of the same list.
    if let (Ok(gauge), Ok(cores)) = (first.parse::<u32>(), second.parse::<u32>())
        && (8..=30).contains(&gauge)
        && (2..=7).contains(&cores)
        && named != Some(SizeUnit::SquareMillimetre)
    {
        made.sizes = vec![format!("{gauge} AWG")];
        made.cores = cores;
        return Ok(made);
    }
    let right_unit = SizeUnit::named_in(right);
    let sizes = [one(left, right_unit.or(named))?, one(right, named)?];
    made.sizes = sizes.to_vec();
    Ok(made)
}

/// One size as the netlist writes it.
fn one(text: &str, unit: Option<SizeUnit>) -> Result<String, String> {
    let text = text.trim().trim_end_matches('.').trim();
    let text = text.strip_prefix('#').map_or(text, str::trim_start);
    let text = text.strip_suffix("wire").map_or(text, str::trim_end);
    for word in GAUGE {
        if let Some(number) = text.strip_suffix(word).or_else(|| text.strip_prefix(word)) {
            return gauge(number.trim_matches([' ', '-', '.', '#', ':']));
        }
    }
    for word in METRIC {
        if let Some(number) = text.strip_suffix(word) {
            return metric(number.trim());
        }
    }
    if ["000", "00", "0000"].contains(&text) {
        return gauge(text);
    }
    match (unit, decimal(text)) {
        (Some(SizeUnit::Awg), _) => gauge(text),
        (Some(SizeUnit::SquareMillimetre), Some(_)) => metric(text),
        (None, Some(_)) => Err("is a bare number, and neither the heading nor another cell says AWG or mm2".to_owned()),
        (_, None) if leading(text).is_some_and(|(_, rest)| rest.trim() == "mm") => {
            Err("is in mm, which is a diameter, not a cross-section".to_owned())
        }
        (_, None) => Err("is not a size in AWG or mm2".to_owned()),
    }
}

fn gauge(number: &str) -> Result<String, String> {
    let zeros = !number.is_empty() && number.bytes().all(|digit| digit == b'0');
    let is_gauge = if zeros { number.len() <= 4 } else { number.parse::<u32>().is_ok_and(|number| (1..=40).contains(&number)) };
    if is_gauge { Ok(format!("{number} AWG")) } else { Err("is not a gauge: there are 40 to 1, then 1/0 to 4/0".to_owned()) }
}

fn metric(number: &str) -> Result<String, String> {
    match decimal(number).filter(|value| (0.01..=400.0).contains(value)) {
        Some(value) => Ok(format!("{} mm2", shown(value))),
        None => Err("is not a cross-section".to_owned()),
    }
}
