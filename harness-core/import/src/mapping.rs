//! The mapping: how each list was understood, written by the program, obeyed the next time, edited by people.

use crate::columns::{Kind, Meaning};
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

    /// The codes of colours as the cells are read by.
    #[must_use]
    pub fn colour_table(&self) -> BTreeMap<String, String> {
        self.colours.iter().map(|(code, IecColour(colour))| (code.clone(), colour.clone())).collect()
    }
}
