//! All tests, and one line at the end that counts them.

mod ready;

use crate::error::Error;
use std::io::{BufRead as _, BufReader};
use std::process::{Command, Stdio};

/// Where the truth data lies, for the tests that need it.
const TRUTH: &str = "SETPIECE_TRUTH";

pub(crate) fn run(args: &[String]) -> Result<(), Error> {
    let root = xtask::root();
    // Whoever names tests wants these alone.
    if args.is_empty() {
        ready::all(&root);
    }
    let mut cargo = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    cargo.args(["test", "--workspace", "--no-fail-fast"]).args(args).args(["--", "--show-output"]);
    cargo.current_dir(&root).stdout(Stdio::piped());
    if std::env::var_os(TRUTH).is_none() {
        let beside = root.join("../shared");
        if beside.join("checks").is_dir() {
            cargo.env(TRUTH, beside.canonicalize()?);
        }
    }
    let mut running = cargo.spawn()?;
    let mut count = Count::default();
    if let Some(out) = running.stdout.take() {
        for line in BufReader::new(out).lines() {
            let line = line?;
            if count.read(&line) {
                println!("{line}");
            }
        }
    }
    let status = running.wait()?;
    if !count.left_out.is_empty() {
        println!("\nleft out:");
        count.left_out.iter().for_each(|line| println!("  {line}"));
    }
    if !count.failures.is_empty() {
        println!("\nfailed:");
        count.failures.iter().for_each(|line| println!("  {line}"));
    }
    println!(
        "{} passed, {} failed, {} skipped",
        count.passed,
        count.failed,
        count.ignored + count.left_out.len()
    );
    match (status.success(), count.passed) {
        (true, 1..) => Ok(()),
        (true, 0) => Err(Error::new("no test was run")),
        (false, _) => Err(Error::new("tests failed, or did not build; see above")),
    }
}

/// The sum over all targets.
#[derive(Default)]
struct Count {
    passed: usize,
    failed: usize,
    ignored: usize,
    left_out: Vec<String>,
    failures: Vec<String>,
}

impl Count {
    /// Takes a line into account; tells whether it is worth showing: single passes are not.
    fn read(&mut self, line: &str) -> bool {
        if let Some(sums) = line.strip_prefix("test result: ") {
            self.add(sums.split_once(". ").map_or(sums, |(_, sums)| sums), ';');
        } else if line.starts_with("skipped: ") {
            self.left_out.push(line.to_owned());
        } else if line.starts_with("test ") && line.ends_with(" ... FAILED") {
            self.failures.push(line.to_owned());
        } else if is_own_sum(line) {
            // A target that counts for itself.
            self.add(line, ',');
        }
        !(line.starts_with("test ") && line.ends_with(" ... ok"))
    }

    fn add(&mut self, sums: &str, between: char) {
        for sum in sums.split(between) {
            let mut words = sum.split_whitespace();
            let (Some(Ok(n)), Some(what)) = (words.next().map(str::parse::<usize>), words.next()) else {
                continue;
            };
            match what {
                "passed" => self.passed += n,
                "failed" => self.failed += n,
                "ignored" | "skipped" => self.ignored += n,
                _ => {}
            }
        }
    }
}

/// `N passed, N failed` alone on a line, as `, N skipped` may follow.
fn is_own_sum(line: &str) -> bool {
    let mut parts = line.split(", ");
    ["passed", "failed"].iter().all(|word| {
        parts
            .next()
            .and_then(|p| p.split_once(' '))
            .is_some_and(|(n, what)| n.parse::<usize>().is_ok() && what == *word)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_of_all_kinds_are_counted_once() {
        let mut count = Count::default();
        let shown: Vec<bool> = [
            "running 3 tests",
            "test a::b ... ok",
            "test a::c ... FAILED",
            "skipped: matting against true mattes (SETPIECE_TRUTH not set)",
            "test result: FAILED. 2 passed; 1 failed; 4 ignored; 0 measured; 7 filtered out; finished in 0.01s",
            "1 passed, 0 failed",
            "21 edits passed, 3 failed",
            "test result: ok. 5 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out; finished in 1.00s",
        ]
        .iter()
        .map(|line| count.read(line))
        .collect();
        assert_eq!(shown, [true, false, true, true, true, true, true, true]);
        assert_eq!((count.passed, count.failed, count.ignored), (8, 1, 4));
        assert_eq!((count.left_out.len(), count.failures.len()), (1, 1));
    }
}
