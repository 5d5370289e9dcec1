//! How fast the reader of figures goes through a text: bytes a second on prose, and on texts made to be
//! hard for it. The aim is 20 MB of prose a second on one core.
//!
//! `cargo bench --manifest-path benches/reader/Cargo.toml`

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use packstring_reader_bench::quantity::read;
use std::fs;
use std::hint::black_box;
use std::path::Path;

const MEGABYTE: usize = 1_000_000;

/// The lessons of the demo program, one after the other.
fn lessons() -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../content/lessons");
    let mut files: Vec<_> =
        fs::read_dir(folder).expect("the lessons").map(|file| file.unwrap().path()).collect();
    files.sort();
    files.iter().map(|file| fs::read_to_string(file).expect("a lesson")).collect()
}

fn megabyte_of(text: &str) -> String {
    let mut long = text.repeat(MEGABYTE / text.len() + 1);
    let end = (0..=MEGABYTE).rev().find(|at| long.is_char_boundary(*at)).unwrap_or(0);
    long.truncate(end);
    long
}

fn reading(bench: &mut Criterion) {
    let texts = [
        ("prose", lessons()),
        ("digits", "7".into()),
        ("commas", ",".into()),
        ("and", "and ".into()),
        ("number words", "seventy two hundred and three thousand ".into()),
    ];
    let mut group = bench.benchmark_group("reader");
    group.sample_size(10);
    for (name, text) in texts {
        let text = megabyte_of(&text);
        group.throughput(Throughput::Bytes(text.len() as u64));
        group.bench_function(name, |timed| timed.iter(|| read(black_box(&text))));
    }
    group.finish();
}

criterion_group!(benches, reading);
criterion_main!(benches);
