//! Setpiece on the command line: arguments, printing, exit codes. All else is in `setpiece::commands`.
#![deny(unsafe_code)]
#![expect(clippy::print_stderr, reason = "printing is what a command line is for")]

mod answer;
mod bench;
mod exit;
mod hands;
mod run;
mod shown;
mod spoken;
mod typed;
mod words;

use answer::Trouble;
use std::io::Write as _;
use std::process::ExitCode;

/// Keeps freed memory at hand, in large pages: the system's own allocator gives large buffers back at once and pays for each page anew.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let mut words: Vec<std::ffi::OsString> = std::env::args_os().collect();
    if words.len() == 1 {
        words.push("open".into());
    }
    // Asked before the rest is understood: what is not is told in JSON as well.
    let json = words.iter().any(|w| w == "--json");
    let answer = match typed::Typed::read(words) {
        Ok(typed) => run::run(typed, &mut bench::Bench::for_a_line()),
        Err(e)
            if matches!(
                e.kind(),
                clap::error::ErrorKind::DisplayHelp | clap::error::ErrorKind::DisplayVersion
            ) =>
        {
            return say(&e.to_string(), exit::FINE);
        }
        Err(e) => Err(Trouble::of_words(&e)),
    };
    match answer {
        Ok(answer) => {
            for line in &answer.asides {
                eprintln!("{line}");
            }
            let text = if json { format!("{:#}\n", answer.json) } else { answer.text };
            say(&text, answer.exit)
        }
        Err(trouble) => {
            if json {
                eprintln!("{:#}", trouble.json());
            } else {
                eprint!("{trouble}");
            }
            ExitCode::from(trouble.exit())
        }
    }
}

/// Prints, and answers with the exit code. A reader that has gone away (as a pager does) is no trouble of ours.
fn say(text: &str, exit: u8) -> ExitCode {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => {
            eprintln!("Not said: the answer could not be printed: {e}");
            ExitCode::from(exit::FILES)
        }
        _ => ExitCode::from(exit),
    }
}
