//! Words that have no place in the repository: it speaks of itself alone, and is finished.

use super::Finding;
use super::tree::Tree;

/// What must not stand anywhere. Written in two parts, so that this list does not find itself.
const BARRED: [(&str, &str, &str); 21] = [
    ("/wo", "rk/", PATH),
    ("/ro", "ot/", PATH),
    ("/tmp/tar", "get", PATH),
    ("crates", ".io/", HOST),
    ("index.crates", ".io", HOST),
    ("static.crates", ".io", HOST),
    ("registry.npm", "js.org", HOST),
    ("pypi", ".org", HOST),
    ("pythonhosted", ".org", HOST),
    ("deb.debian", ".org", HOST),
    ("trans", "cript", MAKING),
    ("sub", "agent", MAKING),
    ("seed docu", "ment", MAKING),
    ("language mo", "del", MAKING),
    ("co-authored", "-by", MAKING),
    ("ai-gene", "rated", MAKING),
    ("DESIGN", ".md", DOCUMENT),
    ("MODELS", ".md", DOCUMENT),
    ("SCREENS", ".md", DOCUMENT),
    ("FIX", "ME", LATER),
    ("XX", "X:", LATER),
];

/// What must not stand in Rust.
const BARRED_IN_RUST: [(&str, &str, &str); 3] = [
    ("to", "do!(", LATER),
    ("unimple", "mented!(", LATER),
    ("#[igno", "re", "mend the test, or take it out"),
];

const PATH: &str = "a path of one machine: take it out, or find it out at run time";
const HOST: &str = "the host of a registry: name the package only";
const MAKING: &str = "how this is made is no part of it: take it out";
const DOCUMENT: &str = "not a document of this repository: cite docs/model.md";
const LATER: &str = "finish it, or take it out";

/// Files and lines with such words.
#[must_use]
pub fn check(tree: &Tree) -> Vec<Finding> {
    let mut findings = Vec::new();
    for file in &tree.files {
        let name = file.path.to_ascii_lowercase();
        for (a, b, why) in BARRED.iter().filter(|w| w.2 != LATER) {
            if name.contains(&format!("{a}{b}").to_ascii_lowercase()) {
                findings.push(Finding::new(&file.path, 1, format!("a name with {a}{b}"), *why));
            }
        }
    }
    // A lock file names the registry; that is its purpose.
    for (path, text) in tree.texts().filter(|(path, _)| !path.ends_with(".lock")) {
        let rust: &[_] = if path.ends_with(".rs") { &BARRED_IN_RUST } else { &[] };
        for (a, b, why) in BARRED.iter().chain(rust) {
            let word = format!("{a}{b}");
            let places = text.lines().enumerate().filter(|(_, line)| stands_in(line, &word, *why == LATER));
            findings.extend(places.map(|(i, _)| Finding::new(path, i + 1, format!("says {word}"), *why)));
        }
    }
    findings
}

/// Whether a line has the word, and not as a part of a longer one.
fn stands_in(line: &str, word: &str, exactly: bool) -> bool {
    let (line, word) = if exactly {
        (line.to_owned(), word.to_owned())
    } else {
        (line.to_ascii_lowercase(), word.to_ascii_lowercase())
    };
    line.match_indices(&word).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        let after = line[at + word.len()..].chars().next();
        let goes_on = word.ends_with(char::is_alphanumeric) && after.is_some_and(char::is_alphanumeric);
        !goes_on && !before.is_some_and(|c| c.is_alphanumeric() || ".}".contains(c))
    })
}

#[cfg(test)]
mod tests {
    use super::super::tree::tree;
    use super::*;

    #[test]
    fn barred_words_are_found_by_line() {
        let bad = ["fine\nsee /wo", "rk/x, not frame/wo", "rk/\n"].concat();
        let late = ["fn f() {}\nfn g() { unimple", "mented!() }\n"].concat();
        let name = ["docs/trans", "cript.txt"].concat();
        let tree = tree(&[
            ("a.md", &bad),
            ("b.rs", &late),
            ("c.md", &late),
            ("d.md", "frame/work and fixme\n"),
            (&name, ""),
        ]);
        let found: Vec<_> = check(&tree).into_iter().map(|f| (f.file, f.line)).collect();
        assert_eq!(found, [(name, 1), ("a.md".to_owned(), 2), ("b.rs".to_owned(), 2)]);
    }
}
