//! A certificate withdrawn at the desk: asked once more, written for good, and told on the row's page.

use super::{Desk, borrowed, fields, unescaped, with};
use crate::folders::copy;
use std::fs;
use std::path::Path;

#[test]
fn a_given_certificate_is_withdrawn_with_its_reason_after_asking_once_more() {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content"), folder.path());
    let _ = fs::remove_dir_all(folder.path().join("out"));
    let register = || fs::read_to_string(folder.path().join("records/certificates.jsonl")).unwrap();
    let before = register();
    let desk = Desk::open(folder.path());
    let page = desk.get("/row/3").body;
    assert!(page.contains("Given on") && page.contains("href=\"/withdraw/3\""), "{page}");
    let ask = desk.get("/withdraw/3").body;
    assert!(ask.contains("cannot be undone here"), "{ask}");
    let form = fields(&ask, "action=\"/withdraw\"");
    // Without a reason nothing is done, nor for another certificate than the one that was shown.
    assert_eq!(desk.send("/withdraw", &borrowed(&form)).status, 400);
    let form = with(&form, "why", "  Was not <there>;  it was\ta friend ");
    let other = desk.send("/withdraw", &borrowed(&with(&form, "number", "3M85-R5DG")));
    assert!(other.status == 409 && other.body.contains("nothing was withdrawn"), "{}", other.body);
    // It asks once more, with the reason.
    let sure = desk.send("/withdraw", &borrowed(&form));
    assert!(unescaped(&sure.body).contains("Was not <there>; it was a friend"), "{}", sure.body);
    assert_eq!((sure.status, register() == before), (200, true));
    let done = desk.send("/withdraw", &borrowed(&fields(&sure.body, "name=\"sure\"")));
    assert_eq!(done.header("location"), Some("/row/3?said=withdrawn"), "{}", done.body);
    let after = register();
    let line = after.strip_prefix(&before).expect("the register only grows");
    assert!(line.lines().count() == 1 && line.contains("Was not <there>; it was a friend"), "{line}");
    // The page tells it, and nobody is given it again by the desk.
    let page = unescaped(&desk.get("/row/3?said=withdrawn").body);
    assert!(page.contains("The certificate is withdrawn") && page.contains("Withdrawn on"), "{page}");
    assert!(page.contains("it was a friend") && !page.contains("/withdraw/3"), "{page}");
    assert!(!desk.get("/give/north-camp").body.contains("name=\"of\" value=\"3\""));
    assert_eq!(desk.get("/withdraw/3").status, 404);
    let again = desk.send("/withdraw", &borrowed(&fields(&sure.body, "name=\"sure\"")));
    assert_eq!((again.status, register() == after), (409, true), "{}", again.body);
}
