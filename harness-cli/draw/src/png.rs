//! A drawing as points, with the program's own font: no font of the machine is looked for, so that every machine gives the same picture.

use crate::{Drawing, Links};
use resvg::{
    tiny_skia::{Pixmap, Transform},
    usvg::{Options, Tree},
};
use skrifa::{FontRef, MetadataProvider};
use std::{collections::BTreeSet, sync::Arc};

/// The letters: Latin, Greek, Cyrillic and technical signs of DejaVu Sans 2.37.
const FONTS: [&[u8]; 2] = [include_bytes!("../fonts/DejaVuSans.ttf"), include_bytes!("../fonts/DejaVuSans-Bold.ttf")];
/// Points of a unit: 203 to an inch on paper.
const SCALE: f32 = 2.0;
/// Points of a side at most; a larger drawing has fewer points for a unit.
const MOST: f64 = 16_000.0;

/// A drawing as PNG.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Png {
    /// The file.
    pub bytes: Vec<u8>,
    /// Letters that the font does not have, which are boxes in the picture.
    pub missing: Vec<char>,
}

impl Drawing {
    /// As PNG, two points for each unit.
    ///
    /// # Errors
    /// If the picture can't be made, in words.
    pub fn png(&self) -> Result<Png, String> {
        let mut options = Options { font_family: "DejaVu Sans".to_owned(), ..Options::default() };
        let fonts = Arc::make_mut(&mut options.fontdb);
        FONTS.into_iter().for_each(|font| fonts.load_font_data(font.to_vec()));
        let tree = Tree::from_str(&self.svg(&Links::none()), &options).map_err(|error| error.to_string())?;
        let (width, height) = self.size();
        let scale = f64::from(SCALE).min(MOST / width.max(height).max(1.0));
        let side = |units: f64| (units * scale).ceil().max(1.0) as u32;
        let mut points = Pixmap::new(side(width), side(height)).ok_or("there is no room for so many points")?;
        // The tree is in millimetres at 96 points to an inch, our units are a quarter of one.
        let fit = |own: u32, its: f32| own as f32 / its.max(f32::MIN_POSITIVE);
        let size = tree.size();
        let transform = Transform::from_scale(fit(side(width), size.width()), fit(side(height), size.height()));
        resvg::render(&tree, transform, &mut points.as_mut());
        Ok(Png { bytes: points.encode_png().map_err(|error| error.to_string())?, missing: self.without_letter() })
    }

    /// The letters of its texts that the font does not have.
    fn without_letter(&self) -> Vec<char> {
        let letters: BTreeSet<char> = self.texts().flat_map(str::chars).collect();
        let font = FONTS.first().and_then(|font| FontRef::new(font).ok());
        let has = |ch: &char| font.as_ref().is_some_and(|font| font.charmap().map(*ch).is_some());
        letters.into_iter().filter(|ch| !has(ch)).collect()
    }
}

#[cfg(test)]
mod tests {
    use crate::{Anchor, LineKind, Point, Sheet, Text};

    #[test]
    fn a_drawing_has_two_points_for_each_unit_and_says_which_letters_are_missing() {
        let mut sheet = Sheet::new("png", "Picture", "");
        sheet.line(LineKind::ClassB, &[Point::new(0.0, 0.0), Point::new(76.0, 0.0)], None);
        sheet.text(Point::new(0.0, 30.0), Anchor::Start, Text::plain("2.5 mm² → Füße 漢"), None);
        let drawing = sheet.finish();
        let png = drawing.png().unwrap();
        assert_eq!(png.missing, ['漢']);
        assert_eq!(png.bytes.get(1..4), Some(b"PNG".as_slice()));
        let side = |at: usize| f64::from(u32::from_be_bytes(png.bytes[at..at + 4].try_into().unwrap()));
        assert_eq!((side(16), side(20)), (drawing.size().0 * 2.0, drawing.size().1 * 2.0));
        assert_eq!(png, drawing.png().unwrap());
        // Something was drawn: the picture of an empty sheet of the same size is smaller.
        assert!(png.bytes.len() > 1500, "{}", png.bytes.len());
    }
}
