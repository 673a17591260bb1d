//! One target's time: the engine is started again after each finding until the time is up.

use super::{Places, Target, words_of};
use crate::error::Error;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use units::Digest;

/// What is told of a target.
pub(super) struct Story {
    pub(super) text: String,
    pub(super) findings: usize,
}

/// More of them mostly are the same defect again.
const MOST_FINDINGS: usize = 5;

/// Seconds after which an input hangs. Sound inputs of this length take milliseconds.
const HANGS: u32 = 30;

/// Whole process, in MB; the target itself holds the readers to far less.
const MEMORY: u32 = 1024;

pub(super) fn target(target: &Target, places: &Places, time: Duration) -> Result<Story, Error> {
    let begun = Instant::now();
    let known = places.work.join("corpus").join(target.name);
    let caught = places.work.join("caught").join(target.name);
    let kept = places.root.join("fuzz/findings").join(target.name);
    let seeds = [places.root.join("fuzz/seeds"), places.work.join("seeds")].map(|s| s.join(target.name));
    // Of what an earlier run caught nothing may be taken for this one's.
    let _ = std::fs::remove_dir_all(&caught);
    for folder in [&known, &caught, &kept] {
        std::fs::create_dir_all(folder)?;
    }
    let mut text = format!("fuzzing {}, {:.0} s\n", target.name, time.as_secs_f64());
    let mut findings = 0;
    while let Some(left) = time.checked_sub(begun.elapsed()).filter(|left| left.as_secs() > 0) {
        let out = Command::new(places.programs.join(target.program))
            .arg(&known)
            .args(seeds.iter().chain([&kept]).filter(|s| s.is_dir()))
            .arg(format!("-max_total_time={}", left.as_secs()))
            .arg(format!("-max_len={}", target.longest))
            .arg(format!("-timeout={HANGS}"))
            .arg(format!("-rss_limit_mb={MEMORY}"))
            .arg(format!("-dict={}", words_of(target, &places.work).display()))
            .arg(format!("-artifact_prefix={}/", caught.display()))
            .args(["-reload=0", "-print_final_stats=1"])
            .stdin(Stdio::null())
            .output()?;
        let said = String::from_utf8_lossy(&out.stderr);
        text.push_str(&story(&said));
        if out.status.success() {
            break;
        }
        let Some(input) = newest(&caught)? else {
            let end = said.lines().last().unwrap_or_default();
            return Err(Error::new(format!(
                "{}: the engine stopped, with nothing to show: {end}",
                target.name
            )));
        };
        findings += 1;
        let kind = input.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let kind = kind.split('-').next().unwrap_or_default().to_owned();
        let small = smaller(target, places, &input)?;
        let bytes = std::fs::read(&small)?;
        let name: String = Digest::of(&bytes).to_string().chars().take(16).collect();
        std::fs::write(kept.join(&name), &bytes)?;
        writeln!(text, "{kind}: kept as fuzz/findings/{}/{name}, {} bytes", target.name, bytes.len()).ok();
        std::fs::remove_file(&input)?;
        if findings == MOST_FINDINGS {
            text.push_str("stopped: as many findings as are looked for in one run\n");
            break;
        }
    }
    Ok(Story { text, findings })
}

/// The engine's figures: every line would be too many, so the first and last of each kind, and every finding.
fn story(said: &str) -> String {
    let told = |l: &&str| l.contains("finding:") || l.contains("SUMMARY:") || l.starts_with("stat::");
    let runs: Vec<&str> = said.lines().filter(|l| l.starts_with('#')).collect();
    let ends = [runs.iter().find(|l| l.contains("INITED")), runs.iter().rfind(|l| l.contains("cov:"))];
    let mut text = String::new();
    for line in ends.into_iter().flatten().copied().chain(said.lines().filter(told)) {
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// The same finding in fewer bytes, where that is found quickly; else the input itself.
fn smaller(target: &Target, places: &Places, input: &Path) -> Result<PathBuf, Error> {
    let small = input.with_extension("small");
    Command::new(places.programs.join(target.program))
        .arg(input)
        .args(["-minimize_crash=1", "-max_total_time=30"])
        .arg(format!("-timeout={HANGS}"))
        .arg(format!("-exact_artifact_path={}", small.display()))
        .stdin(Stdio::null())
        .output()?;
    Ok(if small.is_file() { small } else { input.to_path_buf() })
}

/// What was caught last; inputs that were merely slow are not counted.
fn newest(folder: &Path) -> Result<Option<PathBuf>, Error> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if ["crash-", "timeout-", "oom-", "leak-"].iter().any(|kind| name.starts_with(kind))
            && !name.contains('.')
        {
            files.push((entry.metadata()?.modified()?, entry.path()));
        }
    }
    Ok(files.into_iter().max().map(|(_, path)| path))
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_story_keeps_figures_and_findings_and_no_path() {
        let said = "INFO: Seed: 1\n#17\tINITED cov: 5 ft: 6\n#20\tNEW    cov: 6\nfinding: too much\n\
                    #30\tDONE   cov: 7\nstat::number_of_executed_units: 30\nTest unit written to /a/b\n";
        let story = super::story(said);
        assert_eq!(
            story,
            "#17\tINITED cov: 5 ft: 6\n#30\tDONE   cov: 7\nfinding: too much\nstat::number_of_executed_units: 30\n"
        );
    }
}
