//! A lesson at the desk: beside its pages, with its figures marked, while its file changes.

use super::*;

const ROPES: &str = "lessons/ropes.md";

fn lesson(desk: &Desk, more: &str) -> Answer {
    desk.get(&format!("/lesson?file=lessons%2Fropes%2Emd{more}"))
}

/// The names of the pages that a lesson's page shows.
fn pages(page: &str) -> Vec<&str> {
    page.split("src=\"/sheet/").skip(1).map(|rest| rest.split('"').next().unwrap()).collect()
}

/// The figures of a page with how each stands.
fn figures(page: &str) -> Vec<(String, String)> {
    let marks = page.split("<a class=\"figure ").skip(1);
    let one = |mark: &str| {
        let stands = mark.split('"').next().unwrap().to_owned();
        let words = mark.split_once('>').unwrap().1.split('<').next().unwrap();
        (unescaped(words), stands)
    };
    marks.map(one).collect()
}

fn pair(words: &str, stands: &str) -> (String, String) {
    (words.to_owned(), stands.to_owned())
}

#[test]
fn a_lesson_stands_beside_its_pages_and_follows_its_file() {
    let folder = program(LIST);
    let desk = Desk::open(folder.path());
    let list = desk.get("/lessons");
    assert_eq!(list.status, 200, "{}", list.body);
    assert!(list.body.contains("/lesson?file=lessons%2Fropes%2Emd"), "{}", list.body);

    let first = lesson(&desk, "").body;
    assert_eq!(figures(&first), [pair("at most six feet", "agrees")], "{first}");
    for view in ["handbook", "handout", "slides"] {
        let shown = lesson(&desk, &format!("&as={view}")).body;
        let drawn = pages(&shown);
        assert!(!drawn.is_empty(), "{view} has pages: {shown}");
        for page in drawn {
            let drawing = desk.get(&format!("/sheet/{page}"));
            assert_eq!(drawing.header("content-type"), Some("image/svg+xml"));
            assert!(drawing.body.starts_with("<svg"), "{view}: {:.80}", drawing.body);
        }
    }

    // Saved by another program: another figure, and one that no fact stands behind.
    let file = folder.path().join(ROPES);
    let text = fs::read_to_string(&file).unwrap();
    let changed = text
        .replace("at most six feet", "at most seven feet")
        .replace("never wrapped", "never wrapped. Walk 3 miles");
    fs::write(&file, changed).unwrap();
    let then = lesson(&desk, "").body;
    assert_eq!(figures(&then), [pair("at most seven feet", "differs"), pair("3 miles", "loose")], "{then}");
    let line = then.split("id=\"line-3\"").nth(1).unwrap().split("id=\"line-4\"").next().unwrap();
    assert!(line.contains("class=\"told error\""), "what is wrong stands below its line: {line}");
    assert_ne!(pages(&then), pages(&first), "the page is drawn anew");

    fs::write(&file, text).unwrap();
    assert_eq!(pages(&lesson(&desk, "").body), pages(&first), "the same page has the same name");
}

#[test]
fn a_figure_that_is_chosen_tells_its_fact_and_where_else_it_is_quoted() {
    let folder = program(LIST);
    let text = fs::read_to_string(folder.path().join(ROPES)).unwrap();
    let desk = Desk::open(folder.path());
    let at = text.find("at most six feet").unwrap();
    let chosen = unescaped(&lesson(&desk, &format!("&at={at}")).body);
    let panel =
        chosen.split("id=\"chosen\"").nth(1).expect("the figure is shown").split("</div>\n").next().unwrap();
    for words in ["at most six feet", "District rule 4.2", "lead-length"] {
        assert!(panel.contains(words), "{words} in {panel}");
    }
    assert!(chosen.contains(&format!("/lesson?file=lessons%2Fropes%2Emd&at={at}#chosen")), "{panel}");
    // The way back from the fact's own page.
    let fact = unescaped(&desk.get("/fact?name=lead%2Dlength").body);
    assert!(fact.contains(&format!("/lesson?file=lessons%2Fropes%2Emd&at={at}#chosen")), "{fact}");
    // Where no figure begins, none is shown.
    assert!(!lesson(&desk, "&at=1").body.contains("id=\"chosen\""));
}

#[test]
fn a_lesson_that_cannot_be_read_says_where_and_its_last_pages_stay() {
    let folder = program(LIST);
    let desk = Desk::open(folder.path());
    let good = lesson(&desk, "").body;
    let file = folder.path().join(ROPES);
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text.replacen("# Ropes", "Ropes, now", 1)).unwrap();
    let broken = lesson(&desk, "").body;
    assert!(broken.contains("Ropes, now"), "the file is shown as it is: {broken}");
    assert!(broken.contains("class=\"told error\""), "and what is wrong, at its line: {broken}");
    assert_eq!(pages(&broken), pages(&good), "the last good pages stay");

    // A mistake in another file leaves the marks of this one.
    fs::write(&file, &text).unwrap();
    let settings = folder.path().join("program.toml");
    let right = fs::read_to_string(&settings).unwrap();
    fs::write(&settings, format!("{right}\n[[[")).unwrap();
    let beside = lesson(&desk, "").body;
    assert_eq!(figures(&beside), figures(&good));
    assert_eq!(pages(&beside), pages(&good));
    assert!(beside.contains("class=\"trouble\""), "{beside}");

    fs::write(&settings, right).unwrap();
    assert_eq!(figures(&lesson(&desk, "").body), figures(&good));
}

#[test]
fn no_other_file_is_shown_as_a_lesson() {
    let folder = program(LIST);
    let desk = Desk::open(folder.path());
    for name in ["facts.toml", "people/roster.csv", "lessons/../facts.toml", "/etc/hostname", "", "lessons"] {
        let name: String = url::form_urlencoded::byte_serialize(name.as_bytes()).collect();
        assert_eq!(desk.get(&format!("/lesson?file={name}")).status, 404, "{name}");
    }
    assert_eq!(desk.get("/sheet/0000").status, 404);
    assert_eq!(desk.get("/sheet/..%2F..%2Ffacts.toml").status, 404);
}
