//! The repository's own rules: what `cargo xtask check` finds, and that documents name what is there.

use xtask::check::tree::Tree;

#[test]
fn nothing_is_found_by_the_checks_on_the_repository() {
    let findings = xtask::check::all(&xtask::root()).unwrap();
    let lines: Vec<String> = findings.iter().map(ToString::to_string).collect();
    assert!(lines.is_empty(), "{}", lines.join("\n"));
}

/// Folders whose files documents name by their whole path.
const FOLDERS: [&str; 8] = [".ci/", "crates/", "demo/", "docs/", "fuzz/", "tests/", "ui/", "xtask/"];

#[test]
fn documents_name_what_is_there() {
    let root = xtask::root();
    let tree = Tree::of(&root).unwrap();
    let (mut missing, mut named) = (Vec::new(), 0);
    for (page, text) in tree.texts().filter(|(path, _)| path.ends_with(".md")) {
        let folder = root.join(page).parent().unwrap().to_path_buf();
        for (i, line) in text.lines().enumerate() {
            let links = targets(line).into_iter().map(|to| (folder.join(&to), to));
            let paths = paths(line).into_iter().map(|to| (root.join(&to), to));
            for (place, to) in links.chain(paths) {
                named += 1;
                if !place.exists() {
                    missing.push(format!("{page}:{}: {to} is not there", i + 1));
                }
            }
        }
    }
    assert!(missing.is_empty(), "{}", missing.join("\n"));
    // ARCHITECTURE.md alone names some twenty.
    assert!(named > 20, "only {named} names were found: the test tests nothing");
}

/// Where the links of a line of Markdown lead, within the repository.
fn targets(line: &str) -> Vec<String> {
    let ends = line.split("](").skip(1).filter_map(|rest| rest.split_once(')'));
    ends.map(|(to, _)| to.split('#').next().unwrap().to_owned())
        .filter(|to| !to.is_empty() && !to.contains("://") && !to.starts_with("mailto:"))
        .collect()
}

/// Paths from the root that stand in backticks; capitals stand for something else (`docs/decisions/NNN.md`).
fn paths(line: &str) -> Vec<String> {
    let quoted = line.split('`').skip(1).step_by(2).flat_map(str::split_whitespace);
    let place_holder = |word: &str| {
        word.contains(['*', '<', '{'])
            || word
                .split(['/', '.'])
                .any(|part| part.len() > 1 && part.chars().all(|c| c.is_ascii_uppercase()))
    };
    quoted
        .filter(|word| FOLDERS.iter().any(|f| word.starts_with(f)) && !place_holder(word))
        .map(str::to_owned)
        .collect()
}

#[test]
fn links_and_paths_are_read_from_markdown() {
    let line = "See [a](docs/a.md#part), [b](https://b), `crates/x/src/y.rs`, `bash .ci/run`, `docs/decisions/NNN.md`.";
    assert_eq!(targets(line), ["docs/a.md"]);
    assert_eq!(paths(line), ["crates/x/src/y.rs", ".ci/run"]);
}
