//! Whatever bytes come as a picture's file or as edits: read and carried out, or refused, and then as if never seen.
#![no_main]

use libfuzzer_sys::{fuzz_mutator, fuzz_target, fuzzer_mutate};

fuzz_target!(init: begin(), |bytes: &[u8]| {
    fuzz::judge::judge(bytes, scene::fuzz_one);
});

fuzz_mutator!(|data: &mut [u8], size: usize, max_size: usize, seed: u32| {
    // Three of four by the rules of JSON.
    match (seed % 4 != 0).then(|| fuzz::json::change(&data[..size], seed / 4)).flatten() {
        Some(new) if new.len() <= max_size => {
            data[..new.len()].copy_from_slice(&new);
            new.len()
        }
        _ => fuzzer_mutate(data, size, max_size),
    }
});

fn begin() {
    fuzz::seeds::lay(fuzz::seeds::scenes);
    fuzz::judge::begin();
}
