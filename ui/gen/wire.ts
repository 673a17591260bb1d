// What goes between the page and the program. Made by `cargo xtask gen`.

/**
 * What the page asks.
 */
export type Ask = { "ask": "show", 
/**
 * Which.
 */
view: View, } | { "ask": "pick", 
/**
 * Column and row, in the picture's pixels.
 */
at_px: [number, number], } | { "ask": "drag", 
/**
 * Its number.
 */
piece: number, 
/**
 * Where to.
 */
to: Whereto, } | { "ask": "let_go" } | { "ask": "do", 
/**
 * Which.
 */
deed: Deed, };

/**
 * A message from the page: what it asks, and a number by which it knows the answer.
 */
export type Asked = { 
/**
 * Its number.
 */
n: number, 
/**
 * What is asked.
 */
of: Ask, };

/**
 * A piece's mark card. What is `None` has no value: the piece is in the wings or cannot stand.
 */
export type Card = { 
/**
 * Its number.
 */
piece: number, 
/**
 * What it is called.
 */
name: string, 
/**
 * The cut-out that it shows, as facing chose it.
 */
shows: string, 
/**
 * Whether that is mirrored.
 */
mirrored: boolean, 
/**
 * Whether the picture is about it.
 */
is_subject: boolean, 
/**
 * Kept in the wings.
 */
hidden: boolean, 
/**
 * To the right (of the piece that carries it, where it is attached).
 */
x_m: number, 
/**
 * Lifted above the level.
 */
lift_m: number, 
/**
 * Away.
 */
z_m: number, 
/**
 * The level it is on.
 */
level: string | null, 
/**
 * The piece that carries it.
 */
attached_to: string | null, 
/**
 * How it stands.
 */
stance: string, 
/**
 * What it should face.
 */
facing: string | null, 
/**
 * By how much the view misses that.
 */
facing_missed_by_deg: number | null, 
/**
 * Before the lens, along the axis.
 */
depth_m: number | null, 
/**
 * Real height of what it shows.
 */
height_m: number | null, 
/**
 * Whether that is assumed: nobody has said how large the thing is.
 */
is_height_assumed: boolean, 
/**
 * In the picture.
 */
height_px: number | null, 
/**
 * Picture pixels to a metre.
 */
size: SizeRow | null, 
/**
 * Blur disc.
 */
defocus: DefocusRow | null, 
/**
 * Gain.
 */
light: LightRow | null, 
/**
 * Colour of the gain.
 */
warmth: WarmthRow | null, 
/**
 * Haze.
 */
haze: ShareRow | null, 
/**
 * Shadow.
 */
shadow: ShareRow | null, 
/**
 * Whether it casts one: there is a light for it, and a level that takes it.
 */
casts_shadow: boolean, 
/**
 * Why it cannot stand, or what gives it away.
 */
snags: Array<SnagReport>, 
/**
 * What is worth knowing, and may well be meant.
 */
remarks: Array<SnagReport>, };

/**
 * A decision.
 */
export type Deed = { "deed": "move", 
/**
 * Its number.
 */
piece: number, 
/**
 * Where to.
 */
to: Whereto, } | { "deed": "card", 
/**
 * Their numbers.
 */
pieces: Array<number>, 
/**
 * What.
 */
says: string, } | { "deed": "undo", 
/**
 * How many.
 */
times: number, } | { "deed": "redo", 
/**
 * How many.
 */
times: number, };

/**
 * Diameter of the blur disc.
 */
export type DefocusRow = { 
/**
 * From the mark.
 */
computed_px: number, 
/**
 * The artist's.
 */
nudge_factor: number, 
/**
 * Where it comes from.
 */
basis: string, 
/**
 * As it is drawn.
 */
result_px: number, };

/**
 * A lamp as it stands.
 */
export type LampStand = { 
/**
 * Its number.
 */
lamp: number, 
/**
 * What it is called.
 */
name: string, 
/**
 * To the right, above the ground, away.
 */
at_m: [number, number, number], 
/**
 * In the picture, where that shows it.
 */
at_px: [number, number] | null, 
/**
 * How far its light goes as it does from a lamp; none is without end.
 */
reach_m: number | null, };

/**
 * A level of the ground.
 */
export type LevelStand = { 
/**
 * What it is called.
 */
name: string, 
/**
 * Above the ground.
 */
height_m: number, };

/**
 * Gain on the shot.
 */
export type LightRow = { 
/**
 * From the mark.
 */
computed_stops: number, 
/**
 * The artist's.
 */
nudge_stops: number, 
/**
 * Where it comes from.
 */
basis: string, 
/**
 * As it is drawn.
 */
result_stops: number, };

/**
 * A line of the log.
 */
export type LogLine = { 
/**
 * Its number.
 */
number: number, 
/**
 * When, UTC (RFC 3339).
 */
at: string, 
/**
 * `do`, `undo` or `redo`.
 */
turn: string, 
/**
 * For `undo` and `redo`: the edit that was taken back or done again.
 */
of: number | null, 
/**
 * What was done, in words.
 */
says: string, 
/**
 * Whether what it did stands.
 */
stands: boolean, };

/**
 * A picture in projection.
 */
export type Projection = { 
/**
 * Of the picture.
 */
width_px: number, 
/**
 * As well.
 */
height_px: number, 
/**
 * Height of the camera above the ground.
 */
camera_height_m: number, 
/**
 * Where the horizon meets the picture's left and right edge, as rows.
 */
horizon_px: [number, number] | null, 
/**
 * Distances that are marked on the ground, nearest first.
 */
ticks: Array<Tick>, 
/**
 * How far to the left and to the right the picture shows, to a metre away.
 */
field: [number, number], 
/**
 * Focal length in picture pixels: a metre across, a metre away.
 */
focal_px: number, 
/**
 * What is sharp.
 */
sharp: Sharp, 
/**
 * Every piece that stands.
 */
pieces: Array<Stand>, 
/**
 * Every lamp.
 */
lamps: Array<LampStand>, 
/**
 * Where the sun is.
 */
sun: SunStand | null, 
/**
 * Heights of the ground's levels besides 0.
 */
levels: Array<LevelStand>, };

/**
 * Why something is not done.
 */
export type Refusal = { 
/**
 * What is wrong.
 */
what: string, 
/**
 * Where.
 */
place: string, 
/**
 * What to do.
 */
remedy: string, };

/**
 * The head of a picture for the screen.
 */
export type Screen = { 
/**
 * Where its codes lie: left, top, right, bottom, in screen pixels of the view it was asked for.
 */
part: [number, number, number, number], 
/**
 * Screen pixels that one of its pixels is wide: 1, or more where it is coarse.
 */
coarse: number, 
/**
 * Screen pixels to a picture pixel, as the view asked.
 */
scale: number, 
/**
 * The last line of the journal that it shows.
 */
number: number, 
/**
 * Whether it shows a drag that nothing was decided about.
 */
is_drag: boolean, };

/**
 * A share of 1.
 */
export type ShareRow = { 
/**
 * From the mark.
 */
computed_share: number, 
/**
 * The artist's.
 */
nudge_factor: number, 
/**
 * Where it comes from.
 */
basis: string, 
/**
 * As it is drawn.
 */
result_share: number, };

/**
 * What is sharp: distances before the lens.
 */
export type Sharp = { 
/**
 * Focused at; none is infinity.
 */
at_m: number | null, 
/**
 * From here on a point is drawn no wider than two picture pixels ...
 */
from_m: number, 
/**
 * ... to here; none is infinity.
 */
to_m: number | null, };

/**
 * The picture as it is now.
 */
export type Sheet = { 
/**
 * The last line of its journal.
 */
number: number, 
/**
 * What it is called.
 */
name: string, 
/**
 * Its pieces' cards, nearest first.
 */
pieces: Array<Card>, 
/**
 * Its three views.
 */
projection: Projection | null, 
/**
 * What was done to it.
 */
log: Array<LogLine>, };

/**
 * Picture pixels to a metre.
 */
export type SizeRow = { 
/**
 * From the mark.
 */
computed_px_per_m: number, 
/**
 * The artist's.
 */
nudge_factor: number, 
/**
 * Where it comes from.
 */
basis: string, 
/**
 * As it is drawn.
 */
result_px_per_m: number, };

/**
 * Something that gives the picture away, or bars it.
 */
export type SnagReport = { 
/**
 * What is wrong, and how much.
 */
what: string, 
/**
 * Where.
 */
place: string, 
/**
 * What would mend it.
 */
remedy: string, };

/**
 * A piece as it stands.
 */
export type Stand = { 
/**
 * Its number.
 */
piece: number, 
/**
 * Its foot: to the right, above the ground, away.
 */
at_m: [number, number, number], 
/**
 * Its real height.
 */
height_m: number, 
/**
 * Before the lens.
 */
depth_m: number, 
/**
 * Its foot in the picture.
 */
foot_px: [number, number], 
/**
 * Its top in the picture, over the foot.
 */
top_px: [number, number], 
/**
 * Whether it is held by another piece, and moves with it.
 */
is_attached: boolean, 
/**
 * Whether it stands upright on its foot.
 */
is_upright: boolean, };

/**
 * Where the sun is.
 */
export type SunStand = { 
/**
 * Clockwise from straight away.
 */
bearing_deg: number, 
/**
 * Above the horizon.
 */
elevation_deg: number, };

/**
 * A message to the page.
 */
export type Tell = { "tell": "sheet" } & Sheet | { "tell": "done", 
/**
 * The number of the message.
 */
n: number, 
/**
 * What was done, in a sentence.
 */
says: string, } | { "tell": "refused", 
/**
 * The number of the message.
 */
n: number, 
/**
 * Why not.
 */
why: Refusal, } | { "tell": "picked", 
/**
 * The number of the message.
 */
n: number, 
/**
 * The piece's number, where one is seen there.
 */
piece: number | null, } | { "tell": "dragged", 
/**
 * The number of the message.
 */
n: number, 
/**
 * The dragged piece's card.
 */
card: Card | null, 
/**
 * The views.
 */
projection: Projection | null, };

/**
 * A distance that is marked on the ground.
 */
export type Tick = { 
/**
 * Away.
 */
z_m: number, 
/**
 * Its row in the middle of the picture.
 */
row_px: number, };

/**
 * A part of the picture on the screen.
 */
export type View = { 
/**
 * Screen pixels to a picture pixel.
 */
scale: number, 
/**
 * Left, top, right, bottom, in screen pixels from the picture's corner.
 */
part: [number, number, number, number], };

/**
 * Colour of the gain: a shift from the picture's white, where it has a colour temperature, and linear RGB of luminance 1.
 */
export type WarmthRow = { 
/**
 * From the mark: positive is warmer.
 */
computed_mired: number | null, 
/**
 * From the mark, as a light's colour temperature.
 */
computed_k: number | null, 
/**
 * From the mark.
 */
computed_rgb: [number, number, number], 
/**
 * The artist's.
 */
nudge_mired: number, 
/**
 * The artist's, thousandths of CIE 1960 u, v: positive is green.
 */
nudge_tint: number, 
/**
 * Where it comes from.
 */
basis: string, 
/**
 * As it is drawn: positive is warmer.
 */
result_mired: number | null, 
/**
 * As it is drawn: positive is green.
 */
result_tint: number | null, 
/**
 * As it is drawn, as a light's colour temperature.
 */
result_k: number | null, 
/**
 * As it is drawn.
 */
result_rgb: [number, number, number], };

/**
 * Where a piece is moved.
 */
export type Whereto = { "on": "picture", 
/**
 * Column and row of its foot, in the picture's pixels.
 */
foot_px: [number, number], } | { "on": "ground", 
/**
 * To the right; as it is where nothing is said.
 */
x_m: number | null, 
/**
 * Away; as it is where nothing is said.
 */
z_m: number | null, 
/**
 * Above its level; as it is where nothing is said.
 */
lift_m: number | null, };
