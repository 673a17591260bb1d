//! What can be said of treatments.

use clap::{Args, Subcommand};
use setpiece::commands::quantity as q;
use setpiece::commands::scene::{PulledStep, Warmth};
use setpiece::commands::units::{Pixels, Stops, Vec3};
use std::path::PathBuf;

/// The treatments, for help.
macro_rules! treatments {
    () => {
        concat!(
            "Treatments:\n",
            "  at the lens   veil, halation, edge-fall-off\n",
            "  on the film   exposure, balance, grain\n",
            "  in the print  characteristic-curve, saturation, split-toning, flashing, edge-burn, sharpness"
        )
    };
}

/// The treatments over the whole picture
///
/// In the order of the light's way. At the lens: veil, halation, edge-fall-off. On the film: exposure, balance, grain. In the
/// print: characteristic-curve, saturation, split-toning, flashing, edge-burn, sharpness.
#[derive(Args)]
pub(crate) struct Tone {
    #[command(flatten)]
    pub(crate) at: super::Folder,
    #[command(flatten)]
    pub(crate) layer: super::Layer,
    #[command(subcommand)]
    pub(crate) what: What,
}

#[derive(Subcommand)]
pub(crate) enum What {
    /// Add a treatment, after the others of its step
    #[command(after_help = concat!(treatments!(), "\n\n\
setpiece tone marsh add edge-burn --stops 0.7 --tint 0.8,0.9,1 --not-on-subject
setpiece tone marsh add exposure --stops +0.5 --within 4m:lantern
setpiece tone marsh add grain --amount 0.05 --strength 80%"))]
    Add {
        /// What it does; the treatments are listed below
        treatment: String,
        #[command(flatten)]
        told: Box<Told>,
    },
    /// Change a treatment
    Change {
        /// Which: what it does, or its number as '#7'
        treatment: String,
        #[command(flatten)]
        told: Box<Told>,
        /// It works everywhere again, as far as its dodging card goes
        #[arg(long)]
        everywhere: bool,
    },
    /// Paint on a treatment's dodging card: from the first stroke on it works there alone
    #[command(
        after_help = "A strokes file (docs/formats/strokes.md) drawn over the picture: add paints, remove rubs off, by its\n\
strength. Fixed to a piece, what is painted goes with it.\n\n\
setpiece tone marsh paint exposure face.json --on sitter
setpiece tone marsh paint exposure --clear"
    )]
    Paint {
        /// Which: what it does, or its number as '#7'
        treatment: String,
        /// What is painted
        #[arg(required_unless_present = "clear", conflicts_with = "clear")]
        file: Option<PathBuf>,
        /// The piece that the card is fixed to [default: the picture]
        #[arg(long, value_name = "PIECE", conflicts_with = "clear")]
        on: Option<String>,
        /// Take the card away
        #[arg(long)]
        clear: bool,
    },
    /// Move a treatment among those of its step
    Move {
        /// Which
        treatment: String,
        /// Its new place, from 1
        #[arg(value_parser = crate::words::place)]
        place: usize,
    },
    /// Take a treatment away
    Remove {
        /// Which
        treatment: String,
    },
    /// The toning card
    List,
}

#[derive(Args)]
pub(crate) struct Told {
    /// How much of it
    #[arg(long, value_name = "SHARE", value_parser = q::share)]
    pub(crate) strength: Option<f64>,
    /// Edge fall-off, exposure, edge burn
    #[arg(long, value_name = "STOPS", value_parser = q::stops)]
    pub(crate) stops: Option<Stops>,
    /// Veil, halation, grain, sharpness
    #[arg(long, value_name = "N", value_parser = q::number)]
    pub(crate) amount: Option<f64>,
    /// Halation, sharpness
    #[arg(long, value_name = "PX", value_parser = q::pixels)]
    pub(crate) radius: Option<Pixels>,
    /// Veil, flashing
    #[arg(long, value_name = "R,G,B", value_parser = q::rgb)]
    pub(crate) colour: Option<Vec3>,
    /// Edge burn: multiplies the edge
    #[arg(long, value_name = "R,G,B", value_parser = q::rgb)]
    pub(crate) tint: Option<Vec3>,
    /// Edge burn: where it begins, 0 middle to 1 corner
    #[arg(long, value_name = "N", value_parser = q::number)]
    pub(crate) start: Option<f64>,
    /// Edge burn: where it is full
    #[arg(long, value_name = "N", value_parser = q::number)]
    pub(crate) end: Option<f64>,
    /// Balance: mired, with tint as +20/-3
    #[arg(long, value_name = "MIRED", value_parser = q::warmth)]
    pub(crate) warmth: Option<Warmth>,
    /// Grain: diameter
    #[arg(long, value_name = "PX", value_parser = q::pixels)]
    pub(crate) size: Option<Pixels>,
    /// Grain: which
    #[arg(long, value_name = "N", value_parser = crate::words::seed)]
    pub(crate) seed: Option<u64>,
    /// Characteristic curve: where the toe begins, stops below mid-grey
    #[arg(long, value_name = "STOPS", value_parser = q::stops)]
    pub(crate) toe: Option<Stops>,
    /// Characteristic curve: slope of the straight line
    #[arg(long, value_name = "N", value_parser = q::number)]
    pub(crate) slope: Option<f64>,
    /// Characteristic curve: where the shoulder begins, stops above mid-grey
    #[arg(long, value_name = "STOPS", value_parser = q::stops)]
    pub(crate) shoulder: Option<Stops>,
    /// Characteristic curve: a step pulled lighter or darker, as -2=+0.3
    #[arg(long, value_name = "STEP=STOPS", value_parser = crate::words::pull)]
    pub(crate) pull: Vec<PulledStep>,
    /// Saturation, as 0.9
    #[arg(long, value_name = "N", value_parser = q::number)]
    pub(crate) factor: Option<f64>,
    /// Split toning: into the shadows
    #[arg(long, value_name = "R,G,B", value_parser = q::rgb)]
    pub(crate) shadow: Option<Vec3>,
    /// Split toning: into the lights
    #[arg(long, value_name = "R,G,B", value_parser = q::rgb)]
    pub(crate) highlight: Option<Vec3>,
    #[command(flatten)]
    pub(crate) places: Where,
}

#[derive(Args)]
#[command(next_help_heading = "Where (all that is said must hold)")]
pub(crate) struct Where {
    /// On these pieces
    #[arg(long, value_name = "PIECE", num_args = 1..)]
    pub(crate) on: Vec<String>,
    /// Not on these pieces
    #[arg(long, value_name = "PIECE", num_args = 1..)]
    pub(crate) not_on: Vec<String>,
    /// On the subject
    #[arg(long, conflicts_with = "not_on_subject")]
    pub(crate) on_subject: bool,
    /// Not on the subject
    #[arg(long)]
    pub(crate) not_on_subject: bool,
    /// Within a distance of a piece, lamp or place, as 4m:lantern; SOFT: the length over which it ends
    #[arg(long, value_name = "LENGTH:WHAT[:SOFT]")]
    pub(crate) within: Vec<String>,
    /// Farther than that
    #[arg(long, value_name = "LENGTH:WHAT[:SOFT]")]
    pub(crate) beyond: Vec<String>,
    /// Farther from the camera than this; SOFT: the length over which it begins
    #[arg(long, value_name = "LENGTH[:SOFT]")]
    pub(crate) behind: Option<String>,
    /// Nearer to the camera than this
    #[arg(long, value_name = "LENGTH[:SOFT]")]
    pub(crate) before: Option<String>,
    /// Between tones, in stops from mid-grey, as ..-2; SOFT in stops
    #[arg(long, value_name = "FROM..TO[:SOFT]", allow_hyphen_values = true)]
    pub(crate) tones: Option<String>,
    /// In a range of hue: middle and width in degrees, as 120:60; SOFT in degrees
    #[arg(long, value_name = "DEG:DEG[:SOFT]")]
    pub(crate) hues: Option<String>,
    /// From none at one place to full at another, as shares of the picture
    #[arg(long, value_name = "X,Y:X,Y", allow_hyphen_values = true)]
    pub(crate) gradient: Option<String>,
}
