//! Licences of everything that is built in, against the list in licences.txt.

use super::Finding;
use super::metadata::Metadata;
use super::tree::Tree;

const LIST: &str = "licences.txt";

/// Packages whose licence is not allowed.
///
/// # Errors
/// Where the list is not there.
pub fn check(tree: &Tree, metadata: &Metadata) -> Result<Vec<Finding>, String> {
    let list = tree.text(LIST).ok_or_else(|| format!("{LIST} is not there"))?;
    let allowed: Vec<&str> = list
        .lines()
        .map(|l| l.split('#').next().unwrap_or_default().trim())
        .filter(|l| !l.is_empty())
        .collect();
    let lock = tree.text("Cargo.lock").unwrap_or_default();
    let line = |name: &str| {
        let wanted = format!("name = \"{name}\"");
        lock.lines().position(|l| l == wanted).map_or(1, |i| i + 1)
    };
    let mut findings = Vec::new();
    for package in metadata.packages.iter().filter(|p| p.source.is_some()) {
        let what = match &package.license {
            None => "names no licence".to_owned(),
            Some(written) => match Expression::read(written) {
                Ok(expression) if expression.holds(&|one| allowed.contains(&one)) => continue,
                Ok(_) => format!("is under {written}, which {LIST} does not allow"),
                Err(trouble) => format!("has a licence that cannot be read, {written}: {trouble}"),
            },
        };
        let what = format!("{} {} {what}", package.name, package.version);
        let remedy =
            format!("do without it, or add the licence to {LIST} if it may really be passed on with ours");
        findings.push(Finding::new("Cargo.lock", line(&package.name), what, remedy));
    }
    Ok(findings)
}

/// A licence expression of SPDX 2.3, annex D; also `/` for OR, as old packages write it.
#[derive(Clone, PartialEq, Eq, Debug)]
enum Expression {
    /// An identifier, with its exception if it has one.
    One(String),
    All(Vec<Self>),
    Any(Vec<Self>),
}

impl Expression {
    fn read(written: &str) -> Result<Self, String> {
        let spaced = written.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
        let words: Vec<&str> = spaced.split_whitespace().collect();
        let mut rest = words.as_slice();
        let expression = Self::any(&mut rest)?;
        match rest.first() {
            None => Ok(expression),
            Some(word) => Err(format!("{word} is not expected")),
        }
    }

    /// OR binds least.
    fn any(rest: &mut &[&str]) -> Result<Self, String> {
        let mut parts = vec![Self::every(rest)?];
        while take(rest, "OR") {
            parts.push(Self::every(rest)?);
        }
        Ok(if parts.len() == 1 { parts.remove(0) } else { Self::Any(parts) })
    }

    fn every(rest: &mut &[&str]) -> Result<Self, String> {
        let mut parts = vec![Self::one(rest)?];
        while take(rest, "AND") {
            parts.push(Self::one(rest)?);
        }
        Ok(if parts.len() == 1 { parts.remove(0) } else { Self::All(parts) })
    }

    fn one(rest: &mut &[&str]) -> Result<Self, String> {
        if take(rest, "(") {
            let inner = Self::any(rest)?;
            return if take(rest, ")") { Ok(inner) } else { Err("a bracket stays open".to_owned()) };
        }
        let id = identifier(rest)?;
        Ok(Self::One(if take(rest, "WITH") {
            format!("{id} WITH {}", identifier(rest)?)
        } else {
            id.to_owned()
        }))
    }

    /// Whether it can be met by licences that are allowed.
    fn holds(&self, allowed: &dyn Fn(&str) -> bool) -> bool {
        match self {
            Self::One(id) => allowed(id),
            Self::All(parts) => parts.iter().all(|p| p.holds(allowed)),
            Self::Any(parts) => parts.iter().any(|p| p.holds(allowed)),
        }
    }
}

fn take(rest: &mut &[&str], word: &str) -> bool {
    let there = rest.first().is_some_and(|w| w.eq_ignore_ascii_case(word));
    if there {
        *rest = &rest[1..];
    }
    there
}

fn identifier<'a>(rest: &mut &[&'a str]) -> Result<&'a str, String> {
    let (first, more) = rest.split_first().ok_or("it ends too soon")?;
    let sound = first.chars().all(|c| c.is_ascii_alphanumeric() || ".-+:".contains(c));
    if !sound || ["OR", "AND", "WITH"].iter().any(|w| first.eq_ignore_ascii_case(w)) {
        return Err(format!("{first} is no licence"));
    }
    *rest = more;
    Ok(first)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn expressions_hold_by_their_rules() {
        let holds = |written: &str| {
            Expression::read(written)
                .map(|e| e.holds(&|one| ["MIT", "Zlib", "Apache-2.0 WITH LLVM-exception"].contains(&one)))
        };
        for (written, expected) in [
            ("MIT", true),
            ("GPL-3.0-only", false),
            ("GPL-3.0-only OR MIT", true),
            ("GPL-3.0-only/MIT", true),
            ("MIT AND GPL-3.0-only", false),
            // AND binds tighter than OR (SPDX 2.3, annex D.4).
            ("MIT OR GPL-3.0-only AND LGPL-2.1-only", true),
            ("(MIT OR GPL-3.0-only) AND LGPL-2.1-only", false),
            ("(MIT OR GPL-3.0-only) AND Zlib", true),
            ("Apache-2.0", false),
            ("Apache-2.0 WITH LLVM-exception", true),
            ("MIT AND (Zlib AND (MIT OR X11))", true),
        ] {
            assert_eq!(holds(written), Ok(expected), "{written}");
        }
        for broken in
            ["", "MIT OR", "(MIT", "MIT Zlib", "AND MIT", "MIT)", "MIT WITH", "a licence of, our own"]
        {
            assert!(holds(broken).is_err(), "{broken}");
        }
    }
}
