//! What of a picture must be drawn anew where only some of it has changed: for what follows a hand.

use crate::fast::{footprint, reach, shadow_footprint};
use staging::layout::{Drawn, Keeps, Layout, Mask, Shadow, Tone};
use std::collections::{BTreeMap, BTreeSet};
use units::PxRect;

/// The part of a picture outside of which two layouts of the same size are drawn alike, bit for bit; the whole where that cannot be
/// told from the layouts.
#[must_use]
pub fn changed(before: &Layout, after: &Layout) -> PxRect {
    let whole = after.size.rect();
    if !is_same_around(before, after) {
        return whole;
    }
    let resampling = after.resampling;
    let shadow = |s: &Shadow| shadow_footprint(s, resampling);
    let shadows = differing(
        (&before.shadows, &after.shadows),
        |s| (s.piece, s.of, s.is_faint),
        |i, j| before.shadows[i] == after.shadows[j],
    );
    let pieces = differing(
        (&before.pieces, &after.pieces),
        |p| p.piece,
        |i, j| {
            let weights = before.fields.iter().zip(&after.fields);
            before.pieces[i] == after.pieces[j]
                && weights.into_iter().all(|(b, a)| b.pieces[i] == a.pieces[j])
        },
    );
    let places = shadows.into_iter().map(shadow).chain(pieces.into_iter().map(|p| shown(p, after)));
    let own = places.fold(PxRect::EMPTY, PxRect::union);
    if own.is_empty() {
        return PxRect::EMPTY;
    }
    // The mean light is everybody's.
    if after.toning.iter().any(|t| matches!(t.tone, Tone::Veil { held: None, .. })) {
        return whole;
    }
    own.grow(reach(&after.toning)).intersect(whole)
}

/// Whether all is the same but for what stands in the picture.
fn is_same_around(before: &Layout, after: &Layout) -> bool {
    let grounds = |l: &Layout| l.fields.iter().map(|f| f.ground.clone()).collect::<Vec<_>>();
    before.size == after.size
        && before.primaries == after.primaries
        && before.resampling == after.resampling
        && before.ground == after.ground
        && before.daylight == after.daylight
        && before.pools == after.pools
        && before.toning == after.toning
        && grounds(before) == grounds(after)
}

/// Where a piece can be seen.
fn shown(piece: &Drawn, layout: &Layout) -> PxRect {
    let inside = piece.masks.iter().filter(|m| m.keeps == Keeps::Inside);
    inside.map(region).fold(footprint(piece, layout.resampling), PxRect::intersect)
}

/// Where the inside of a mask can count.
fn region(mask: &Mask) -> PxRect {
    let soft = mask.softness.max(1.0) / 2.0 + 1.0;
    let corners = mask.polygons.iter().flatten().map(|[x, y]| {
        let lo = |v: &f64| (v - soft).floor() as i64;
        let hi = |v: &f64| (v + soft).ceil() as i64;
        PxRect::new(lo(x), lo(y), hi(x), hi(y))
    });
    corners.fold(PxRect::EMPTY, PxRect::union)
}

/// What stands in one of two lists and not in the other, or stands in another order: all that must be taken out of both for them to be
/// the same.
fn differing<'a, T, N: Ord>(
    (before, after): (&'a [T], &'a [T]),
    name: impl Fn(&T) -> N,
    is_same: impl Fn(usize, usize) -> bool,
) -> Vec<&'a T> {
    let mut named = BTreeMap::<N, Vec<usize>>::new();
    for (j, a) in after.iter().enumerate() {
        named.entry(name(a)).or_default().push(j);
    }
    // Each that stands in both: its places there. Of several alike each is taken once.
    let mut both = Vec::new();
    for (i, b) in before.iter().enumerate() {
        let Some(left) = named.get_mut(&name(b)) else { continue };
        if let Some(at) = left.iter().position(|j| is_same(i, *j)) {
            both.push((i, left.remove(at)));
        }
    }
    let (mut of_before, mut of_after) = (vec![false; before.len()], vec![false; after.len()]);
    for (i, j) in rising(&both) {
        (of_before[i], of_after[j]) = (true, true);
    }
    let missing =
        |all: &'a [T], kept: Vec<bool>| all.iter().zip(kept).filter(|(_, is_kept)| !is_kept).map(|(t, _)| t);
    missing(before, of_before).chain(missing(after, of_after)).collect()
}

/// The longest part of pairs, rising in the first, that rises in the second too (patience sorting; from memory).
fn rising(pairs: &[(usize, usize)]) -> Vec<(usize, usize)> {
    // For each length: the pair that ends the part of that length with the least second.
    let mut ends = Vec::<usize>::new();
    let mut previous = vec![None; pairs.len()];
    for (p, (_, j)) in pairs.iter().enumerate() {
        let length = ends.partition_point(|e| pairs[*e].1 < *j);
        previous[p] = length.checked_sub(1).map(|l| ends[l]);
        match ends.get_mut(length) {
            Some(end) => *end = p,
            None => ends.push(p),
        }
    }
    let mut at = ends.last().copied();
    let mut out = Vec::new();
    while let Some(p) = at {
        out.push(pairs[p]);
        at = previous[p];
    }
    out.reverse();
    out
}

/// What lies before somebody while a hand tries something: a picture that was drawn, then part by part what has changed of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Trail {
    seen: Layout,
    stale: PxRect,
}

/// What is to be drawn for a layout to be seen.
#[derive(Clone, PartialEq, Debug)]
pub struct Stroke {
    /// What is drawn.
    pub layout: Layout,
    /// The part that must be drawn.
    pub part: PxRect,
}

impl Trail {
    /// From a picture that is seen everywhere but in `stale`. Its means are held, best by [`Job::held`](crate::Job::held): as long as a
    /// hand moves, what it does not move stays as it is.
    #[must_use]
    pub const fn new(seen: Layout, stale: PxRect) -> Self {
        Self { seen, stale }
    }

    /// What must be drawn to show a layout.
    #[must_use]
    pub fn stroke(&self, mut layout: Layout) -> Stroke {
        for (now, seen) in layout.toning.iter_mut().zip(&self.seen.toning) {
            if let (Tone::Veil { held: now, .. }, Tone::Veil { held: seen, .. }) = (&mut now.tone, &seen.tone)
            {
                *now = *seen;
            }
        }
        self.keep_light(&mut layout);
        let part = changed(&self.seen, &layout).union(self.stale);
        Stroke { layout, part }
    }

    /// How light differs over pieces, the shadows of what does not move and the faintest of what does stay as they are seen until the
    /// hand rests: one lamp that moves would have every piece drawn anew, and a piece half the ground. How bright each piece is on the
    /// whole follows at once.
    fn keep_light(&self, layout: &mut Layout) {
        let seen: BTreeMap<_, &Drawn> = self.seen.pieces.iter().map(|p| (p.piece, p)).collect();
        let mut still = BTreeSet::new();
        for piece in &mut layout.pieces {
            let Some(before) = seen.get(&piece.piece).filter(|b| b.cut == piece.cut) else { continue };
            piece.lit.clone_from(&before.lit);
            if before.to_shot == piece.to_shot && before.disc == piece.disc {
                still.insert(piece.piece);
            }
        }
        let of = |s: &Shadow| (s.piece, s.of, s.is_faint);
        let before: BTreeMap<_, &Shadow> = self.seen.shadows.iter().map(|s| (of(s), s)).collect();
        for shadow in layout.shadows.iter_mut().filter(|s| s.is_faint || still.contains(&s.piece)) {
            if let Some(before) = before.get(&of(shadow)) {
                shadow.clone_from(before);
            }
        }
    }

    /// It was drawn.
    pub fn drawn(&mut self, stroke: Stroke) {
        *self = Self::new(stroke.layout, PxRect::EMPTY);
    }
}
