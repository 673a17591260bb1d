//! Fuzzing: damaged files until the time is up. What breaks something is made small and kept in fuzz/findings, where the
//! ordinary tests replay it from then on.
//!
//! The targets are a workspace of their own (fuzz/), compiled so that the engine sees which ways through the code an input
//! takes; that needs a C++ compiler, but no other Rust than the usual one.

mod run;
mod words;

use crate::error::Error;
use crate::{option, switch};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Mutex;
use std::time::Duration;

/// What is fuzzed: a name, the program that runs it, and the longest input.
pub(super) struct Target {
    pub(super) name: &'static str,
    program: &'static str,
    longest: usize,
}

const TARGETS: [Target; 6] = [
    Target { name: "scene", program: "fuzz-scene", longest: 16 << 10 },
    Target { name: "jpeg", program: "fuzz-files", longest: 8 << 10 },
    Target { name: "png", program: "fuzz-files", longest: 8 << 10 },
    Target { name: "tiff", program: "fuzz-files", longest: 8 << 10 },
    Target { name: "webp", program: "fuzz-files", longest: 8 << 10 },
    Target { name: "exr", program: "fuzz-files", longest: 8 << 10 },
];

/// Where things lie.
pub(super) struct Places {
    /// The repository.
    root: PathBuf,
    /// Programs, inputs and stories; may be deleted at any time.
    work: PathBuf,
    programs: PathBuf,
}

impl Places {
    fn find() -> Result<Self, Error> {
        let root = xtask::root();
        let work = std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root.join("target"), PathBuf::from);
        let work = root.join(work).join("fuzz");
        let programs = work.join(host()?).join("release");
        Ok(Self { root, work, programs })
    }
}

pub(crate) fn run(args: &[String]) -> Result<(), Error> {
    let mut args = args.to_vec();
    let minutes = option(&mut args, "--minutes")?.map_or(Ok(1.0), |m| {
        m.parse::<f64>().ok().filter(|m| *m > 0.0 && *m < 1e4).ok_or_else(|| {
            Error::new(format!("--minutes {m}: give the minutes for each target, more than 0"))
        })
    })?;
    let only = option(&mut args, "--target")?;
    let logs = option(&mut args, "--logs")?.map(PathBuf::from);
    let alone = switch(&mut args, "--one-at-a-time");
    if let Some(other) = args.first() {
        return Err(Error::new(format!("{other}: not known here")));
    }
    let chosen: Vec<&Target> =
        TARGETS.iter().filter(|t| only.as_deref().is_none_or(|o| o == t.name)).collect();
    if chosen.is_empty() {
        let names = TARGETS.map(|t| t.name).join(", ");
        return Err(Error::new(format!("--target {}: there are {names}", only.unwrap_or_default())));
    }
    let places = Places::find()?;
    build(&places)?;
    let workers = if alone { 1 } else { std::thread::available_parallelism().map_or(1, usize::from) };
    let time = Duration::from_secs_f64(minutes * 60.0);
    let left = Mutex::new(chosen.into_iter());
    let done = Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        for _ in 0..workers {
            scope.spawn(|| {
                loop {
                    let next = left.lock().expect("no worker panics with the list in hand").next();
                    let Some(target) = next else { break };
                    let story = run::target(target, &places, time);
                    done.lock().expect("no worker panics with the list in hand").push((target.name, story));
                }
            });
        }
    });
    let mut found = 0;
    for (name, story) in done.into_inner().expect("all workers are through") {
        let story = story?;
        println!("{}", story.text);
        found += story.findings;
        if let Some(folder) = &logs {
            std::fs::create_dir_all(folder)?;
            std::fs::write(folder.join(format!("{name}.txt")), &story.text)?;
        }
    }
    match found {
        0 => Ok(()),
        n => Err(Error::new(format!(
            "{n} findings, kept in fuzz/findings: mend the defect, and name it in fuzz/findings/README.md"
        ))),
    }
}

/// Builds the targets and lays the seeds.
fn build(places: &Places) -> Result<(), Error> {
    let compiler = std::env::var("CXX").unwrap_or_else(|_| "c++".to_owned());
    let there = Command::new(&compiler).arg("--version").output().is_ok_and(|o| o.status.success());
    if !there {
        return Err(Error::new(format!(
            "no C++ compiler ({compiler}), which the fuzzing engine is built with: install one, or name it in CXX"
        )));
    }
    // The compiler's own pass for counting the ways an input takes; `--target` keeps it out of build scripts.
    let flags = [
        "-Cpasses=sancov-module",
        "-Cllvm-args=-sanitizer-coverage-level=4",
        "-Cllvm-args=-sanitizer-coverage-inline-8bit-counters",
        "-Cllvm-args=-sanitizer-coverage-pc-table",
        "-Cllvm-args=-sanitizer-coverage-trace-compares",
    ];
    let built = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
        .args(["build", "--quiet", "--release", "--locked", "--bins", "--target", &host()?])
        .current_dir(places.root.join("fuzz"))
        .env("CARGO_TARGET_DIR", &places.work)
        .env("RUSTFLAGS", flags.join(" "))
        .status()?;
    if !built.success() {
        return Err(Error::new("the fuzzing targets do not build"));
    }
    let seeds = places.work.join("seeds");
    for program in ["fuzz-files", "fuzz-scene"] {
        let laid = Command::new(places.programs.join(program)).env("FUZZ_SEEDS", &seeds).output()?;
        if !laid.status.success() {
            return Err(Error::new(format!("{program} lays no seeds")));
        }
    }
    std::fs::write(places.work.join("scene.dict"), words::of_schema(&scene::file::schema()))?;
    std::fs::copy(places.root.join("fuzz/words/files.dict"), places.work.join("files.dict"))?;
    Ok(())
}

/// The machine this is built on, in the compiler's words.
fn host() -> Result<String, Error> {
    let told = Command::new("rustc").arg("-vV").output()?;
    let told = String::from_utf8_lossy(&told.stdout).into_owned();
    let line = told.lines().find_map(|l| l.strip_prefix("host: "));
    line.map(str::to_owned).ok_or_else(|| Error::new("rustc -vV does not name its host"))
}

/// The words an input may be changed with.
fn words_of(target: &Target, work: &Path) -> PathBuf {
    work.join(if target.name == "scene" { "scene.dict" } else { "files.dict" })
}
