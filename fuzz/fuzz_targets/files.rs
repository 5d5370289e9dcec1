//! Reads files of any kind. `cargo fuzz run files --features files`, from the folder above `fuzz/`.

#![no_main]

#[path = "../../tests/it/fuzz/targets.rs"]
mod targets;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Some((which, bytes)) = bytes.split_first() {
        (targets::ALL[usize::from(*which) % targets::ALL.len()]().ask)(bytes);
    }
});
