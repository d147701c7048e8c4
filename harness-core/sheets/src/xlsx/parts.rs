//! The parts of a workbook: which there are, how large they are, which of them is which tab.

use crate::{Unreadable, limits};
use quick_xml::{
    Reader,
    events::{BytesStart, Event},
};
use std::{
    collections::BTreeMap,
    io::{BufRead, BufReader, Cursor, Read},
};
use zip::ZipArchive;

pub(super) type Xml<'a> = Reader<Box<dyn BufRead + 'a>>;

pub(super) struct Parts<'a> {
    archive: ZipArchive<Cursor<&'a [u8]>>,
}

impl<'a> Parts<'a> {
    /// Opens the archive and unpacks every part once, without keeping it: none may be larger than it says and than the limit.
    pub(super) fn open(bytes: &'a [u8]) -> Result<Self, Unreadable> {
        let not = |error: zip::result::ZipError| Unreadable::Damaged(error.to_string());
        let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(not)?;
        if archive.index_for_name("xl/workbook.bin").is_some() {
            return Err(Unreadable::BinaryWorkbook);
        }
        let is_open_document = archive.index_for_name("content.xml").is_some() && archive.index_for_name("mimetype").is_some();
        if is_open_document && archive.index_for_name("xl/workbook.xml").is_none() {
            return Err(Unreadable::OpenDocument);
        }
        let mut all = 0u64;
        for at in 0..archive.len() {
            let part = archive.by_index(at).map_err(not)?;
            let (name, stated) = (part.name().map(|name| name.to_string()).unwrap_or_default(), part.size());
            if stated > limits::PART_BYTES {
                return Err(Unreadable::TooLarge { what: format!("its part `{name}`"), bytes: stated, most: limits::PART_BYTES });
            }
            all = all.saturating_add(stated);
            if all > limits::BOOK_BYTES {
                return Err(Unreadable::TooLarge {
                    what: "the workbook unpacked".to_owned(),
                    bytes: all,
                    most: limits::BOOK_BYTES,
                });
            }
            let real = std::io::copy(&mut part.take(stated + 1), &mut std::io::sink())
                .map_err(|error| Unreadable::Damaged(format!("part `{name}`: {error}")))?;
            if real != stated {
                return Err(Unreadable::Damaged(format!("part `{name}` is not as long as it says")));
            }
        }
        Ok(Self { archive })
    }

    /// A part as XML; `None` if there is none of that name. The size is that of the part unpacked.
    pub(super) fn xml(&mut self, name: &str) -> Result<Option<(Xml<'_>, u64)>, Unreadable> {
        let wanted = name.trim_start_matches('/');
        let Some(at) = self.archive.index_for_name(wanted) else { return Ok(None) };
        let part = self.archive.by_index(at).map_err(|error| Unreadable::Damaged(error.to_string()))?;
        let size = part.size();
        let text: Box<dyn BufRead> = Box::new(BufReader::new(part.take(limits::PART_BYTES)));
        let mut xml = Reader::from_reader(text);
        let config = xml.config_mut();
        config.expand_empty_elements = true;
        config.check_end_names = false;
        Ok(Some((xml, size)))
    }

    /// The tabs by name, each with the name of its part.
    pub(super) fn sheets(&mut self) -> Result<Vec<(String, String)>, Unreadable> {
        let targets = self.targets()?;
        let Some((mut xml, _)) = self.xml("xl/workbook.xml")? else {
            return Err(Unreadable::NotAWorkbook("it has no part `xl/workbook.xml`".to_owned()));
        };
        let mut sheets = Vec::new();
        each_start(&mut xml, |start| {
            if start.local_name().as_ref() == "sheet"
                && let (Some(name), Some(id)) = (attribute(start, "name"), attribute(start, "id"))
                && let Some(target) = targets.get(&id)
            {
                sheets.push((name, target.clone()));
            }
            Ok(())
        })?;
        Ok(sheets)
    }

    /// What the ids of the workbook refer to.
    fn targets(&mut self) -> Result<BTreeMap<String, String>, Unreadable> {
        let mut targets = BTreeMap::new();
        let Some((mut xml, _)) = self.xml("xl/_rels/workbook.xml.rels")? else { return Ok(targets) };
        each_start(&mut xml, |start| {
            if start.local_name().as_ref() == "Relationship"
                && let (Some(id), Some(target)) = (attribute(start, "Id"), attribute(start, "Target"))
            {
                let target = target.strip_prefix('/').map_or_else(|| format!("xl/{target}"), str::to_owned);
                targets.insert(id, target);
            }
            Ok(())
        })?;
        Ok(targets)
    }
}

/// An attribute by its local name.
pub(super) fn attribute(start: &BytesStart<'_>, name: &str) -> Option<String> {
    let found =
        start.attributes().with_checks(false).filter_map(Result::ok).find(|known| known.key.local_name().as_ref() == name)?;
    found.normalized_value(quick_xml::XmlVersion::Implicit1_0).ok().map(std::borrow::Cow::into_owned)
}

/// Whether an attribute says yes.
pub(super) fn is_set(start: &BytesStart<'_>, name: &str) -> bool {
    attribute(start, name).is_some_and(|value| value == "1" || value == "true")
}

/// Calls `then` with every element that begins.
pub(super) fn each_start(
    xml: &mut Xml<'_>,
    mut then: impl FnMut(&BytesStart<'_>) -> Result<(), Unreadable>,
) -> Result<(), Unreadable> {
    each(xml, |event| if let Event::Start(start) = event { then(start) } else { Ok(()) })
}

/// Calls `then` with every event.
pub(super) fn each(xml: &mut Xml<'_>, mut then: impl FnMut(&Event<'_>) -> Result<(), Unreadable>) -> Result<(), Unreadable> {
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match xml.read_event_into(&mut buffer) {
            Ok(Event::Eof) => return Ok(()),
            Ok(event) => then(&event)?,
            Err(error) => return Err(Unreadable::Damaged(error.to_string())),
        }
    }
}
