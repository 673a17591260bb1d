//! Commands that change a picture.

use crate::answer::{Answer, Trouble};
use crate::bench::{Bench, Held};
use crate::shown::typeable;
use crate::typed::{Lamp, Layer as TypedLayer, Light, LightWhat, New, Take, TakeWhat, Typed};
use crate::{hands, shown};
use serde_json::json;
use setpiece::commands::lamps::{self, LampSaid};
use setpiece::commands::new;
use setpiece::commands::scene::{Edit, Scene};
use setpiece::commands::units::Millimetres;
use setpiece::commands::{Done, Error, Kind, Layer, carry_out, names, takes};
use setpiece::{Notice, Picture, Timestamp};
use std::path::Path;

pub(crate) fn new(typed: &New) -> Result<Answer, Trouble> {
    let extent = new::extent(typed.extent.size, typed.extent.print, typed.extent.ppi)?;
    let wanted = new::New { extent, name: typed.name.clone(), primaries: typed.primaries.into() };
    let picture = new::new(&typed.at.folder, &wanted, hands::now())?;
    let (size, print) = (picture.scene().format().size, picture.scene().format().print);
    let printed = print.map_or_else(String::new, |p| {
        let cm = |mm: Millimetres| shown::plain(mm.get() / 10.0, 2);
        format!(", a print of {} x {} cm at {} ppi", cm(p.width), cm(p.height), shown::plain(p.ppi, 1))
    });
    let folder = typed.at.folder.display();
    let text = format!(
        "Picture {} begun in {folder}, {} x {} px{printed}\nNext: setpiece read {} PHOTOGRAPH\n",
        picture.scene().name(),
        size.width(),
        size.height(),
        typeable(&typed.at.folder)
    );
    let report = json!({
        "picture": picture.scene().name(), "folder": typed.at.folder,
        "width_px": size.width(), "height_px": size.height(),
        "print_width_mm": print.map(|p| p.width.get()), "print_height_mm": print.map(|p| p.height.get()),
        "ppi": print.map(|p| p.ppi),
    });
    Ok(Answer::new(text, &report))
}

pub(crate) fn notices(all: &[Notice]) -> Vec<String> {
    all.iter().map(|n| format!("Note: {}", n.sentence())).collect()
}

/// Opens a picture, does something to it, saves it, and tells what was done.
pub(crate) fn edit(
    bench: &mut Bench<'_>,
    folder: &Path,
    work: impl FnOnce(&mut Picture, Timestamp) -> Result<Vec<Done>, Trouble>,
) -> Result<Answer, Trouble> {
    let now = bench.now();
    let mut picture = bench.picture(folder)?;
    let done = work(&mut picture, now)?;
    finish(&mut picture, done)
}

pub(crate) fn finish(picture: &mut Held<'_>, done: Vec<Done>) -> Result<Answer, Trouble> {
    // The edit is in the journal already: what could not be saved is saved at the next opening.
    let saved = picture.save();
    let mut answer = Answer::new(shown::done(&done), &json!({ "done": done }));
    answer.asides = notices(picture.notices());
    if let Err(e) = saved {
        answer.asides.push(format!("Note: {}; nothing is lost, the edit is in the journal", e.what()));
    }
    Ok(answer)
}

/// One edit, made for the picture as its layer shows it.
pub(crate) fn one(
    bench: &mut Bench<'_>,
    folder: &Path,
    layer: &TypedLayer,
    make: impl FnOnce(&Scene) -> Result<Edit, Error>,
) -> Result<Answer, Trouble> {
    edit(bench, folder, |picture, at| {
        let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
        Ok(vec![carry_out(picture, layer, at, make)?])
    })
}

/// The picture as a layer shows it, to be looked at.
pub(crate) fn looked_at(folder: &Path, layer: &TypedLayer) -> Result<(setpiece::Look, Scene), Trouble> {
    let look = Picture::look(folder)?;
    let layer = Layer::named(look.scene(), layer.take.as_deref())?;
    let seen = setpiece::commands::seen(look.scene(), layer);
    Ok((look, seen))
}

pub(crate) fn light(typed: Light, bench: &mut Bench<'_>) -> Result<Answer, Trouble> {
    let folder = &typed.at.folder;
    match typed.what {
        LightWhat::Add { name, lamp } => {
            one(bench, folder, &typed.layer, |s| lamps::add(s, &name, &said(lamp)))
        }
        LightWhat::Change { lamp_name, lamp } => {
            one(bench, folder, &typed.layer, |s| lamps::change(s, names::lamp(s, &lamp_name)?, &said(lamp)))
        }
        LightWhat::Remove { lamp_name } => {
            one(bench, folder, &typed.layer, |s| names::lamp(s, &lamp_name).map(lamps::remove))
        }
        LightWhat::Dusk { dusk } => one(bench, folder, &typed.layer, |_| Ok(Edit::Dusk(dusk.0))),
        LightWhat::List => {
            let (_, seen) = looked_at(folder, &typed.layer)?;
            let list = lamps::list(&seen);
            Ok(Answer::new(shown::lamps(&list), &json!({ "lamps": list })))
        }
    }
}

fn said(lamp: Lamp) -> LampSaid {
    LampSaid {
        at: lamp.at,
        on: lamp.on,
        light: lamp.strength,
        radius: lamp.radius,
        reach: lamp.reach.map(Some).or(lamp.no_reach.then_some(None)),
        floor: lamp.floor,
        spill: lamp.spill,
    }
}

pub(crate) fn take(typed: Take, bench: &mut Bench<'_>) -> Result<Answer, Trouble> {
    let folder = &typed.at.folder;
    let base = TypedLayer { take: None };
    match typed.what {
        TakeWhat::Add { name, depth } => one(bench, folder, &base, |s| takes::add(s, &name, depth)),
        TakeWhat::Aside { name } => edit(bench, folder, |picture, at| {
            let taken_back = picture.taken_back()?;
            Ok(vec![carry_out(picture, Layer::Picture, at, |s| takes::aside(s, &name, taken_back))?])
        }),
        TakeWhat::Depth { name, depth } => {
            one(bench, folder, &base, |s| takes::depth(s, names::take(s, &name)?, depth))
        }
        TakeWhat::Lift { name, change } => {
            one(bench, folder, &base, |s| takes::lift(s, names::take(s, &name)?, change))
        }
        TakeWhat::Remove { name } => one(bench, folder, &base, |s| names::take(s, &name).map(takes::remove)),
        TakeWhat::Lay { name, change } => lay(bench, folder, &name, &change),
        TakeWhat::List => {
            let look = Picture::look(folder)?;
            let list = takes::list(look.scene());
            Ok(Answer::new(shown::takes(&list), &json!({ "takes": list })))
        }
    }
}

/// A change in the words of its own command, laid into a take.
fn lay(bench: &mut Bench<'_>, folder: &Path, take: &str, change: &[String]) -> Result<Answer, Trouble> {
    let Some((command, rest)) = change.split_first() else { unreachable!("the table requires a change") };
    if !Typed::IN_LAYERS.contains(&command.as_str()) {
        return Err(Trouble::new(
            Kind::Wording,
            format!("{command} cannot be laid into a take"),
            "the change",
            "begin it with place, dress, light, tone or read, as: take FOLDER lay NAME place move crane --at -1,4",
        ));
    }
    let words = ["setpiece", command].into_iter().map(std::ffi::OsString::from);
    let words = words.chain([folder.as_os_str().to_owned()]).chain(rest.iter().map(Into::into));
    let typed = match Typed::read(words) {
        Ok(typed) => typed,
        Err(e) if e.kind() == clap::error::ErrorKind::DisplayHelp => {
            return Ok(Answer::new(e.to_string(), &e.to_string()));
        }
        Err(e) => return Err(Trouble::of_words(&e)),
    };
    let layer = TypedLayer { take: Some(take.to_owned()) };
    super::run(typed.in_layer(&layer), bench)
}
