//! What a white card would have read in a set-up, from the paper or a grey card that a shot shows.

use super::measure::parts;
use super::{Error, cutouts};
use crate::Folder;
use cutting::paper::Field;
use files::Photograph;
use pixels::{Budget, Rgb};
use scene::{CutOutId, Scene, Stance, WhiteReading};
use staging::in_shot::{self, SeenInShot};
use staging::measured::Measured;
use units::{Metres, Pixels, Vec3};

/// Share of light that plain white paper returns (common practice for studio rolls, no source).
const PAPER: f64 = 0.85;
/// Of a photographer's grey card.
const GREY_CARD: f64 = 0.18;
/// Half the side of a patch that is read, in pixels.
const PATCH: i64 = 7;

/// Where white is read.
#[derive(Clone, PartialEq, Debug)]
pub enum White {
    /// On the white paper beside a cut-out, at its foot and at its top.
    Paper(String),
    /// On a grey card in a cut-out's shot, at this column and row.
    GreyCard(String, (Pixels, Pixels)),
}

/// What a perfect white reads, by height above the foot. The paper stands for it where it is seen beside the thing: what lies behind it
/// may be lit otherwise, and the artist says so.
///
/// # Errors
/// Where there is no such cut-out, it cannot be read, or there is nothing to read.
pub fn read(
    scene: &Scene,
    folder: &Folder,
    white: &White,
    measured: &Measured,
    budget: &Budget,
) -> Result<Vec<WhiteReading>, Error> {
    let (White::Paper(text) | White::GreyCard(text, _)) = white;
    let id = cutouts::named(scene, text)?;
    let cutout = &scene.cutouts()[&id];
    let nothing = |what: &str, remedy: &str| Error::refused(what, cutout.name.clone(), remedy);
    let seen = measured.cuts.get(&id).and_then(|cut| in_shot::seen(scene, cutout, cut, Stance::Upright));
    let seen =
        seen.ok_or_else(|| nothing("its foot lies above its top, or it cannot be read", "set its foot"))?;
    let files = parts(scene, folder);
    let shot = files.read(cutout.shot, budget)?;
    let working = scene.format().primaries;
    match white {
        White::GreyCard(_, (u, v)) => {
            let light = patch(&shot, (u.get(), v.get()), working).ok_or_else(|| {
                nothing("the card lies outside the shot", "give its column and row in the shot")
            })?;
            Ok(vec![reading(height_of(&seen, v.get()), light, GREY_CARD)])
        }
        White::Paper(_) => {
            let cover = covers(scene, folder, id, budget)?;
            let linear = shot.linear(working);
            let rows = |y: usize, out: &mut [Rgb]| linear.rgb(0, y as u32, out);
            if cover.pixels().iter().all(|a| a.0 > 0.0) {
                return Err(nothing(
                    "there is no paper to be seen beside it",
                    "read a grey card, or type what white reads",
                ));
            }
            let field = Field::of(&rows, &cover, budget)?;
            let (u, foot) = seen.foot;
            let top = measured.cuts[&id].solid.y0() as f64;
            let at = |row: f64| {
                let (x, y) = (u as i64, (row as i64).clamp(0, i64::from(shot.size().height()) - 1));
                reading(height_of(&seen, row), field.at(x, y).0.map(f64::from), PAPER)
            };
            Ok(vec![at(foot), at(top)])
        }
    }
}

fn covers(
    scene: &Scene,
    folder: &Folder,
    id: CutOutId,
    budget: &Budget,
) -> Result<pixels::Image<pixels::Coverage>, Error> {
    let cutout = &scene.cutouts()[&id];
    let files = parts(scene, folder);
    match cutout.matte {
        Some(matte) => Ok(files.read(matte, budget)?.to_coverage(budget)?),
        None => Ok(files.read(cutout.shot, budget)?.to_coverage(budget)?),
    }
}

fn height_of(seen: &SeenInShot, row: f64) -> f64 {
    ((seen.foot.1 - row) / seen.per_metre).max(0.0)
}

fn reading(height: f64, light: [f64; 3], returned: f64) -> WhiteReading {
    let height = Metres::new(height).unwrap_or(Metres::ZERO);
    WhiteReading { height, reading: Vec3(light.map(|v| (v / returned).max(1e-6))) }
}

/// Mean light of a patch of a shot; `None` where the shot does not hold it.
fn patch(shot: &Photograph, (u, v): (f64, f64), working: units::Primaries) -> Option<[f64; 3]> {
    let frame = shot.size().rect();
    let (x, y) = (u.floor() as i64, v.floor() as i64);
    if !frame.contains(x, y) {
        return None;
    }
    let place = units::PxRect::new(x - PATCH, y - PATCH, x + PATCH + 1, y + PATCH + 1).intersect(frame);
    let linear = shot.linear(working);
    let mut line = vec![Rgb::default(); place.width()];
    let mut sum = [0.0; 3];
    for row in place.y0()..place.y1() {
        linear.rgb(place.x0() as u32, row as u32, &mut line);
        line.iter().for_each(|p| (0..3).for_each(|c| sum[c] += f64::from(p.0[c])));
    }
    Some(sum.map(|s| s / place.area() as f64))
}
