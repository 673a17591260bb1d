//! What names something that is kept: all it depends on, and nothing else.

use staging::layout::{Aperture, Cut, Mixing};
use units::{Digester, Mat3, Primaries, PxRect};

/// The pixels of a cut-out, in these primaries.
pub(super) fn cut(d: &mut Digester, cut: Cut, primaries: Primaries) {
    d.text(&format!("{primaries:?}")).digest(&cut.shot);
    for part in [&cut.matte, &cut.colour, &cut.handwork] {
        match part {
            Some(part) => d.number(1).digest(part),
            None => d.number(0),
        };
    }
    d.number(u64::from(cut.mixing == Mixing::Add));
}

pub(super) fn mapping(d: &mut Digester, m: &Mat3) {
    m.0.iter().flatten().for_each(|v| {
        d.float(*v);
    });
}

pub(super) fn aperture(d: &mut Digester, aperture: Aperture) {
    match aperture {
        Aperture::Disc => d.number(0),
        Aperture::Blades(b) => d.number(u64::from(b.count())).float(b.turn().get()).float(b.roundness()),
    };
}

pub(super) fn place(d: &mut Digester, r: PxRect) {
    [r.x0(), r.y0(), r.x1(), r.y1()].iter().for_each(|v| {
        d.number(*v as u64);
    });
}
