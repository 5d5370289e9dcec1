//! Reads any text. `cargo fuzz run figures`, from the folder above `fuzz/`.

#![no_main]

libfuzzer_sys::fuzz_target!(|text: &str| packstring_fuzz::holds_for(text));
