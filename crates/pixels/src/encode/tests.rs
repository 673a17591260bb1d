use super::*;
use units::{Mat3, Primaries};

/// The rows of a table: fields up to the first quotation mark or the last column, which is the source.
fn rows(table: &str) -> impl Iterator<Item = Vec<&str>> {
    table.lines().skip(1).map(|line| line.split(',').collect())
}

#[test]
fn the_curves_agree_with_every_row_of_the_published_table() {
    // tests/data/srgb_transfer.csv: IEC 61966-2-1, ISO 22028-2, ITU-R BT.709, BT.2020; tolerance 1e-7.
    let mut seen = [0; 6];
    for row in rows(include_str!("../../tests/data/srgb_transfer.csv")) {
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        let (encoded, linear) = (number(3), number(4));
        let (kind, transfer, tolerance) = match row[0] {
            "sRGB" => (0, Transfer::Srgb, 1e-7),
            "Display P3" => (1, Transfer::Srgb, 1e-7),
            "ROMM" => (2, Transfer::Romm, 1e-7),
            "BT.709" => (3, Transfer::Bt709, 1e-7),
            "BT.2020" => (4, Transfer::Bt2020, 1e-7),
            // Constants rounded for 12 bits: the curve at full precision is near, within half a 12-bit code.
            "BT.2020-12bit" => (5, Transfer::Bt2020, 0.5 / 4095.0),
            other => panic!("a curve that is not known: {other}"),
        };
        seen[kind] += 1;
        let (ours, theirs) = match row[1] {
            "decode" => (transfer.decode(encoded), linear),
            _ => (transfer.encode(linear), encoded),
        };
        assert!((ours - theirs).abs() <= tolerance, "{row:?}: {ours}");
        if kind == 0 && !row[2].is_empty() {
            let code: u8 = row[2].parse().unwrap();
            let mut fast = [0];
            Encoder::of(Transfer::Srgb).u8s(&[linear as f32], &mut fast);
            assert_eq!(fast[0], code, "{row:?}");
            let table = f64::from(Decoder::of(Transfer::Srgb).of_u8()[usize::from(code)]);
            assert!(row[1] != "decode" || (table - linear).abs() <= 1e-7, "{row:?}: {table}");
        }
    }
    assert_eq!(seen, [296, 6, 28, 16, 15, 5]);
}

fn curves() -> impl Iterator<Item = Transfer> {
    let powers = [1.0, 1.8, 2.2, 563.0 / 256.0, 2.4].map(|g| Transfer::Power(Power::new(g).unwrap()));
    Transfer::STANDARD.into_iter().chain(powers)
}

#[test]
fn every_code_comes_back_as_itself() {
    for transfer in curves() {
        let (decoder, encoder) = (Decoder::of(transfer), Encoder::of(transfer));
        let mut small = [0; 256];
        encoder.u8s(decoder.of_u8(), &mut small);
        assert!(small.iter().enumerate().all(|(i, &c)| i == usize::from(c)), "{transfer:?}");
        let mut large = vec![0; 65536];
        encoder.u16s(decoder.of_u16(), &mut large);
        let wrong: Vec<_> = (0..65536).filter(|&i| i != usize::from(large[i])).collect();
        // The constants that BT.709 prints leave a step between its two parts: 0.081 to 0.08125 encodes no light.
        let no_light = |i: usize| (0.081..0.08125).contains(&(i as f64 / 65535.0));
        let allowed = |i: usize| transfer == Transfer::Bt709 && no_light(i);
        assert!(wrong.iter().all(|&i| allowed(i)), "{transfer:?}: {wrong:?}");
    }
}

/// The definition: floor(top * e + 1/2).
fn exact(transfer: Transfer, x: f32, top: f64) -> f64 {
    (transfer.encode(f64::from(x)).clamp(0.0, 1.0) * top + 0.5).floor()
}

#[test]
fn codes_are_the_exact_ones_but_for_the_last_digit_at_an_edge() {
    for transfer in curves() {
        // Every 487th number between 2^-36 and 1, so that all octaves have their share.
        let first = (1.0_f32 / (1u64 << 36) as f32).to_bits();
        let linear: Vec<f32> = (first..=1.0_f32.to_bits()).step_by(487).map(f32::from_bits).collect();
        let (mut codes, mut small) = (vec![0u16; linear.len()], vec![0u8; linear.len()]);
        Encoder::of(transfer).u16s(&linear, &mut codes);
        Encoder::of(transfer).u8s(&linear, &mut small);
        let (mut off, mut off_small) = (0, 0);
        for ((&x, &code), &byte) in linear.iter().zip(&codes).zip(&small) {
            let miss = (exact(transfer, x, 65535.0) - f64::from(code)).abs();
            assert!(miss <= 1.0, "{transfer:?} at {x}: {code}");
            off += usize::from(miss > 0.0);
            let distance = transfer.encode(f64::from(x)) * 255.0 + 0.5;
            let edge = (distance - distance.round()).abs();
            if exact(transfer, x, 255.0) != f64::from(byte) {
                assert!(edge < 1e-4, "{transfer:?} at {x}: {byte}");
                off_small += 1;
            }
        }
        let share = |n: usize| n as f64 / linear.len() as f64;
        println!("{transfer:?}: 16 bits {:.5} off, 8 bits {:.7} off", share(off), share(off_small));
        assert!(share(off) < 0.01, "{transfer:?}: {}", share(off));
        assert!(share(off_small) < 1e-4, "{transfer:?}: {}", share(off_small));
    }
}

#[test]
fn what_is_out_of_range_becomes_the_nearest_code() {
    let odd = [-1.0, -0.0, f32::NAN, f32::NEG_INFINITY, 1.5, f32::INFINITY, 1e-45];
    for transfer in curves() {
        let (mut codes, mut small) = ([9u16; 7], [9u8; 7]);
        Encoder::of(transfer).u16s(&odd, &mut codes);
        Encoder::of(transfer).u8s(&odd, &mut small);
        assert_eq!(codes, [0, 0, 0, 0, 65535, 65535, 0], "{transfer:?}");
        assert_eq!(small, [0, 0, 0, 0, 255, 255, 0], "{transfer:?}");
    }
}

#[test]
fn more_light_never_gives_a_lower_code() {
    for transfer in curves() {
        let linear: Vec<f32> = (0..=(1u32 << 20)).map(|i| i as f32 / (1u32 << 20) as f32).collect();
        let mut codes = vec![0u16; linear.len()];
        Encoder::of(transfer).u16s(&linear, &mut codes);
        assert!(codes.is_sorted(), "{transfer:?}");
    }
}

#[test]
fn primaries_agree_with_the_published_matrices() {
    // tests/data/matrices.csv: RGB to RGB rows of full precision, tolerance 1e-6.
    let named = |name: &str| match name {
        "sRGB" => Primaries::Srgb,
        "Display P3" => Primaries::DisplayP3,
        "Rec.2020" => Primaries::Rec2020,
        "ROMM" => Primaries::Romm,
        other => panic!("primaries that are not known: {other}"),
    };
    let mut seen = 0;
    for row in rows(include_str!("../../tests/data/matrices.csv")).filter(|row| row[0] == "RGB_to_RGB") {
        let (from, to) = row[1].split_once('>').unwrap();
        let ours = between(named(from), named(to));
        for (i, line) in ours.0.iter().enumerate() {
            for (j, v) in line.iter().enumerate() {
                let theirs: f64 = row[11 + 3 * i + j].parse().unwrap();
                assert!((v - theirs).abs() < 1e-6, "{from} to {to} [{i}][{j}]: {v} for {theirs}");
            }
        }
        seen += 1;
    }
    assert_eq!(seen, 3);
}

#[test]
fn white_stays_white_between_any_two_sets() {
    for from in Primaries::ALL {
        for to in Primaries::ALL {
            let mut pixels = [crate::Rgb([1.0; 3])];
            convert_rgb(&narrow(between(from, to)), &mut pixels);
            assert!(pixels[0].0.iter().all(|v| (v - 1.0).abs() < 1e-6), "{from:?} to {to:?}: {pixels:?}");
            let there_and_back = between(to, from) * between(from, to);
            let miss =
                (0..9).map(|i| (there_and_back.0[i / 3][i % 3] - Mat3::IDENTITY.0[i / 3][i % 3]).abs());
            assert!(miss.fold(0.0, f64::max) < 1e-12);
        }
    }
}

#[test]
fn an_eight_bit_code_is_the_nearest_of_a_sixteen_bit_one() {
    let codes: Vec<u16> = (0..=65535).collect();
    let mut narrow = vec![0u8; codes.len()];
    narrowed(&codes, &mut narrow);
    for (&c, &n) in codes.iter().zip(&narrow) {
        assert_eq!(f64::from(n), (f64::from(c) / 257.0).round(), "{c}");
    }
}
