//! How different two colours look: CIE L*a*b* and CIEDE2000.

use units::Vec3;
use units::math::{atan2, cbrt, cos, degrees, exp, hypot, pow, radians, sin};

/// CIE L*a*b* of XYZ relative to a white (CIE 15:2004, 8.2.1), both with Y = 1 for the white.
#[must_use]
pub fn lab(xyz: Vec3, white: Vec3) -> Vec3 {
    let f = |t: f64| {
        let edge = 6.0_f64 / 29.0;
        if t > edge * edge * edge { cbrt(t) } else { t / (3.0 * edge * edge) + 4.0 / 29.0 }
    };
    let [x, y, z] = xyz.over(white).map(f).0;
    Vec3::new(116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z))
}

/// CIEDE2000 of two colours in CIE L*a*b*, weights 1 (CIE 142-2001; in the form of Sharma, Wu, Dalal 2005).
#[must_use]
pub fn ciede2000(one: Vec3, two: Vec3) -> f64 {
    let [l1, a1, b1] = one.0;
    let [l2, a2, b2] = two.0;
    let seventh = |c: f64| {
        let c7 = pow(c, 7.0);
        (c7 / (c7 + 6_103_515_625.0)).sqrt() // 25^7
    };
    let g = 0.5 * (1.0 - seventh(f64::midpoint(hypot(a1, b1), hypot(a2, b2))));
    let (a1, a2) = ((1.0 + g) * a1, (1.0 + g) * a2);
    let (c1, c2) = (hypot(a1, b1), hypot(a2, b2));
    let hue =
        |a: f64, b: f64| if a == 0.0 && b == 0.0 { 0.0 } else { degrees(atan2(b, a)).rem_euclid(360.0) };
    let (h1, h2) = (hue(a1, b1), hue(a2, b2));

    let (delta_l, delta_c) = (l2 - l1, c2 - c1);
    let grey = c1 * c2 == 0.0;
    let turn = h2 - h1;
    let delta_hue = match turn {
        _ if grey => 0.0,
        t if t > 180.0 => t - 360.0,
        t if t < -180.0 => t + 360.0,
        t => t,
    };
    let delta_h = 2.0 * (c1 * c2).sqrt() * sin(radians(delta_hue / 2.0));

    let (l, c) = (f64::midpoint(l1, l2), f64::midpoint(c1, c2));
    let h = match h1 + h2 {
        sum if grey => sum,
        sum if turn.abs() <= 180.0 => sum / 2.0,
        sum if sum < 360.0 => (sum + 360.0) / 2.0,
        sum => (sum - 360.0) / 2.0,
    };
    let wave = |k: f64, offset: f64| cos(radians(k * h + offset));
    let t = 1.0 - 0.17 * wave(1.0, -30.0) + 0.24 * wave(2.0, 0.0) + 0.32 * wave(3.0, 6.0)
        - 0.20 * wave(4.0, -63.0);
    let l50 = (l - 50.0) * (l - 50.0);
    let s_l = 1.0 + 0.015 * l50 / (20.0 + l50).sqrt();
    let s_c = 1.0 + 0.045 * c;
    let s_h = 1.0 + 0.015 * c * t;
    let theta = 30.0 * exp(-((h - 275.0) / 25.0) * ((h - 275.0) / 25.0));
    let r_t = -sin(radians(2.0 * theta)) * 2.0 * seventh(c);
    let (l, c, h) = (delta_l / s_l, delta_c / s_c, delta_h / s_h);
    (l * l + c * c + h * h + r_t * c * h).max(0.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_published_pairs() {
        // tests/data/ciede2000.csv: Sharma, Wu, Dalal 2005, table 1, rounded to four decimals.
        let mut seen = 0;
        for line in include_str!("../tests/data/ciede2000.csv").lines().skip(1) {
            let v: Vec<f64> = line.split(',').take(8).map(|f| f.parse().unwrap()).collect();
            let (one, two) = (Vec3::new(v[1], v[2], v[3]), Vec3::new(v[4], v[5], v[6]));
            assert!((ciede2000(one, two) - v[7]).abs() <= 1e-4, "pair {}: {}", v[0], ciede2000(one, two));
            assert!((ciede2000(two, one) - v[7]).abs() <= 1e-4, "pair {} turned round", v[0]);
            seen += 1;
        }
        assert_eq!(seen, 34);
    }

    #[test]
    fn lab_of_white_and_of_grey() {
        let white = units::primaries::xyz_of_xy(units::primaries::D65);
        let l = lab(white * 0.184_186_518_5, white);
        assert!((l.0[0] - 50.0).abs() < 1e-6 && l.0[1].abs() < 1e-9 && l.0[2].abs() < 1e-9, "{l:?}");
    }
}
