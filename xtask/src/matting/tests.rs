//! The measures against those of another program, on real pictures and on small ones.

use super::figures::{Grey, figures};
use super::truth::{self, Case};
use cutting::matting::Sure;
use pixels::Budget;
use serde::Deserialize;
use std::path::PathBuf;

/// A folder of the truth data; where it is not there, the test says so.
fn truth_of(folder: &str, what: &str) -> Option<PathBuf> {
    let Some(truth) = std::env::var_os("SETPIECE_TRUTH") else {
        println!("skipped: {what} (SETPIECE_TRUTH not set)");
        return None;
    };
    let folder = PathBuf::from(truth).join(folder);
    if !folder.exists() {
        println!("skipped: {what} (no {})", folder.display());
        return None;
    }
    Some(folder)
}

/// The trimap under an even square of 21 pixels, in 16-bit codes of whole numbers, so that any program makes the same.
fn softened(case: &Case) -> Grey {
    const REACH: usize = 10;
    const AREA: u64 = 21 * 21;
    let (w, h) = (case.picture.width(), case.picture.height());
    let codes: Vec<u64> = case
        .trimap
        .cells()
        .iter()
        .map(|sure| match sure {
            Sure::Outside => 0,
            Sure::Between => 128,
            Sure::Inside => 255,
        })
        .collect();
    let near = |i: usize, k: usize, length: usize| (i + k).saturating_sub(REACH).min(length - 1);
    let across: Vec<u64> =
        (0..w * h).map(|i| (0..=2 * REACH).map(|k| codes[i / w * w + near(i % w, k, w)]).sum()).collect();
    let both =
        (0..w * h).map(|i| (0..=2 * REACH).map(|k| across[near(i / w, k, h) * w + i % w]).sum::<u64>());
    let code = |(sum, sure): (u64, &Sure)| match sure {
        Sure::Outside => 0.0,
        Sure::Between => ((sum * 257 + AREA / 2) / AREA) as f64 / 65535.0,
        Sure::Inside => 1.0,
    };
    Grey { width: w, values: both.zip(case.trimap.cells()).map(code).collect() }
}

#[test]
fn real_pictures_as_another_program_has_them() {
    let Some(sets) = truth_of("matting", "measures of mattes against another program's") else { return };
    // By NumPy 2.4, SciPy 1.17 and Pillow 13: correlate1d for the filters, label for the regions.
    let known = [
        (
            "alphamatting",
            "trimap1",
            "GT01",
            [13.06171705195697, 0.12297194638705751, 32.690074599843804, 14.196006500343326],
        ),
        (
            "alphamatting",
            "trimap1",
            "GT13",
            [53.96659015793088, 0.15432028002825915, 146.74333227049803, 58.03274403753719],
        ),
        (
            "alphamatting",
            "trimap2",
            "GT27",
            [58.017240085450524, 0.18013418991011718, 64.1202633950102, 60.3816848096437],
        ),
        (
            "composed",
            "trimap",
            "lemur-on-grey",
            [8.044031769283588, 0.10342892029206456, 9.253330284289387, 8.678555458915081],
        ),
    ];
    for (set, trimap, name, expected) in known {
        let case = truth::read(&sets.join(set), trimap, name, &Budget::of_bytes(1 << 30)).unwrap();
        let f = figures(&softened(&case), &case.truth, &case.between());
        for (found, expected) in [f.sad, f.mse, f.grad, f.conn].into_iter().zip(expected) {
            assert!((found / expected - 1.0).abs() < 1e-9, "{set} {trimap} {name}: {found}, not {expected}");
        }
    }
}

#[derive(Deserialize)]
struct Small {
    cases: Vec<SmallCase>,
}

#[derive(Deserialize)]
struct SmallCase {
    name: String,
    width: usize,
    alpha_codes_255: Vec<Vec<u8>>,
    truth_codes_255: Vec<Vec<u8>>,
    trimap: Vec<Vec<u8>>,
    expected: Expected,
}

#[derive(Deserialize)]
struct Expected {
    sad: f64,
    mse: f64,
    connectivity_joint: f64,
}

#[test]
fn small_mattes_as_another_program_has_them() {
    let file = truth_of("checks/matting_metrics.json", "measures of small mattes against another program's");
    let Some(file) = file else { return };
    // By NumPy, SciPy and scikit-image; its gradient has other filters.
    let small: Small = serde_json::from_str(&std::fs::read_to_string(file).unwrap()).unwrap();
    assert!(!small.cases.is_empty());
    for case in small.cases {
        let grey = |codes: &[Vec<u8>]| Grey {
            width: case.width,
            values: codes.concat().into_iter().map(|c| f64::from(c) / 255.0).collect(),
        };
        let between: Vec<bool> = case.trimap.concat().into_iter().map(|c| c == 128).collect();
        let f = figures(&grey(&case.alpha_codes_255), &grey(&case.truth_codes_255), &between);
        let Expected { sad, mse, connectivity_joint } = case.expected;
        for (found, expected) in [(f.sad * 1000.0, sad), (f.mse, mse), (f.conn * 1000.0, connectivity_joint)]
        {
            assert!((found - expected).abs() < 1e-9, "{}: {found}, not {expected}", case.name);
        }
    }
}
