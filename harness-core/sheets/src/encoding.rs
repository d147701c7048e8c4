//! Bytes to text: the mark at the start first, then strict UTF-8, then what the letters look like.

use crate::{Options, Remark, Unreadable};
use chardetng::{EncodingDetector, Iso2022JpDetection, Utf8Detection};
use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE};

/// Only so much is looked at for zero bytes.
const HEAD: usize = 1024;

/// Bytes from which a guess is made: lists say all their letters early.
const GUESSED: usize = 256 << 10;

/// The text of `bytes`, and what had to be assumed.
pub(crate) fn decode(bytes: &[u8], options: &Options) -> Result<(String, Vec<Remark>), Unreadable> {
    if let Some(label) = &options.encoding {
        let encoding = Encoding::for_label(label.trim().as_bytes()).ok_or_else(|| Unreadable::Encoding(label.clone()))?;
        let (text, is_damaged) = encoding.decode_with_bom_removal(bytes);
        return if is_damaged {
            Err(Unreadable::NotOfEncoding { encoding: encoding.name() })
        } else {
            Ok((text.into_owned(), Vec::new()))
        };
    }
    if let Some((encoding, mark)) = Encoding::for_bom(bytes) {
        let text = encoding.decode_without_bom_handling(bytes.get(mark..).unwrap_or_default()).0.into_owned();
        let damaged = count_damaged(&text);
        let remarks = if damaged > 0 && encoding == UTF_8 { vec![Remark::DamagedUtf8 { places: damaged }] } else { Vec::new() };
        return Ok((text, remarks));
    }
    let head = bytes.get(..HEAD.min(bytes.len())).unwrap_or_default();
    if head.contains(&0) {
        return utf16(bytes, head);
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok((text.to_owned(), Vec::new())),
        // Cut in the middle of a letter: everything before is strict UTF-8 with at least one letter beyond ASCII, or ASCII alone.
        Err(error) if error.valid_up_to() + 3 >= bytes.len() && is_utf8_so_far(bytes, error.valid_up_to()) => {
            let text = String::from_utf8_lossy(bytes).into_owned();
            Ok((text, vec![Remark::DamagedUtf8 { places: 1 }]))
        }
        Err(_) => Ok(guessed(bytes)),
    }
}

/// Whether the text up to `at` has letters of more than one byte, so that it is UTF-8 and not a code page.
fn is_utf8_so_far(bytes: &[u8], at: usize) -> bool {
    bytes.get(..at).is_some_and(|before| !before.is_ascii())
}

fn count_damaged(text: &str) -> usize {
    text.matches('\u{fffd}').count()
}

/// UTF-16 without its mark: in letters of the Latin alphabet every second byte is zero, and which one gives the order.
fn utf16(bytes: &[u8], head: &[u8]) -> Result<(String, Vec<Remark>), Unreadable> {
    let zeros = |from: usize| head.iter().skip(from).step_by(2).filter(|byte| **byte == 0).count();
    let (even, odd) = (zeros(0), zeros(1));
    let encoding = if odd >= even { UTF_16LE } else { UTF_16BE };
    let (text, is_damaged) = encoding.decode_without_bom_handling(bytes);
    let control = text.chars().filter(|letter| letter.is_control() && !['\n', '\r', '\t'].contains(letter)).count();
    if is_damaged || control > 0 || even.min(odd) * 4 > even.max(odd) {
        return Err(Unreadable::NotText);
    }
    Ok((text.into_owned(), vec![Remark::Guessed { encoding: encoding.name() }]))
}

fn guessed(bytes: &[u8]) -> (String, Vec<Remark>) {
    let mut detector = EncodingDetector::new(Iso2022JpDetection::Deny);
    let head = bytes.get(..GUESSED.min(bytes.len())).unwrap_or_default();
    detector.feed(head, head.len() == bytes.len());
    let encoding = detector.guess(None, Utf8Detection::Allow);
    let text = encoding.decode_without_bom_handling(bytes).0.into_owned();
    if encoding == UTF_8 {
        let places = count_damaged(&text);
        return (text, vec![Remark::DamagedUtf8 { places }]);
    }
    let has_control = text.chars().any(|letter| ('\u{80}'..='\u{9f}').contains(&letter));
    let encoding = encoding.name();
    let remark = if has_control { Remark::UnknownEncoding { encoding } } else { Remark::Guessed { encoding } };
    (text, vec![remark])
}

#[cfg(test)]
mod tests {
    use super::decode;
    use crate::{Options, Remark, Unreadable};

    fn read(bytes: &[u8]) -> (String, Vec<Remark>) {
        decode(bytes, &Options::default()).unwrap()
    }

    #[test]
    fn marks_and_strict_utf8_need_no_guess() {
        assert_eq!(read("\u{feff}Länge;0,5 mm²".as_bytes()), ("Länge;0,5 mm²".to_owned(), vec![]));
        assert_eq!(read("85 °C".as_bytes()), ("85 °C".to_owned(), vec![]));
        assert_eq!(read(b""), (String::new(), vec![]));
        for (mark, order) in [([0xff, 0xfe], u16::to_le_bytes as fn(u16) -> [u8; 2]), ([0xfe, 0xff], u16::to_be_bytes)] {
            let plain: Vec<u8> = "Größe;mm²\n".encode_utf16().flat_map(order).collect();
            assert_eq!(read(&[&mark[..], &plain].concat()), ("Größe;mm²\n".to_owned(), vec![]));
            let (text, remarks) = read(&plain);
            assert_eq!(text, "Größe;mm²\n");
            assert!(matches!(remarks[..], [Remark::Guessed { .. }]));
        }
    }

    /// Bytes of the code pages as the mapping tables of the Unicode consortium give them: windows-1252 B2 = ², DF = ß; windows-1250 B3 = ł, BF = ż.
    #[test]
    fn code_pages_are_guessed_and_said() {
        assert_eq!(read(b"Gr\xf6\xdfe;0,5 mm\xb2\n").0, "Größe;0,5 mm²\n");
        let polish = b"przew\xf3d;\xbf\xf3\xb3ty;d\xb3ugo\x9c\xe6;zielono-\xbf\xf3\xb3ty\n";
        let (text, remarks) = read(polish);
        assert_eq!(text, "przewód;żółty;długość;zielono-żółty\n");
        assert_eq!(remarks, [Remark::Guessed { encoding: "windows-1250" }]);
    }

    #[test]
    fn utf8_that_was_cut_is_not_taken_for_a_code_page() {
        let whole = "Länge;0,5 mm²".as_bytes();
        let (text, remarks) = read(&whole[..whole.len() - 1]);
        assert_eq!(text, "Länge;0,5 mm\u{fffd}");
        assert_eq!(remarks, [Remark::DamagedUtf8 { places: 1 }]);
    }

    #[test]
    fn an_encoding_that_was_named_is_obeyed() {
        let named = |bytes: &[u8], label: &str| decode(bytes, &Options { encoding: Some(label.to_owned()) });
        // The old Mac code page has ä at 8A (mapping table of the Unicode consortium).
        assert_eq!(named(b"L\x8ange", "macintosh").unwrap().0, "Länge");
        assert_eq!(named(b"x", "klingon"), Err(Unreadable::Encoding("klingon".to_owned())));
        assert!(matches!(named(b"L\xe4nge", "utf-8"), Err(Unreadable::NotOfEncoding { encoding: "UTF-8" })));
    }

    #[test]
    fn what_is_not_a_text_is_refused() {
        assert_eq!(decode(&[0, 1, 2, 3, 0, 0, 9, 9], &Options::default()), Err(Unreadable::NotText));
    }
}
