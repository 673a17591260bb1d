//! `setpiece read`.

use super::edits::{finish, looked_at, notices};
use crate::answer::{Answer, Trouble};
use crate::bench::Bench;
use crate::shown;
use crate::typed::read::Read;
use setpiece::commands::read::{Certainty, Reading, read as add};
use setpiece::commands::{Layer, reading, seen};

pub(crate) fn read(typed: Read, bench: &mut Bench<'_>) -> Result<Answer, Trouble> {
    let folder = typed.at.folder.clone();
    let photograph = typed.photograph.clone();
    let layer = crate::typed::Layer { take: typed.layer.take.clone() };
    let said = meant(typed)?;
    if photograph.is_none() && said == Reading::default() {
        let (look, seen) = looked_at(&folder, &layer)?;
        let report = reading::report(&seen, look.folder())?;
        let mut answer = Answer::new(shown::reading(&report), &report);
        answer.asides = notices(look.notices());
        return Ok(answer);
    }
    let (budget, now) = (bench.budget().clone(), bench.now());
    let mut picture = bench.picture(&folder)?;
    let layer = Layer::named(picture.scene(), layer.take.as_deref())?;
    let done = add(&mut picture, layer, photograph.as_deref(), &said, (&budget, now))?;
    let report = reading::report(&seen(picture.scene(), layer), picture.folder())?;
    let told = finish(&mut picture, done.into_iter().collect())?;
    let mut answer = Answer::new(format!("{}{}", told.text, shown::reading(&report)), &report);
    answer.json["done"] = told.json["done"].clone();
    answer.asides = told.asides;
    Ok(answer)
}

fn meant(typed: Read) -> Result<Reading, Trouble> {
    let (view, lens, light, frame) = (typed.viewpoint, typed.lens, typed.light, typed.frame);
    let extent = frame.extent.said()?;
    Ok(Reading {
        camera_height: view.camera_height,
        pitch: view.pitch,
        roll: view.roll,
        horizon: view.horizon,
        known: view.known,
        focal: lens.focal,
        sensor_width: lens.sensor,
        certainty: if view.declared { Certainty::Declared } else { Certainty::Measured },
        f_number: lens.f_number,
        focus: lens.focus,
        aperture: lens.blades,
        depth: lens.depth,
        white_balance: light.white_balance,
        sky_level: light.sky_level,
        sky_upright: light.sky_upright,
        ground: light.ground,
        sun: light.sun.map(|s| s.0),
        haze: light.haze.map(|h| h.0),
        haze_colour: light.haze_colour,
        window: frame.window,
        mirrored: switch(frame.mirror, frame.no_mirror),
        levels: view.level,
        water: view.water.into_iter().chain(view.ripple).map(|w| (w.0, w.1)).collect(),
        extent,
    })
}

/// Two switches that exclude each other.
pub(crate) fn switch(yes: bool, no: bool) -> Option<bool> {
    if yes { Some(true) } else { no.then_some(false) }
}
