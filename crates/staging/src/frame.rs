//! The camera of the picture: the stage's camera, carried from the backdrop's pixels to the format's (docs/model.md,
//! *Coordinates*).

use optics::{Camera, OutOfRange, Viewpoint};
use scene::Scene;
use units::{Mat3, Millimetres, Pixels, PxSize};

/// Picture pixels to a backdrop pixel, and the backdrop's place under them.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Frame {
    /// The camera, in picture pixels.
    pub camera: Camera,
    /// From picture pixels to the pixels of the backdrop's file.
    pub to_backdrop: Mat3,
}

/// The frame of a picture whose backdrop has this size.
///
/// # Errors
/// Where the window makes a camera that is none.
pub fn frame(scene: &Scene, backdrop: Option<PxSize>) -> Result<Frame, OutOfRange> {
    let size = scene.format().size;
    let from = scene.stage().camera.viewpoint();
    let (left, top, width) = match (scene.backdrop(), backdrop) {
        (Some(b), Some(_)) => (b.window.left.get(), b.window.top.get(), b.window.width.get()),
        _ => (0.0, 0.0, f64::from(from.size.width())),
    };
    let scale = f64::from(size.width()) / width;
    let (cu, cv) = scene.stage().camera.principal();
    let camera = Camera::new(Viewpoint {
        size,
        sensor_width: Millimetres::new(from.sensor_width.get() * width / f64::from(from.size.width()))
            .unwrap_or(from.sensor_width),
        principal: Pixels::new((cu - left) * scale).zip(Pixels::new((cv - top) * scale)),
        ..*from
    })?;
    let mut to_backdrop = Mat3::translation(left, top) * Mat3::scaling(1.0 / scale, 1.0 / scale);
    if let (Some(b), Some(photograph)) = (scene.backdrop(), backdrop)
        && b.mirrored
    {
        to_backdrop =
            Mat3::translation(f64::from(photograph.width()), 0.0) * Mat3::scaling(-1.0, 1.0) * to_backdrop;
    }
    Ok(Frame { camera, to_backdrop })
}
