//! `check` and `gen`: what the library finds, as lines.

use crate::error::Error;
use crate::switch;
use xtask::check::{self, sizes, tree::Tree};

pub(crate) fn check(args: &[String]) -> Result<(), Error> {
    none_left(args)?;
    let root = xtask::root();
    let findings = check::all(&root).map_err(Error::new)?;
    let tree = Tree::of(&root).map_err(Error::new)?;
    for (path, lines) in sizes::long(&tree) {
        println!("note: {path}: {lines} lines, more than {}", sizes::MANY_LINES);
    }
    findings.iter().for_each(|finding| println!("{finding}"));
    match findings.len() {
        0 => Ok(()),
        n => Err(Error::new(format!("{n} findings"))),
    }
}

pub(crate) fn generate(args: &[String]) -> Result<(), Error> {
    let mut args = args.to_vec();
    let only_compare = switch(&mut args, "--check");
    none_left(&args)?;
    let root = xtask::root();
    if only_compare {
        let stale = xtask::generated::stale(&root)?;
        return match stale.is_empty() {
            true => Ok(()),
            false => Err(Error::new(format!("stale: {}; run `cargo xtask gen`", stale.join(", ")))),
        };
    }
    xtask::generated::write(&root)?.iter().for_each(|path| println!("written: {path}"));
    Ok(())
}

fn none_left(args: &[String]) -> Result<(), Error> {
    args.first().map_or(Ok(()), |other| Err(Error::new(format!("{other}: not known here"))))
}
