//! Quantities, ids, digests and sizes as they are written: numbers in the unit of their field, ids as numbers,
//! digests as hexadecimal digits.

use super::keyed::Key;
use super::written::{LeftOut, Written, written_enum};
use crate::{
    CutOutId, DressingId, Factor, InFrontId, LevelId, PieceId, PracticalId, SetUpId, TakeId, TreatmentId,
};
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;
use std::str::FromStr;
use units::digest::NotADigest;
use units::{
    Degrees, Digest, Kelvin, Mat3, Metres, Millimetres, Mired, Pixels, PixelsPerMetre, Primaries, PxSize,
    Stops, Vec3,
};

macro_rules! numbers {
    ($($t:ident),+) => {$(
        impl Written for $t {
            type Form = f64;
            fn write(&self) -> f64 {
                self.get()
            }
            fn read(form: f64) -> Self {
                // JSON has no way to write a number that is not finite, and readers refuse one that overflows.
                Self::new(form).expect("a number read from JSON is finite")
            }
        }
    )+};
}

numbers!(Degrees, Kelvin, Metres, Millimetres, Mired, Pixels, PixelsPerMetre, Stops);

macro_rules! ids {
    ($($t:ident),+) => {$(
        impl Written for $t {
            type Form = u64;
            fn write(&self) -> u64 {
                self.number()
            }
            fn read(form: u64) -> Self {
                Self::from_number(form)
            }
        }
    )+};
}

ids!(CutOutId, DressingId, InFrontId, LevelId, PieceId, PracticalId, SetUpId, TakeId, TreatmentId);

impl Written for usize {
    type Form = u64;
    fn write(&self) -> u64 {
        *self as u64
    }
    fn read(form: u64) -> Self {
        // Places beyond what memory can hold are beyond every list too: refused with all others that are.
        Self::try_from(form).unwrap_or(Self::MAX)
    }
}

impl Written for Mat3 {
    type Form = [[f64; 3]; 3];
    fn write(&self) -> [[f64; 3]; 3] {
        self.0
    }
    fn read(form: [[f64; 3]; 3]) -> Self {
        Self(form)
    }
}

impl Written for Vec3 {
    type Form = [f64; 3];
    fn write(&self) -> [f64; 3] {
        self.0
    }
    fn read(form: [f64; 3]) -> Self {
        Self(form)
    }
}

/// A factor; 1 where it is left out.
#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
#[schemars(inline, rename = "Factor")]
pub(super) struct FactorForm(f64);

impl Default for FactorForm {
    fn default() -> Self {
        Self(1.0)
    }
}

impl LeftOut for FactorForm {
    fn is_left_out(&self) -> bool {
        self.0.to_bits() == 1.0_f64.to_bits()
    }
}

impl Written for Factor {
    type Form = FactorForm;
    fn write(&self) -> FactorForm {
        FactorForm(self.get())
    }
    fn read(form: FactorForm) -> Self {
        Self::new(form.0).expect("a number read from JSON is finite")
    }
}

/// SHA-256 as 64 hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct DigestForm(Digest);

impl fmt::Display for DigestForm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl FromStr for DigestForm {
    type Err = NotADigest;
    fn from_str(text: &str) -> Result<Self, NotADigest> {
        text.parse().map(Self)
    }
}

impl Key for DigestForm {
    const PATTERN: &'static str = "^[0-9a-f]{64}$";
}

impl Serialize for DigestForm {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for DigestForm {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

impl JsonSchema for DigestForm {
    fn schema_name() -> Cow<'static, str> {
        "Digest".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        schemars::json_schema!({
            "description": "SHA-256 of a file's bytes (FIPS 180-4), as 64 hexadecimal digits.",
            "type": "string",
            "pattern": "^[0-9a-fA-F]{64}$",
        })
    }
}

impl Written for Digest {
    type Form = DigestForm;
    fn write(&self) -> DigestForm {
        DigestForm(*self)
    }
    fn read(form: DigestForm) -> Self {
        form.0
    }
}

/// Width and height in pixels.
#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, remote = "Self")]
pub(super) struct Sides {
    #[schemars(range(min = 1, max = 1_048_576))]
    width: u32,
    #[schemars(range(min = 1, max = 1_048_576))]
    height: u32,
}

super::object::only_as_object!(Sides);

#[derive(Clone, Copy, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "Sides", into = "Sides")]
#[schemars(rename = "Size")]
pub(super) struct SizeForm(PxSize);

impl From<SizeForm> for Sides {
    fn from(size: SizeForm) -> Self {
        Self { width: size.0.width(), height: size.0.height() }
    }
}

impl TryFrom<Sides> for SizeForm {
    type Error = String;
    fn try_from(sides: Sides) -> Result<Self, String> {
        PxSize::new(sides.width, sides.height).map(Self).ok_or_else(|| {
            format!(
                "{} x {} px is out of range; give each side 1 to {} px",
                sides.width,
                sides.height,
                PxSize::LIMIT
            )
        })
    }
}

impl Written for PxSize {
    type Form = SizeForm;
    fn write(&self) -> SizeForm {
        SizeForm(*self)
    }
    fn read(form: SizeForm) -> Self {
        form.0
    }
}

written_enum! {
    /// A set of RGB primaries.
    #[schemars(rename = "Primaries")]
    PrimariesForm = Primaries {
        /// IEC 61966-2-1.
        Srgb,
        /// SMPTE EG 432-1 with D65.
        #[serde(rename = "display_p3")]
        DisplayP3,
        /// ITU-R BT.2020.
        #[serde(rename = "rec2020")]
        Rec2020,
        /// ISO 22028-2.
        Romm,
    }
}
