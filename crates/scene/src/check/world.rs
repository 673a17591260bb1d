//! The format, the files, the stage and its lights.

use super::{
    BRIGHTEST, Check, FAR, KELVIN, count, distance, far, field, maybe, name, note, number, outlines, rgb,
    share, tint, turn,
};
use crate::{
    Backdrop, Dusk, Format, Glow, Level, LightColour, Practical, Print, Refused, SetUp, SkyLight, Source,
    Stage, SunLight,
};
use optics::Point;
use units::Vec3;

impl Check for Format {
    fn check(&self) -> Result<(), Refused> {
        self.print.map_or(Ok(()), |print: Print| {
            number("print.width", print.width.get(), (1.0, FAR), "mm")?;
            number("print.height", print.height.get(), (1.0, FAR), "mm")?;
            number("print.ppi", print.ppi, (1.0, 10_000.0), "pixels per inch")
        })
    }
}

impl Check for Source {
    fn check(&self) -> Result<(), Refused> {
        // A file name out of a picture file is opened later: it must not lead out of the picture's folder.
        let bare = !self.file.is_empty()
            && self.file.len() <= 255
            && !self.file.starts_with('.')
            && !self.file.contains(|c: char| c.is_control() || matches!(c, '/' | '\\' | ':'));
        if !bare {
            return Err(Refused::new(
                format!("{:?} is not a bare file name", self.file),
                "file",
                "give the file's name in its folder: no path, no dot in front, at most 255 bytes",
            ));
        }
        note("name", &self.name)?;
        note("note", &self.note)
    }
}

impl Check for Backdrop {
    fn check(&self) -> Result<(), Refused> {
        number("window.left", self.window.left.get(), (-1e7, 1e7), "px")?;
        number("window.top", self.window.top.get(), (-1e7, 1e7), "px")?;
        number("window.width", self.window.width.get(), (1.0, 1e7), "px")
    }
}

impl Check for Stage {
    fn check(&self) -> Result<(), Refused> {
        // The camera cannot exist out of range.
        number("white_balance", self.white_balance.get(), KELVIN, "K")
    }
}

impl Check for Level {
    fn check(&self) -> Result<(), Refused> {
        name("name", &self.name)?;
        far("height", self.height)?;
        outlines(&self.region)?;
        number("ripple", self.ripple.get(), (0.0, 45.0), "degrees")
    }
}

impl Check for Point {
    fn check(&self) -> Result<(), Refused> {
        far("x", self.x)?;
        far("y", self.y)?;
        far("z", self.z)
    }
}

impl Check for LightColour {
    fn check(&self) -> Result<(), Refused> {
        match *self {
            Self::Kelvin { cct, tint: t } => {
                number("kelvin.cct", cct.get(), KELVIN, "K")?;
                tint("kelvin.tint", t)
            }
            Self::Picked(colour) => rgb("picked", colour, (0.0, BRIGHTEST)),
        }
    }
}

impl Check for Glow {
    fn check(&self) -> Result<(), Refused> {
        number("strength", self.strength, (0.0, BRIGHTEST), "")?;
        field("colour", &self.colour)
    }
}

impl Check for SkyLight {
    fn check(&self) -> Result<(), Refused> {
        field("level", &self.level)?;
        field("upright", &self.upright)
    }
}

impl Check for SunLight {
    fn check(&self) -> Result<(), Refused> {
        turn("bearing", self.bearing)?;
        number("height", self.height.get(), (0.0, 90.0), "degrees")?;
        field("glow", &self.glow)?;
        number("diameter", self.diameter.get(), (0.0, 90.0), "degrees")
    }
}

impl Check for Dusk {
    fn check(&self) -> Result<(), Refused> {
        number("down", self.down.get(), (-4.0, 12.0), "stops")?;
        number("cooler", self.cooler.get(), (-200.0, 200.0), "mired")
    }
}

/// The ground's reflectance.
pub(crate) fn ground_reflectance(value: Vec3) -> Result<(), Refused> {
    rgb("ground_reflectance", value, (0.0, 1.0))
}

impl Check for Practical {
    fn check(&self) -> Result<(), Refused> {
        name("name", &self.name)?;
        field("at", &self.at)?;
        field("glow", &self.glow)?;
        number("radius", self.radius.get(), (1e-3, 100.0), "m")?;
        maybe("reach", self.reach.map(units::Metres::get), (0.01, FAR), "m")?;
        share("floor", self.floor)?;
        share("spill", self.spill)
    }
}

fn camera_of_set_up(camera: &optics::StudioCamera) -> Result<(), Refused> {
    far("eye_height", camera.eye_height)?;
    number("pitch", camera.pitch.get(), (-60.0, 60.0), "degrees")?;
    number("focal_px", camera.focal_px.get(), (1.0, 1e9), "px")?;
    for (i, at) in [camera.principal.0, camera.principal.1].iter().enumerate() {
        number(&format!("principal[{i}]"), at.get(), (-1e7, 1e7), "px")?;
    }
    Ok(())
}

impl Check for SetUp {
    fn check(&self) -> Result<(), Refused> {
        name("name", &self.name)?;
        maybe("cct", self.cct.map(units::Kelvin::get), KELVIN, "K")?;
        tint("tint", self.tint)?;
        maybe("white_balance", self.white_balance.map(units::Kelvin::get), KELVIN, "K")?;
        maybe("camera_distance", self.camera_distance.map(units::Metres::get), (0.01, FAR), "m")?;
        if let Some(camera) = &self.camera {
            camera_of_set_up(camera).map_err(|r| r.inside("camera"))?;
        }
        count("white_readings", self.white_readings.len(), 1000)?;
        for (i, reading) in self.white_readings.iter().enumerate() {
            let place = format!("white_readings[{i}]");
            distance("height", reading.height).map_err(|r| r.inside(&place))?;
            // A white that reads nothing would ask for an endless gain.
            rgb("reading", reading.reading, (1e-6, BRIGHTEST)).map_err(|r| r.inside(&place))?;
            if i > 0 && self.white_readings[i - 1].height >= reading.height {
                return Err(Refused::new(
                    "the readings are not in the order of their height",
                    format!("{place}.height"),
                    "list the lowest first, each height once",
                ));
            }
        }
        Ok(())
    }
}
