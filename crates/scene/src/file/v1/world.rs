//! The format, the files, the stage and its lights, as they are written.

use super::written::{LeftOut, Written, written_enum, written_struct};
use crate::{
    Backdrop, Dusk, Format, Glow, Level, LightColour, Lights, Origin, PieceId, Polygon, Practical, Print,
    SkyLight, Source, SourceKind, Stage, Stated, SunLight, Surface, Window,
};
use optics::{Camera, Point};
use units::{Degrees, Digest, Kelvin, Metres, Millimetres, Mired, Pixels, Primaries, PxSize, Stops, Vec3};

written_struct! {
    /// Size and shape of the artwork and the colours it is worked in.
    #[schemars(rename = "Format")]
    FormatForm = Format {
        /// In pixels. All pixel figures of pieces, regions and treatments count at this size.
        size: PxSize,
        /// The working primaries, linear light.
        primaries: Primaries,
    } else {
        /// The print it is meant for.
        print: Option<Print>,
    }
}

written_struct! {
    /// A wanted print.
    #[schemars(rename = "Print")]
    PrintForm = Print {
        /// Of the image area, in mm.
        width: Millimetres,
        /// Of the image area, in mm.
        height: Millimetres,
        /// Pixels per inch.
        ppi: f64,
    }
}

written_struct! {
    /// An original file, kept byte for byte.
    #[schemars(rename = "Source")]
    SourceForm = Source {
        /// Its bare file name in the folder it is kept in.
        file: String,
        /// What it was called where it came from.
        name: String,
        /// What it is for.
        kind: SourceKind,
        /// Its length in bytes.
        bytes: u64,
    } else {
        /// The picture in it; left out where nobody has looked inside yet.
        size: Option<PxSize>,
        /// The artist's remark.
        note: String,
    }
}

written_enum! {
    /// What a source is for.
    #[schemars(rename = "SourceKind")]
    SourceKindForm = SourceKind {
        /// The photograph everything stands in.
        Backdrop,
        /// An exposure of a sitter or prop.
        Shot,
        /// The coverage of a shot.
        Matte,
        /// Made by cutting a shot out, and kept among the cut-outs.
        Cutting,
        /// Anything else.
        Other,
    }
}

written_struct! {
    /// The photograph everything stands in.
    #[schemars(rename = "Backdrop")]
    BackdropForm = Backdrop {
        /// Which source it is.
        source: Digest,
        /// The part of it that the format shows.
        window: Window,
    } else {
        /// Left and right exchanged, before window and camera count.
        mirrored: bool,
    }
}

written_struct! {
    /// The part of the backdrop that the format shows, in backdrop pixels; its height follows from the
    /// format's shape. It may reach beyond the photograph.
    #[schemars(rename = "Window")]
    WindowForm = Window {
        /// Backdrop column at the format's left edge.
        left: Pixels,
        /// Backdrop row at the format's top edge.
        top: Pixels,
        /// Backdrop columns across the format's width.
        width: Pixels,
    }
}

written_struct! {
    /// The camera of the picture.
    #[schemars(rename = "Stage")]
    StageForm = Stage {
        /// The camera that took the whole backdrop, in its pixels; without a backdrop, a frame laid over the format.
        camera: Camera,
        /// How it is known.
        origin: Origin,
        /// What the picture is balanced for, in kelvin.
        white_balance: Kelvin,
    }
}

written_enum! {
    /// How a camera is known.
    #[schemars(rename = "Origin")]
    OriginForm = Origin {
        /// Nobody has said anything yet.
        Assumed,
        /// Read from the backdrop by sightings.
        Read,
        /// Declared by the artist.
        Declared,
        /// Measured on the spot, or written in the file.
        Given,
    }
}

written_enum! {
    /// A number of the stage that a new picture assumes until somebody states it.
    #[schemars(rename = "Stated")]
    StatedForm = Stated {
        /// Height of the camera.
        CameraHeight,
        /// Pitch and roll of the camera.
        Attitude,
        /// That they are those which show the horizon where it runs in the photograph.
        Horizon,
        /// Focal length.
        Focal,
        /// Width of the sensor.
        SensorWidth,
        /// F-number.
        FNumber,
        /// What the lens is focused at.
        Focus,
        /// Light of the sky. (A sun is there or not, and nobody assumes one.)
        Sky,
    }
}

written_struct! {
    /// A horizontal plane of the ground.
    #[schemars(rename = "Level")]
    LevelForm = Level {
        /// What the artist calls it.
        name: String,
        /// Above the ground under the camera, in metres.
        height: Metres,
        /// What it is made of.
        surface: Surface,
    } else {
        /// Where it is seen, in shares of the picture's width and height.
        region: Vec<Polygon>,
        /// How rough water is: standard deviation of its slopes, in degrees.
        ripple: Degrees,
    }
}

written_enum! {
    /// What a level does to light.
    #[schemars(rename = "Surface")]
    SurfaceForm = Surface {
        /// Takes shadows.
        Dry,
        /// Reflects instead.
        Water,
    }
}

written_struct! {
    /// Light from above, and the ground that returns some of it.
    #[schemars(rename = "Lights")]
    LightsForm = Lights {
        /// From above the horizon.
        sky: SkyLight,
        /// Mean share (0 to 1) of light that the ground returns, linear RGB.
        ground_reflectance: Vec3,
    } else {
        /// If it shines.
        sun: Option<SunLight>,
        /// How much darker and cooler the daylight is told than it was photographed.
        dusk: Option<Dusk>,
    }
}

written_struct! {
    /// The daylight taken down: sky, sun, haze and the backdrop that they lit, but no lamp.
    #[schemars(rename = "Dusk")]
    DuskForm = Dusk {
        /// By so many stops darker.
        down: Stops,
        /// By so many mired cooler, on the scale of the picture's white balance.
        cooler: Mired,
    }
}

written_struct! {
    /// An amount of light with its colour: strength times the colour's linear RGB is what a perfect white
    /// diffuser reads (irradiance/pi), in the working primaries.
    #[schemars(rename = "Glow")]
    GlowForm = Glow {
        /// Not negative.
        strength: f64,
        /// Its colour.
        colour: LightColour,
    }
}

written_enum! {
    /// The colour of a light.
    #[schemars(rename = "LightColour")]
    LightColourForm = LightColour {
        /// As a colour temperature, with luminance 1.
        Kelvin {
            /// Correlated colour temperature in kelvin.
            cct: Kelvin,
            /// Off the locus of daylight, in thousandths of CIE 1960 u, v: positive is green.
            tint: f64,
        },
        /// Linear RGB in the working primaries, as it is.
        Picked(rgb: Vec3),
    }
}

written_struct! {
    /// Light from the sky, as two cards read it.
    #[schemars(rename = "SkyLight")]
    SkyLightForm = SkyLight {
        /// On a card that lies face up.
        level: Glow,
        /// On a card that stands facing the camera.
        upright: Glow,
    }
}

written_struct! {
    /// The sun, or whatever shines like one.
    #[schemars(rename = "SunLight")]
    SunLightForm = SunLight {
        /// Where it stands, in degrees: 0 straight ahead, positive to the right.
        bearing: Degrees,
        /// Above the horizon, in degrees.
        height: Degrees,
        /// On a card square to it.
        glow: Glow,
        /// How wide it appears, in degrees.
        diameter: Degrees,
    }
}

written_struct! {
    /// A lamp in the picture.
    #[schemars(rename = "Practical")]
    PracticalForm = Practical {
        /// What the artist calls it.
        name: String,
        /// Its middle: on the stage, or from the foot of the piece it is fixed to.
        at: Point,
        /// On a card at 1 m, square to it.
        glow: Glow,
        /// Of the lamp, in metres.
        radius: Metres,
    } else {
        /// The piece it is fixed to.
        on: Option<PieceId>,
        /// Where it is one stop brighter than the inverse square, in metres; the pure law where left out.
        reach: Option<Metres>,
        /// Share (0 to 1) of its reading at 1 m below which it does not fall.
        floor: f64,
        /// Share (0 to 1) of its light that falls on the ground of the backdrop as well.
        spill: f64,
    }
}
