//! Sheets that take long: how far they are, and stopped.

use super::*;
use packstring::job::Piece;
use packstring::pieces::Selection;
use packstring::session::{Environment, Session};

/// A list of so many people, for whose name tags a while is needed.
fn long_list(people: usize) -> String {
    let rows = (0..people).map(|n| format!("spring;Person{n} Of{n};Companion {n};yes\r\n"));
    format!("event;name;companion;attended\r\n{}", rows.collect::<String>())
}

fn event_of(desk: &Desk) -> String {
    let page = desk.today();
    page.split("/print/name-tags/").nth(1).expect("there is a door").split('"').next().unwrap().to_owned()
}

#[test]
fn what_takes_long_says_how_far_it_is_and_comes_in_the_end() {
    let folder = program(&long_list(1_200));
    let desk = Desk::open(folder.path());
    let address = format!("/print/name-tags/{}", event_of(&desk));
    let mut waited = 0;
    let pdf = loop {
        // The first time it does not wait, so that it is surely told how far it is.
        let answer = desk.get(&if waited == 0 { format!("{address}?wait=0") } else { address.clone() });
        assert_eq!(answer.status, 200, "{}", answer.body);
        if answer.header("content-type") == Some("application/pdf") {
            break answer;
        }
        waited += 1;
        assert!(waited < 200, "it never comes");
        assert!(
            answer.body.contains("http-equiv=\"refresh\""),
            "the page asks again by itself: {}",
            answer.body
        );
        // The desk goes on meanwhile.
        assert_eq!(desk.get("/facts").status, 200);
    };
    assert!(pdf.body.starts_with("%PDF"));
    assert!(waited > 0, "so many tags are not made at once");
}

#[test]
fn what_takes_long_is_stopped() {
    let folder = program(&long_list(1_200));
    let desk = Desk::open(folder.path());
    let event = event_of(&desk);
    let address = format!("/print/name-tags/{event}");
    let going = desk.get(&format!("{address}?wait=0"));
    let form = fields(&going.body, "name=\"address\"");
    assert_eq!(form.iter().find(|(name, _)| name == "address").unwrap().1, address);
    let stopped = desk.send(&format!("/stop/{event}"), &borrowed(&form));
    assert_eq!(stopped.header("location"), Some(&*format!("/event/{event}")), "{}", stopped.body);
    // The next sheets do not wait for it.
    let next = desk.printed(&format!("/print/labels/{event}"));
    assert!(next.status == 200 && !next.body.contains("class=\"trouble\""), "{}", next.body);
}

#[test]
fn a_print_tells_each_step_and_goes_on_only_while_it_may() {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content"), folder.path());
    let environment = Environment {
        today: jiff::civil::date(2026, 11, 2),
        folder: folder.path().to_owned(),
        terminal: false,
        keys: None,
    };
    let session = Session::open_to_make(Some(folder.path()), None, &environment).unwrap();
    let known = session.know();
    let selection = || Selection { pieces: vec![Piece::Certificates], ..Selection::default() };
    let mut steps = Vec::new();
    let whole = session.print(&known, selection(), None, &mut |done, of| {
        steps.push((done, of));
        true
    });
    let whole = whole.unwrap().expect("nobody stopped it");
    let (done, of) = *steps.last().unwrap();
    assert!(of > 20 && done == of, "{steps:?}");
    assert!(steps.windows(2).all(|pair| pair[0].0 <= pair[1].0), "{steps:?}");
    assert!(!whole.files.is_empty());
    let stopped = session.print(&known, selection(), None, &mut |done, _| done == 0);
    assert!(stopped.unwrap().is_none(), "it was stopped once the first sheets were laid out");
}
