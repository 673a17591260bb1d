//! The studio's page: its TypeScript turned into scripts, and the list of its files that goes into the program.

use oxc::allocator::Allocator;
use oxc::codegen::Codegen;
use oxc::parser::Parser;
use oxc::semantic::SemanticBuilder;
use oxc::span::SourceType;
use oxc::transformer::{JsxRuntime, TransformOptions, Transformer};
use std::fmt::Write as _;
use std::io;
use std::path::{Path, PathBuf};

/// What the browsers understand that the page is drawn for.
const TARGET: &str = "es2022";

/// A file of the page: the name it is served by, and where it lies, from the repository's root.
struct Part {
    name: String,
    path: String,
}

/// All that is made for the page: where it goes, from the repository's root, and what.
///
/// # Errors
/// Where a file cannot be read, or is no TypeScript.
pub(crate) fn made(root: &Path) -> io::Result<Vec<(String, String)>> {
    let mut made = vec![("ui/gen/wire.ts".to_owned(), studio::wire::page_types())];
    let mut parts = vec![Part { name: "index.html".to_owned(), path: "ui/index.html".to_owned() }];
    for path in files(&root.join("ui/vendor"))? {
        parts.extend(served(root, &path, "js"));
    }
    for path in files(&root.join("ui/src"))? {
        match path.extension().and_then(|e| e.to_str()) {
            Some("ts" | "tsx") => {
                let name = below(&root.join("ui"), &path.with_extension("js"));
                let script = script(&path)?;
                let to = format!("ui/built/{}", name.trim_start_matches("src/"));
                parts.push(Part { name, path: to.clone() });
                made.push((to, script));
            }
            _ => parts.extend(["css", "svg", "woff2"].into_iter().find_map(|end| served(root, &path, end))),
        }
    }
    parts.sort_by(|a, b| a.name.cmp(&b.name));
    made.push(("crates/studio/src/built.rs".to_owned(), list(&parts)));
    Ok(made)
}

/// A file that is served as it is, where its name ends so.
fn served(root: &Path, path: &Path, end: &str) -> Option<Part> {
    (path.extension()? == end).then(|| Part { name: below(&root.join("ui"), path), path: below(root, path) })
}

fn below(root: &Path, path: &Path) -> String {
    let parts = path.strip_prefix(root).unwrap_or(path).iter().map(|p| p.to_string_lossy());
    parts.collect::<Vec<_>>().join("/")
}

/// Every file below a folder, in order.
fn files(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut all = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() { all.extend(files(&path)?) } else { all.push(path) }
    }
    all.sort();
    Ok(all)
}

/// The script of a file of TypeScript.
fn script(path: &Path) -> io::Result<String> {
    let source = std::fs::read_to_string(path)?;
    let wrong = |what: String| io::Error::other(format!("{}: {what}", path.display()));
    let kind = SourceType::from_path(path).map_err(|e| wrong(e.to_string()))?;
    let allocator = Allocator::default();
    let parsed = Parser::new(&allocator, &source, kind).parse();
    if let Some(e) = parsed.diagnostics.first() {
        return Err(wrong(e.to_string()));
    }
    let mut program = parsed.program;
    let semantic = SemanticBuilder::new().with_excess_capacity(2.0).with_enum_eval(true).build(&program);
    if let Some(e) = semantic.diagnostics.first() {
        return Err(wrong(e.to_string()));
    }
    let scoping = semantic.semantic.into_scoping();
    let mut options = TransformOptions::from_target(TARGET).map_err(wrong)?;
    options.jsx.runtime = JsxRuntime::Classic;
    options.jsx.pragma = Some("h".to_owned());
    options.jsx.pragma_frag = Some("Fragment".to_owned());
    let done = Transformer::new(&allocator, path, &options).build_with_scoping(scoping, &mut program);
    if let Some(e) = done.diagnostics.first() {
        return Err(wrong(e.to_string()));
    }
    Ok(Codegen::new().build(&program).code)
}

/// The program's list of the page's files.
fn list(parts: &[Part]) -> String {
    let mut out = "//! The page, as it is built. Made by `cargo xtask gen`.\n\n/// Its files by name.\n#[rustfmt::skip]\npub(crate) const FILES: &[(&str, &[u8])] = &[\n".to_owned();
    for Part { name, path } in parts {
        let _ = writeln!(out, "    (\"{name}\", include_bytes!(\"../../../{path}\")),");
    }
    out + "];\n"
}
