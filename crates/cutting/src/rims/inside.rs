//! The colour of a thing as it is further inside, carried out to its edges by pull and push over a pyramid (see `paper`).

use crate::carried;
use pixels::{Budget, Coverage, Image, OverBudget, Rgb, Rgba};
use units::PxRect;

/// Pixels over which what is inside begins to count.
const BEGINS: f32 = 2.0;
/// Cells of the grid in the width of a band.
const CELLS: f64 = 4.0;

/// Colours on a grid.
pub(super) struct Inside {
    field: Image<Rgba>,
    place: PxRect,
    step: i64,
}

impl Inside {
    /// From what lies deeper than the band is wide. `None` where nothing does.
    pub(super) fn new(
        colour: &Image<Rgb>,
        matte: &Image<Coverage>,
        deep: &Image<Coverage>,
        width: f64,
        budget: &Budget,
    ) -> Result<Option<Self>, OverBudget> {
        let place = colour.place();
        let step = ((width / CELLS).round() as i64).max(1);
        let cells = PxRect::new(0, 0, place.width() as i64, place.height() as i64).coarser(step);
        let mut field = Image::<Rgba>::new(cells, budget)?;
        for y in place.y0()..place.y1() {
            let row = field.row_mut((y - place.y0()) / step);
            let pixels = colour.row(y).iter().zip(matte.row(y)).zip(deep.row(y));
            for (x, ((p, a), deep)) in pixels.enumerate() {
                let k = a.0 * ((deep.0 - width as f32) / BEGINS).clamp(0.0, 1.0);
                let cell = &mut row[x / step as usize].0;
                (0..3).for_each(|c| cell[c] += k * p.0[c]);
                cell[3] += k;
            }
        }
        if field.pixels().iter().all(|p| p.0[3] <= 0.0) {
            return Ok(None);
        }
        for cell in field.pixels_mut() {
            let scale = 1.0 / cell.0[3].max(1.0);
            cell.0 = cell.0.map(|v| v * scale);
        }
        Ok(Some(Self { field: carried::fill(field, budget)?, place, step }))
    }

    /// The colour at a column and row.
    pub(super) fn at(&self, x: i64, y: i64) -> Rgb {
        let [r, g, b, k] = carried::at(&self.field, x - self.place.x0(), y - self.place.y0(), self.step);
        Rgb([r, g, b].map(|v| v / k.max(f32::MIN_POSITIVE)))
    }
}
