//! The project's own tools: measuring, checking, generating.
#![forbid(unsafe_code)]
#![expect(clippy::print_stdout, clippy::print_stderr, reason = "its output is its purpose")]

mod error;
mod fuzz;
mod guard;
mod markdown;
mod matting;
mod photographs;
mod preview;
mod reassembly;
mod sheets;
mod sixty;
mod stage60;
mod step;
mod suite;

use error::Error;
use std::num::NonZeroUsize;
use std::process::ExitCode;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Keeps freed memory at hand: the system's own allocator gives large buffers back at once and pays for each page anew.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const USAGE: &str = "\
cargo xtask test [ARGUMENTS OF cargo test]
    runs all tests of all crates; the last line counts them
cargo xtask check
    what must hold of the repository: arrows, licences, words, sizes, generated files, heads
cargo xtask gen [--check]
    writes the generated files that are stale, or only names them
cargo xtask fuzz [--minutes N] [--target NAME] [--logs DIR] [--one-at-a-time]
    damaged files until the time is up, N minutes (1) for each target; needs a C++ compiler
cargo xtask reassembly --scenes DIR --out DIR [--plain] [--only NAME] [--no-score]
    renders every scene folder of DIR to OUT/NAME.png and measures it against the scene's truth; OUT/table.md
cargo xtask matting TRUTH --out DIR [--effort best|quick] [--only NAME,NAME]
    cuts out the pictures of TRUTH to OUT/SET-TRIMAP/NAME.png and measures the mattes against the true alpha; OUT/table.md
cargo xtask photographs DIR --out DIR [--only NAME,NAME]
    cuts the photographs of DIR out by the strokes of tests/photographs; OUT/NAME.png, OUT/sheet.png, OUT/sheet.jpg
cargo xtask sheets [FOLDER ...] [--out DIR] [--only NAME,NAME]
    cuts out shots before paper by themselves and measures them against their true mattes, laid on a dark and on a light ground as well
cargo xtask stage60 CASE.json OUT [--sources png|tif] [--threads N]
    renders a speed case to OUT.tif and OUT.jpg; the last line tells work_s
cargo xtask step CASE.json OUT [--threads N]
    times one step alone: a blur disc or a reduction to OUT.f32, or a codec; the last line tells work_s
cargo xtask stage60-picture DIR
    writes a picture folder with sixty pieces of like sizes and discs
cargo xtask preview DIR [--width 1800]
    times the preview of a picture folder: first, again, after one mark has changed, and while pieces are dragged
";

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let command = args.next().unwrap_or_default();
    let rest: Vec<String> = args.collect();
    let done = match command.as_str() {
        "test" => suite::run(&rest),
        "check" => guard::check(&rest),
        "gen" => guard::generate(&rest),
        "fuzz" => fuzz::run(&rest),
        "reassembly" => reassembly::run(&rest),
        "matting" => matting::run(&rest),
        "photographs" => photographs::run(&rest),
        "sheets" => sheets::run(&rest),
        "stage60" => stage60::run(&rest),
        "step" => step::run(&rest),
        "stage60-picture" => sixty::run(&rest),
        "preview" => preview::run(&rest),
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
    if at < args.len() { Ok(Some(args.remove(at))) } else { Err(Error::new(format!("{name} needs a value"))) }
}

/// Whether a switch is given; it is taken out of the arguments.
fn switch(args: &mut Vec<String>, name: &str) -> bool {
    let at = args.iter().position(|a| a == name);
    at.is_some_and(|at| {
        args.remove(at);
        true
    })
}

/// Does `work(i)` for each i below `count` on so many threads; the results in order, or an error.
fn share<T: Send, E: Send>(
    threads: NonZeroUsize,
    count: usize,
    work: &(dyn Fn(usize) -> Result<T, E> + Sync),
) -> Result<Vec<T>, E> {
    let next = AtomicUsize::new(0);
    let turns = || {
        let numbers = std::iter::repeat_with(|| next.fetch_add(1, Ordering::Relaxed));
        numbers.take_while(|i| *i < count).map(|i| (i, work(i))).collect::<Vec<_>>()
    };
    let mut done = std::thread::scope(|scope| {
        let others: Vec<_> = (1..threads.get().min(count)).map(|_| scope.spawn(turns)).collect();
        let mut done = turns();
        for other in others {
            done.extend(other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        }
        done
    });
    done.sort_by_key(|(i, _)| *i);
    done.into_iter().map(|(_, result)| result).collect()
}
