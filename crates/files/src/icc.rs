//! Colour profiles (ICC.1:2022): read through a colour management library, recognised where they are one of the
//! standards, and made for the files that are written.
//!
//! A profile of matrix and curves is used exactly, in `f64` tables and one matrix, never through an interpolated
//! cube. Only profiles that consist of tables go through the library.

mod build;
mod curve;

pub(crate) use build::{grey_profile, rgb_profile};
pub(crate) use curve::Curve;

use crate::error::Error;
use moxcms::{
    BarycentricWeightScale, ColorProfile, DataColorSpace, InterpolationMethod, Layout, ProfileText,
    RenderingIntent, TransformOptions,
};
use pixels::encode::{Transfer, bradford};
use std::fmt;
use std::sync::Arc;
use units::primaries::xyz_of_xy;
use units::{Mat3, Primaries, Vec3};

/// The white of the profile connection space as ICC.1 prints it (7.2.16).
pub(crate) const PCS_WHITE: Vec3 = Vec3([0.9642, 1.0, 0.8249]);

/// A colour profile.
#[derive(Clone)]
pub struct Profile {
    bytes: Arc<[u8]>,
    description: String,
    kind: Kind,
    known: Option<(Primaries, Transfer)>,
}

/// How a profile describes its colours.
#[derive(Clone)]
pub(crate) enum Kind {
    /// Curves, then a matrix to XYZ relative to the connection space's white.
    Matrix { to_pcs: Mat3, curves: Box<[Curve; 3]> },
    /// A curve to luminance.
    Grey(Curve),
    /// Tables: 16-bit codes of `samples` channels to 16-bit ROMM codes.
    Table { samples: usize, transform: Arc<moxcms::Transform16BitExecutor> },
}

impl fmt::Debug for Profile {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Profile({:?}, {} bytes)", self.description, self.bytes.len())
    }
}

impl Profile {
    /// From its bytes.
    ///
    /// # Errors
    /// Where they are no profile, or one for something else than pictures.
    pub fn read(bytes: &[u8]) -> Result<Self, Error> {
        let place = "its colour profile";
        let options = moxcms::ParsingOptions { max_profile_size: 32 << 20, ..Default::default() };
        let parsed = ColorProfile::new_from_slice_with_options(bytes, options)
            .map_err(|e| Error::damaged(format!("the colour profile cannot be read: {e}"), place))?;
        let kind = kind(&parsed, place)?;
        let known = known(&kind);
        Ok(Self { bytes: bytes.into(), description: description(&parsed), kind, known })
    }

    /// The profile as it stands in the file.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// What it calls itself.
    #[must_use]
    pub fn description(&self) -> &str {
        &self.description
    }

    /// The standard's space that it describes, if it is one.
    #[must_use]
    pub const fn known(&self) -> Option<(Primaries, Transfer)> {
        self.known
    }

    pub(crate) const fn kind(&self) -> &Kind {
        &self.kind
    }

    /// Colour samples (without alpha) a pixel of the pictures it is for.
    pub(crate) const fn samples(&self) -> usize {
        match &self.kind {
            Kind::Matrix { .. } => 3,
            Kind::Grey(_) => 1,
            Kind::Table { samples, .. } => *samples,
        }
    }
}

fn kind(p: &ColorProfile, place: &str) -> Result<Kind, Error> {
    let has_table = [&p.lut_a_to_b_perceptual, &p.lut_a_to_b_colorimetric, &p.lut_a_to_b_saturation]
        .iter()
        .any(|table| table.is_some());
    if !has_table {
        let curve = |c: &Option<moxcms::ToneReprCurve>| c.as_ref().and_then(Curve::of);
        if p.color_space == DataColorSpace::Rgb
            && let (Some(r), Some(g), Some(b)) = (curve(&p.red_trc), curve(&p.green_trc), curve(&p.blue_trc))
        {
            let column = |c: &moxcms::Xyzd| Vec3::new(c.x, c.y, c.z);
            let to_pcs =
                Mat3::columns(column(&p.red_colorant), column(&p.green_colorant), column(&p.blue_colorant));
            if to_pcs.0.iter().flatten().all(|v| v.is_finite()) && to_pcs.inverse().is_some() {
                return Ok(Kind::Matrix { to_pcs, curves: Box::new([r, g, b]) });
            }
            return Err(Error::damaged("the primaries of the colour profile span no colours", place));
        }
        if p.color_space == DataColorSpace::Gray
            && let Some(curve) = curve(&p.gray_trc)
        {
            return Ok(Kind::Grey(curve));
        }
    }
    let (samples, layout) = match p.color_space {
        DataColorSpace::Rgb => (3, Layout::Rgb),
        DataColorSpace::Gray => (1, Layout::Gray),
        DataColorSpace::Cmyk => (4, Layout::Rgba),
        other => {
            return Err(Error::unsupported(format!("a colour profile for {other:?} samples"), place));
        }
    };
    let options = TransformOptions {
        rendering_intent: RenderingIntent::RelativeColorimetric,
        allow_use_cicp_transfer: false,
        prefer_fixed_point: false,
        interpolation_method: InterpolationMethod::Tetrahedral,
        barycentric_weight_scale: BarycentricWeightScale::High,
    };
    let romm = ColorProfile::new_from_slice(&rgb_profile(Primaries::Romm, Transfer::Romm))
        .map_err(|e| Error::damaged(format!("the colour library refuses our own profile: {e}"), place))?;
    let transform = p
        .create_transform_16bit(layout, &romm, Layout::Rgb, options)
        .map_err(|e| Error::unsupported(format!("the colour profile cannot be used: {e}"), place))?;
    Ok(Kind::Table { samples, transform })
}

fn description(p: &ColorProfile) -> String {
    let text = match &p.description {
        Some(ProfileText::PlainString(s)) => s.clone(),
        Some(ProfileText::Localizable(texts)) => {
            let english = texts.iter().find(|t| t.language.eq_ignore_ascii_case("en"));
            english.or(texts.first()).map(|t| t.value.clone()).unwrap_or_default()
        }
        Some(ProfileText::Description(d)) if !d.ascii_string.is_empty() => d.ascii_string.clone(),
        Some(ProfileText::Description(d)) => d.unicode_string.clone(),
        None => String::new(),
    };
    let text: String = text.chars().filter(|c| !c.is_control()).take(200).collect();
    if text.trim().is_empty() { "a profile without a name".to_owned() } else { text.trim().to_owned() }
}

/// Linear RGB in a standard's primaries to XYZ relative to the connection space's white.
pub(crate) fn to_pcs(primaries: Primaries) -> Mat3 {
    bradford(xyz_of_xy(primaries.white()), PCS_WHITE) * primaries.to_xyz()
}

/// The space of a standard that a profile is equal to, within what its fixed-point numbers can tell.
fn known(kind: &Kind) -> Option<(Primaries, Transfer)> {
    let Kind::Matrix { to_pcs: theirs, curves } = kind else { return None };
    let primaries = Primaries::ALL.into_iter().find(|&p| {
        let ours = to_pcs(p);
        ours.0.iter().flatten().zip(theirs.0.iter().flatten()).all(|(a, b)| (a - b).abs() < 3e-4)
    })?;
    let transfer = curves[0].known()?;
    curves.iter().all(|c| c.known() == Some(transfer)).then_some((primaries, transfer))
}
