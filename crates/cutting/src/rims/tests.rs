//! Discs whose colour before the paper's light fell on them is known.

use super::*;
use units::PxRect;

fn budget() -> Budget {
    Budget::of_bytes(1 << 28)
}

fn place() -> PxRect {
    PxRect::new(-3, 4, 117, 124)
}

/// How far inside the disc's edge a pixel lies; less than 0 outside.
fn within(x: i64, y: i64) -> f32 {
    45.0 - (((x - 57).pow(2) + (y - 64).pow(2)) as f32).sqrt()
}

fn matte() -> Image<Coverage> {
    Image::from_fn(place(), &budget(), |x, y| Coverage((within(x, y) / 2.0 + 0.5).clamp(0.0, 1.0))).unwrap()
}

/// The thing's own brightness: strands from the middle outwards, as a share.
fn strands(x: i64, y: i64) -> f32 {
    1.0 + 0.15 * ((x * 5 + y * 3) % 7) as f32 / 6.0
}

fn picture(f: impl Fn(i64, i64) -> Rgb) -> Image<Rgb> {
    Image::from_fn(place(), &budget(), f).unwrap()
}

fn each() -> impl Iterator<Item = (i64, i64)> {
    let place = place();
    (place.y0()..place.y1()).flat_map(move |y| (place.x0()..place.x1()).map(move |x| (x, y)))
}

const OWN: [f32; 3] = [0.2, 0.1, 0.05];

#[test]
fn spilt_light_of_coloured_paper_is_taken_away() {
    let paper = Rgb([0.3, 0.5, 0.8]);
    let spill = |x, y| 0.2 * (1.0 - within(x, y).max(0.0) / 8.0).max(0.0);
    let clean = picture(|x, y| Rgb(OWN.map(|v| v * strands(x, y))));
    let seen = picture(|x, y| Rgb([0, 1, 2].map(|c| clean.at(x, y).0[c] + spill(x, y) * paper.0[c])));
    let at = |strength| {
        without_cast(&seen, &matte(), |_, _| paper, Band::new(12.0, strength).unwrap(), &budget()).unwrap()
    };
    let off = |image: &Image<Rgb>| {
        let rim = each().filter(|(x, y)| (0.0..8.0).contains(&within(*x, *y)));
        rim.map(|(x, y)| (image.at(x, y).0[2] - clean.at(x, y).0[2]).abs()).sum::<f32>()
    };
    let (all, half) = (at(1.0), at(0.5));
    assert!(off(&all) < 0.25 * off(&seen), "{} of {}", off(&all), off(&seen));
    assert!((off(&half) / off(&seen) - 0.5).abs() < 0.15, "{}", off(&half) / off(&seen));
    // Half strength lies half way, and where the band ends nothing is changed.
    for (x, y) in each() {
        for c in 0..3 {
            let between = 0.5 * (seen.at(x, y).0[c] + all.at(x, y).0[c]);
            assert!((half.at(x, y).0[c] - between).abs() < 0.02);
        }
        assert!(within(x, y) < 13.0 || all.at(x, y) == seen.at(x, y));
        assert!(all.at(x, y).0.iter().all(|v| *v >= 0.0));
    }
}

#[test]
fn paper_of_the_things_own_hue_takes_nothing_away() {
    let seen = picture(|x, y| Rgb([0.3 * strands(x, y); 3]));
    let band = Band::new(12.0, 1.0).unwrap();
    let found = without_cast(&seen, &matte(), |_, _| Rgb([0.9; 3]), band, &budget()).unwrap();
    assert_eq!(found.pixels(), seen.pixels());
}

/// The disc with a rim three times as bright, three pixels wide.
fn lit() -> Image<Rgb> {
    picture(|x, y| Rgb(OWN.map(|v| v * strands(x, y) * if within(x, y) < 3.0 { 3.0 } else { 1.0 })))
}

#[test]
fn a_bright_rim_is_brought_down_to_what_is_inside_and_keeps_hue_and_strands() {
    let (seen, mean) = (lit(), 1.075);
    let found = calmed(&seen, &matte(), Band::new(6.0, 1.0).unwrap(), &budget()).unwrap();
    let rim: Vec<(i64, i64)> = each().filter(|(x, y)| (0.0..2.0).contains(&within(*x, *y))).collect();
    let level = rim.iter().map(|(x, y)| found.at(*x, *y).0[0]).sum::<f32>() / rim.len() as f32 / OWN[0];
    assert!((level / mean - 1.0).abs() < 0.1, "{level}");
    for (x, y) in &rim {
        let [r, g, b] = found.at(*x, *y).0;
        assert!((r / g - 2.0).abs() < 1e-4 && (g / b - 2.0).abs() < 1e-4, "the hue stays");
        // Detail is scaled with its rim, not evened out.
        let detail = (r / OWN[0] / level) / (strands(*x, *y) / mean);
        assert!((detail - 1.0).abs() < 0.12, "{detail}");
    }
    for (x, y) in each().filter(|(x, y)| within(*x, *y) > 7.0) {
        assert_eq!(found.at(x, y), seen.at(x, y));
    }
}

#[test]
fn a_dark_rim_and_strength_nought_change_nothing() {
    let dark = picture(|x, y| Rgb(OWN.map(|v| v * if within(x, y) < 3.0 { 0.4 } else { 1.0 })));
    let band = Band::new(6.0, 1.0).unwrap();
    let found = calmed(&dark, &matte(), band, &budget()).unwrap();
    assert!(each().filter(|(x, y)| within(*x, *y) < 2.0).all(|(x, y)| found.at(x, y) == dark.at(x, y)));
    let none = Band::new(6.0, 0.0).unwrap();
    assert_eq!(calmed(&lit(), &matte(), none, &budget()).unwrap().pixels(), lit().pixels());
    let found = without_cast(&lit(), &matte(), |_, _| Rgb([0.1, 0.2, 0.9]), none, &budget()).unwrap();
    assert_eq!(found.pixels(), lit().pixels());
    // A thing that is nowhere deeper than the band has nothing further inside to go by.
    let wide = Band::new(60.0, 1.0).unwrap();
    assert_eq!(calmed(&lit(), &matte(), wide, &budget()).unwrap().pixels(), lit().pixels());
    assert_eq!((Band::new(0.5, 1.0), Band::new(6.0, -0.1), Band::new(f64::NAN, 1.0)), (None, None, None));
}

#[test]
fn the_same_bits_by_any_number_of_threads() {
    let both = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let band = Band::new(8.0, 0.8).unwrap();
        pool.install(|| {
            let first = without_cast(&lit(), &matte(), |_, _| Rgb([0.1, 0.2, 0.9]), band, &budget()).unwrap();
            calmed(&first, &matte(), band, &budget()).unwrap()
        })
    };
    assert_eq!(both(1).pixels(), both(3).pixels());
    assert!(calmed(&lit(), &matte(), Band::new(8.0, 1.0).unwrap(), &Budget::of_bytes(1 << 17)).is_err());
}
