//! The names of a design by their places.

use super::{
    refer::{Refer, start_of},
    symbols::{Sort, SymbolId},
    token::Token,
    walk::{Definition, Gathered, walk},
};
use crate::{
    format::{Trees, worded},
    text::{FileId, Names, Sources, Span},
};

/// The names of all files of a design, where each is defined and where it is used.
#[derive(Debug)]
pub struct Index {
    pub(super) names: Names,
    pub(super) gathered: Gathered,
    /// The tokens in the order of the files and their bytes.
    tokens: Vec<Token>,
}

impl Index {
    /// The names in the trees of a design.
    ///
    /// # Cost
    /// Linear in the size of the files.
    #[must_use]
    pub fn of_trees(trees: &Trees) -> Self {
        let (mut names, mut gathered) = (trees.names().clone(), Gathered::default());
        let (tree, tops) = trees.tops();
        for top in tops {
            walk(tree, *top, &mut names, &mut gathered);
        }
        Self::with(trees.sources(), names, gathered)
    }

    /// Parses all files again, for the names in them.
    ///
    /// # Cost
    /// Linear in the size of the files.
    #[must_use]
    pub fn new(sources: &Sources) -> Self {
        let (mut names, mut gathered) = (Names::new(), Gathered::default());
        for (file, _) in sources.files() {
            let parsed = worded::parse(sources, file, &mut names);
            if let Some(root) = parsed.root {
                walk(&parsed.tree, root, &mut names, &mut gathered);
            }
        }
        Self::with(sources, names, gathered)
    }

    fn with(sources: &Sources, mut names: Names, mut gathered: Gathered) -> Self {
        let mut tokens: Vec<Token> = Vec::with_capacity(gathered.definitions.len() + gathered.mentions.len() * 2);
        for Definition { symbol, key, .. } in &gathered.definitions {
            let name = gathered.symbols.get(*symbol).map_or("", |symbol| names.text(symbol.name));
            let written = sources.slice(*key);
            let start = start_of(written, name);
            let span = match start {
                Some(start) => Span::new(key.file, key.start + start as u32, key.start + (start + name.len()) as u32),
                None => *key,
            };
            tokens.push(Token { span, symbol: *symbol, defines: true, is_verbatim: start.is_some() });
        }
        let mentions = std::mem::take(&mut gathered.mentions);
        let mut refer = Refer { sources, names: &mut names, gathered: &mut gathered };
        for mention in mentions {
            tokens.extend(refer.tokens(mention));
        }
        tokens.sort_unstable();
        tokens.dedup();
        Self { names, gathered, tokens }
    }

    /// All names, in the order of the files and their bytes. A place bears several where a key or an alias means several things.
    #[must_use]
    pub fn tokens(&self) -> &[Token] {
        &self.tokens
    }

    /// The names at a byte of a file, or that end there. Of two that touch, the one that begins there.
    #[must_use]
    pub fn at(&self, file: FileId, offset: u32) -> &[Token] {
        let holds = |token: &Token| token.span.file == file && token.span.start <= offset && offset <= token.span.end;
        // No name is long, and names do not nest: the last that begins before the place is the only one that may hold it.
        let behind = self.tokens.partition_point(|token| (token.span.file, token.span.start) <= (file, offset));
        let before = self.tokens.get(..behind).unwrap_or_default();
        let Some(last) = before.last().filter(|token| holds(token)) else { return &[] };
        let first = before.iter().rposition(|token| token.span != last.span).map_or(0, |at| at + 1);
        before.get(first..).unwrap_or_default()
    }

    /// Where a thing is defined: once, or in each file that says something of it; of what is defined by naming it, the first place.
    #[must_use]
    pub fn definitions(&self, symbol: SymbolId) -> Vec<Span> {
        let mut found: Vec<Span> = self.of(symbol).filter(|token| token.defines).map(|token| token.span).collect();
        if found.is_empty() && self.sort(symbol).is_some_and(Sort::is_shared) {
            found.extend(self.of(symbol).next().map(|token| token.span));
        }
        found
    }

    /// From the name of a thing to the end of what is said of it, wherever it is defined.
    pub fn extents(&self, symbol: SymbolId) -> impl Iterator<Item = Span> + '_ {
        self.gathered.definitions.iter().filter(move |definition| definition.symbol == symbol).map(|definition| definition.whole)
    }

    /// Every place that bears the name of a thing, its definitions among them.
    pub fn of(&self, symbol: SymbolId) -> impl Iterator<Item = &Token> {
        self.tokens.iter().filter(move |token| token.symbol == symbol)
    }

    /// What a thing is.
    #[must_use]
    pub fn sort(&self, symbol: SymbolId) -> Option<Sort> {
        self.gathered.symbols.get(symbol).map(|symbol| symbol.sort)
    }

    /// Its own name.
    #[must_use]
    pub fn name(&self, symbol: SymbolId) -> &str {
        self.gathered.symbols.get(symbol).map_or("", |symbol| self.names.text(symbol.name))
    }

    /// What it is in.
    #[must_use]
    pub fn parent(&self, symbol: SymbolId) -> Option<SymbolId> {
        self.gathered.symbols.get(symbol)?.parent
    }

    /// Its name from the top, between dots: `front.P1.3`.
    #[must_use]
    pub fn path(&self, symbol: SymbolId) -> String {
        self.gathered.symbols.path(&self.names, symbol)
    }

    /// The thing of a sort with this name in another thing.
    #[must_use]
    pub fn find(&self, parent: Option<SymbolId>, sort: Sort, name: &str) -> Option<SymbolId> {
        self.gathered.symbols.find(parent, sort, self.names.find(name)?)
    }

    /// The things of a sort in another thing, in the order in which they were first named.
    pub fn within(&self, parent: Option<SymbolId>, sort: Sort) -> impl Iterator<Item = SymbolId> + '_ {
        let fits = move |symbol: &super::symbols::Symbol| symbol.parent == parent && symbol.sort == sort;
        self.gathered.symbols.all().filter(move |(_, symbol)| fits(symbol)).map(|(id, _)| id)
    }

    /// What a device, cable or end names as its kind, by its whole name.
    pub(super) fn kind_of(&self, symbol: SymbolId, sort: Sort) -> Option<SymbolId> {
        let name = self.gathered.kind(symbol)?;
        self.gathered.symbols.find(None, sort, name)
    }
}
