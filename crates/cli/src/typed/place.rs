//! What can be said of pieces.

use clap::{Args, Subcommand, ValueEnum};
use setpiece::commands::quantity as q;
use setpiece::commands::rows;
use setpiece::commands::scene::{self, WhiteReading};
use setpiece::commands::units::{Degrees, Kelvin, Metres, Pixels, PixelsPerMetre};
use std::path::PathBuf;

/// Stand pieces on their marks, move them, nudge their rows
///
/// Pieces go by name, or by number as '#7'; where several are meant, reed* and all do as well.
#[derive(Args)]
pub(crate) struct Place {
    #[command(flatten)]
    pub(crate) at: super::Folder,
    #[command(flatten)]
    pub(crate) layer: super::Layer,
    #[command(subcommand)]
    pub(crate) what: What,
}

#[derive(Subcommand)]
pub(crate) enum What {
    /// Stand a new piece
    ///
    /// Without --at it stands on the axis, as far away as the lens is focused at; attached to another piece, at that one's foot.
    #[command(after_help = "\
setpiece place marsh add sitter --shot sitter.tif --matte sitter.png --at 0.7,7.2 --height 1.7m
setpiece place marsh add reed-2 --cut-out reed --at -1.4,3 --mirror
setpiece place marsh add sparks --shot sparks.jpg --additive --at 0,6.5 --lift 1.2")]
    Add(Box<Add>),
    /// Add a view of a prop, without standing a piece
    #[command(
        after_help = "setpiece place marsh view --shot crane-45.tif --matte crane-45.png --prop crane --bearing 45 --height 0.5m"
    )]
    View(Box<View>),
    /// Move pieces
    #[command(
        after_help = "setpiece place marsh move crane --at -1.2,4.5\nsetpiece place marsh move crane --by 0,-1.2 --lift 0.8"
    )]
    Move {
        /// Which pieces
        piece: String,
        #[command(flatten)]
        mark: Mark,
        /// Metres to the right and away from where it is (or right, up, away)
        #[arg(long, value_name = "X,Z", value_parser = crate::words::by)]
        by: Option<(Metres, Metres, Metres)>,
    },
    /// Nudge rows of the mark card: d h s f e w a v k, or their names
    ///
    /// A nudge is counted from what the mark gives, and takes the place of the row's earlier one. Distances move: d=-3 comes three metres
    /// nearer, d=4.5 stands at 4.5 m.
    #[command(after_help = "\
d distance, h height, s size, f defocus, e light, w warmth, a haze, v view, k shadow.
setpiece place marsh nudge crane size=+6% light=+0.3 warmth=-20
setpiece place marsh nudge 'reed*' f=x1.2 e=-1/3
setpiece place marsh nudge crane d=4.5 h=0.6 v=lantern")]
    Nudge {
        /// Which pieces
        piece: String,
        /// What is said, as size=+6%
        #[arg(required = true, value_name = "ROW=CHANGE")]
        said: Vec<rows::Said>,
    },
    /// Hold rows fixed: at a value, or as they are now
    ///
    /// Values are in the units of the mark card: the height in pixels for size (or 420px/m), pixels for defocus, EV for light,
    /// kelvin for warmth, shares for haze and shadow. A nudge waits until the row is released.
    #[command(
        after_help = "setpiece place marsh pin crane size=420 defocus\nsetpiece place marsh pin crane light=-1.5 warmth=5000K haze=20%"
    )]
    Pin {
        /// Which piece
        piece: String,
        /// The row, or row=value
        #[arg(required = true, value_name = "ROW[=VALUE]")]
        rows: Vec<rows::Pin>,
    },
    /// Let rows follow from the mark again; nudges stay
    Release {
        /// Which pieces
        piece: String,
        /// Which rows [default: all]
        #[arg(value_name = "ROW")]
        rows: Vec<rows::Quantity>,
    },
    /// Leave rows as the shot has them
    AsPhotographed {
        /// Which pieces
        piece: String,
        /// Which rows [default: all]
        #[arg(value_name = "ROW")]
        rows: Vec<rows::Quantity>,
    },
    /// Change how pieces stand, and what they face
    Stand {
        /// Which pieces
        piece: String,
        #[command(flatten)]
        manner: Manner,
    },
    /// Fix a piece to another; it stays where it is, and moves with it from then on
    Attach {
        /// Which piece
        piece: String,
        /// The piece that carries it
        to: String,
    },
    /// Let a piece stand by itself again
    Detach {
        /// Which piece
        piece: String,
    },
    /// Keep pieces in the wings
    Hide {
        /// Which pieces
        piece: String,
    },
    /// Bring pieces out of the wings
    Show {
        /// Which pieces
        piece: String,
    },
    /// Call a piece otherwise
    Rename {
        /// Which piece
        piece: String,
        /// Its new name
        #[arg(value_parser = crate::words::name)]
        name: String,
    },
    /// Say which piece the picture is about; none for no piece
    Subject {
        /// Which piece
        piece: String,
    },
    /// Show another cut-out on the same mark
    Swap {
        /// Which pieces
        piece: String,
        /// The cut-out
        cut_out: String,
    },
    /// Show a shot where a stand-in stood: mark, nudges and stated height stay
    #[command(after_help = "setpiece place marsh recast sitter --shot sitter.tif")]
    Recast {
        /// Which piece; all that show the same show the shot from then on
        piece: String,
        #[command(flatten)]
        view: Box<View>,
    },
    /// Put something in front of a piece, against the order by distance
    #[command(
        after_help = "setpiece place marsh in-front crane --what backdrop --region 1200,900 1400,900 1400,1300"
    )]
    InFront {
        /// The piece that is covered
        piece: String,
        /// backdrop, or another piece [default: backdrop; with --lift-off everything]
        #[arg(long, value_name = "PIECE")]
        what: Option<String>,
        /// Corners in pixels of the picture, at least three
        #[arg(long, value_name = "X,Y", num_args = 3.., required_unless_present = "lift_off", value_parser = q::spot)]
        region: Vec<(Pixels, Pixels)>,
        /// Take away what was put in front of it
        #[arg(long, conflicts_with_all = ["region", "softness"])]
        lift_off: bool,
        /// Width of the soft edge
        #[arg(long, value_name = "PX", default_value = "2", value_parser = q::pixels)]
        softness: Pixels,
    },
    /// Take pieces out of the picture
    Remove {
        /// Which pieces
        piece: String,
    },
    /// State a studio set-up that shots share
    #[command(
        after_help = "setpiece place marsh set-up studio --cct 5450K --camera-distance 5m --white 0.15:0.97,0.95,0.91 1.5:0.91,0.89,0.86"
    )]
    SetUp(SetUp),
    /// Tell, or state, what is known of a cut-out
    Facts {
        /// The cut-out, or a piece that shows it; where facts are stated also several, as sitter*
        cut_out: String,
        /// Call the cut-out otherwise
        #[arg(long, value_name = "NAME", value_parser = crate::words::name)]
        name: Option<String>,
        /// Take the facts of this cut-out over, but for its bearing and a height: for shots of one sequence
        #[arg(long, value_name = "CUT-OUT", conflicts_with = "name")]
        like: Option<String>,
        #[command(flatten)]
        facts: Box<CutOutFacts>,
    },
    /// The cut-outs, with their files and the pieces that show them
    CutOuts,
    /// The views of props that would be worth photographing, most wanted first
    ///
    /// Where pieces that face something miss it by more than 12 degrees, in bearing and height of view together.
    Views,
    /// The pieces with their mark cards, nearest first
    List {
        /// These alone
        piece: Option<String>,
    },
}

#[derive(Args)]
pub(crate) struct Add {
    /// What the piece is called
    #[arg(value_parser = crate::words::name)]
    pub(crate) name: String,
    #[command(flatten)]
    pub(crate) shows: Shows,
    /// The shot
    #[arg(long, value_name = "FILE", required_unless_present_any = ["cut_out", "stand_in"])]
    pub(crate) shot: Option<PathBuf>,
    /// A grey figure or solid of --height, which holds the place until there is a shot (place FOLDER recast)
    #[arg(long, value_enum, conflicts_with_all = ["shot", "cut_out", "matte", "additive", "or_whole", "prop"], requires = "height")]
    pub(crate) stand_in: Option<StandIn>,
    /// A cut-out that is in the picture; its facts stay (place FOLDER facts states them)
    #[arg(long, value_name = "NAME", conflicts_with_all = ["shot", "matte", "additive", "or_whole", "prop"])]
    pub(crate) cut_out: Option<String>,
    #[command(flatten)]
    pub(crate) mark: Mark,
    #[command(flatten)]
    pub(crate) manner: Manner,
    /// The piece that carries it; the mark counts from that one's foot
    #[arg(long, value_name = "PIECE")]
    pub(crate) attached_to: Option<String>,
    #[command(flatten)]
    pub(crate) facts: CutOutFacts,
}

#[derive(Args)]
pub(crate) struct View {
    /// What it is called [default: as the shot's file]
    #[arg(long, value_parser = crate::words::name)]
    pub(crate) name: Option<String>,
    /// The shot
    #[arg(long, value_name = "FILE", required = true)]
    pub(crate) shot: PathBuf,
    #[command(flatten)]
    pub(crate) shows: Shows,
    #[command(flatten)]
    pub(crate) facts: CutOutFacts,
}

#[derive(Args)]
pub(crate) struct Shows {
    /// Its matte: a picture of the same size, white where the thing is [default: the shot's own alpha; else it is cut out by itself]
    #[arg(long, value_name = "FILE", conflicts_with = "additive")]
    pub(crate) matte: Option<PathBuf>,
    /// Light alone, shot on black: sparks, smoke, flame
    #[arg(long)]
    pub(crate) additive: bool,
    /// Take the shot in whole where it cannot be cut out by itself, for strokes to cut it (touch-up strokes)
    #[arg(long, conflicts_with_all = ["matte", "additive"])]
    pub(crate) or_whole: bool,
    /// The prop it is a view of; views of one prop serve each other when a piece faces something
    #[arg(long, value_name = "NAME")]
    pub(crate) prop: Option<String>,
}

#[derive(Args)]
#[command(next_help_heading = "Mark")]
pub(crate) struct Mark {
    /// Metres to the right and metres away, as -1.2,4.5
    #[arg(long, value_name = "X,Z", value_parser = q::ground)]
    pub(crate) at: Option<(Metres, Metres)>,
    /// Lifted above the level
    #[arg(long, value_name = "LENGTH", value_parser = q::metres)]
    pub(crate) lift: Option<Metres>,
    /// The level it is on; ground for the ground under the camera
    #[arg(long, value_name = "NAME")]
    pub(crate) level: Option<String>,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum StandIn {
    /// A standing person
    Figure,
    /// A sitting person, without the seat
    Seated,
    /// A post, a lamp stand, a reed
    Post,
    /// A box, as wide as it is high
    Box,
    /// A ball
    Ball,
}

impl From<StandIn> for setpiece::commands::stand_ins::StandIn {
    fn from(which: StandIn) -> Self {
        match which {
            StandIn::Figure => Self::Figure,
            StandIn::Seated => Self::Seated,
            StandIn::Post => Self::Post,
            StandIn::Box => Self::Box,
            StandIn::Ball => Self::Ball,
        }
    }
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Stance {
    /// In the upright plane through its mark that faces the camera
    Upright,
    /// In the plane through its mark that is parallel to the sensor
    FacingLens,
    /// Flat on its level
    Lying,
    /// Held at its top, where its mark is
    Hanging,
    /// Flat on a wall square to the camera
    Wall,
}

#[derive(Args)]
#[command(next_help_heading = "Manner")]
pub(crate) struct Manner {
    /// How it stands
    #[arg(long, value_enum)]
    pub(crate) stance: Option<Stance>,
    /// Degrees out of its plane, positive leans its top away
    #[arg(long, value_name = "DEG", value_parser = q::degrees)]
    pub(crate) lean: Option<Degrees>,
    /// Degrees in its plane, positive is clockwise
    #[arg(long, value_name = "DEG", value_parser = q::degrees)]
    pub(crate) turn: Option<Degrees>,
    /// Exchange left and right
    #[arg(long, conflicts_with = "no_mirror")]
    pub(crate) mirror: bool,
    /// As it was shot
    #[arg(long)]
    pub(crate) no_mirror: bool,
    /// What it should look at: lens, away, a piece, a lamp, x,z; or none
    #[arg(long, value_name = "WHAT", allow_hyphen_values = true)]
    pub(crate) facing: Option<String>,
}

#[derive(Args, Clone)]
#[command(next_help_heading = "Facts of the cut-out")]
pub(crate) struct CutOutFacts {
    /// Column and row in the shot where it meets the ground [default: middle of the lowest solid row]
    #[arg(long, value_name = "U,V", value_parser = q::spot)]
    pub(crate) foot: Option<(Pixels, Pixels)>,
    /// Real height from foot to top [default: 1.7m]
    #[arg(long, value_name = "LENGTH", value_parser = q::distance, conflicts_with = "per_metre")]
    pub(crate) height: Option<Metres>,
    /// Shot pixels to a metre at the foot
    #[arg(long, value_name = "N", value_parser = q::per_metre)]
    pub(crate) per_metre: Option<PixelsPerMetre>,
    /// Which way it was turned: 0 looks at the camera, positive has come round to the right
    #[arg(long, value_name = "DEG", value_parser = q::degrees)]
    pub(crate) bearing: Option<Degrees>,
    /// Height of the camera above the foot
    #[arg(long, value_name = "LENGTH", value_parser = q::metres)]
    pub(crate) eye_height: Option<Metres>,
    /// From the camera to the foot, along the ground
    #[arg(long, value_name = "LENGTH", value_parser = q::distance)]
    pub(crate) camera_distance: Option<Metres>,
    /// Pitch of the camera, positive looked down
    #[arg(long, value_name = "DEG", value_parser = q::degrees)]
    pub(crate) shot_pitch: Option<Degrees>,
    /// Where the optical axis met the shot [default: its middle]
    #[arg(long, value_name = "U,V", value_parser = q::spot)]
    pub(crate) principal: Option<(Pixels, Pixels)>,
    /// Focal length in pixels of the shot
    #[arg(long, value_name = "PX", value_parser = q::pixels)]
    pub(crate) focal_px: Option<Pixels>,
    /// Defocus already in the shot: diameter of the blur disc
    #[arg(long, value_name = "PX", value_parser = q::pixels)]
    pub(crate) shot_defocus: Option<Pixels>,
    /// Noise of the shot at mid-grey, 1 being white
    #[arg(long, value_name = "N", value_parser = q::number)]
    pub(crate) noise: Option<f64>,
    /// The set-up it was shot in
    #[arg(long, value_name = "NAME")]
    pub(crate) set_up: Option<String>,
    /// No mirror image of it may be used (there is writing on it)
    #[arg(long)]
    pub(crate) never_mirror: bool,
}

#[derive(Args)]
pub(crate) struct SetUp {
    /// What it is called
    #[arg(value_parser = crate::words::name)]
    pub(crate) name: String,
    /// Colour temperature of its light
    #[arg(long, value_name = "K", value_parser = q::kelvin)]
    pub(crate) cct: Option<Kelvin>,
    /// Tint of its light, green positive
    #[arg(long, value_name = "N", value_parser = q::number)]
    pub(crate) tint: Option<f64>,
    /// What its shots are balanced for
    #[arg(long, value_name = "K", value_parser = q::kelvin)]
    pub(crate) white_balance: Option<Kelvin>,
    /// From the camera to the prop, along the ground
    #[arg(long, value_name = "LENGTH", value_parser = q::distance)]
    pub(crate) camera_distance: Option<Metres>,
    /// A cut-out of it whose height is known, as post=1m: heights of all others on the same mark follow
    #[arg(long, value_name = "CUT-OUT=LENGTH", value_parser = crate::words::known_height)]
    pub(crate) known: Option<(String, Metres)>,
    /// Pitch of its camera, positive looked down [default: level]
    #[arg(long, value_name = "DEG", value_parser = q::degrees)]
    pub(crate) shot_pitch: Option<Degrees>,
    /// Focal length in pixels of its shots; of a level camera it does not matter
    #[arg(long, value_name = "PX", value_parser = q::pixels)]
    pub(crate) focal_px: Option<Pixels>,
    /// Where the optical axis meets its shots [default: their middle]
    #[arg(long, value_name = "U,V", value_parser = q::spot)]
    pub(crate) principal: Option<(Pixels, Pixels)>,
    /// Read white from the white paper beside this cut-out, at its foot and its top
    #[arg(long, value_name = "CUT-OUT", conflicts_with_all = ["white", "grey_card"])]
    pub(crate) paper: Option<String>,
    /// Read white from a grey card in a cut-out's shot, as heron:1210,2400
    #[arg(long, value_name = "CUT-OUT:U,V", conflicts_with = "white", value_parser = crate::words::grey_card)]
    pub(crate) grey_card: Option<(String, (Pixels, Pixels))>,
    /// What a white card reads at a height, as 0.5:0.95,0.93,0.89; all of them
    #[arg(long, value_name = "LENGTH:R,G,B", num_args = 1.., value_parser = crate::words::white)]
    pub(crate) white: Vec<WhiteReading>,
}

impl From<Stance> for scene::Stance {
    fn from(s: Stance) -> Self {
        match s {
            Stance::Upright => Self::Upright,
            Stance::FacingLens => Self::FacingLens,
            Stance::Lying => Self::Lying,
            Stance::Hanging => Self::Hanging,
            Stance::Wall => Self::Wall,
        }
    }
}
