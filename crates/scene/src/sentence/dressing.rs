//! What is said of set dressings.

use super::anew::Told;
use super::{degrees, plain};
use crate::{Arrangement, Dressing, DressingId, Put, Scene};
use units::Metres;

pub(super) fn put(id: DressingId, put: &Put<Box<Dressing>>, scene: &Scene) -> String {
    match (put, scene.dressings.get(&id)) {
        (Put::Add(new), _) => format!("{} laid, {}", new.name, pieces(new.laid.len())),
        (Put::Replace(new), Some(old)) => changed(old, new),
        (Put::Replace(new), None) => format!("{} laid anew", new.name),
        (Put::Remove, Some(old)) => format!("{} is no longer a dressing", old.name),
        (Put::Remove, None) => format!("{id} removed"),
    }
}

fn changed(old: &Dressing, new: &Dressing) -> String {
    let spacing = |v: &Metres| format!("{} m apart", plain(v.get(), 2));
    let told = Told::new()
        .of(&old.name, &new.name, |name| format!("now called {name}"))
        .of(&old.of, &new.of, |of| format!("of {} cut-outs", of.len()))
        .of(&old.area, &new.area, |_| "on other ground".to_owned())
        .of(&old.level, &new.level, |_| "on another level".to_owned());
    let told = match (old.arrangement, new.arrangement) {
        (Arrangement::Drift { spacing: a }, Arrangement::Drift { spacing: b }) => told.of(&a, &b, spacing),
        (a, b) => told.of(&a, &b, |now| match now {
            Arrangement::Drift { spacing: now } => format!("as a drift, {}", spacing(now)),
            Arrangement::Clumps { within, .. } => format!("in clumps, {}", spacing(within)),
            Arrangement::Ranks { spacing: now, .. } => format!("in ranks, {}", spacing(now)),
        }),
    };
    let (was, now) = (old.laid.len(), new.laid.len());
    told.of(&old.number, &new.number, |number| match number {
        Some(n) => format!("{} at most", pieces(*n as usize)),
        None => "as many as find room".to_owned(),
    })
    .of(&old.thinning, &new.thinning, |_| "thinned otherwise".to_owned())
    .of(&old.ranges.height, &new.ranges.height, |(least, most)| {
        format!("{} to {} % of their height", plain(least.get() * 100.0, 0), plain(most.get() * 100.0, 0))
    })
    .of(&old.ranges.lean, &new.ranges.lean, |(a, b)| format!("leaning {} to {}", degrees(*a), degrees(*b)))
    .of(&old.ranges.turn, &new.ranges.turn, |(a, b)| format!("turned {} to {}", degrees(*a), degrees(*b)))
    .of(&old.ranges.lift, &new.ranges.lift, |_| "lifted otherwise".to_owned())
    .of(&old.facing, &new.facing, |_| "facing something else".to_owned())
    .of(&old.clear, &new.clear, |_| "leaving other places clear".to_owned())
    .of(&old.way, &new.way, |_| "laid another way".to_owned())
    .of(&was, &now, |now| pieces(*now))
    .said(&old.name)
}

fn pieces(n: usize) -> String {
    if n == 1 { "one piece".to_owned() } else { format!("{n} pieces") }
}
