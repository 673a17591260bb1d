//! The demo picture, put together from its parts by the edits that an artist would make.

use super::{Error, Kind, making};
use crate::facts::{Unclear, Written};
use crate::{NewSource, Picture, Timestamp};
use cutting::matting::Effort;
use files::Limits;
use pixels::Budget;
use rayon::prelude::*;
use scene::{Clause, Edit, SourceKind, Treatment, TreatmentChange, Where};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use units::{Mired, Pixels, Primaries, Stops, Vec3};

/// The parts: name (with `/`) and content of each file; `facts.json` among them says what they are.
pub struct Parts<'a>(pub &'a [(&'a str, &'a [u8])]);

impl Parts<'_> {
    fn file(&self, name: &str) -> Result<&[u8], Error> {
        let found = self.0.iter().find(|(n, _)| *n == name).map(|(_, bytes)| *bytes);
        found.ok_or_else(|| wrong(format!("the demo's part {name} is missing"), name))
    }
}

fn wrong(what: impl Into<String>, place: &str) -> Error {
    Error::new(Kind::Files, what, place, "build the program again with all of the demo's parts")
}

/// Puts the demo picture together in a new folder: its shots are cut out from their paper. `progress` is told the share that is done.
///
/// # Errors
/// Where the folder holds something, a part is missing, or the disk refuses.
pub fn demo(
    folder: &Path,
    parts: &Parts<'_>,
    at: Timestamp,
    progress: &(dyn Fn(f64) + Sync),
) -> Result<Picture, Error> {
    let unclear = |e: Unclear| wrong(format!("the facts cannot be used: {e}"), "facts.json");
    let text = String::from_utf8_lossy(parts.file("facts.json")?);
    let written = Written::read(&text).map_err(unclear)?;
    let format = written.format(Primaries::Rec2020).map_err(unclear)?;
    let mut demo = Demo { picture: Picture::create(folder, format, "Lantern marsh", at)?, at };
    let mut digests = BTreeMap::new();
    for (name, kind) in written.files() {
        let bytes = parts.file(&name)?;
        let size = Some(files::probe(bytes, &Limits::default())?.size);
        let new = NewSource { name: name.clone(), kind, size, note: String::new() };
        digests.insert(name, demo.picture.add_source(bytes, new, at)?);
    }
    let mattes = written.mattes();
    let done = AtomicUsize::new(0);
    let cut = |(matte, shot): (&String, &String)| {
        let budget = Budget::of_bytes(1_000_000_000);
        let read = files::decode(parts.file(shot)?, &Limits::default(), &budget)?;
        let size = read.size();
        let (cut, _) = making::by_itself(read, Path::new(shot), Effort::Quick, &budget)?;
        progress((done.fetch_add(1, Ordering::Relaxed) + 1) as f64 / mattes.len() as f64);
        Ok((matte.clone(), size, making::file(&cut, size)?))
    };
    let made: Vec<_> = mattes.par_iter().map(cut).collect::<Result<_, Error>>()?;
    for (name, size, bytes) in made {
        let new = NewSource {
            name: name.clone(),
            kind: SourceKind::Cutting,
            size: Some(size),
            note: "cut out from its paper".to_owned(),
        };
        digests.insert(name, demo.picture.add_source(&*bytes, new, at)?);
    }
    let mut fresh = demo.picture.scene().fresh();
    for edit in written.staged(&mut fresh, &digests, format.primaries).map_err(unclear)?.edits {
        demo.edit(edit)?;
    }
    demo.toning()?;
    demo.picture.save()?;
    Ok(demo.picture)
}

struct Demo {
    picture: Picture,
    at: Timestamp,
}

impl Demo {
    fn edit(&mut self, edit: Edit) -> Result<(), Error> {
        self.picture.edit(edit, self.at)?;
        Ok(())
    }

    /// A print as one would make it of a dusk (trade practice, no source): a little more light, a firm curve, burned edges, a
    /// glow round the lantern, grain.
    fn toning(&mut self) -> Result<(), Error> {
        let kinds = [
            (scene::Kind::Halation { amount: 0.05, radius: Pixels::of(60.0) }, 1.0, Where::EVERYWHERE),
            (scene::Kind::Exposure(Stops::of(0.35)), 1.0, Where::EVERYWHERE),
            (
                scene::Kind::Balance { warmth: Mired::of(-5.0), tint: 0.0 },
                1.0,
                Where(vec![Clause::NotOnSubject]),
            ),
            (scene::Kind::Grain { amount: 0.022, size: Pixels::of(1.8), seed: 7 }, 1.0, Where::EVERYWHERE),
            (
                scene::Kind::CharacteristicCurve {
                    toe: Stops::of(3.0),
                    slope: 1.22,
                    shoulder: Stops::of(0.9),
                    pulled: Vec::new(),
                },
                1.0,
                Where::EVERYWHERE,
            ),
            (
                scene::Kind::EdgeBurn {
                    stops: Stops::of(0.9),
                    tint: Vec3::new(0.88, 0.96, 1.12),
                    start: 0.35,
                    end: 1.0,
                },
                1.0,
                Where(vec![Clause::NotOnSubject]),
            ),
        ];
        for (kind, strength, where_) in kinds {
            let id = self.picture.scene().fresh().treatment();
            let step = kind.step();
            let at = self.picture.scene().toning().iter().filter(|t| t.kind.step() == step).count();
            let treatment = Box::new(Treatment { id, kind, strength, where_ });
            self.edit(Edit::Treatment { id, change: TreatmentChange::Add { at, treatment } })?;
        }
        Ok(())
    }
}
