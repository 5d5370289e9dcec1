//! The page to start with: it names all that was made, and nobody.

use crate::flow;
use crate::folders::{BARE_PROGRAM, laid_out, run};
use packstring::job::{Job, Shelf};
use packstring::pieces::{Selection, TABLE, start_here};
use packstring::press::{Press, Theme};
use packstring::understand::Understood;
use std::collections::BTreeSet;
use std::fs;

/// The demo's page in each language that the theme has, and the jobs.
fn demo() -> (Vec<(String, String)>, Vec<Job>, Vec<String>) {
    let program = crate::site::demo();
    let understood = Understood::new(&program);
    let selection = Selection { words: Theme::plain().words().unwrap(), ..Selection::default() };
    let jobs = flow::plan(&understood, &selection);
    let press = Press::open(Theme::plain(), &program.folder);
    let mut data = start_here::data(&understood, &selection, &jobs);
    let pages = ["en", "es-US", "fr"].map(|language| {
        data["program"]["language"] = language.into();
        let page = String::from_utf8(press.page("start-here.html", &data).unwrap()).unwrap();
        (language.to_owned(), page)
    });
    let names = program.people.roster.rows.iter().map(|row| row.name.clone()).collect();
    (pages.to_vec(), jobs, names)
}

#[test]
fn every_piece_of_the_demo_is_on_it_and_nobody_is() {
    let (pages, jobs, names) = demo();
    let made: BTreeSet<_> = jobs.iter().map(|job| job.piece).collect();
    assert!(made.len() >= 24 && names.len() > 20, "the demo gives nearly every piece");
    for (language, page) in &pages {
        assert_eq!(page.matches("<dt>").count(), pieces_by_shelf(&jobs).len(), "{language}");
        for name in &names {
            assert!(!page.contains(name.as_str()), "{language} names {name}");
            let slug = name.to_lowercase().replace(' ', "-");
            assert!(!page.contains(&slug), "{language} names {slug}");
        }
    }
    let (_, page) = &pages[0];
    let links: Vec<&str> = page.split("href=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    assert!(links.iter().all(|link| !link.contains("private")), "{links:?}");
    let open_and_staff = jobs.iter().filter(|job| job.shelf != Shelf::Private);
    let there: BTreeSet<String> =
        open_and_staff.map(|job| format!("{}/{}", job.shelf.name(), job.path)).collect();
    let files: Vec<&&str> = links.iter().filter(|link| link.contains('/')).collect();
    assert!(files.len() > 60, "only {} links", files.len());
    for link in files {
        assert!(there.contains(*link), "{link} is no file that is made");
    }
}

fn pieces_by_shelf(jobs: &[Job]) -> BTreeSet<(&'static str, packstring::job::Piece)> {
    jobs.iter().map(|job| (job.shelf.name(), job.piece)).collect()
}

/// A piece without words would stop a making: each has its name and its use in every language.
#[test]
fn every_piece_has_its_words_in_every_language() {
    let words = Theme::plain().words().unwrap();
    for language in ["en", "es", "fr"] {
        let words = &words.of(language)["start-here"];
        for row in TABLE {
            for table in ["pieces", "uses"] {
                assert!(words[table][row.key].is_string(), "{language} lacks {table}.{}", row.key);
            }
        }
    }
}

#[test]
fn a_whole_making_writes_it_and_writes_it_again_where_it_is_gone() {
    let place = laid_out(&[
        ("program.toml", BARE_PROGRAM),
        ("facts.toml", ""),
        ("lessons/example.md", "# Example\n\nText.\n"),
    ]);
    let page = place.path().join("out/start-here.html");
    let (said, code) = run(place.path(), ["make", "--pieces", "question-sheet,run-sheets"]);
    assert!(code == 0 && !page.exists() && !said.contains("start-here"), "{said}");
    let (said, code) = run(place.path(), ["make"]);
    assert!(code == 0 && said.contains("out/start-here.html: what there is"), "{said}");
    let first = fs::read(&page).unwrap();
    fs::remove_file(&page).unwrap();
    let (said, code) = run(place.path(), ["make"]);
    assert!(code == 0 && said.contains("made 0"), "{said}");
    assert_eq!(fs::read(&page).unwrap(), first);
}

#[cfg(unix)]
#[test]
fn no_link_is_followed_where_it_stands() {
    let place = laid_out(&[
        ("program.toml", BARE_PROGRAM),
        ("facts.toml", ""),
        ("lessons/example.md", "# Example\n\nText.\n"),
        ("mine.txt", "mine"),
        ("out/note.txt", ""),
    ]);
    std::os::unix::fs::symlink(place.path().join("mine.txt"), place.path().join("out/start-here.html"))
        .unwrap();
    let (said, code) = run(place.path(), ["make"]);
    assert!(code == 2 && said.contains("start-here.html is a link"), "{said}");
    assert_eq!(fs::read(place.path().join("mine.txt")).unwrap(), b"mine");
}
