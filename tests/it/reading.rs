//! Reading: that a program's words all reach its tree, each with the place it came from, and that no
//! file, however odd, brings the reader down.

use packstring::finding::{Place, Sources};
use packstring::program::lesson::{Block, Inline, Lesson, Prose};
use packstring::program::questions::Kind;
use packstring::program::{Program, find_folder, open};
use proptest::prelude::*;
use pulldown_cmark::{Event, Options, Parser};
use std::fs;
use std::path::{Path, PathBuf};

fn demo() -> Program {
    open(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content")).unwrap_or_else(|unread| {
        panic!("{}", crate::mistakes::told(&unread));
    })
}

/// What a tree says, in order, and where.
#[derive(Default)]
struct Walk {
    texts: Vec<(String, Option<Place>)>,
}

impl Walk {
    fn say(&mut self, text: &str, place: Option<&Place>) {
        self.texts.push((text.to_owned(), place.cloned()));
    }

    fn blocks(&mut self, blocks: &[Block]) {
        for block in blocks {
            match block {
                Block::Heading { inlines, .. } | Block::Paragraph { inlines, .. } => self.inlines(inlines),
                Block::List { items, .. } => items.iter().for_each(|item| self.blocks(&item.blocks)),
                Block::Table { head, rows, .. } => {
                    head.iter().chain(rows.iter().flatten()).for_each(|cell| self.inlines(&cell.inlines));
                }
                Block::Cue { cue, blocks, .. } => {
                    self.say(&format!("{}:", cue.word()), None);
                    self.blocks(blocks);
                }
                Block::Quote { blocks, .. } => self.blocks(blocks),
                Block::Code { text, .. } => self.say(text, None),
                Block::Rule { .. } => {}
                Block::Picture(picture) => self.say(&picture.alt, None),
                Block::Series(series) => self.say(&series.title, None),
            }
        }
    }

    fn inlines(&mut self, inlines: &[Inline]) {
        for inline in inlines {
            match inline {
                Inline::Text { text, place } | Inline::Code { text, place } => self.say(text, Some(place)),
                Inline::Emphasis { inlines }
                | Inline::Strong { inlines }
                | Inline::Struck { inlines }
                | Inline::Link { inlines, .. } => self.inlines(inlines),
                Inline::Backed(backed) => self.say(&backed.words, Some(&backed.words_place)),
                Inline::Picture(picture) => self.say(&picture.alt, None),
                Inline::Footnote { blocks, .. } => self.blocks(blocks),
                Inline::SoftBreak | Inline::HardBreak => {}
            }
        }
    }

    fn lesson(lesson: &Lesson) -> Self {
        let mut walk = Self::default();
        walk.inlines(&lesson.title);
        walk.blocks(&lesson.opening);
        for section in &lesson.sections {
            walk.inlines(&section.heading);
            walk.blocks(&section.blocks);
        }
        walk
    }

    fn words(&self) -> Vec<String> {
        words(self.texts.iter().map(|(text, _)| text.as_str()))
    }
}

/// The words of texts, whatever their order, so that footnotes may move.
fn words<'t>(texts: impl Iterator<Item = &'t str>) -> Vec<String> {
    let mut words: Vec<String> = texts.flat_map(str::split_whitespace).map(str::to_owned).collect();
    words.sort();
    words
}

fn markdown_words(text: &str) -> Vec<String> {
    let options = Options::ENABLE_TABLES
        | Options::ENABLE_FOOTNOTES
        | Options::ENABLE_STRIKETHROUGH
        | Options::ENABLE_TASKLISTS;
    let mut texts = Vec::new();
    for event in Parser::new_ext(text, options) {
        match event {
            Event::Text(text) | Event::Code(text) => texts.push(text.into_string()),
            _ => {}
        }
    }
    words(texts.iter().map(String::as_str))
}

/// Words as a reader sees them: links and their like may cut a word in two texts.
fn joined(words: &[String]) -> String {
    let mut letters: Vec<char> = words.iter().flat_map(|word| word.chars()).collect();
    letters.sort_unstable();
    letters.into_iter().collect()
}

#[test]
fn no_word_of_the_demo_is_lost() {
    let program = demo();
    assert!(program.content.lessons.len() >= 10);
    for lesson in &program.content.lessons {
        let text = program.sources.text(&lesson.file).unwrap();
        let read = Walk::lesson(lesson).words();
        let written = markdown_words(text);
        assert_eq!(joined(&read), joined(&written), "{}", lesson.file);
        assert!(written.len() > 300, "{} has only {} words", lesson.file, written.len());
    }
}

#[test]
fn every_text_of_the_demo_stands_where_its_place_says() {
    let program = demo();
    let mut texts = 0;
    for lesson in &program.content.lessons {
        texts += check_places(&Walk::lesson(lesson), &program.sources);
    }
    for question in &program.content.questions.list {
        texts += check_prose(&question.ask, &program.sources);
        question.because.iter().for_each(|prose| texts += check_prose(prose, &program.sources));
    }
    for kit in &program.content.kits {
        kit.items.iter().for_each(|item| texts += check_prose(&item.item, &program.sources));
    }
    assert!(texts > 1000, "only {texts} texts were looked at");
}

fn check_prose(prose: &Prose, sources: &Sources) -> usize {
    let mut walk = Walk::default();
    walk.inlines(&prose.inlines);
    check_places(&walk, sources)
}

/// Checks each text against the words at its place; an entity or escape may be longer there.
fn check_places(walk: &Walk, sources: &Sources) -> usize {
    for (text, place) in &walk.texts {
        let Some(place) = place else { continue };
        let source = sources.words(place);
        let is_entity = source.starts_with('&') && source.ends_with(';');
        let as_read = source.replace("**", "").replace('\n', " ");
        assert!(
            source == text || is_entity || as_read == *text,
            "{place:?}: “{source}” was read as “{text}”"
        );
    }
    walk.texts.len()
}

/// A program of one lesson, which is what `lesson` holds.
fn read_lesson(lesson: &str) -> (tempfile::TempDir, Program) {
    let folder = crate::mistakes::sound_program();
    fs::write(folder.path().join("lessons/water.md"), lesson).unwrap();
    let program = open(folder.path()).unwrap_or_else(|unread| panic!("{}", crate::mistakes::told(&unread)));
    (folder, program)
}

fn water(program: &Program) -> &Lesson {
    program.content.lessons.iter().find(|lesson| lesson.id == "water").unwrap()
}

#[test]
fn a_lesson_of_every_form_keeps_its_words_and_places() {
    let text = "\u{feff}# *Water* &amp; heat\r\n\r\nBefore all, `code` and \\*stars\\*.  \r\nNext ~~line~~.\r\n\r\n\
        ## One\r\n\r\n- [ ] Open\r\n- [x] Done\r\n  1. Deep[^a]\r\n\r\n  Loose **six [ten](fact:lead-length) feet**\r\n\r\n\
        ### Table\r\n\r\n| Left | Right |\r\n| :-- | --: |\r\n| `a` | [six feet](fact:lead-length?unit=m) |\r\n\r\n\
        > Warning: hot &deg; ground.\r\n>\r\n> - Call a veterinarian.\r\n\r\n\
        > A quotation.\r\n\r\n[^a]: Footnote of *two*\r\n    lines.\r\n\r\n    code\r\n\r\n---\r\n";
    let (_folder, program) = read_lesson(text);
    let walk = Walk::lesson(water(&program));
    assert_eq!(joined(&walk.words()), joined(&markdown_words(&text.replace('\u{feff}', ""))));
    check_places(&walk, &program.sources);
}

#[test]
fn a_footnote_stands_where_its_mark_stands() {
    let (_folder, program) = read_lesson("# Water\n\nDrink[^1] often.\n\n[^1]: Not from the *creek*.\n");
    let Block::Paragraph { inlines, .. } = &water(&program).opening[0] else { panic!() };
    assert!(matches!(&inlines[1], Inline::Footnote { blocks, .. } if blocks.len() == 1));
    assert_eq!(water(&program).opening.len(), 1);
}

#[test]
fn a_cue_loses_its_word_and_keeps_its_blocks() {
    let (_folder, program) = read_lesson("# Water\n\n## One\n\n> Ask:\n> Who *drank*?\n>\n> - You?\n");
    let Block::Cue { blocks, .. } = &water(&program).sections[0].blocks[0] else { panic!() };
    let Block::Paragraph { inlines, place } = &blocks[0] else { panic!() };
    assert!(matches!(&inlines[0], Inline::Text { text, .. } if text == "Who "));
    assert!(program.sources.words(place).ends_with("Who *drank*?"));
    assert!(matches!(&blocks[1], Block::List { .. }));
}

#[test]
fn task_lists_are_read_in_tight_and_loose_lists() {
    for between in ["\n", "\n\n"] {
        let (_folder, program) =
            read_lesson(&format!("# Water\n\n- [x] One{between}- [ ] Two\n  - [x] Three{between}- Four\n"));
        let Block::List { items, .. } = &water(&program).opening[0] else { panic!() };
        let ticks: Vec<_> = items.iter().map(|item| item.task).collect();
        assert_eq!(ticks, [Some(true), Some(false), None]);
    }
}

#[test]
fn links_pictures_and_series_are_told_apart() {
    let (_folder, program) = read_lesson(
        "# Water\n\n[Next](before.md#ropes) <ranger@basin.example> [here](#one)\n\n\
         ![A trough](../pictures/trough.svg \"Full\")\n\n![Heat](fact:ground-heat?as=table)\n\n## One\n",
    );
    let [Block::Paragraph { inlines, .. }, Block::Picture(picture), Block::Series(series)] =
        &water(&program).opening[..]
    else {
        panic!("{:?}", water(&program).opening)
    };
    let targets: Vec<String> = inlines
        .iter()
        .filter_map(|inline| match inline {
            Inline::Link { target, .. } => Some(format!("{target:?}")),
            _ => None,
        })
        .collect();
    assert_eq!(
        targets,
        [
            "Lesson { id: \"before\", section: Some(\"ropes\") }",
            "Address(\"mailto:ranger@basin.example\")",
            "Section(\"one\")"
        ]
    );
    assert_eq!((picture.file.as_str(), picture.alt.as_str()), ("pictures/trough.svg", "A trough"));
    assert_eq!(picture.caption.as_deref(), Some("Full"));
    assert_eq!((series.fact.as_str(), series.title.as_str(), series.as_table), ("ground-heat", "Heat", true));
}

#[test]
fn prose_in_toml_keeps_its_places_after_escapes() {
    let folder = crate::mistakes::sound_program();
    let questions = fs::read_to_string(folder.path().join("questions.toml")).unwrap();
    let ask = r#"ask = "\"How long\" may a lead be: *\u0073ix* or [ten feet](fact:lead-length)?""#;
    let questions = questions.replace("ask = \"How long may a lead rope be?\"", ask);
    fs::write(folder.path().join("questions.toml"), questions).unwrap();
    let program = open(folder.path()).unwrap();
    let inlines = &program.content.questions.list[0].ask.inlines;
    let backed = inlines.iter().find_map(|inline| match inline {
        Inline::Backed(backed) => Some(backed),
        _ => None,
    });
    assert_eq!(program.sources.words(&backed.unwrap().words_place), "ten feet");
    assert_eq!(program.sources.words(&backed.unwrap().place), "[ten feet](fact:lead-length)");
}

#[test]
fn questions_of_every_kind_are_read() {
    let program = demo();
    let has =
        |is: fn(&Kind) -> bool| program.content.questions.list.iter().any(|question| is(&question.kind));
    assert!(has(|kind| matches!(kind, Kind::Choice { .. })));
    assert!(has(|kind| matches!(kind, Kind::Several { .. })));
    assert!(has(|kind| matches!(kind, Kind::Figure { .. })));
    assert!(has(|kind| matches!(kind, Kind::NameSome { .. })));
    assert!(has(|kind| matches!(kind, Kind::Open { .. })));
}

#[test]
fn names_are_trimmed_and_else_kept_letter_by_letter() {
    let folder = crate::mistakes::sound_program();
    let roster = "\u{feff}NAME,Event,attended,passed,Companion,town,join,shoe\r\n\
        \" O\u{2019}Brien-Nu\u{301}n\u{303}ez, Ana \",north,YES,y,,,n,44\r\n#panic(\"x\"),north,,No,  Biscuit ,Ely,yes,\r\n";
    fs::write(folder.path().join("people/roster.csv"), roster).unwrap();
    let rows = open(folder.path()).unwrap().people.roster.rows.clone();
    assert_eq!(rows[0].name, "O\u{2019}Brien-Nu\u{301}n\u{303}ez, Ana");
    assert_eq!((rows[0].attended, rows[0].passed, rows[0].joins), (true, Some(true), false));
    assert_eq!((rows[0].companion.as_deref(), &rows[0].address), (None, &None));
    assert_eq!((rows[1].name.as_str(), rows[1].companion.as_deref()), ("#panic(\"x\")", Some("Biscuit")));
    assert_eq!(rows[1].address.as_ref().unwrap().town, "Ely");
    assert!(rows[1].joins && !rows[1].attended);
}

#[test]
fn a_program_needs_no_roster_questions_or_kits() {
    let folder = crate::mistakes::sound_program();
    for file in ["people/roster.csv", "questions.toml", "kits.toml"] {
        fs::remove_file(folder.path().join(file)).unwrap();
    }
    let program = open(folder.path()).unwrap();
    assert!(
        program.people.roster.rows.is_empty()
            && program.content.kits.is_empty()
            && program.content.questions.list.is_empty()
    );
}

#[test]
fn the_program_folder_is_found_from_below() {
    let folder = crate::mistakes::sound_program();
    let below = folder.path().join("lessons");
    assert_eq!(find_folder(&below).as_deref(), Some(folder.path()));
    assert_eq!(find_folder(folder.path()).as_deref(), Some(folder.path()));
    let elsewhere = tempfile::tempdir().unwrap();
    assert_eq!(find_folder(&elsewhere.path().join("deep")), None::<PathBuf>);
}

/// Pieces of which odd files are made: what the readers look for, and what no reader expects.
fn odd_text() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        any::<String>(),
        prop::sample::select(vec![
            "# ",
            "## ",
            "> ",
            "> Say: ",
            "- [x] ",
            "| a | b |\n| - | - |\n",
            "[^a]",
            "[^a]: ",
            "[ten](fact:x)",
            "![",
            "](",
            ")",
            "*",
            "**",
            "~~",
            "`",
            "<b>",
            "---\n",
            "\n",
            "\n\n",
            "\r\n",
            "\u{feff}",
            "    ",
            "&amp;",
            "\\",
            "[[",
            "]]",
            "[program]\n",
            "[[events]]\n",
            "name = ",
            "\"",
            "\"\"\"",
            "'''",
            "\\u00e9",
            "= ",
            "{",
            "}",
            ",",
            "1",
            "2026-05-16",
            "09:00",
            "true",
            "event,name,attended\n",
            "\"a\nb\"",
            "é",
            "ß",
            "水",
        ])
        .prop_map(str::to_owned),
    ];
    prop::collection::vec(piece, 0..40).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_file_brings_the_reader_down(
        file in prop::sample::select(vec![
            "program.toml", "facts.toml", "questions.toml", "kits.toml", "lessons/water.md", "people/roster.csv",
        ]),
        text in odd_text(),
        keep in any::<bool>(),
    ) {
        let folder = crate::mistakes::sound_program();
        let path = folder.path().join(file);
        let sound = if keep { fs::read_to_string(&path).unwrap() } else { String::new() };
        fs::write(&path, sound + &text).unwrap();
        if let Err(unread) = open(folder.path()) {
            prop_assert!(!unread.mistakes.is_empty());
            for mistake in &unread.mistakes {
                let source = unread.sources.text(&mistake.place.file);
                let length = source.map_or(0, |text| text.len());
                prop_assert!(mistake.place.range.start <= mistake.place.range.end);
                prop_assert!(mistake.place.range.end <= length, "{:?} of {length}", mistake);
                prop_assert!(source.is_none_or(|text| text.get(mistake.place.range.clone()).is_some()), "{:?}", mistake);
                prop_assert!(!mistake.message.is_empty() && mistake.mend.is_some());
            }
        }
    }

    #[test]
    fn no_bytes_bring_the_reader_down(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let folder = crate::mistakes::sound_program();
        fs::write(folder.path().join("facts.toml"), &bytes).unwrap();
        fs::write(folder.path().join("people/roster.csv"), &bytes).unwrap();
        let _ = open(folder.path());
    }
}
