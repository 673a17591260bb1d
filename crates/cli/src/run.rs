//! What was typed, as what it means: each command is one call of `setpiece::commands`.

mod cut;
mod dress;
mod edges;
mod edits;
mod open;
mod output;
mod place;
mod read;
mod rights;
mod tone;
mod touch_up;

use crate::answer::{Answer, Has, Trouble};
use crate::bench::Bench;
use crate::typed::{Command, Help, Typed};
use crate::{exit, shown};
use setpiece::Picture;
use setpiece::commands::{Kind, check, history};

pub(crate) fn run(typed: Typed, bench: &mut Bench<'_>) -> Result<Answer, Trouble> {
    let has = if matches!(typed.command, Command::Render(_) | Command::Cut(_) | Command::Edges(_)) {
        Has::Memory
    } else {
        Has::NoMemory
    };
    carry_out(typed, bench).map_err(|trouble| trouble.told_by(has))
}

fn carry_out(typed: Typed, bench: &mut Bench<'_>) -> Result<Answer, Trouble> {
    match typed.command {
        Command::New(new) => edits::new(&new),
        Command::Read(said) => read::read(*said, bench),
        Command::Cut(wanted) => cut::cut(wanted),
        Command::Place(place) => place::place(place, bench),
        Command::Dress(dress) => dress::dress(dress, bench),
        Command::TouchUp(said) => touch_up::touch_up(*said, bench),
        Command::Light(light) => edits::light(light, bench),
        Command::Tone(said) => tone::tone(said, bench),
        Command::Take(take) => edits::take(take, bench),
        Command::Rights(said) => rights::rights(said, bench),
        Command::Open(wanted) => open::open(&wanted),
        Command::Render(wanted) => output::render(wanted),
        Command::Edges(wanted) => edges::edges(wanted),
        Command::Demo(demo) => output::demo(&demo),
        Command::Check(at) => {
            let look = Picture::look(&at.folder)?;
            let found = check::check(&look, bench.budget())?;
            let mut answer = Answer::new(shown::checked(&found), &found);
            if !found.snags.is_empty() {
                answer.exit = exit::SNAGS;
            }
            Ok(answer)
        }
        Command::Undo(turn) => edits::edit(bench, &turn.at.folder, |picture, at| {
            Ok(history::undo(picture, turn.times as usize, at)?)
        }),
        Command::Redo(turn) => edits::edit(bench, &turn.at.folder, |picture, at| {
            Ok(history::redo(picture, turn.times as usize, at)?)
        }),
        Command::Log(log) => {
            let look = Picture::look(&log.at.folder)?;
            let mut lines = history::log(look.log());
            if let Some(last) = log.last {
                lines.drain(..lines.len().saturating_sub(last));
            }
            let mut answer = Answer::new(shown::log(&lines), &lines);
            answer.asides = edits::notices(look.notices());
            Ok(answer)
        }
        Command::Help(help) => explain(&help),
        Command::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(shell, &mut Typed::table(), "setpiece", &mut script);
            let script = String::from_utf8_lossy(&script).into_owned();
            Ok(Answer::new(script.clone(), &script))
        }
        Command::Man { folder } => {
            clap_mangen::generate_to(Typed::table(), &folder).map_err(|e| {
                let place = folder.display().to_string();
                Trouble::new(
                    Kind::Files,
                    format!("the manual pages were not written: {e}"),
                    place,
                    "name a folder that exists and may be written to",
                )
            })?;
            Ok(Answer::new(format!("Manual pages in {}\n", folder.display()), &folder))
        }
    }
}

fn explain(help: &Help) -> Result<Answer, Trouble> {
    if help.topic == ["exit-codes"] {
        return Ok(Answer::new(exit::TABLE, &exit::TABLE));
    }
    let mut command = Typed::table();
    command.build();
    for word in &help.topic {
        let names: Vec<String> = command.get_subcommands().map(|c| c.get_name().to_owned()).collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let Some(found) = command.find_subcommand(word).cloned() else {
            let near = setpiece::commands::names::nearest(word, &names);
            let remedy = near.map_or_else(
                || format!("choose from {}", names.join(", ")),
                |n| format!("did you mean {n}?"),
            );
            return Err(Trouble::new(Kind::Wording, format!("there is no command {word}"), "help", remedy));
        };
        command = found;
    }
    let text = command.render_long_help().to_string();
    Ok(Answer::new(text.clone(), &text))
}
