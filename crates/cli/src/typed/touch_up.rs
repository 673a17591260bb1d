//! What can be said of handwork on a cut-out.

use clap::{Args, Subcommand};
use setpiece::commands::quantity as q;
use setpiece::commands::units::{Degrees, Pixels};
use std::path::PathBuf;

/// Touch a cut-out up by hand: strokes, edge, shots that go out and come back
///
/// Cut-outs go by name, or by the name of a piece that shows them. The shot itself is never written to; every stroke is kept and can
/// be taken back.
#[derive(Args)]
pub(crate) struct TouchUp {
    #[command(flatten)]
    pub(crate) at: super::Folder,
    #[command(flatten)]
    pub(crate) layer: super::Layer,
    #[command(subcommand)]
    pub(crate) what: What,
}

#[derive(Subcommand)]
pub(crate) enum What {
    /// Draw strokes over its shot
    ///
    /// What says inside, outside or between cuts the shot anew; add, remove, soften, follow, close and mend are laid over the
    /// matte or the shot (docs/formats/strokes.md).
    #[command(after_help = "setpiece touch-up marsh strokes sitter sitter-strokes.json")]
    Strokes {
        /// The cut-out
        cut_out: String,
        /// A strokes file
        file: PathBuf,
        /// Cut in a fraction of the time, a little less exact
        #[arg(long)]
        quick: bool,
        /// Keep what says inside, outside or between, and cut by it with again
        #[arg(long, conflicts_with = "quick")]
        later: bool,
    },
    /// Finish its edge all over
    #[command(after_help = "\
setpiece touch-up marsh edge sitter --margin -0.5 --clear-at 4% --solid-at 97%
setpiece touch-up marsh edge sitter --calm 60% --rim 8 --cast 50%")]
    Edge {
        /// The cut-out
        cut_out: String,
        #[command(flatten)]
        edge: Edge,
    },
    /// Cut its shot anew, with the strokes it has
    Again {
        /// The cut-out
        cut_out: String,
        /// In a fraction of the time, a little less exact
        #[arg(long)]
        quick: bool,
    },
    /// List its strokes, and how its edge is finished
    List {
        /// The cut-out
        cut_out: String,
    },
    /// Tell what is doubtful of a cut-out that was found by its paper, less what strokes have settled
    Doubts {
        /// The cut-out
        cut_out: String,
    },
    /// Take a stroke away
    Drop {
        /// The cut-out
        cut_out: String,
        /// The stroke's number
        #[arg(value_parser = crate::words::place)]
        stroke: usize,
    },
    /// Take a part from another shot of the same sitting: the face of one, the hands of another
    ///
    /// The strokes say take and stay, over the cut-out's own shot. The other shot is laid over it by what stayed where it was, brought to
    /// its light, and joined along a seam on which the two differ least.
    #[command(after_help = "\
setpiece touch-up marsh join sitter --from sitter-2.tif --strokes hands.json
setpiece touch-up marsh join sitter --from sitter-3.tif --strokes hem.json --shift 2,-1 --turn 0.3")]
    Join {
        /// The cut-out
        cut_out: String,
        /// The other shot
        #[arg(long, value_name = "SHOT")]
        from: PathBuf,
        /// Its matte [default: the shot's own alpha; else it is cut out by itself]
        #[arg(long, value_name = "FILE")]
        matte: Option<PathBuf>,
        /// A strokes file: what to take, and what not
        #[arg(long, value_name = "FILE")]
        strokes: PathBuf,
        /// Lay it over the cut-out's shot as it is, not by what stayed in both
        #[arg(long)]
        by_hand: bool,
        /// Then move it, in pixels to the right and down
        #[arg(long, value_name = "X,Y", value_parser = q::spot)]
        shift: Option<(Pixels, Pixels)>,
        /// Turn it by degrees, clockwise
        #[arg(long, value_name = "DEG", value_parser = q::degrees)]
        turn: Option<Degrees>,
        /// Make it so many times as large
        #[arg(long, value_name = "N", value_parser = q::number)]
        scale: Option<f64>,
    },
    /// Hand its shot out as TIFF of 16 bits, to be worked on elsewhere
    ///
    /// It goes out as it was photographed. What was mended, or joined from other shots, stays in the picture, and is laid over the shot again
    /// when that comes back.
    #[command(after_help = "setpiece touch-up marsh out sitter sitter-16.tif")]
    Out {
        /// The cut-out
        cut_out: String,
        /// The file: .tif
        file: PathBuf,
        /// Replace a file of the same name
        #[arg(long)]
        over: bool,
    },
    /// Take a new version of its shot back; matte, facts, marks and nudges stay
    #[command(after_help = "setpiece touch-up marsh back sitter sitter-16.tif")]
    Back {
        /// The cut-out
        cut_out: String,
        /// The new version, neither cropped nor resized
        file: PathBuf,
    },
}

#[derive(Args)]
#[group(id = "finish", required = true, multiple = true)]
pub(crate) struct Edge {
    /// Move the edge outwards by pixels of the shot, inwards below 0
    #[arg(long, value_name = "PX", value_parser = q::pixels)]
    pub(crate) margin: Option<Pixels>,
    /// Coverage up to this becomes clear
    #[arg(long, value_name = "SHARE", value_parser = q::share)]
    pub(crate) clear_at: Option<f64>,
    /// Coverage from this on becomes solid
    #[arg(long, value_name = "SHARE", value_parser = q::share)]
    pub(crate) solid_at: Option<f64>,
    /// Close holes of up to so many pixels
    #[arg(long, value_name = "PX", value_parser = q::number)]
    pub(crate) holes: Option<f64>,
    /// Take this much of the paper's cast off the edge
    #[arg(long, value_name = "SHARE", value_parser = q::share)]
    pub(crate) cast: Option<f64>,
    /// Calm an over-bright rim by this much
    #[arg(long, value_name = "SHARE", value_parser = q::share)]
    pub(crate) calm: Option<f64>,
    /// Width of the rim
    #[arg(long, value_name = "PX", value_parser = q::pixels)]
    pub(crate) rim: Option<Pixels>,
}
