//! The mapping: how each list was understood, written by the program, obeyed the next time, edited by people.

use crate::{
    columns::{Kind, Meaning},
    list_name,
    netlist::quoted,
};
use harness_sheets::Book;
use serde::{Deserialize, de};
use std::collections::BTreeMap;

/// How lists are understood.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Mapping {
    /// The lists by their name, `wires.csv` or `book.xlsx, tab Front`.
    #[serde(default)]
    pub lists: BTreeMap<String, ListMapping>,
    /// The project's own codes of colours, with IEC letters.
    #[serde(default)]
    pub colours: BTreeMap<String, IecColour>,
    /// What a name is, where its form misleads: `splice`, `stud`, `fuse`, `plug`, `name`.
    #[serde(default)]
    pub points: BTreeMap<String, PointWord>,
    /// Plugs of one device, by the name of the device.
    #[serde(default)]
    pub devices: BTreeMap<String, Vec<String>>,
}

/// How one list is understood.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ListMapping {
    /// What it lists.
    pub kind: KindWord,
    /// The row of the headings.
    #[serde(default)]
    pub header_row: Option<u32>,
    /// The loom of its wires.
    #[serde(default)]
    pub loom: Option<String>,
    /// The plug of its pins, where no column names it.
    #[serde(default)]
    pub plug: Option<String>,
    /// The columns by their headings.
    #[serde(default)]
    pub columns: BTreeMap<String, MeaningWord>,
}

macro_rules! word {
    ($(#[$doc:meta])* $name:ident, $held:ty, $read:expr) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name(pub $held);

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: de::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let text = String::deserialize(deserializer)?;
                let read: fn(&str) -> Result<$held, String> = $read;
                read(&text).map(Self).map_err(de::Error::custom)
            }
        }
    };
}

word!(
    /// A kind of list by its word.
    KindWord, Kind, Kind::of
);
word!(
    /// A meaning of a column by its word.
    MeaningWord, Meaning, Meaning::of
);
word!(
    /// A colour in IEC letters.
    IecColour, String, |text| {
        let read = crate::cell::colour(text, &BTreeMap::new()).map_err(|_| format!("`{text}` is not a colour of IEC 60757; write two letters, such as `BU`"))?;
        if read.code == text { Ok(read.code) } else { Err(format!("`{text}` is not in IEC letters; write `{}`", read.code)) }
    }
);
word!(
    /// What a name is.
    PointWord, Point, |text| match text {
        "splice" => Ok(Point::Splice),
        "stud" => Ok(Point::Stud),
        "fuse" => Ok(Point::Fuse),
        "plug" => Ok(Point::Plug),
        "name" => Ok(Point::Name),
        other => Err(format!("`{other}` is not what a point can be; write `splice`, `stud`, `fuse`, `plug`, or `name` for a thing without cavities")),
    }
);

/// What a name is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Point {
    /// A splice.
    Splice,
    /// One stud, screw or tab.
    Stud,
    /// A fuse.
    Fuse,
    /// A plug with cavities.
    Plug,
    /// A whole name, though it looks like a plug with its cavity.
    Name,
}

impl Mapping {
    /// Reads a mapping.
    ///
    /// # Errors
    /// What is not understood, with its place.
    pub fn read(text: &str) -> Result<Self, String> {
        if text.lines().all(|line| line.trim().is_empty() || line.trim_start().starts_with('#')) {
            return Ok(Self::default());
        }
        serde_yaml::from_str(text).map_err(|error| error.to_string())
    }

    /// Takes over what another mapping says of lists that this one does not name.
    pub fn take(&mut self, other: Self) {
        for (list, mapping) in other.lists {
            self.lists.entry(list).or_insert(mapping);
        }
        for (code, colour) in other.colours {
            self.colours.entry(code).or_insert(colour);
        }
        for (name, point) in other.points {
            self.points.entry(name).or_insert(point);
        }
        for (device, plugs) in other.devices {
            self.devices.entry(device).or_insert(plugs);
        }
    }

    /// The codes of colours as the cells are read by.
    #[must_use]
    pub fn colour_table(&self) -> BTreeMap<String, String> {
        self.colours.iter().map(|(code, IecColour(colour))| (code.clone(), colour.clone())).collect()
    }
}

/// A list whose meaning is known where it is made.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed {
    /// Its name: that of its file, or of its tab.
    pub name: String,
    /// What it lists.
    pub kind: Kind,
    /// The loom of its wires.
    pub loom: Option<String>,
    /// Its headings with what they mean.
    pub columns: Vec<(String, Meaning)>,
}

/// The mapping of lists as a file beside them.
#[must_use]
pub fn written(lists: &[Listed]) -> String {
    let mut text = "# What the columns of these lists mean. Made by `harness export`; `harness import` of the folder obeys it.\n\
                    # worked out: from other cells, and read by nothing; unread: goes along as it is.\nlists:\n"
        .to_owned();
    for list in lists {
        text.push_str(&format!("  {}:\n    kind: {}\n", quoted(&list.name), list.kind.word()));
        if let Some(loom) = &list.loom {
            text.push_str(&format!("    loom: {}\n", quoted(loom)));
        }
        if list.kind != Kind::Skip {
            text.push_str("    header-row: 1\n    columns:\n");
            for (heading, meaning) in &list.columns {
                text.push_str(&format!("      {}: {meaning}\n", quoted(heading)));
            }
        }
    }
    text
}

/// The tab in which a workbook says what its columns mean.
pub const TAB: &str = "mapping";

/// The headings of that tab.
pub const HEAD: [&str; 5] = ["Tab", "Kind", "Loom", "Column", "Meaning"];

/// The same mapping as rows of that tab: one for each list, and one for each of its columns.
#[must_use]
pub fn rows(lists: &[Listed]) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for list in lists {
        let columns: &[(String, Meaning)] = if list.kind == Kind::Skip { &[] } else { &list.columns };
        let loom = list.loom.clone().unwrap_or_default();
        rows.push(vec![list.name.clone(), list.kind.word().to_owned(), loom, String::new(), String::new()]);
        for (heading, meaning) in columns {
            rows.push(vec![list.name.clone(), String::new(), String::new(), heading.clone(), meaning.to_string()]);
        }
    }
    rows
}

/// What a workbook says its columns mean; nothing for one without such a tab.
///
/// # Errors
/// Where a kind or meaning in it is not known.
pub fn of_book(book: &Book) -> Result<Mapping, String> {
    let mut mapping = Mapping::default();
    let heads = |row: &harness_sheets::Row| (0u32..).zip(HEAD).all(|(column, word)| row.text(column) == word);
    let Some(tab) = book.tabs.iter().find(|tab| tab.name == TAB && tab.rows.first().is_some_and(heads)) else {
        return Ok(mapping);
    };
    let own = ListMapping { kind: KindWord(Kind::Skip), header_row: None, loom: None, plug: None, columns: BTreeMap::new() };
    mapping.lists.insert(list_name(book, TAB), own.clone());
    for row in tab.rows.iter().skip(1) {
        let failed = |why: String| format!("`{}`, tab {TAB}, row {}: {why}", book.name, row.number);
        let [name, kind, loom, column, meaning] = [0, 1, 2, 3, 4].map(|column| row.text(column));
        let list = mapping.lists.entry(list_name(book, name)).or_insert_with(|| own.clone());
        if column.is_empty() {
            list.kind = KindWord(Kind::of(kind).map_err(failed)?);
            list.header_row = (list.kind.0 != Kind::Skip).then_some(1);
            list.loom = Some(loom.to_owned()).filter(|loom| !loom.is_empty());
        } else {
            list.columns.insert(column.to_owned(), MeaningWord(Meaning::of(meaning).map_err(failed)?));
        }
    }
    Ok(mapping)
}
