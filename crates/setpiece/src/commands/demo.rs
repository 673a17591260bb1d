//! The demo picture, put together from its parts by the edits that an artist would make.

use super::{Error, Kind};
use crate::facts::{Unclear, Written};
use crate::{NewSource, Picture, Timestamp};
use files::Limits;
use scene::{Clause, Edit, Treatment, TreatmentChange, Where};
use std::collections::BTreeMap;
use std::path::Path;
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

/// Puts the demo picture together in a new folder.
///
/// # Errors
/// Where the folder holds something, a part is missing, or the disk refuses.
pub fn demo(folder: &Path, parts: &Parts<'_>, at: Timestamp) -> Result<Picture, Error> {
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
