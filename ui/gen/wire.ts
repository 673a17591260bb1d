// What goes between the page and the program. Made by `cargo xtask gen`.

/**
 * How the pieces of a dressing stand to one another.
 */
export type ArrangementReport = { "way": "drift", 
/**
 * Least distance between two.
 */
spacing_m: number, } | { "way": "clumps", 
/**
 * Least distance from middle to middle.
 */
spacing_m: number, 
/**
 * Across one.
 */
width_m: number, 
/**
 * Least distance in it.
 */
within_m: number, } | { "way": "ranks", 
/**
 * Along one, from piece to piece.
 */
spacing_m: number, 
/**
 * From line to line.
 */
between_m: number, 
/**
 * Where they lead: 0 is away, positive to the right.
 */
bearing_deg: number, 
/**
 * How far off its place a piece may stand: share of half the spacing.
 */
jitter: number, };

/**
 * What the page asks.
 */
export type Ask = { "ask": "show", 
/**
 * Which glass: 0 is the lens, which comes first; the others are laid on the sheet.
 */
glass: number, 
/**
 * What it shows; nothing more, where there is none.
 */
view: View | null, } | { "ask": "pick", 
/**
 * Column and row, in the picture's pixels.
 */
at_px: [number, number], } | { "ask": "ground", 
/**
 * Column and row, in the picture's pixels.
 */
at_px: [number, number], } | { "ask": "sketch", 
/**
 * The glass that shows the cut-out.
 */
glass: number, 
/**
 * The cut-out's number.
 */
cutout: number, 
/**
 * What it is laid on.
 */
on: On, 
/**
 * The strokes, as a strokes file holds them; none makes ready.
 */
strokes: string | null, } | { "ask": "wedge" } | { "ask": "edge", 
/**
 * Its number.
 */
piece: number, } | { "ask": "doubts", 
/**
 * Its number.
 */
cutout: number, } | { "ask": "print", 
/**
 * The file's bare name; its ending says the form.
 */
to: string, 
/**
 * Its width in pixels; the picture's own where there is none.
 */
width: number | null, 
/**
 * Replace a file of this name.
 */
over: boolean, } | { "ask": "call_off", 
/**
 * Of the decision of this message alone.
 */
only: number | null, } | { "ask": "try", 
/**
 * Which.
 */
deed: Deed, } | { "ask": "let_go" } | { "ask": "do", 
/**
 * Which.
 */
deed: Deed, } | { "ask": "open", 
/**
 * Its folder's name.
 */
folder: string, } | { "ask": "begin", 
/**
 * Its folder's name.
 */
folder: string, 
/**
 * How large: a print, as 60x40cm, or pixels, as 6000x4000.
 */
extent: string, } | { "ask": "leave" } | { "ask": "leaf", 
/**
 * The take; none is the picture itself.
 */
take: number | null, };

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
 * The photograph everything stands in.
 */
export type BackdropReport = { 
/**
 * What it was called.
 */
name: string, 
/**
 * Its file in the folder.
 */
file: string, 
/**
 * Its format.
 */
format: string, 
/**
 * Its width.
 */
width_px: number, 
/**
 * Its height.
 */
height_px: number, 
/**
 * Bits a sample.
 */
bits: number, 
/**
 * Its colour profile.
 */
profile: string, 
/**
 * Camera, by its EXIF.
 */
camera: string | null, 
/**
 * Lens, by its EXIF.
 */
lens: string | null, 
/**
 * When it was taken, by the camera's clock.
 */
taken: string | null, 
/**
 * The part that the picture shows: left, top, width, height.
 */
window_px: [number, number, number, number], 
/**
 * Whether left and right are exchanged.
 */
mirrored: boolean, 
/**
 * What is odd about the file.
 */
warnings: Array<string>, };

/**
 * The camera and its lens. Each with where it is known from: `file`, `given`, `read`, `declared`, `assumed`.
 */
export type CameraReport = { 
/**
 * Above the ground.
 */
height_m: number, 
/**
 * Positive looks down.
 */
pitch_deg: number, 
/**
 * Positive is clockwise.
 */
roll_deg: number, 
/**
 * Where height, pitch and roll are known from.
 */
viewpoint_from: string, 
/**
 * Where the height alone is known from.
 */
height_from: string, 
/**
 * Where pitch and roll are known from.
 */
attitude_from: string, 
/**
 * Focal length.
 */
focal_mm: number, 
/**
 * Where the focal length is known from.
 */
focal_from: string, 
/**
 * Width of sensor that the photograph shows.
 */
sensor_width_mm: number, 
/**
 * Where the sensor's width is known from.
 */
sensor_from: string, 
/**
 * F-number.
 */
f_number: number, 
/**
 * Where the f-number is known from.
 */
f_number_from: string, 
/**
 * Distance focused at; none is infinity.
 */
focus_m: number | null, 
/**
 * Where the focus is known from.
 */
focus_from: string, 
/**
 * Blades of the aperture; none is a disc.
 */
blades: number | null, 
/**
 * What blur discs are multiplied by.
 */
depth_factor: number, 
/**
 * White balance.
 */
white_balance_k: number, 
/**
 * Row of the horizon in the middle of the picture, in its pixels.
 */
horizon_px: number | null, };

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
 * The number of that cut-out.
 */
cutout: number, 
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
 * What was put in front of it against the order by distance, one for each region: `backdrop`, or a piece.
 */
in_front: Array<string>, 
/**
 * How it stands.
 */
stance: string, 
/**
 * Out of its plane.
 */
lean_deg: number, 
/**
 * In its plane.
 */
turn_deg: number, 
/**
 * What it should face.
 */
facing: string | null, 
/**
 * By how much the view misses that.
 */
facing_missed_by_deg: number | null, 
/**
 * How much farther down its view looks at it than the picture's camera does; none where nobody knows.
 */
height_of_view_missed_by_deg: number | null, 
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
 * A dodging card.
 */
export type CardReport = { 
/**
 * The number of the piece that it is fixed to; none: the picture.
 */
of: number | null, 
/**
 * How many strokes were painted on it, and rubbed off.
 */
strokes: number, };

/**
 * A cut-out that a dressing is made of.
 */
export type ChosenReport = { 
/**
 * Its number.
 */
cutout: number, 
/**
 * What it is called.
 */
name: string, 
/**
 * How often it is taken, against the others.
 */
share: number, };

/**
 * What a dressing leaves free.
 */
export type ClearReport = { 
/**
 * As it reads.
 */
says: string, 
/**
 * The words that say it.
 */
words: Array<string>, };

/**
 * A colour that a treatment is told.
 */
export type ColourReport = { 
/**
 * The option that tells it.
 */
option: string, 
/**
 * Linear RGB in the working primaries.
 */
rgb: [number, number, number], };

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
to: Whereto, } | { "deed": "say", 
/**
 * Such as `place`, `nudge`, `#3`, `e=+0.3`.
 */
words: Array<Word>, };

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
 * Something worth looking at.
 */
export type DoubtReport = { 
/**
 * In words.
 */
what: string, 
/**
 * Where in the shot, if it is somewhere: left, top, width, height.
 */
place_px: [number, number, number, number] | null, };

/**
 * A dressing as it is told.
 */
export type DressingReport = { 
/**
 * Its number.
 */
dressing: number, 
/**
 * What it is called.
 */
name: string, 
/**
 * What it is made of.
 */
of: Array<ChosenReport>, 
/**
 * Numbers of the pieces that it has in the picture.
 */
pieces: Array<number>, 
/**
 * How many pieces it may have; none: as many as find room.
 */
at_most: number | null, 
/**
 * How they stand to one another.
 */
arrangement: ArrangementReport, 
/**
 * What it fills.
 */
ground: GroundReport, 
/**
 * The level it lies on; none is the ground under the camera.
 */
level: string | null, 
/**
 * How much that is.
 */
ground_m2: number | null, 
/**
 * Its edge on the ground, right and away: closed.
 */
edge_m: Array<[number, number]>, 
/**
 * The same as it is seen, in the picture's pixels; what lies behind the lens is left out.
 */
edge_px: Array<[number, number]>, 
/**
 * Where it is thinned with the distance: from, to, and the share that is left there.
 */
thin_far: [number, number, number] | null, 
/**
 * Where it is thinned towards its edge: from so far inside, and the share that is left at it.
 */
thin_edge: [number, number] | null, 
/**
 * Factor on the real height, least and most.
 */
heights: [number, number], 
/**
 * Out of the plane.
 */
leans_deg: [number, number], 
/**
 * In the plane.
 */
turns_deg: [number, number], 
/**
 * Above the level.
 */
lifts_m: [number, number], 
/**
 * Whether mirror images are used too.
 */
mirror: boolean, 
/**
 * What its pieces look at: the word that it is told by; none where they look anywhere.
 */
facing: string | null, 
/**
 * What it leaves free.
 */
clear: Array<ClearReport>, };

/**
 * What is known of a cut-out.
 */
export type FactsReport = { 
/**
 * Its number.
 */
cutout: number, 
/**
 * What it is called.
 */
name: string, 
/**
 * The prop it is a view of.
 */
prop: string | null, 
/**
 * `solid` or `additive`.
 */
kind: string, 
/**
 * The shot's name.
 */
shot: string, 
/**
 * Width and height of the shot, where it can be read.
 */
shot_size_px: [number, number] | null, 
/**
 * The matte's name; none is the shot's own alpha.
 */
matte: string | null, 
/**
 * Column and row of the foot; none is the middle of the lowest solid row.
 */
foot_px: [number, number] | null, 
/**
 * Shot pixels to a metre, where that is stated.
 */
per_metre_px: number | null, 
/**
 * Real height, where that is stated; with neither it is taken as 1.7 m.
 */
height_m: number | null, 
/**
 * Real height that follows from what is known.
 */
seen_height_m: number | null, 
/**
 * What it follows from: `stated`, `set-up` or `assumed`.
 */
height_from: string, 
/**
 * Column and row of the foot that follows.
 */
seen_foot_px: [number, number] | null, 
/**
 * The shot's pixels to a metre at its foot, stated or not.
 */
seen_per_metre_px: number | null, 
/**
 * Which way it was turned.
 */
bearing_deg: number | null, 
/**
 * Of the camera above the foot.
 */
eye_height_m: number | null, 
/**
 * From the camera to the foot.
 */
camera_distance_m: number | null, 
/**
 * Of the camera.
 */
pitch_deg: number | null, 
/**
 * Where the optical axis met the shot.
 */
principal_px: [number, number] | null, 
/**
 * Focal length.
 */
focal_px: number | null, 
/**
 * Its set-up.
 */
set_up: string | null, 
/**
 * Defocus in the shot.
 */
defocus_px: number | null, 
/**
 * Noise in the shot.
 */
noise: number | null, 
/**
 * Whether it may be mirrored.
 */
may_mirror: boolean, 
/**
 * Pieces that show it.
 */
pieces: Array<string>, };

/**
 * A number that a treatment is told.
 */
export type FigureReport = { 
/**
 * The option that tells it. A balance's `tint` goes with its `warmth`, as +20/-3.
 */
option: string, 
/**
 * Its unit; empty for a plain number.
 */
unit: string, 
/**
 * The number.
 */
value: number, };

/**
 * An amount of light with its colour.
 */
export type GlowReport = { 
/**
 * What a white card reads, in picture units; for a picked colour a factor on it.
 */
strength: number, 
/**
 * Its colour temperature, where it is given by one.
 */
cct_k: number | null, 
/**
 * Its tint, where it is given by a colour temperature.
 */
tint: number | null, 
/**
 * Its colour, where it was picked.
 */
rgb: [number, number, number] | null, };

/**
 * What a dressing fills.
 */
export type GroundReport = { "what": "outline" } | { "what": "band", 
/**
 * The line: right and away.
 */
along_m: Array<[number, number]>, 
/**
 * Across it.
 */
width_m: number, } | { "what": "around", 
/**
 * Its number.
 */
piece: number, 
/**
 * Across it all.
 */
width_m: number, 
/**
 * From the outer edge inwards.
 */
depth_m: number, 
/**
 * What stays open towards the lens.
 */
opening_deg: number, };

/**
 * A file that was handed in.
 */
export type HandedIn = { 
/**
 * The number that was answered for it.
 */
file: number, };

/**
 * What was done by hand on a cut-out.
 */
export type HandworkReport = { 
/**
 * What it is called.
 */
cutout: string, 
/**
 * Its strokes, in their order.
 */
strokes: Array<StrokeReport>, 
/**
 * Whether they say what its matte was not cut by yet.
 */
owes_cut: boolean, 
/**
 * The shots that it takes parts from.
 */
joined: Array<string>, 
/**
 * How far its edge is moved outwards.
 */
margin_px: number, 
/**
 * Coverage that becomes clear.
 */
clear_at: number, 
/**
 * Coverage that becomes solid.
 */
solid_at: number, 
/**
 * Largest hole that is closed.
 */
holes_px: number, 
/**
 * How much of the paper's cast is taken off.
 */
cast: number, 
/**
 * How much an over-bright rim is calmed.
 */
calm: number, 
/**
 * The rim's width.
 */
rim_px: number, };

/**
 * What is known of a lamp.
 */
export type LampReport = { 
/**
 * Its number.
 */
lamp: number, 
/**
 * What it is called.
 */
name: string, 
/**
 * Its middle: right, up, away; from the foot of the piece it is on, if it is on one.
 */
at_m: [number, number, number], 
/**
 * The piece that it is fixed to.
 */
on: string | null, 
/**
 * Whether it is dark: what it is fixed to is kept in the wings.
 */
is_dark: boolean, 
/**
 * On a card at 1 m, in picture units.
 */
strength: number, 
/**
 * Its colour temperature, where it is given by one.
 */
cct_k: number | null, 
/**
 * Its colour, where it was picked.
 */
rgb: [number, number, number] | null, 
/**
 * Of the lamp.
 */
radius_m: number, 
/**
 * Where it is one stop brighter than inverse square.
 */
reach_m: number | null, 
/**
 * Share below which it does not fall.
 */
floor_share: number, 
/**
 * Share of its light that falls on the ground of the backdrop.
 */
spill_share: number, };

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
export type LevelReport = { 
/**
 * What it is called.
 */
name: string, 
/**
 * Above the ground under the camera.
 */
height_m: number, 
/**
 * `dry` or `water`.
 */
surface: string, };

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
 * Something that nobody has said yet.
 */
export type Missing = { 
/**
 * What.
 */
what: string, 
/**
 * What is assumed meanwhile.
 */
assumed: string, 
/**
 * The option that says it.
 */
option: string, 
/**
 * Whether pieces stand wrongly without it; else only their look depends on it.
 */
needed: boolean, };

/**
 * What a glass shows.
 */
export type Of = { "what": "top" } | { "what": "leaf", 
/**
 * The take; none is the picture itself.
 */
take: number | null, } | { "what": "strength", 
/**
 * The treatment's number.
 */
treatment: number, 
/**
 * Its strength.
 */
percent: number, } | { "what": "wash", 
/**
 * The treatment's number.
 */
treatment: number, } | { "what": "backdrop" } | { "what": "cut_out", 
/**
 * Its number.
 */
cutout: number, 
/**
 * What it is laid on.
 */
on: On, };

/**
 * What a cut-out is laid on, to be looked at.
 */
export type On = "velvet" | "grey_card" | "white_paper" | "lith" | "shot";

/**
 * A paper.
 */
export type PaperReport = { 
/**
 * What it was called.
 */
name: string, 
/**
 * Its file in the folder `rights`.
 */
file: string, 
/**
 * Its length.
 */
bytes: number, 
/**
 * The artist's remark; may be empty.
 */
note: string, };

/**
 * What a characteristic curve prints of a tone, by its strength.
 */
export type PrintedTone = { 
/**
 * The tone, in stops from mid-grey.
 */
at_stops: number, 
/**
 * The print's, in stops from mid-grey.
 */
prints_stops: number, 
/**
 * Stops of the print to a stop of the tone.
 */
slope: number, 
/**
 * Code of the tone on a screen, sRGB.
 */
code: number, 
/**
 * Code of the print on a screen, sRGB.
 */
prints_code: number, };

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
 * A picture in the rack.
 */
export type Racked = { 
/**
 * Its folder's name.
 */
folder: string, 
/**
 * What it is called; none where it cannot be read.
 */
title: string | null, 
/**
 * Its width.
 */
width_px: number, 
/**
 * Its height.
 */
height_px: number, 
/**
 * How many pieces are in it.
 */
pieces: number, 
/**
 * When it was last changed.
 */
kept: string | null, };

/**
 * What is known of a picture's backdrop and stage.
 */
export type ReadingReport = { 
/**
 * What the picture is called.
 */
picture: string, 
/**
 * Its own width.
 */
width_px: number, 
/**
 * Its own height.
 */
height_px: number, 
/**
 * Pixels per inch of its print, where that has a size.
 */
ppi: number | null, 
/**
 * Its working primaries.
 */
primaries: string, 
/**
 * The photograph, once there is one.
 */
backdrop: BackdropReport | null, 
/**
 * The camera.
 */
camera: CameraReport, 
/**
 * Visibility, if there is haze.
 */
visibility_m: number | null, 
/**
 * Colour of the farthest distance, if there is haze.
 */
haze_rgb: [number, number, number] | null, 
/**
 * How much the daylight is taken down, in stops, and cooler, in mired.
 */
dusk: [number, number], 
/**
 * Whether the sun shines.
 */
has_sun: boolean, 
/**
 * The sun, if it shines.
 */
sun: SunReport | null, 
/**
 * Light of the sky on a level card.
 */
sky_level: GlowReport, 
/**
 * Light of the sky on an upright card.
 */
sky_upright: GlowReport, 
/**
 * Share of light that the ground returns.
 */
ground_rgb: [number, number, number], 
/**
 * Where the sky is known from: `given` or `assumed`.
 */
sky_from: string, 
/**
 * The ground's levels.
 */
levels: Array<LevelReport>, 
/**
 * What is still as assumed.
 */
missing: Array<Missing>, };

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
 * The glass it is seen through.
 */
glass: number, 
/**
 * Where its codes lie: left, top, right, bottom, in screen pixels of the view it was asked for.
 */
part: [number, number, number, number], 
/**
 * Screen pixels that one of its pixels is wide: 1, or more where it is coarse; 0 for a sketch of its own size.
 */
coarse: number, 
/**
 * Its own width and height.
 */
size: [number, number], 
/**
 * Screen pixels to a picture pixel, as the view asked.
 */
scale: number, 
/**
 * The last line of the journal that it shows.
 */
number: number, 
/**
 * Whether it shows something that is tried, about which nothing was decided.
 */
is_tried: boolean, };

/**
 * How much of a picture lies at a step of the wedge.
 */
export type Share = { 
/**
 * The step, in stops from mid-grey; the outer ones take in all beyond them.
 */
at_stops: number, 
/**
 * Share of the picture.
 */
share: number, };

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
 * The picture as it is now, as the leaf on top shows it.
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
 * The take on top; none is the picture itself.
 */
take: number | null, 
/**
 * Its takes.
 */
takes: Array<TakeReport>, 
/**
 * Its pieces' cards, nearest first.
 */
pieces: Array<Card>, 
/**
 * Its three views.
 */
projection: Projection | null, 
/**
 * Its cut-outs.
 */
cutouts: Array<FactsReport>, 
/**
 * What was done by hand on each of them, in the same order.
 */
handwork: Array<HandworkReport>, 
/**
 * Its lamps.
 */
lamps: Array<LampReport>, 
/**
 * Its toning card, in the order of the light's way.
 */
toning: Array<TreatmentReport>, 
/**
 * Its set dressings.
 */
dressings: Array<DressingReport>, 
/**
 * Receipts, licences and releases kept with it.
 */
papers: Array<PaperReport>, 
/**
 * What is known of its backdrop and stage.
 */
reading: ReadingReport | null, 
/**
 * What was done to it last.
 */
log: Array<LogLine>, 
/**
 * Whether there is something to take back.
 */
can_undo: boolean, 
/**
 * Whether there is something to do again.
 */
can_redo: boolean, 
/**
 * Whether there is a rack to lay it back into.
 */
has_rack: boolean, };

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
 * A stretch of the edge.
 */
export type StretchReport = { 
/**
 * Where it is in the shot.
 */
shot_px: [number, number], 
/**
 * Where it is in the picture.
 */
picture_px: [number, number], 
/**
 * How long it is in the picture.
 */
length_px: number, 
/**
 * The share of it that nothing nearer covers, and that is in the picture.
 */
seen_share: number, 
/**
 * Diameter of its blur disc in the picture.
 */
blur_px: number, 
/**
 * Pixels of the picture to one of the shot.
 */
size_factor: number, 
/**
 * What defocus leaves of an error's steepness.
 */
sharp_share: number, 
/**
 * How far the piece differs from what is behind it there, on the eye's scale.
 */
contrast_share: number, 
/**
 * Pixels of edge times what is seen, sharp, and contrast.
 */
attention: number, };

/**
 * A stroke of a cut-out.
 */
export type StrokeReport = { 
/**
 * Its number, from 1.
 */
number: number, 
/**
 * What it says.
 */
says: string, 
/**
 * The radius it softens by.
 */
radius_px: number | null, 
/**
 * Whether it goes round an area.
 */
area: boolean, 
/**
 * How many points it has.
 */
points: number, 
/**
 * Left, top, right and bottom of its points.
 */
bounds_px: [number, number, number, number], 
/**
 * Share of its radius over which it fades out.
 */
soft: number, 
/**
 * How much of it is done.
 */
strength: number, };

/**
 * The sun.
 */
export type SunReport = { 
/**
 * 0 is straight ahead, positive to the right.
 */
bearing_deg: number, 
/**
 * Above the horizon.
 */
height_deg: number, 
/**
 * How wide it appears.
 */
diameter_deg: number, 
/**
 * On a card square to it.
 */
light: GlowReport, };

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
 * A take.
 */
export type TakeReport = { 
/**
 * Its number.
 */
take: number, 
/**
 * What it is called.
 */
name: string, 
/**
 * What its blur discs are multiplied by.
 */
depth_factor: number, 
/**
 * Its changes, as sentences, in order.
 */
changes: Array<string>, 
/**
 * Those that no longer fit the picture, and why.
 */
passed_over: Array<string>, };

/**
 * A message to the page.
 */
export type Tell = { "tell": "sheet" } & Sheet | { "tell": "rack", 
/**
 * By the names of their folders.
 */
pictures: Array<Racked>, } | { "tell": "done", 
/**
 * The number of the message.
 */
n: number, 
/**
 * What was done, in a sentence.
 */
says: string, 
/**
 * What is odd about it.
 */
notes: Array<string>, } | { "tell": "refused", 
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
piece: number | null, } | { "tell": "ground", 
/**
 * The number of the message.
 */
n: number, 
/**
 * To the right and away, where there is ground.
 */
at_m: [number, number] | null, } | { "tell": "wedge", 
/**
 * The number of the message.
 */
n: number, 
/**
 * From the darkest on.
 */
shares: Array<Share>, } | { "tell": "edge", 
/**
 * The number of the message.
 */
n: number, 
/**
 * The stretches.
 */
stretches: Array<StretchReport>, } | { "tell": "doubts", 
/**
 * The number of the message.
 */
n: number, 
/**
 * What is.
 */
doubts: Array<DoubtReport>, } | { "tell": "going", 
/**
 * The number of the message.
 */
n: number, 
/**
 * 0 to 1.
 */
share: number, } | { "tell": "tried", 
/**
 * The number of the message.
 */
n: number, 
/**
 * The picture shows it already, if it ever will: the next may be tried.
 */
is_seen: boolean, 
/**
 * The cards of the pieces that it is about.
 */
cards: Array<Card>, 
/**
 * The views.
 */
projection: Projection | null, 
/**
 * The toning card.
 */
toning: Array<TreatmentReport>, 
/**
 * The set dressings.
 */
dressings: Array<DressingReport>, };

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
 * A treatment of the toning card.
 */
export type TreatmentReport = { 
/**
 * Its number.
 */
treatment: number, 
/**
 * What it does.
 */
does: string, 
/**
 * `lens`, `film` or `print`.
 */
step: string, 
/**
 * Its place among those of its step, from 1.
 */
place: number, 
/**
 * What it is told, in words.
 */
told: string, 
/**
 * How much of it, 0 to 1.
 */
strength_share: number, 
/**
 * Where it works, in words; empty is everywhere.
 */
where: Array<string>, 
/**
 * The same, as options of its command; none for a dodging card, which is painted.
 */
where_options: Array<Array<string>>, 
/**
 * Its dodging card.
 */
card: CardReport | null, 
/**
 * The numbers it is told.
 */
figures: Array<FigureReport>, 
/**
 * The colours it is told, linear RGB.
 */
colours: Array<ColourReport>, 
/**
 * Characteristic curve: the steps that are pulled, and by how much, in stops.
 */
pulled_stops: Array<[number, number]>, 
/**
 * Characteristic curve: what it prints of each tone, darkest first.
 */
curve: Array<PrintedTone>, };

/**
 * Something to look at.
 */
export type View = { 
/**
 * What.
 */
of: Of, 
/**
 * In the colours of Display P3, for a screen that has them; in those of sRGB otherwise.
 */
is_wide: boolean, 
/**
 * Screen pixels to a pixel of it.
 */
scale: number, 
/**
 * Left, top, right, bottom, in screen pixels from its corner.
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

/**
 * A word of the command line.
 */
export type Word = string | HandedIn;
