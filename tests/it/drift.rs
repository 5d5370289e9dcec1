//! A sample of the drift bench: wrong figures planted in the clean programs are caught.

#[path = "../../benches/drift/mod.rs"]
mod bench;

use std::path::Path;

/// Of what could be planted, one in so many; the bench plants all.
const STEP: usize = 60;

#[test]
fn no_backed_drift_gets_through_and_hardly_any_that_is_not_backed() {
    let mut tally = bench::Tally::default();
    for program in ["content", "tests/proof/sound"] {
        bench::run(&Path::new(env!("CARGO_MANIFEST_DIR")).join(program), STEP, &mut tally);
    }
    let (backed, unbacked) = (tally.sum(true), tally.sum(false));
    assert!(backed.0 > 50 && unbacked.0 > 20, "too few are planted\n{tally}");
    assert!(tally.clean.is_empty(), "{tally}");
    assert_eq!(backed.0, backed.1, "{tally}");
    // Of a sample, one more may be missed than of all.
    assert!((unbacked.0 - unbacked.1) * 100 <= unbacked.0 * 3 + 100, "{tally}");
}
