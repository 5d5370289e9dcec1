//! Which files of the theme a template reads, told from the text of it and of what it brings in.
//!
//! A path that is written out is followed: of `import` and `include`, of `image`, `json`, `read` and their like. A path
//! below `/data/` or `/program/` is not the theme's, whatever is added to its beginning. Where another path is worked
//! out as the template runs, nobody can tell, and the template may read anything in `sheets/`.

use super::theme::Theme;
use std::collections::{BTreeMap, BTreeSet};
use typst::syntax::ast::{self, AstNode, Expr};
use typst::syntax::{SyntaxKind, SyntaxNode, VirtualPath, parse};

/// Functions that take a path first.
const LOADERS: [&str; 10] =
    ["bibliography", "cbor", "csv", "image", "json", "plugin", "read", "toml", "xml", "yaml"];

/// What a template reads of its theme.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Reads {
    /// Every path that is written out, the template's own among them.
    pub files: BTreeSet<String>,
    /// Whether it may read more.
    pub unsure: bool,
}

/// What a template reads: `sheets/handbook.typ`.
pub(super) fn reads(theme: &Theme, template: &str) -> Reads {
    let mut reads = Reads::default();
    let mut open = vec![template.to_owned()];
    while let Some(file) = open.pop() {
        if !reads.files.insert(file.clone()) || !file.ends_with(".typ") {
            continue;
        }
        let text = theme.file(&file).and_then(|bytes| std::str::from_utf8(bytes).ok());
        let root = parse(text.unwrap_or_default());
        let mut names = Names::default();
        names.gather(&root);
        let mut found = Found { names, paths: Vec::new(), unsure: false };
        found.walk(&root);
        reads.unsure |= found.unsure;
        for path in found.paths {
            let from = VirtualPath::new(&file).ok().and_then(|file| file.parent());
            let joined = from.and_then(|folder| folder.join(&path).ok());
            match joined {
                Some(joined) => open.push(joined.get_without_slash().to_owned()),
                None => reads.unsure = true,
            }
        }
    }
    reads.files.retain(|file| !is_given(&format!("/{file}")));
    reads
}

/// Whether a path is one of what is laid beside the theme's files.
fn is_given(path: &str) -> bool {
    path.starts_with("/data/") || path.starts_with("/program/")
}

/// How a path is written.
enum Path {
    /// Not of the theme, or no path at all.
    Given,
    Literal(String),
    Unsure,
}

/// The names of a file that stand for paths of what is given, wherever they are used.
#[derive(Default)]
struct Names {
    /// By `let`: whether every value begins as such a path does.
    bound: BTreeMap<String, bool>,
}

impl Names {
    fn gather(&mut self, node: &SyntaxNode) {
        match node.kind() {
            SyntaxKind::LetBinding => {
                let binding = node.cast::<ast::LetBinding>();
                let given = binding.and_then(ast::LetBinding::init).is_some_and(begins_as_given);
                for name in binding.into_iter().flat_map(|binding| binding.kind().bindings()) {
                    *self.bound.entry(name.as_str().to_owned()).or_insert(true) &= given;
                }
            }
            // What a parameter or a loop calls so may be anything.
            SyntaxKind::Params | SyntaxKind::ForLoop | SyntaxKind::Destructuring => {
                for name in node.children().filter_map(|child| child.cast::<ast::Ident>()) {
                    self.bound.insert(name.as_str().to_owned(), false);
                }
                for named in node.children().filter_map(|child| child.cast::<ast::Named>()) {
                    self.bound.insert(named.name().as_str().to_owned(), false);
                }
            }
            _ => {}
        }
        node.children().for_each(|child| self.gather(child));
    }
}

/// `"/program/" + …`
fn begins_as_given(value: Expr) -> bool {
    match value {
        Expr::Str(text) => is_given(&text.get()),
        Expr::Binary(binary) if binary.op() == ast::BinOp::Add => begins_as_given(binary.lhs()),
        Expr::Parenthesized(inner) => begins_as_given(inner.expr()),
        _ => false,
    }
}

struct Found {
    names: Names,
    paths: Vec<String>,
    unsure: bool,
}

impl Found {
    fn walk(&mut self, node: &SyntaxNode) {
        let source = match node.kind() {
            SyntaxKind::ModuleImport => node.cast::<ast::ModuleImport>().map(|import| import.source()),
            SyntaxKind::ModuleInclude => node.cast::<ast::ModuleInclude>().map(|include| include.source()),
            _ => None,
        };
        match source {
            Some(Expr::Str(path)) => self.paths.push(path.get().to_string()),
            Some(_) => self.unsure = true,
            None => {}
        }
        match node.kind() {
            SyntaxKind::FuncCall => {
                if let Some(call) = node.cast::<ast::FuncCall>()
                    && is_loader(call.callee())
                {
                    self.load(call);
                    // The callee is dealt with; what stands in the arguments is not.
                    return call.args().to_untyped().children().for_each(|child| self.walk(child));
                }
            }
            // `#let see = image` loads under another name.
            SyntaxKind::Ident => self.unsure |= LOADERS.contains(&node.leaf_text().as_str()),
            SyntaxKind::FieldAccess => {
                let access = node.cast::<ast::FieldAccess>();
                self.unsure |= access.is_some_and(|access| is_loader(Expr::FieldAccess(access)));
                let target = access.map(ast::FieldAccess::target);
                // `json.encode` loads nothing.
                if let Some(target) = target.filter(|target| !matches!(target, Expr::Ident(_))) {
                    self.walk(target.to_untyped());
                }
                return;
            }
            _ => {}
        }
        // Neither the name of an argument nor what a rule is for is a use of a function.
        let names_only =
            matches!(node.kind(), SyntaxKind::Named | SyntaxKind::SetRule | SyntaxKind::ShowRule);
        let mut children = node.children();
        if names_only
            && let Some(first) = children.find(|child| child.is::<Expr>())
            && first.kind() != SyntaxKind::Ident
        {
            self.walk(first);
        }
        children.for_each(|child| self.walk(child));
    }

    fn load(&mut self, call: ast::FuncCall) {
        let first = call.args().items().next();
        let path = match first {
            Some(ast::Arg::Pos(path)) => self.path(path),
            _ => Path::Unsure,
        };
        match path {
            Path::Given => {}
            Path::Literal(path) => self.paths.push(path),
            Path::Unsure => self.unsure = true,
        }
    }

    fn path(&self, written: Expr) -> Path {
        match written {
            Expr::Str(text) => Path::Literal(text.get().to_string()),
            Expr::Ident(name) if self.names.bound.get(name.as_str()) == Some(&true) => Path::Given,
            // Bytes, not a path.
            Expr::FuncCall(call) if matches!(call.callee(), Expr::Ident(name) if ["bytes", "read"].contains(&name.as_str())) => {
                Path::Given
            }
            written if begins_as_given(written) => Path::Given,
            _ => Path::Unsure,
        }
    }
}

fn is_loader(callee: Expr) -> bool {
    match callee {
        Expr::Ident(name) => LOADERS.contains(&name.as_str()),
        Expr::FieldAccess(access) => {
            matches!(access.target(), Expr::Ident(name) if name.as_str() == "std")
                && LOADERS.contains(&access.field().as_str())
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> Reads {
        let files = [("sheets/a.typ", text.as_bytes()), ("sheets/lib/b.typ", b"#import \"c.typ\": *\n")];
        reads(&Theme::of_files(files), "sheets/a.typ")
    }

    fn files(text: &str) -> Vec<String> {
        let reads = of(text);
        assert!(!reads.unsure, "{text}");
        reads.files.into_iter().filter(|file| file != "sheets/a.typ").collect()
    }

    #[test]
    fn paths_that_are_written_out_are_followed() {
        assert_eq!(files("#import \"lib/b.typ\": *"), ["sheets/lib/b.typ", "sheets/lib/c.typ"]);
        assert_eq!(files("#let x = { include \"/sheets/d.typ\" }"), ["sheets/d.typ"]);
        assert_eq!(
            files("#let inks = toml(\"/inks.toml\")\n#std.image(\"seal.svg\")"),
            ["inks.toml", "sheets/seal.svg"]
        );
    }

    #[test]
    fn what_is_given_is_not_the_themes() {
        let texts = [
            "#let it = json(\"/data/piece.json\")",
            "#let lesson(part) = json(\"/data/\" + part + \".json\")",
            "#let show-it(x) = { let file = \"/program/\" + x.file\n image(file, alt: x.alt) }",
            "#image(read(\"/data/codes/\" + str(1) + \".luma\", encoding: none))",
            "#image(bytes(json.encode((1, 2))))",
            "#show image: it => it\n#set image(width: 1cm)\n#let x = (image: 1, read: 2)\n#x.image",
        ];
        for text in texts {
            assert_eq!(files(text), Vec::<String>::new(), "{text}");
        }
    }

    #[test]
    fn a_path_that_is_worked_out_may_lead_anywhere() {
        let texts = [
            "#let see(file) = image(file)",
            "#let see = image\n#see(\"x.svg\")",
            "#let see = std.read",
            "#for name in (\"a\", \"b\") { image(name) }",
            "#let file = \"/program/x\"\n#let other(file) = image(file)",
            "#let name = \"x.typ\"\n#import name: *",
            "#include \"lib/\" + \"b.typ\"",
            "#(\"a.svg\", \"b.svg\").map(image)",
        ];
        for text in texts {
            assert!(of(text).unsure, "{text}");
        }
    }

    #[test]
    fn of_every_built_in_sheet_it_is_known_what_it_reads() {
        let plain = Theme::plain();
        let sheets =
            plain.folder("sheets").filter(|(name, _)| !name.contains("/lib/") && name.ends_with(".typ"));
        for (name, _) in sheets {
            let reads = reads(&plain, name);
            assert!(!reads.unsure, "{name}");
            let absent = reads.files.iter().find(|file| plain.file(file).is_none());
            assert_eq!(absent, None, "{name}");
        }
    }
}
