//! What can be said of a backdrop.

use clap::Args;
use setpiece::commands::optics::{Aperture, Focus};
use setpiece::commands::quantity as q;
use setpiece::commands::scene::{Factor, Glow, Window};
use setpiece::commands::units::{Degrees, Kelvin, Metres, Millimetres, Vec3};
use std::path::PathBuf;

/// Add the backdrop, or say what is known of its viewpoint, lens and light
///
/// With nothing said, tells what is known, and what is missing before pieces can stand.
#[derive(Args)]
#[command(after_help = "\
setpiece read marsh marsh.tif --camera-height 1.35 --horizon 1520
setpiece read marsh --focal 50 --sensor 36 --f-number 2.8 --focus 5.4
setpiece read marsh --print 50x50cm --ppi 300
setpiece read marsh --sky-level 0.5@8500K --sky-upright 0.25@8500K --sun -40,12,2@4800K --haze 320m")]
pub(crate) struct Read {
    #[command(flatten)]
    pub(crate) at: super::Folder,
    /// The photograph to stand everything in; it is copied byte for byte
    #[arg(value_name = "PHOTOGRAPH")]
    pub(crate) photograph: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) layer: super::Layer,
    #[command(flatten)]
    pub(crate) viewpoint: Viewpoint,
    #[command(flatten)]
    pub(crate) lens: Lens,
    #[command(flatten)]
    pub(crate) light: Light,
    #[command(flatten)]
    pub(crate) frame: Frame,
}

#[derive(Args)]
#[command(next_help_heading = "Viewpoint")]
pub(crate) struct Viewpoint {
    /// Height of the camera above the ground, as 1.35m
    #[arg(long, value_name = "LENGTH", value_parser = q::distance)]
    pub(crate) camera_height: Option<Metres>,
    /// Pitch in degrees, positive looks down
    #[arg(long, value_name = "DEG", value_parser = q::degrees)]
    pub(crate) pitch: Option<Degrees>,
    /// Roll in degrees, positive is clockwise seen from behind
    #[arg(long, value_name = "DEG", value_parser = q::degrees)]
    pub(crate) roll: Option<Degrees>,
    /// Where the horizon runs in the photograph: its row, or two points of it; gives pitch and roll
    #[arg(long, value_name = "V|U,V,U,V", value_parser = crate::words::horizon, conflicts_with_all = ["pitch", "roll"])]
    pub(crate) horizon: Option<setpiece::commands::read::Horizon>,
    /// Foot and top of something upright in the photograph, and its height; gives the camera's
    #[arg(long, value_name = "U,V,U,V,LENGTH", value_parser = crate::words::known, conflicts_with = "camera_height")]
    pub(crate) known: Option<(setpiece::commands::optics::sightings::Upright, Metres)>,
    /// The viewpoint is agreed upon, not measured
    #[arg(long)]
    pub(crate) declared: bool,
    /// A level of the ground, as bank=0.4 or pool=-0.2,water
    #[arg(long, value_name = "NAME=HEIGHT", value_parser = crate::words::level)]
    pub(crate) level: Vec<setpiece::commands::scene::Level>,
    /// A region of the picture in which a level of water is seen: its name, and corners in pixels; or everywhere
    #[arg(long, value_name = "'NAME X,Y X,Y ...'", value_parser = crate::words::water)]
    pub(crate) water: Vec<crate::words::Water>,
    /// How rough water is: standard deviation of its slopes, as pool=2
    #[arg(long, value_name = "NAME=DEG", value_parser = crate::words::ripple)]
    pub(crate) ripple: Vec<crate::words::Water>,
}

#[derive(Args)]
#[command(next_help_heading = "Lens")]
pub(crate) struct Lens {
    /// Focal length in millimetres
    #[arg(long, value_name = "MM", value_parser = q::millimetres)]
    pub(crate) focal: Option<Millimetres>,
    /// Width of the sensor in millimetres
    #[arg(long, value_name = "MM", value_parser = q::millimetres)]
    pub(crate) sensor: Option<Millimetres>,
    /// F-number
    #[arg(long, value_name = "N", value_parser = q::number)]
    pub(crate) f_number: Option<f64>,
    /// Distance focused at, or inf
    #[arg(long, value_name = "LENGTH", value_parser = q::focus)]
    pub(crate) focus: Option<Focus>,
    /// Blades of the aperture, their turn and roundness; or disc
    #[arg(long, value_name = "N[,DEG[,0..1]]", value_parser = q::aperture)]
    pub(crate) blades: Option<Aperture>,
    /// What every blur disc is multiplied by, as x1.5
    #[arg(long, value_name = "FACTOR", value_parser = q::factor)]
    pub(crate) depth: Option<Factor>,
}

#[derive(Args)]
#[command(next_help_heading = "Light")]
pub(crate) struct Light {
    /// What the photograph is balanced for
    #[arg(long, value_name = "K", value_parser = q::kelvin)]
    pub(crate) white_balance: Option<Kelvin>,
    /// What a level card reads of the sky: -1EV@8500K, 0.5@8500K or r,g,b
    #[arg(long, value_name = "LIGHT", value_parser = q::glow)]
    pub(crate) sky_level: Option<Glow>,
    /// What an upright card that faces the camera reads of the sky
    #[arg(long, value_name = "LIGHT", value_parser = q::glow)]
    pub(crate) sky_upright: Option<Glow>,
    /// Share of light that the ground returns
    #[arg(long, value_name = "R,G,B", value_parser = q::rgb)]
    pub(crate) ground: Option<Vec3>,
    /// Bearing (0 is straight ahead, right positive), height and light of the sun; or none
    #[arg(long, value_name = "DEG,DEG,LIGHT", value_parser = crate::words::sun)]
    pub(crate) sun: Option<crate::words::Sun>,
    /// Visibility, as 320m; or none
    #[arg(long, value_name = "LENGTH", value_parser = crate::words::haze)]
    pub(crate) haze: Option<crate::words::Haze>,
    /// Colour of the farthest distance
    #[arg(long, value_name = "R,G,B", value_parser = q::rgb)]
    pub(crate) haze_colour: Option<Vec3>,
}

#[derive(Args)]
#[command(next_help_heading = "Frame")]
pub(crate) struct Frame {
    /// The part of the photograph that the picture shows, in its pixels; beyond it, it goes on as its mirror image
    #[arg(long, value_name = "LEFT,TOP,WIDTH", value_parser = q::window)]
    pub(crate) window: Option<Window>,
    /// Exchange left and right; camera, window and sun with it, pieces stay on their marks
    #[arg(long, conflicts_with = "no_mirror")]
    pub(crate) mirror: bool,
    /// As it was taken
    #[arg(long)]
    pub(crate) no_mirror: bool,
    /// Another size and shape of the picture; pieces stay on their marks.
    #[command(flatten)]
    pub(crate) extent: super::Extent,
}
