//! Published values of compositing (W3C Compositing and Blending Level 1; Porter and Duff 1984), against every kernel that lays
//! light over light. Operators that no picture needs are not in the product; their rows are counted, not used.

use pixels::kernel::{lay, over};
use pixels::{Rgb, Rgba};
use std::collections::BTreeMap;

/// The kernels compute in single precision; the table has ten digits.
const TOLERANCE: f64 = 1e-6;

struct Row {
    operator: String,
    source: [f64; 4],
    backdrop: [f64; 4],
    /// Premultiplied.
    out: [f64; 4],
}

fn rows() -> Vec<Row> {
    let text = include_str!("../data/compositing.csv");
    let mut table = csv::Reader::from_reader(text.as_bytes());
    table
        .records()
        .map(|record| {
            let record = record.unwrap();
            let four = |from: usize| [0, 1, 2, 3].map(|i| record[from + i].parse::<f64>().unwrap());
            Row { operator: record[0].to_owned(), source: four(1), backdrop: four(5), out: four(9) }
        })
        .collect()
}

fn premultiplied([r, g, b, a]: [f64; 4]) -> Rgba {
    Rgba([r * a, g * a, b * a, a].map(|v| v as f32))
}

fn opaque(of: Rgba) -> Rgb {
    Rgb([of.0[0], of.0[1], of.0[2]])
}

#[track_caller]
fn close(kernel: &str, got: &[f32], expected: &[f64]) {
    for (g, e) in got.iter().zip(expected) {
        assert!((f64::from(*g) - e).abs() < TOLERANCE, "{kernel}: {got:?}, expected {expected:?}");
    }
}

/// As it is on a piece in plain light and clear air.
const PLAIN: lay::Light = lay::Light { gain: [1.0; 3], veil: [0.0; 3] };

#[test]
fn laying_light_over_light_gives_the_published_values() {
    let mut used = BTreeMap::<&str, usize>::new();
    let mut left_out = 0;
    for row in rows() {
        let (source, backdrop) = (premultiplied(row.source), premultiplied(row.backdrop));
        match row.operator.as_str() {
            "source-over" => {
                let mut out = [backdrop];
                over::over_covered(&[source], &mut out);
                close("over_covered", &out[0].0, &row.out);
                *used.entry("over, on coverage").or_default() += 1;
                if row.backdrop[3] == 1.0 {
                    let (mut out, mut lit) = ([opaque(backdrop)], [opaque(backdrop)]);
                    over::over(&[source], &mut out);
                    close("over", &out[0].0, &row.out[..3]);
                    lay::over(&[source], &PLAIN, &mut lit);
                    close("lay::over", &lit[0].0, &row.out[..3]);
                    *used.entry("over, on an opaque picture").or_default() += 1;
                }
            }
            "lighter" => {
                // The standard ends at 1, light does not; no row's light is that much.
                assert!(row.out[..3].iter().all(|v| *v <= 1.0));
                let (mut out, mut lit) = ([opaque(backdrop)], [opaque(backdrop)]);
                over::add(&[source], &mut out);
                close("add", &out[0].0, &row.out[..3]);
                lay::add(&[source], &PLAIN, &mut lit);
                close("lay::add", &lit[0].0, &row.out[..3]);
                *used.entry("add").or_default() += 1;
            }
            _ => left_out += 1,
        }
    }
    println!("rows used: {used:?}; rows of operators that are not in the product: {left_out}");
    let expected = [("add", 7), ("over, on an opaque picture", 6), ("over, on coverage", 14)];
    assert_eq!(used, BTreeMap::from(expected));
}

#[test]
fn light_and_haze_act_on_a_piece_before_it_is_laid() {
    // By hand: half covered, colour 0.2 premultiplied, gain 2, veil 0.3, on 0.4: 0.2 * 2 + 0.5 * 0.3 + 0.5 * 0.4.
    let light = lay::Light { gain: [2.0; 3], veil: [0.3; 3] };
    let mut out = [Rgb([0.4; 3])];
    lay::over(&[Rgba([0.2, 0.2, 0.2, 0.5])], &light, &mut out);
    close("lay::over", &out[0].0, &[0.75; 3]);
}
