//! What is worth knowing and may well be meant: of a piece, that nothing, or next to nothing, of it is seen; of the backdrop, that
//! the picture shows more than there is of it; of the lens, that it is none.

use crate::layout::Drawn;
use crate::snag::Snag;
use crate::standing::Standing;
use scene::{CutOutKind, Scene, figure};
use units::{PxRect, PxSize, math};

/// Fewer picture pixels than these show no shape. Own choice.
const SHAPELESS: f64 = 4.0;

/// What is remarkable about a piece; `solid` is the part of its shot that covers.
pub(crate) fn of_piece(
    scene: &Scene,
    stands: &Standing,
    drawn: &Drawn,
    solid: PxRect,
    kind: CutOutKind,
) -> Option<Snag> {
    let remark = |what: String, remedy: &str| Snag {
        what,
        place: scene.called(stands.id),
        piece: Some(stands.id),
        remedy: remedy.to_owned(),
    };
    if is_outside(drawn, solid, scene.format().size) {
        return Some(remark(
            "is not seen: it stands outside the picture".to_owned(),
            "move its mark, or keep it in the wings",
        ));
    }
    let height = stands.height.get() * stands.size.result;
    // Sparks may well be as small as that.
    (kind == CutOutKind::Solid && height < SHAPELESS).then(|| {
        let px = if height < 1.0 { "less than 1".to_owned() } else { figure(height.round()) };
        remark(
            format!("is {px} px high: too small to be made out"),
            "move it nearer, or check its real height",
        )
    })
}

/// By how much the part of a photograph of this size that the picture shows reaches beyond the photograph.
#[must_use]
pub fn window_beyond(scene: &Scene, photograph: PxSize) -> Option<Snag> {
    /// Less is not seen: the edge's own pixels reach as far.
    const SEEN: f64 = 0.5;
    let (window, shown) = (scene.backdrop()?.window, scene.format().size);
    let (left, top, width) = (window.left.get(), window.top.get(), window.width.get());
    let height = width * f64::from(shown.height()) / f64::from(shown.width());
    let sides = [
        ("on the left", -left),
        ("at the top", -top),
        ("on the right", left + width - f64::from(photograph.width())),
        ("at the bottom", top + height - f64::from(photograph.height())),
    ];
    let beyond: Vec<String> = sides
        .into_iter()
        .filter(|(_, by)| *by > SEEN)
        .map(|(side, by)| format!("by {} px {side}", figure(by.round())))
        .collect();
    (!beyond.is_empty()).then(|| Snag {
        what: format!(
            "the picture shows more than the photograph holds, {}: there the photograph goes on as its mirror image",
            beyond.join(", ")
        ),
        place: "backdrop".to_owned(),
        piece: None,
        remedy: "look at the seam; where it is seen, choose a window inside the photograph".to_owned(),
    })
}

/// A lens that draws more at once, side to side, than those made to draw straight lines straight.
#[must_use]
pub fn widest(scene: &Scene) -> Option<Snag> {
    /// A little more than 9 mm before 36 mm. Common practice, no source.
    const WIDEST: f64 = 130.0;
    let view = scene.stage().camera.viewpoint();
    let seen = 2.0 * math::atan(view.sensor_width / view.focal / 2.0).to_degrees();
    (seen > WIDEST).then(|| Snag {
        what: format!(
            "sees {}° from side to side, with {} mm before a sensor of {} mm: more than a lens that draws straight lines straight",
            figure(seen.round()),
            figure(view.focal.get()),
            figure(view.sensor_width.get())
        ),
        place: "the camera".to_owned(),
        piece: None,
        remedy: "check the focal length and the sensor's width".to_owned(),
    })
}

/// Whether all that can be seen of a piece, its defocus included, lies beside the picture.
fn is_outside(drawn: &Drawn, solid: PxRect, picture: PxSize) -> bool {
    let Some(to_picture) = drawn.to_shot.inverse() else { return false };
    let corners = [
        (solid.x0(), solid.y0()),
        (solid.x1(), solid.y0()),
        (solid.x0(), solid.y1()),
        (solid.x1(), solid.y1()),
    ];
    let places: Option<Vec<_>> =
        corners.iter().map(|(x, y)| to_picture.project(*x as f64, *y as f64)).collect();
    // A corner behind the lens: it reaches anywhere.
    let Some(places) = places else { return false };
    let blur = drawn.disc / 2.0;
    let (w, h) = (f64::from(picture.width()), f64::from(picture.height()));
    let all = |beside: &dyn Fn(f64, f64) -> bool| places.iter().all(|(u, v)| beside(*u, *v));
    all(&|u, _| u + blur <= 0.0)
        || all(&|u, _| u - blur >= w)
        || all(&|_, v| v + blur <= 0.0)
        || all(&|_, v| v - blur >= h)
}
