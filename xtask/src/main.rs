//! The project's own tools: measuring, checking, generating.
#![forbid(unsafe_code)]
#![expect(clippy::print_stdout, clippy::print_stderr, reason = "its output is its purpose")]

mod error;
mod reassembly;
mod stage60;

use error::Error;
use std::process::ExitCode;

const USAGE: &str = "\
cargo xtask reassembly --scenes DIR --out DIR [--plain] [--only NAME]
    renders every scene folder of DIR to OUT/NAME.png
cargo xtask stage60 CASE.json OUT [--sources png|tif] [--threads N]
    renders a speed case to OUT.tif and OUT.jpg; the last line tells work_s
";

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let command = args.next().unwrap_or_default();
    let rest: Vec<String> = args.collect();
    let done = match command.as_str() {
        "reassembly" => reassembly::run(&rest),
        "stage60" => stage60::run(&rest),
        _ => {
            eprint!("{USAGE}");
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("xtask {command}: {error}");
            ExitCode::FAILURE
        }
    }
}

/// The value after an option, taken out of the arguments.
fn option(args: &mut Vec<String>, name: &str) -> Result<Option<String>, Error> {
    let Some(at) = args.iter().position(|a| a == name) else { return Ok(None) };
    args.remove(at);
    if at < args.len() {
        Ok(Some(args.remove(at)))
    } else {
        Err(Error::new(format!("{name} needs a value")))
    }
}

/// Whether a switch is given; it is taken out of the arguments.
fn switch(args: &mut Vec<String>, name: &str) -> bool {
    let at = args.iter().position(|a| a == name);
    at.is_some_and(|at| {
        args.remove(at);
        true
    })
}
