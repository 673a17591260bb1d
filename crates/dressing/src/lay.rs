//! Lays a rule: where its pieces stand, and what each shows.

use crate::chance::{Chance, Matter};
use crate::choice::{ATTEMPTS, Choice, Choices, Look};
use crate::clear::Clear;
use crate::ground::{Ground, Place};
use crate::points::{Points, Ranks, Spot, Taken, drift, drifted, level_of, turn};
use crate::relay::as_laid;
use crate::silhouette::{self, Box4, Silhouette};
use optics::Point;
use scene::{Arrangement, Dressing, Mark, PieceId};
use staging::standing::{Stage, Standing};
use std::collections::{BTreeMap, BTreeSet};
use units::{Metres, math};

/// The most pieces that are laid where nobody says how many.
const MOST: usize = 2000;
/// So near to a piece others must not look like it: as a multiple of the spacing.
const NEIGHBOURS: f64 = 2.0;
/// A place this much thinned holds nothing.
const LEAST_SHARE: f64 = 0.01;

/// What stands already, or must be left as it is.
#[derive(Default)]
pub(crate) struct Before {
    /// Places with what they were given: they stay where they still fit.
    pub(crate) follows: BTreeMap<u64, Choice>,
    /// What is held by hand, and where: by its place.
    pub(crate) held: BTreeMap<u64, (Place, Choice)>,
    /// Whether the numbers of these places mean spots of this rule.
    pub(crate) same_places: bool,
}

/// What a place of the arrangement is given, and where it is.
pub(crate) struct Given {
    pub(crate) mark: Mark,
    pub(crate) choice: Choice,
}

/// A rule being laid.
struct Laying<'a> {
    stage: &'a Stage<'a>,
    rule: &'a Dressing,
    ground: Ground<'a>,
    clear: Clear,
    choices: Choices<'a>,
    level: Metres,
    picture: Box4,
    /// Half the width and the height of the largest thing it may lay.
    largest: (f64, f64),
    /// What stands, for its neighbours.
    points: Points,
    looks: Vec<Look>,
    given: BTreeMap<u64, Given>,
}

/// Lays a rule beside what stands already. Places that are held are not among the answer.
pub(crate) fn lay(
    stage: &Stage<'_>,
    rule: &Dressing,
    own: &BTreeSet<PieceId>,
    before: &Before,
) -> BTreeMap<u64, Given> {
    let foot = |id: PieceId| stage.feet.get(&id).map(|f| f.0);
    let Some(ground) = Ground::of(rule, foot) else { return BTreeMap::new() };
    let level = rule.level.and_then(|l| stage.scene.levels().get(&l)).map_or(Metres::ZERO, |l| l.height);
    let size = stage.scene.format().size;
    let mut laying = Laying {
        stage,
        rule,
        ground,
        clear: Clear::of(stage, rule, own),
        choices: Choices::of(stage.scene, rule),
        level,
        picture: Box4([0.0, f64::from(size.width()), 0.0, f64::from(size.height())]),
        largest: largest(stage, rule),
        points: Points::new(least(&rule.arrangement) * NEIGHBOURS),
        looks: Vec::new(),
        given: BTreeMap::new(),
    };
    laying.run(before);
    laying.given
}

/// Half the width and the height of the largest thing that a rule may lay, leaning whichever way.
fn largest(stage: &Stage<'_>, rule: &Dressing) -> (f64, f64) {
    let prop = |id| stage.scene.cutouts().get(&id).and_then(|c| c.prop.as_ref());
    // What faces something may show any view of its prop.
    let is_of =
        |id| rule.of.iter().any(|c| c.cutout == id || (prop(id).is_some() && prop(c.cutout) == prop(id)));
    let cuts = stage.measured.cuts.iter().filter(|(id, _)| is_of(**id));
    let sizes = cuts.filter_map(|(id, cut)| {
        let cutout = stage.scene.cutouts().get(id)?;
        let seen = staging::in_shot::seen(stage.scene, cutout, cut, rule.stance)?;
        let far = |v: f64| v / seen.per_metre;
        let (u, v) = seen.foot;
        let wide = far((cut.covered.x1() as f64 - u).abs().max((cut.covered.x0() as f64 - u).abs()));
        let high = far((v - cut.covered.y0() as f64).abs().max((v - cut.covered.y1() as f64).abs()));
        Some(math::hypot(wide, high) * rule.ranges.height.1.get())
    });
    let far = sizes.fold(0.0, f64::max);
    (far, far + rule.ranges.lift.1.get().abs().max(rule.ranges.lift.0.get().abs()))
}

/// The least distance that an arrangement allows.
fn least(arrangement: &Arrangement) -> f64 {
    match arrangement {
        Arrangement::Drift { spacing } => spacing.get(),
        Arrangement::Clumps { within, .. } => within.get(),
        Arrangement::Ranks { spacing, between, .. } => spacing.get().min(between.get()),
    }
}

/// Clumps: their middles, to be found by where they are, and their radii.
struct Clumps {
    middles: Points,
    all: Vec<(Place, f64)>,
    widest: f64,
}

impl Laying<'_> {
    fn run(&mut self, before: &Before) {
        let most = self.rule.number.map_or(MOST, |n| n as usize);
        for (at, choice) in before.held.values() {
            self.stands(*at, choice);
        }
        let way = self.rule.way;
        match self.rule.arrangement {
            Arrangement::Ranks { bearing, spacing, between, jitter } => {
                let ranks = Ranks::new(bearing.get(), (spacing.get(), between.get()), jitter, way);
                let mut there = Points::new(least(&self.rule.arrangement));
                before.held.values().for_each(|(at, _)| there.add(*at));
                let apart = least(&self.rule.arrangement) / 2.0;
                for spot in ranks.within(self.ground.bounds) {
                    if before.held.len() + self.given.len() >= most {
                        break;
                    }
                    let free = !before.held.contains_key(&spot.place) && there.is_free(spot.at, apart);
                    if free && self.stays(spot) {
                        self.take(spot, apart * 2.0, before.follows.get(&spot.place));
                    }
                }
            }
            Arrangement::Drift { .. } | Arrangement::Clumps { .. } => self.run_drift(before, most),
        }
    }

    /// Whether thinning leaves a place of a rank.
    fn stays(&self, spot: Spot) -> bool {
        self.ground.inside(spot.at).is_some_and(|inside| {
            Chance::of(self.rule.way, spot.place).share(Matter::Thin) < self.ground.density(spot.at, inside)
        })
    }

    fn run_drift(&mut self, before: &Before, most: usize) {
        let (way, least) = (self.rule.way, least(&self.rule.arrangement));
        let clumps = self.clumps();
        let mut there = Points::new(least);
        let mut standing: Vec<(Place, Option<u32>)> = Vec::new();
        for (place, (at, _)) in &before.held {
            there.add(*at);
            standing.push((*at, None));
            // The gap that something left was made by hand too.
            if before.same_places {
                standing.push((drifted(way, *place), Some(level_of(*place))));
            }
        }
        let mut count = before.held.len();
        // What stands and still fits stays; what came first goes last.
        let mut order: Vec<u64> = before.follows.keys().copied().collect();
        order.sort_by_key(|place| turn(way, *place));
        for place in order {
            let spot = Spot { place, at: drifted(way, place) };
            let Some(room) = apart_in(&self.ground, self.rule, clumps.as_ref(), spot.at) else { continue };
            if count >= most {
                break;
            }
            if there.is_free(spot.at, room) && self.take(spot, room, before.follows.get(&place)) {
                there.add(spot.at);
                standing.push((spot.at, Some(level_of(place))));
                count += 1;
            }
        }
        if count >= most {
            return;
        }
        // The spots are found by what is allowed where, and taken by what can stand there.
        let ground = Ground::of(self.rule, |id| self.stage.feet.get(&id).map(|f| f.0));
        let Some(ground) = ground else { return };
        let spacing = |at: Place| apart_in(&ground, self.rule, clumps.as_ref(), at);
        let known: BTreeSet<u64> = before.follows.keys().chain(before.held.keys()).copied().collect();
        drift(way, ground.bounds, least, &spacing, &standing, &mut |spot| {
            if count >= most {
                return Taken::Enough;
            }
            let room = spacing(spot.at).unwrap_or(least);
            if known.contains(&spot.place) || !self.take(spot, room, None) {
                return Taken::No;
            }
            count += 1;
            Taken::Yes
        });
    }

    /// Where the clumps are; `None` where there are none in the arrangement.
    fn clumps(&self) -> Option<Clumps> {
        let Arrangement::Clumps { spacing, width, .. } = self.rule.arrangement else { return None };
        // Their middles are laid another way than the pieces in them.
        let way = !self.rule.way;
        let apart = |at: Place| self.ground.inside(at).map(|_| spacing.get());
        let widest = width.get() / 2.0;
        let mut clumps = Clumps { middles: Points::new(widest), all: Vec::new(), widest };
        drift(way, self.ground.bounds, spacing.get(), &apart, &[], &mut |spot| {
            let wide = Chance::of(way, spot.place).between(Matter::Width, 0.7, 1.0);
            clumps.middles.add(spot.at);
            clumps.all.push((spot.at, wide * widest));
            if clumps.all.len() >= MOST { Taken::Enough } else { Taken::Yes }
        });
        Some(clumps)
    }

    /// Stands something on a spot, if it can stand there; `was` is what stood there before.
    fn take(&mut self, spot: Spot, room: f64, was: Option<&Choice>) -> bool {
        if !self.clear.lets_stand(spot.at) || !self.may_be_seen(spot.at) {
            return false;
        }
        let Some(choice) = self.choose(spot, room, was) else { return false };
        self.stands(spot.at, &choice);
        let mark = self.mark(spot.at, choice.lift);
        self.given.insert(spot.place, Given { mark, choice });
        true
    }

    fn mark(&self, at: Place, lift: Metres) -> Mark {
        let metres = |v: f64| Metres::new(v).unwrap_or_default();
        Mark { x: metres(at[0]), y: lift, z: metres(at[1]), level: self.rule.level }
    }

    /// What a spot is given: what stood there if it still fits; else its dearest wish that hides nothing and is not seen beside it
    /// already. `None` where whatever it is given would hide something, or nothing of it would be seen.
    fn choose(&self, spot: Spot, room: f64, was: Option<&Choice>) -> Option<Choice> {
        if let Some(was) = was.filter(|was| self.choices.may_give(spot.place, was))
            && self.seen(spot.at, was).is_some()
        {
            return Some(*was);
        }
        let near = self.points.near(spot.at, room * NEIGHBOURS);
        let neighbours: Vec<&Look> = near.into_iter().filter_map(|i| self.looks.get(i)).collect();
        let wishes = self.choices.wishes(spot.place);
        let given = |wish, attempt| self.choices.given(spot.place, wish, attempt);
        let is_new = |look: &Look| !neighbours.iter().any(|n| n.view == look.view);
        // Another photograph is worth more than another size.
        for wish in &wishes {
            // What faces something shows another view than it is asked for.
            let taken = self.rule.facing.is_none() && neighbours.iter().any(|n| n.view == *wish);
            let choice = given(*wish, 0);
            if !taken && self.seen(spot.at, &choice).is_some_and(|look| is_new(&look)) {
                return Some(choice);
            }
        }
        let mut first = None;
        for attempt in 0..ATTEMPTS {
            for wish in &wishes {
                let choice = given(*wish, attempt);
                let Some(look) = self.seen(spot.at, &choice) else { continue };
                if !neighbours.iter().any(|n| n.is_twin(&look)) {
                    return Some(choice);
                }
                first = first.or(Some(choice));
            }
            // Whatever it is given would hide something, or not be seen.
            first?;
        }
        first
    }

    /// Whether anything there could be seen at all: what cannot is not tried.
    fn may_be_seen(&self, at: Place) -> bool {
        let (half, high) = self.largest;
        let corners = [(-half, -high), (half, -high), (-half, high), (half, high)];
        let mut seen = [f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::NEG_INFINITY];
        for (right, up) in corners {
            // To either side of the line of sight, and straight up and down.
            let away = math::hypot(at[0], at[1]);
            let (rx, rz) = if away > 0.0 { (at[1] / away, -at[0] / away) } else { (1.0, 0.0) };
            let metres = |v: f64| Metres::new(v).unwrap_or_default();
            let place =
                Point::new(metres(at[0] + rx * right), self.level + metres(up), metres(at[1] + rz * right));
            // A corner behind the lens says nothing.
            let Some(p) = self.stage.frame.camera.project(place) else { return true };
            seen = [seen[0].min(p.u), seen[1].max(p.u), seen[2].min(p.v), seen[3].max(p.v)];
        }
        Box4(seen).meets(self.picture)
    }

    /// How a choice would look at a place. `None` where it would hide what must be seen, or not be seen itself.
    fn seen(&self, at: Place, choice: &Choice) -> Option<Look> {
        let standing = self.standing(at, choice)?;
        let cut = self.stage.measured.cuts.get(&standing.cutout)?;
        let shows = silhouette::around(&standing, cut)?.meets(self.picture)
            && self.clear.lets_see(&standing, || Silhouette::of(&standing, cut, None));
        shows.then(|| look(&standing, choice))
    }

    fn standing(&self, at: Place, choice: &Choice) -> Option<Standing> {
        let mark = self.mark(at, choice.lift);
        let foot = Point::new(mark.x, self.level + mark.y, mark.z);
        // No piece of the picture has this number.
        let id = PieceId::from_number(u64::MAX);
        let piece = as_laid(&choice.laid(id, mark, self.rule), String::new());
        self.stage.stand_at(id, &piece, (foot, self.level), &mut Vec::new())
    }

    fn stands(&mut self, at: Place, choice: &Choice) {
        let look = self.standing(at, choice).map(|standing| look(&standing, choice));
        let own = Look {
            view: (choice.cutout, choice.mirrored),
            size: choice.size.get(),
            lean: choice.lean.get(),
            turn: choice.turn.get(),
        };
        self.points.add(at);
        self.looks.push(look.unwrap_or(own));
    }
}

fn look(standing: &Standing, choice: &Choice) -> Look {
    Look {
        view: (standing.cutout, standing.mirrored),
        // As the picture shows it, so that two at different distances are compared rightly.
        size: standing.size.result * standing.height.get(),
        lean: choice.lean.get(),
        turn: choice.turn.get(),
    }
}

/// Least distance to the next piece at a place; `None` where nothing may stand.
fn apart_in(ground: &Ground<'_>, rule: &Dressing, clumps: Option<&Clumps>, at: Place) -> Option<f64> {
    let inside = ground.inside(at)?;
    let mut share = ground.density(at, inside);
    if let Some(clumps) = clumps {
        // Dense in the middle, loose at the rim.
        let from = |i: usize| {
            let (middle, radius) = clumps.all[i];
            math::hypot(at[0] - middle[0], at[1] - middle[1]) / radius
        };
        let near = clumps.middles.near(at, clumps.widest);
        let nearest = near.into_iter().map(from).fold(f64::INFINITY, f64::min);
        if nearest > 1.0 {
            return None;
        }
        share *= 1.0 - 0.75 * nearest * nearest;
    }
    (share >= LEAST_SHARE).then(|| least(&rule.arrangement) / share.sqrt())
}
