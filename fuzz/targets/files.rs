//! Whatever bytes come as a picture's file: decoded or refused, never a panic, a hang, or memory past the budget.
#![no_main]

use libfuzzer_sys::{fuzz_mutator, fuzz_target, fuzzer_mutate};

fuzz_target!(init: begin(), |bytes: &[u8]| {
    fuzz::judge::judge(bytes, files::fuzz_one);
});

fuzz_mutator!(|data: &mut [u8], size: usize, max_size: usize, seed: u32| {
    let size = fuzzer_mutate(data, size, max_size);
    if data.starts_with(b"\x89PNG") && seed % 8 != 0 {
        fuzz::png::mend(&mut data[..size]);
    }
    size
});

fn begin() {
    fuzz::seeds::lay(fuzz::seeds::pictures);
    fuzz::judge::begin();
}
