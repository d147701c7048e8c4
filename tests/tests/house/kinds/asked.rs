//! What a source asks for alone, read from its syntax.

use std::collections::BTreeSet;
use syn::{
    Arm, Attribute, BinOp, Expr, ExprBinary, ExprLet, ExprMatch, ItemMod, ItemUse, Local, Macro, Pat, Path, UseTree,
    parse::ParseStream,
    visit::{self, Visit},
};

/// The kinds and roles that a source asks for alone: by `==`, by `matches!`, by `let`, or in a `match` with an arm for all others.
pub(super) fn alone(text: &str) -> BTreeSet<String> {
    let file = syn::parse_file(text).expect("a source can be parsed");
    let mut short = Short::default();
    short.visit_file(&file);
    let mut seen = Seen { short: short.0, found: BTreeSet::new() };
    seen.visit_file(&file);
    seen.found
}

/// The variants that a source names without their enum, with it.
#[derive(Default)]
struct Short(Vec<(String, String)>);

impl Visit<'_> for Short {
    fn visit_item_use(&mut self, item: &ItemUse) {
        let mut waiting = vec![(String::new(), &item.tree)];
        while let Some((of, tree)) = waiting.pop() {
            match tree {
                UseTree::Path(path) => waiting.push((path.ident.to_string(), &path.tree)),
                UseTree::Group(group) => waiting.extend(group.items.iter().map(|tree| (of.clone(), tree))),
                UseTree::Name(name) if is_ours(&of) => self.0.push((name.ident.to_string(), of)),
                UseTree::Glob(_) => assert!(!is_ours(&of), "the variants of `{of}` are imported by their names"),
                UseTree::Rename(_) => assert!(!is_ours(&of), "a variant of `{of}` is imported under its own name"),
                UseTree::Name(_) => {}
            }
        }
    }
}

fn is_ours(name: &str) -> bool {
    ["ElementKind", "EdgeRole"].contains(&name)
}

struct Seen {
    short: Vec<(String, String)>,
    found: BTreeSet<String>,
}

impl Seen {
    /// A kind or role that a path names.
    fn name(&mut self, path: &Path) {
        let mut names = path.segments.iter().rev().map(|segment| segment.ident.to_string());
        let (Some(last), of) = (names.next(), names.next()) else { return };
        let short = self.short.iter().find(|(name, _)| of.is_none() && *name == last).map(|(_, of)| of.clone());
        if let Some(of) = of.filter(|of| is_ours(of)).or(short) {
            self.found.insert(format!("{of}::{last}"));
        }
    }

    /// All that a pattern names.
    fn pattern(&mut self, pattern: &Pat) {
        let mut paths = Paths(Vec::new());
        paths.visit_pat(pattern);
        for path in paths.0 {
            self.name(&path);
        }
    }
}

/// The paths of a pattern.
struct Paths(Vec<Path>);

impl Visit<'_> for Paths {
    fn visit_path(&mut self, path: &Path) {
        self.0.push(path.clone());
    }

    // A variant without fields looks like the name of a new binding.
    fn visit_pat_ident(&mut self, ident: &syn::PatIdent) {
        self.0.push(ident.ident.clone().into());
        visit::visit_pat_ident(self, ident);
    }
}

impl Visit<'_> for Seen {
    fn visit_item_mod(&mut self, module: &ItemMod) {
        if !module.attrs.iter().any(is_for_tests) {
            visit::visit_item_mod(self, module);
        }
    }

    fn visit_expr_binary(&mut self, expr: &ExprBinary) {
        if matches!(expr.op, BinOp::Eq(_) | BinOp::Ne(_)) {
            for side in [&expr.left, &expr.right] {
                match &**side {
                    Expr::Path(path) => self.name(&path.path),
                    Expr::Struct(made) => self.name(&made.path),
                    Expr::Call(call) => {
                        if let Expr::Path(path) = &*call.func {
                            self.name(&path.path);
                        }
                    }
                    _ => {}
                }
            }
        }
        visit::visit_expr_binary(self, expr);
    }

    fn visit_macro(&mut self, macro_: &Macro) {
        if macro_.path.is_ident("matches") {
            let parts = |input: ParseStream<'_>| {
                let asked: Expr = input.parse()?;
                input.parse::<syn::Token![,]>()?;
                let pattern = Pat::parse_multi_with_leading_vert(input)?;
                let guard = input.parse::<Option<syn::Token![if]>>()?.map(|_| input.parse::<Expr>()).transpose()?;
                input.parse::<Option<syn::Token![,]>>()?;
                Ok((asked, pattern, guard))
            };
            let (asked, pattern, guard) = macro_.parse_body_with(parts).expect("`matches!` of an expression and a pattern");
            self.pattern(&pattern);
            Visit::visit_expr(self, &asked);
            guard.iter().for_each(|guard| Visit::visit_expr(self, guard));
        }
    }

    fn visit_expr_let(&mut self, expr: &ExprLet) {
        self.pattern(&expr.pat);
        visit::visit_expr_let(self, expr);
    }

    fn visit_local(&mut self, local: &Local) {
        self.pattern(&local.pat);
        visit::visit_local(self, local);
    }

    fn visit_expr_match(&mut self, expr: &ExprMatch) {
        if expr.arms.iter().any(|arm| arm.guard.is_none() && takes_all(&arm.pat)) {
            expr.arms.iter().for_each(|Arm { pat, .. }| self.pattern(pat));
        }
        visit::visit_expr_match(self, expr);
    }
}

fn is_for_tests(attribute: &Attribute) -> bool {
    attribute.path().is_ident("cfg") && attribute.parse_args::<syn::Ident>().is_ok_and(|word| word == "test")
}

/// Whether a pattern takes whatever comes.
fn takes_all(pattern: &Pat) -> bool {
    match pattern {
        Pat::Wild(_) | Pat::Rest(_) => true,
        // A name in lower case is a binding, else a variant.
        Pat::Ident(ident) => ident.subpat.is_none() && ident.ident.to_string().starts_with(char::is_lowercase),
        Pat::Tuple(tuple) => tuple.elems.iter().all(takes_all),
        Pat::Reference(reference) => takes_all(&reference.pat),
        Pat::Paren(paren) => takes_all(&paren.pat),
        Pat::Or(or) => or.cases.iter().any(takes_all),
        _ => false,
    }
}
