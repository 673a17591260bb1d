//! What can be said of set dressings.

use super::place::Stance;
use clap::{Args, Subcommand};
use setpiece::commands::quantity as q;
use setpiece::commands::scene::{Arrangement, Factor, Thinning};
use setpiece::commands::units::{Degrees, Metres};

/// Fill ground with pieces by a rule
///
/// A rule lays cut-outs on an area of ground. They are pieces like any other: whatever is done to one by hand stays, however the rule
/// changes; what still fits stays where it is.
#[derive(Args)]
pub(crate) struct Dress {
    #[command(flatten)]
    pub(crate) at: super::Folder,
    #[command(flatten)]
    pub(crate) layer: super::Layer,
    #[command(subcommand)]
    pub(crate) what: What,
}

#[derive(Subcommand)]
pub(crate) enum What {
    /// Lay a new dressing
    ///
    /// Left free, where nothing else is said: the subject's face, the lamps, and 25 cm around the feet of other pieces.
    #[command(after_help = "\
setpiece dress marsh lay Reeds --of 'reed*' sedge=2 --around sitter --width 7m --depth 2.5m --opening 70 --pieces 60
setpiece dress marsh lay Bank --of 'blades*' --seen '0,1900 1800,1500 3600,1900 3600,2400 0,2400' --drift 0.4m --thin-far 4m,12m,30%
setpiece dress marsh lay Posts --of post --band '-3,9 4,14' --width 0.5m --ranks 1.6m,1m,90,10%")]
    Lay {
        /// What it is called; its pieces are numbered after it
        #[arg(value_parser = crate::words::name)]
        name: String,
        #[command(flatten)]
        said: Box<Said>,
    },
    /// Change one: only what must change moves
    #[command(
        after_help = "setpiece dress marsh change Reeds --pieces 80 --clear-feet 0.4m\nsetpiece dress marsh change Reeds --facing lantern --heights 70%..120%"
    )]
    Change {
        /// Which
        dressing: String,
        /// Call it otherwise
        #[arg(long, value_name = "NAME", id = "new_name", value_parser = crate::words::name)]
        name: Option<String>,
        #[command(flatten)]
        said: Box<Said>,
    },
    /// Lay one again, another way; what was done by hand stays
    Again {
        /// Which
        dressing: String,
    },
    /// Lay a new dressing like pieces that stand
    ///
    /// Of the same cut-outs, as often, as close and as different. On their own ground they stay as they are and belong to it, and more is
    /// laid between them; with other ground said they are the pattern alone.
    #[command(after_help = "setpiece dress marsh like Reeds 'reed*' --around sitter --width 7m --depth 2m")]
    Like {
        /// What it is called
        #[arg(value_parser = crate::words::name)]
        name: String,
        /// Which pieces
        #[arg(value_name = "PIECES", id = "pattern")]
        pieces: String,
        #[command(flatten)]
        said: Box<Said>,
    },
    /// Let pieces go from their dressing: no change of the rule reaches them, and their places stay taken
    Release {
        /// Which pieces
        piece: String,
    },
    /// End a rule; its pieces stay
    End {
        /// Which dressing
        dressing: String,
    },
    /// Strike a dressing: rule and pieces go, but for what was let go
    Strike {
        /// Which dressing
        dressing: String,
    },
    /// The dressings, with how many pieces each has
    List,
}

#[derive(Args, Default)]
pub(crate) struct Said {
    /// Cut-outs it is made of, with how often each is taken, as 'reed*' sedge=2
    #[arg(long, value_name = "CUT-OUT[=SHARE]", num_args = 1.., value_parser = crate::words::of_share)]
    pub(crate) of: Vec<(String, f64)>,
    #[command(flatten)]
    pub(crate) ground: Ground,
    #[command(flatten)]
    pub(crate) arrangement: Arranged,
    #[command(flatten)]
    pub(crate) manner: Manner,
    #[command(flatten)]
    pub(crate) clear: Clear,
}

#[derive(Args, Default)]
#[command(next_help_heading = "Ground")]
pub(crate) struct Ground {
    /// Corners on the ground, metres to the right and away: '-3,4 3,4 4,9 -4,9'
    #[arg(long, value_name = "'X,Z X,Z ...'", value_parser = crate::words::outline)]
    pub(crate) outline: Option<crate::words::OnGround>,
    /// Corners as they are seen in the picture, in its pixels
    #[arg(long, value_name = "'X,Y X,Y ...'", value_parser = crate::words::outline_seen)]
    pub(crate) seen: Option<crate::words::InPicture>,
    /// A line on the ground; --width goes across
    #[arg(long, value_name = "'X,Z X,Z ...'", value_parser = crate::words::line)]
    pub(crate) band: Option<crate::words::OnGround>,
    /// A line as it is seen in the picture; --width goes across
    #[arg(long, value_name = "'X,Y X,Y ...'", value_parser = crate::words::line_seen)]
    pub(crate) seen_band: Option<crate::words::InPicture>,
    /// A piece to lie around, open towards the lens
    #[arg(long, value_name = "PIECE")]
    pub(crate) around: Option<String>,
    /// Across a band, or across all of what lies around a piece
    #[arg(long, value_name = "LENGTH", value_parser = q::distance)]
    pub(crate) width: Option<Metres>,
    /// From the outer edge inwards [default: a third of the width]
    #[arg(long, value_name = "LENGTH", value_parser = q::distance, requires = "around")]
    pub(crate) depth: Option<Metres>,
    /// The angle that stays open towards the lens [default: 80]
    #[arg(long, value_name = "DEG", value_parser = q::degrees, requires = "around")]
    pub(crate) opening: Option<Degrees>,
    /// The level it lies on; ground for the ground under the camera
    #[arg(long, value_name = "NAME")]
    pub(crate) level: Option<String>,
}

#[derive(Args, Default)]
#[command(next_help_heading = "Arrangement")]
pub(crate) struct Arranged {
    /// Irregular, nowhere closer than this
    #[arg(long, value_name = "LENGTH", value_parser = crate::words::drift, group = "arranged")]
    pub(crate) drift: Option<Arrangement>,
    /// In tufts: from middle to middle, across one, and the least distance in it
    #[arg(long, value_name = "LENGTH,LENGTH,LENGTH", value_parser = crate::words::clumps, group = "arranged")]
    pub(crate) clumps: Option<Arrangement>,
    /// In lines: along one, from one to the next, the bearing (0 leads away), and how far off their places
    #[arg(long, value_name = "LENGTH,LENGTH[,DEG[,SHARE]]", value_parser = crate::words::ranks, group = "arranged")]
    pub(crate) ranks: Option<Arrangement>,
    /// So many at most; all for as many as find room
    #[arg(long, value_name = "N", value_parser = crate::words::most)]
    pub(crate) pieces: Option<crate::words::Most>,
    /// Thinner with the distance: from here to there, and the share left there
    #[arg(long, value_name = "LENGTH,LENGTH,SHARE", value_parser = crate::words::thin_far)]
    pub(crate) thin_far: Option<Thinning>,
    /// Thinner towards the edge: from so far inside, and the share left at it
    #[arg(long, value_name = "LENGTH,SHARE", value_parser = crate::words::thin_edge)]
    pub(crate) thin_edge: Option<Thinning>,
    /// Nowhere thinner, but as said with it
    #[arg(long)]
    pub(crate) thin_nowhere: bool,
}

#[derive(Args, Default)]
#[command(next_help_heading = "Manner")]
pub(crate) struct Manner {
    /// Of the real height, least and most [default: 85%..115%]
    #[arg(long, value_name = "SHARE..SHARE", value_parser = crate::words::heights)]
    pub(crate) heights: Option<(Factor, Factor)>,
    /// Degrees out of the plane [default: -4..4]
    #[arg(long, value_name = "DEG..DEG", value_parser = crate::words::angles, allow_hyphen_values = true)]
    pub(crate) leans: Option<(Degrees, Degrees)>,
    /// Degrees in the plane [default: -3..3]
    #[arg(long, value_name = "DEG..DEG", value_parser = crate::words::angles, allow_hyphen_values = true)]
    pub(crate) turns: Option<(Degrees, Degrees)>,
    /// Above the level
    #[arg(long, value_name = "LENGTH..LENGTH", value_parser = crate::words::lifts, allow_hyphen_values = true)]
    pub(crate) lifts: Option<(Metres, Metres)>,
    /// Use mirror images too, of what may be mirrored
    #[arg(long, conflicts_with = "no_mirror")]
    pub(crate) mirror: bool,
    /// Use none
    #[arg(long)]
    pub(crate) no_mirror: bool,
    /// How they stand
    #[arg(long, value_enum)]
    pub(crate) stance: Option<Stance>,
    /// What they should look at: lens, away, a piece, a lamp, x,z; or none
    #[arg(long, value_name = "WHAT", allow_hyphen_values = true)]
    pub(crate) facing: Option<String>,
}

#[derive(Args, Default)]
#[command(next_help_heading = "Keep clear")]
pub(crate) struct Clear {
    /// A piece, or a part of its height: sitter, or sitter:80%..100%
    #[arg(long = "clear", id = "clear_piece", value_name = "PIECE[:SHARE..SHARE]", value_parser = crate::words::clear_piece)]
    pub(crate) pieces: Vec<crate::words::ClearPiece>,
    /// A region of the picture: corners in pixels
    #[arg(long = "clear-region", id = "clear_region", value_name = "'X,Y X,Y ...'", value_parser = crate::words::outline_seen)]
    pub(crate) regions: Vec<crate::words::InPicture>,
    /// A lamp
    #[arg(long = "clear-lamp", id = "clear_lamp", value_name = "LAMP")]
    pub(crate) lamps: Vec<String>,
    /// The line from a piece to what it looks at, so wide: sitter,lantern,0.6m
    #[arg(long = "clear-sight", id = "clear_sight", value_name = "PIECE,WHAT,LENGTH", value_parser = crate::words::clear_sight)]
    pub(crate) sights: Vec<crate::words::ClearSight>,
    /// Around the feet of all other pieces on the level
    #[arg(long = "clear-feet", id = "clear_feet", value_name = "LENGTH", value_parser = q::distance)]
    pub(crate) feet: Option<Metres>,
    /// Nothing but what is said with it
    #[arg(long = "clear-nothing-else", id = "clear_nothing_else")]
    pub(crate) nothing_else: bool,
}
