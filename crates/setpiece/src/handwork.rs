//! What was done by hand to a cut-out, carried out on its pixels.

use crate::commands::strokes::Told;
use cutting::mending;
use cutting::paper::Field;
use cutting::pen::Stroke;
use cutting::rims::{self, Band};
use cutting::touch::{self, Kind, Touch, Whole};
use pixels::{Budget, Coverage, Image, OverBudget, Rgb, Rgba};
use scene::{CutOut, Finish, Says};
use units::PxRect;

/// What was done by hand to a cut-out.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Handwork {
    touches: Vec<Touch>,
    mends: Vec<Stroke>,
    whole: Whole,
    finish: Finish,
}

impl Handwork {
    pub(crate) fn of(cutout: &CutOut) -> Self {
        let told: Vec<Told> = cutout.touches().filter_map(Told::of).collect();
        let Finish { margin, levels, holes, .. } = cutout.finish;
        let (clear, solid) = levels.unwrap_or((0.0, 1.0));
        let margin = margin.get().clamp(-touch::FARTHEST, touch::FARTHEST);
        let whole = Whole::new(clear, solid, holes, margin).unwrap_or_default();
        Self { whole, finish: cutout.finish, ..Self::by_strokes(&told) }
    }

    /// What strokes alone do.
    pub(crate) fn by_strokes(told: &[Told]) -> Self {
        let mut hand = Self::default();
        for Told { says, stroke, strength } in told {
            let kind = match says {
                Says::Inside | Says::Outside | Says::Between | Says::Take | Says::Stay => continue,
                Says::Mend => {
                    hand.mends.push(stroke.clone());
                    continue;
                }
                Says::Add => Kind::Add,
                Says::Remove => Kind::Remove,
                Says::Soften(radius) => Kind::Soften(radius.get().min(touch::SOFTEST)),
                Says::Follow => Kind::Follow,
                Says::Close => Kind::Fill(f64::INFINITY),
            };
            hand.touches.extend(Touch::new(kind, stroke.clone(), *strength));
        }
        hand
    }

    /// Whether touching the matte up takes a look at the shot.
    pub(crate) fn looks_at_shot(&self) -> bool {
        self.touches.iter().any(Touch::looks_at_picture)
    }

    /// Fills what is to be mended, in linear light: one stroke after the other, so that a later one sees what an earlier one did.
    pub(crate) fn mend(&self, picture: &mut Image<Rgb>, budget: &Budget) -> Result<(), OverBudget> {
        for stroke in &self.mends {
            let patch = mending::mended(picture, std::slice::from_ref(stroke), budget)?;
            lay(&patch, picture);
        }
        Ok(())
    }

    /// What mending changes of a shot that is only seen through windows: parts of it, later ones over earlier ones.
    pub(crate) fn mended<E: From<OverBudget>>(
        &self,
        shot: PxRect,
        window: &dyn Fn(PxRect) -> Result<Image<Rgb>, E>,
        budget: &Budget,
    ) -> Result<Vec<Image<Rgb>>, E> {
        let mut patches: Vec<Image<Rgb>> = Vec::new();
        for stroke in &self.mends {
            let strokes = std::slice::from_ref(stroke);
            let needed = mending::needed(strokes, shot);
            if needed.is_empty() {
                continue;
            }
            let mut seen = window(needed)?;
            patches.iter().for_each(|patch| lay(patch, &mut seen));
            patches.push(mending::mended(&seen, strokes, budget)?);
        }
        Ok(patches)
    }

    /// The same without its edge moved outwards, where it is: what lies beyond the edge is not the thing's.
    pub(crate) fn within_edge(&self) -> Option<Self> {
        let of = |w: &Whole| Whole::new(w.clear_at(), w.solid_at(), w.holes(), 0.0);
        (self.whole.margin() > 0.0)
            .then(|| Self { whole: of(&self.whole).unwrap_or_default(), ..self.clone() })
    }

    /// Whether the colour of its rim is worked on.
    pub(crate) fn works_on_rim(&self) -> bool {
        self.finish.cast > 0.0 || self.finish.calm > 0.0
    }

    /// Takes the paper's cast off the rim and calms it; colour premultiplied. `paper` is the paper's light at a place of the shot; there is no
    /// cast of what is none.
    pub(crate) fn finished(
        &self,
        cut: Image<Rgba>,
        paper: Option<&Field>,
        budget: &Budget,
    ) -> Result<Image<Rgba>, OverBudget> {
        let place = cut.place();
        let covers = Image::from_fn(place, budget, |x, y| Coverage(cut.at(x, y).0[3]))?;
        let mut own = Image::from_fn(place, budget, |x, y| {
            let Rgba([r, g, b, a]) = cut.at(x, y);
            Rgb([r, g, b].map(|v| if a > 0.0 { v / a } else { 0.0 }))
        })?;
        let width = self.finish.rim.unwrap_or(Finish::RIM).get().clamp(rims::WIDTHS.0, rims::WIDTHS.1);
        if let (Some(paper), Some(band)) = (paper, Band::new(width, self.finish.cast)) {
            own = rims::without_cast(&own, &covers, |x, y| paper.at(x, y), band, budget)?;
        }
        if let Some(band) = Band::new(width, self.finish.calm) {
            own = rims::calmed(&own, &covers, band, budget)?;
        }
        Image::from_fn(place, budget, |x, y| {
            let (Rgb([r, g, b]), a) = (own.at(x, y), covers.at(x, y).0);
            Rgba([r * a, g * a, b * a, a])
        })
    }

    /// The matte, touched up. `picture` is the shot in linear light; all of it, where [`Handwork::looks_at_shot`].
    pub(crate) fn touched(
        &self,
        matte: Image<Coverage>,
        picture: &Image<Rgb>,
        budget: &Budget,
    ) -> Result<Image<Coverage>, OverBudget> {
        if self.touches.is_empty() && self.whole == Whole::default() {
            return Ok(matte);
        }
        touch::touched(&matte, picture, &self.touches, &self.whole, budget)
    }
}

/// Lays a part of a picture over it.
pub(crate) fn lay(patch: &Image<Rgb>, picture: &mut Image<Rgb>) {
    let both = patch.place().intersect(picture.place());
    let from = (both.x0() - picture.place().x0()) as usize;
    let of = (both.x0() - patch.place().x0()) as usize;
    for y in both.y0()..both.y1() {
        picture.row_mut(y)[from..from + both.width()].copy_from_slice(&patch.row(y)[of..of + both.width()]);
    }
}
