//! Where a treatment works, as one would say it.

use crate::{Clause, PieceId, Place, Scene, figure};
use std::collections::BTreeSet;
use units::{Degrees, Metres, Stops};

impl Clause {
    /// What it says: "within 4 m of lantern, soft over 2 m".
    #[must_use]
    pub fn sentence(&self, scene: &Scene) -> String {
        let place = |place: &Place| match place {
            Place::Piece(id) => scene.called(*id),
            Place::Practical(id) => {
                scene.practicals().get(id).map_or_else(|| id.to_string(), |p| p.name.clone())
            }
            Place::Point(p) => p.vector().0.map(figure).join(","),
        };
        let names =
            |ids: &BTreeSet<PieceId>| ids.iter().map(|id| scene.called(*id)).collect::<Vec<_>>().join(", ");
        let signed =
            |v: &Stops| if v.get() < 0.0 { figure(v.get()) } else { format!("+{}", figure(v.get())) };
        let metres = |v: &Metres| format!("{} m", figure(v.get()));
        // A hard edge is said by saying nothing.
        let soft = |is: bool, over: String| if is { format!(", soft over {over}") } else { String::new() };
        let soft_metres = |v: &Metres| soft(*v > Metres::ZERO, metres(v));
        let soft_stops = |v: &Stops| soft(*v > Stops::ZERO, format!("{} stops", figure(v.get())));
        match self {
            Clause::OnPieces(ids) => format!("on {}", names(ids)),
            Clause::NotOnPieces(ids) => format!("not on {}", names(ids)),
            Clause::OnSubject => "on the subject".to_owned(),
            Clause::NotOnSubject => "not on the subject".to_owned(),
            Clause::Within { of, distance, soft } => {
                format!("within {} of {}{}", metres(distance), place(of), soft_metres(soft))
            }
            Clause::Beyond { of, distance, soft } => {
                format!("beyond {} of {}{}", metres(distance), place(of), soft_metres(soft))
            }
            Clause::BehindDepth { depth, soft } => format!("behind {}{}", metres(depth), soft_metres(soft)),
            Clause::BeforeDepth { depth, soft } => format!("before {}{}", metres(depth), soft_metres(soft)),
            Clause::Tones { from, to, soft } => {
                let range = match (from, to) {
                    (None, Some(to)) => format!("below {}", signed(to)),
                    (Some(from), None) => format!("above {}", signed(from)),
                    (Some(from), Some(to)) => format!("{}..{}", signed(from), signed(to)),
                    (None, None) => "..".to_owned(),
                };
                format!("tones {range} stops{}", soft_stops(soft))
            }
            Clause::Hues { centre, width, soft: over } => {
                let (width, centre) = (figure(width.get()), figure(centre.get()));
                let over = soft(*over > Degrees::ZERO, format!("{}°", figure(over.get())));
                format!("hues {width}° wide around {centre}°{over}")
            }
            Clause::Gradient { from, to } => {
                let place = |p: &[f64; 2]| {
                    format!("{} %, {} %", figure((p[0] * 100.0).round()), figure((p[1] * 100.0).round()))
                };
                format!("rising from {} to {} of width and height", place(from), place(to))
            }
            Clause::Card { of: None, .. } => "on the dodging card".to_owned(),
            Clause::Card { of: Some(id), .. } => {
                format!("on the dodging card fixed to {}", scene.called(*id))
            }
        }
    }
}
