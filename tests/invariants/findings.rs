//! What fuzzing found, and the seeds it starts from, through the same readers: no panic, no hang, no memory past what a
//! reader is allowed. One test: the allocator counts for the whole process.
#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

use peak_alloc::PeakAlloc;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// As in fuzz/src/judge.rs.
const MOST: usize = (64 + 16) << 20;

/// No assertion about speed: an input takes milliseconds, and one that hangs would never end.
const HANGS: Duration = Duration::from_secs(300);

#[test]
fn findings_and_seeds_do_no_harm() {
    let fuzz = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fuzz");
    let page = std::fs::read_to_string(fuzz.join("findings/README.md")).unwrap();
    let mut harm = Vec::new();
    let mut counts = BTreeMap::<&str, usize>::new();
    for kind in ["findings", "seeds"] {
        for (target, file) in inputs(&fuzz.join(kind)) {
            let name = file.file_name().unwrap().to_string_lossy().into_owned();
            *counts.entry(kind).or_default() += 1;
            if kind == "findings" && !page.contains(&format!("| {target} | {name} |")) {
                harm.push(format!("{target}/{name} has no row in fuzz/findings/README.md"));
            }
            if let Err(trouble) = replay(&target, std::fs::read(&file).unwrap()) {
                harm.push(format!("{kind}/{target}/{name}: {trouble}"));
            }
        }
    }
    println!("replayed: {counts:?}");
    assert!(harm.is_empty(), "{}", harm.join("\n"));
    assert!(counts["seeds"] > 10, "the seeds are gone: {counts:?}");
}

/// Target and file.
fn inputs(folder: &Path) -> Vec<(String, PathBuf)> {
    let mut all = Vec::new();
    for target in std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).filter(|p| p.is_dir()) {
        let name = target.file_name().unwrap().to_string_lossy().into_owned();
        all.extend(std::fs::read_dir(&target).unwrap().map(|e| (name.clone(), e.unwrap().path())));
    }
    all.sort();
    all
}

fn replay(target: &str, bytes: Vec<u8>) -> Result<(), String> {
    let run: fn(&[u8]) = match target {
        "scene" => scene::fuzz_one,
        "jpeg" | "png" | "tiff" | "webp" | "exr" => files::fuzz_one,
        other => return Err(format!("there is no target {other}")),
    };
    let before = MEMORY.current_usage();
    MEMORY.reset_peak_usage();
    let (done, wait) = channel();
    // In a thread of its own, with a stack as a program's first thread has.
    let worker = std::thread::Builder::new().stack_size(8 << 20).spawn(move || {
        run(&bytes);
        done.send(()).ok();
    });
    let worker = worker.unwrap();
    if wait.recv_timeout(HANGS) == Err(RecvTimeoutError::Timeout) {
        return Err("it hangs".to_owned());
    }
    worker.join().map_err(|_| "it panics; the message is above".to_owned())?;
    let took = MEMORY.peak_usage().saturating_sub(before);
    if took > MOST { Err(format!("{took} bytes of memory, {MOST} allowed")) } else { Ok(()) }
}
