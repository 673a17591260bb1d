//! Whether everybody can use the sheets: an audit by the rules of WCAG 2.0, 2.1 and 2.2, levels A and AA, as far as a program can tell.

use crate::browser::Browser;
use serde_json::Value;

const RULES: &str = include_str!("vendor/axe.min.js");

/// What breaks the rules in the page as it is now, a line for each.
fn findings(browser: &mut Browser) -> Vec<String> {
    browser.evaluate(&format!("window.axe || (() => {{ {RULES}\n }})(); 0"));
    let found = browser.evaluate(
        "axe.run(document, { resultTypes: ['violations'], runOnly: { type: 'tag', values: \
         ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22a', 'wcag22aa'] } }).then((r) => ({ \
         checked: r.passes.length, violations: r.violations.flatMap((v) => v.nodes.map((n) => \
         `${v.id}: ${v.help}: ${n.target.join(' ')}: ${n.failureSummary}`)) }))",
    );
    assert!(found["checked"].as_u64() > Some(4), "the audit looked at hardly anything: {found}");
    let violations = found["violations"].as_array().unwrap();
    violations
        .iter()
        .filter_map(Value::as_str)
        .map(|v| v.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect()
}

/// That nothing in the page breaks the rules.
#[track_caller]
pub(crate) fn assert_for_everybody(browser: &mut Browser) {
    let all = findings(browser);
    assert!(all.is_empty(), "not everybody can use this:\n{}", all.join("\n"));
}

#[test]
fn the_rules_are_those_that_were_published() {
    let digest = units::Digest::of(RULES.as_bytes()).to_string();
    assert!(include_str!("vendor/README.md").contains(&digest), "{digest}");
}

#[test]
fn the_audit_finds_what_it_should() {
    let Some(mut browser) = Browser::start() else { return };
    browser.evaluate("document.body.innerHTML = '<img src=\"data:,\"><input><p style=\"color: #aaa; background: #fff\">faint</p>'; 0");
    let all = findings(&mut browser);
    for rule in ["image-alt", "label", "color-contrast", "html-has-lang", "document-title"] {
        assert!(all.iter().any(|f| f.starts_with(&format!("{rule}:"))), "{rule} is missing: {all:?}");
    }
}
