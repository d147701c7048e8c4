//! One design written in many ways: order of maps, flow or block, spelling of quantities, quotes, comments, files.

use harness_core::MemoryFiles;
use harness_tests::Numbers;
use std::fmt::Write;

/// What is in a design, before it has a form.
#[derive(Debug, Clone)]
pub enum Text {
    Word(String),
    /// Thousandths.
    Amperes(usize),
    /// Millimetres.
    Length(usize),
    /// Hundredths of a square millimetre.
    Area(usize),
    Celsius(usize),
    /// A list whose order says nothing.
    Set(Vec<String>),
    Map(Vec<(String, Text)>),
}

/// The plain form: everything as it comes, in one file.
pub fn plain(text: &Text) -> MemoryFiles {
    MemoryFiles::one("design.yaml", Writer { style: None }.document(text))
}

/// Some other form of the same.
pub fn reformed(text: &Text, seed: u64) -> MemoryFiles {
    let mut numbers = Numbers::new(seed);
    let Text::Map(top) = text else { return plain(text) };
    let (mut first, mut second) = (Vec::new(), Vec::new());
    for (key, value) in top {
        match (key.as_str(), value) {
            ("format" | "design" | "revision", _) => first.push((key.clone(), value.clone())),
            ("devices" | "looms" | "zones" | "modes", Text::Map(entries)) => {
                let (here, there): (Vec<_>, Vec<_>) = entries.iter().cloned().partition(|_| numbers.below(2) == 0);
                first.push((key.clone(), Text::Map(here)));
                second.push((key.clone(), Text::Map(there)));
            }
            _ if numbers.below(2) == 0 => second.push((key.clone(), value.clone())),
            _ => first.push((key.clone(), value.clone())),
        }
    }
    first.push(("include".to_owned(), Text::Set(vec!["more/rest.yaml".to_owned()])));
    let mut writer = Writer { style: Some(numbers) };
    let (first, second) = (writer.document(&Text::Map(first)), writer.document(&Text::Map(second)));
    MemoryFiles::one("design.yaml", first).and("more/rest.yaml", second)
}

struct Writer {
    /// `None`: the plain form.
    style: Option<Numbers>,
}

impl Writer {
    fn chance(&mut self) -> bool {
        self.style.as_mut().is_some_and(|numbers| numbers.below(2) == 0)
    }

    fn document(&mut self, text: &Text) -> String {
        let mut out = String::new();
        self.block(text, 0, &mut out);
        out
    }

    fn shuffled<T: Clone>(&mut self, items: &[T]) -> Vec<T> {
        let mut items = items.to_vec();
        if let Some(numbers) = &mut self.style {
            for last in (1..items.len()).rev() {
                items.swap(last, numbers.below(last + 1));
            }
        }
        items
    }

    fn block(&mut self, text: &Text, depth: usize, out: &mut String) {
        let Text::Map(entries) = text else { return };
        for (key, value) in self.shuffled(entries) {
            if self.chance() {
                let _ = writeln!(out, "{}# a remark: {{ of no weight }}", "  ".repeat(depth));
            }
            let key = self.word(&key);
            let _ = write!(out, "{}{key}:", "  ".repeat(depth));
            let is_flow = match &value {
                Text::Map(inner) => inner.is_empty() || depth > 3 || (depth > 0 && self.chance()),
                _ => true,
            };
            if is_flow {
                let flow = self.flow(&value);
                let _ = writeln!(out, " {flow}{}", if self.chance() { "  # so" } else { "" });
            } else {
                out.push('\n');
                self.block(&value, depth + 1, out);
            }
        }
    }

    fn flow(&mut self, text: &Text) -> String {
        match text {
            Text::Word(word) => self.word(word),
            Text::Amperes(thousandths) if thousandths % 1000 == 0 && !self.chance() => format!("{} A", thousandths / 1000),
            Text::Amperes(thousandths) if self.chance() => format!("{thousandths} mA"),
            Text::Amperes(thousandths) => format!("{}.{:03} A", thousandths / 1000, thousandths % 1000),
            Text::Length(millimetres) if self.chance() => format!("{}.{:03} m", millimetres / 1000, millimetres % 1000),
            Text::Length(millimetres) => format!("{millimetres} mm"),
            Text::Area(hundredths) => {
                let unit = if self.chance() { "mm²" } else { "mm2" };
                format!("{}.{:02} {unit}", hundredths / 100, hundredths % 100)
            }
            Text::Celsius(degrees) => format!("{degrees} degC"),
            Text::Set(items) => {
                let items: Vec<String> = self.shuffled(items).iter().map(|item| self.word(item)).collect();
                format!("[{}]", items.join(", "))
            }
            Text::Map(entries) => {
                let entries = self.shuffled(entries);
                let inner: Vec<String> =
                    entries.iter().map(|(key, value)| format!("{}: {}", self.word(key), self.flow(value))).collect();
                format!("{{ {} }}", inner.join(", "))
            }
        }
    }

    fn word(&mut self, word: &str) -> String {
        match (self.chance(), self.chance()) {
            (true, true) => format!("\"{word}\""),
            (true, false) => format!("'{word}'"),
            _ => word.to_owned(),
        }
    }
}
