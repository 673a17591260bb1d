//! The arrows of ARCHITECTURE.md against what the packages really name, so that the page cannot go stale.

use super::Finding;
use super::metadata::Metadata;
use super::tree::Tree;
use std::collections::{BTreeMap, BTreeSet};

const PAGE: &str = "ARCHITECTURE.md";

/// Every crate may name it; it has no arrows of its own.
const VOCABULARY: &str = "units";

/// They may name any crate, so they have no row.
const FREE: [&str; 2] = ["xtask", "tests"];

/// Rows of the block: line, crate, and what it names.
type Rows<'a> = Vec<(usize, &'a str, Vec<&'a str>)>;

/// Arrows that are drawn but not there, and the other way round.
///
/// # Errors
/// Where the page has no block of arrows.
pub fn check(tree: &Tree, metadata: &Metadata) -> Result<Vec<Finding>, String> {
    let page = tree.text(PAGE).ok_or_else(|| format!("{PAGE} is not there"))?;
    let rows = rows(page)?;
    let folders: BTreeMap<&str, &str> =
        metadata.ours().map(|(folder, p)| (p.name.as_str(), folder)).collect();
    let mut findings = Vec::new();
    let mut above = BTreeSet::new();
    for (line, name, drawn) in &rows {
        above.insert(*name);
        if !metadata.ours().any(|(folder, _)| folder == *name) {
            findings.push(Finding::new(PAGE, *line, format!("there is no crate {name}"), "take its row out"));
        }
        for upward in drawn.iter().filter(|to| above.contains(*to)) {
            let what = format!("{name} -> {upward} leads upwards");
            findings.push(Finding::new(
                PAGE,
                *line,
                what,
                "arrows lead down the page: what is named stands below",
            ));
        }
    }
    for (folder, package) in metadata.ours().filter(|(folder, _)| !FREE.contains(folder)) {
        let named: BTreeSet<&str> = package
            .dependencies
            .iter()
            .filter(|d| d.kind.is_none())
            .filter_map(|d| folders.get(d.name.as_str()).copied())
            .filter(|to| *to != VOCABULARY)
            .collect();
        let Some((line, _, drawn)) = rows.iter().find(|(_, name, _)| *name == folder) else {
            let what = format!("the crate {folder} has no row among the arrows");
            findings.push(Finding::new(PAGE, 1, what, "give it one, and say what it is for"));
            continue;
        };
        let drawn: BTreeSet<&str> = drawn.iter().copied().collect();
        for to in named.difference(&drawn) {
            let what = format!("{folder} names {to}, an arrow that is not drawn");
            let remedy =
                format!("take it out of crates/{folder}/Cargo.toml, or decide for it in docs/decisions");
            findings.push(Finding::new(PAGE, *line, what, remedy));
        }
        for to in drawn.difference(&named) {
            let what = format!("{folder} -> {to} is drawn, but {folder} does not name {to}");
            findings.push(Finding::new(PAGE, *line, what, "take the arrow out"));
        }
    }
    Ok(findings)
}

/// The lines of the block that begins with three backticks and `arrows`.
fn rows(page: &str) -> Result<Rows<'_>, String> {
    let lines = page.lines().enumerate().skip_while(|(_, l)| l.trim() != "```arrows").skip(1);
    let rows: Rows<'_> = lines
        .take_while(|(_, l)| l.trim() != "```")
        .filter(|(_, l)| !l.trim().is_empty())
        .map(|(i, l)| {
            let (name, named) = l.split_once("->").unwrap_or((l, ""));
            let named = named.split(',').map(str::trim).filter(|to| !to.is_empty()).collect();
            (i + 1, name.trim(), named)
        })
        .collect();
    if rows.is_empty() { Err(format!("{PAGE} has no block of arrows (```arrows)")) } else { Ok(rows) }
}

#[cfg(test)]
mod tests {
    use super::super::metadata::{Dependency, Package};
    use super::super::tree::tree;
    use super::*;

    fn package(folder: &str, named: &[(&str, Option<&str>)]) -> Package {
        Package {
            name: folder.to_owned(),
            version: "0.1.0".to_owned(),
            license: None,
            source: None,
            dependencies: named
                .iter()
                .map(|(name, kind)| Dependency { name: (*name).to_owned(), kind: kind.map(str::to_owned) })
                .collect(),
            manifest_path: format!("/somewhere/crates/{folder}/Cargo.toml"),
        }
    }

    fn found(block: &str, packages: Vec<Package>) -> Vec<String> {
        let page = format!("# Page\n\n```arrows\n{block}```\n");
        let findings = check(&tree(&[(PAGE, &page)]), &Metadata { packages }).unwrap();
        findings.iter().map(|f| format!("{} {}", f.line, f.what)).collect()
    }

    #[test]
    fn drawn_and_real_arrows_are_compared_both_ways() {
        let packages = || {
            vec![
                package("far", &[("near", None), ("units", None), ("serde", None)]),
                package("near", &[("far", Some("dev"))]),
                package("units", &[]),
            ]
        };
        assert_eq!(found("far -> near\nnear\nunits\n", packages()), Vec::<String>::new());
        assert_eq!(
            found("far\nnear -> units\n", packages()),
            [
                "4 far names near, an arrow that is not drawn",
                "5 near -> units is drawn, but near does not name units",
                "1 the crate units has no row among the arrows"
            ]
        );
        assert_eq!(
            found("near\nfar -> near\ngone\nunits\n", packages()),
            ["5 far -> near leads upwards", "6 there is no crate gone"]
        );
        assert!(check(&tree(&[(PAGE, "nothing\n")]), &Metadata { packages: Vec::new() }).is_err());
    }
}
