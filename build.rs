//! The built-in theme is embedded in the binary: a file that was added to it must be seen.

fn main() {
    println!("cargo::rerun-if-changed=themes");
}
