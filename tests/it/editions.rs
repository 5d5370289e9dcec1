//! A program in two languages: `tests/editions/` is whole in English and in the Spanish of the United States.

use crate::flow;
use crate::folders::{copy, open};
use crate::proof::{TODAY, root};
use lopdf::{Document, Object, decode_text_string};
use packstring::commands::backing;
use packstring::finding::{Finding, Level};
use packstring::job::Make;
use packstring::people::scope::Scope;
use packstring::people::scoring::{Scores, Verdict};
use packstring::pieces::Selection;
use packstring::press::{Made, Press, Theme};
use packstring::program::{self, walk};
use packstring::session::Environment;
use packstring::understand::Understood;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn folder() -> PathBuf {
    root().join("tests/editions")
}

fn findings(folder: &Path) -> Vec<Finding> {
    let program = open(folder);
    flow::proofread(&Understood::new(&program), TODAY)
}

/// The program with another text in place of one of a file.
fn with(file: &str, was: &str, now: &str) -> tempfile::TempDir {
    let changed = tempfile::tempdir().unwrap();
    copy(&folder(), changed.path());
    let path = changed.path().join(file);
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.contains(was), "{file} has no “{was}”");
    fs::write(&path, text.replacen(was, now, 1)).unwrap();
    changed
}

#[test]
fn a_program_that_is_whole_in_both_languages_gives_nothing() {
    assert_eq!(findings(&folder()), []);
}

/// The main edition's words say how a figure is put: in which unit, and how finely.
#[test]
fn a_fact_without_a_wording_of_the_edition_is_said_as_the_main_one_says_it() {
    let worked = "worked-from = \"4 * horse-water * 1 day\"";
    let changed = with("facts.toml", worked, &format!("{worked}\nwording = \"about 76 to 151 liters\""));
    let program = program::open(changed.path()).unwrap();
    let understood = Understood::new(&program);
    assert_eq!(understood.own_words("string-water").as_deref(), Some("about 76 to 151 liters"));
    let said = understood.editions[0].own_words("string-water");
    assert_eq!(said.as_deref(), Some("alrededor de 76 a 151 L"));
}

#[test]
fn pieces_of_an_edition_lie_in_its_folder_and_are_in_its_words() {
    let program = program::open(&folder()).unwrap();
    let understood = Understood::new(&program);
    let jobs = flow::plan(&understood, &Selection::default());
    let find = |path: &str| jobs.iter().find(|job| job.path == path).unwrap_or_else(|| panic!("no {path}"));
    let data = |path: &str| match &find(path).make {
        Make::Sheet(sheet) => {
            let parts = sheet.parts.iter().map(|(_, part)| part.to_string());
            (sheet.data.to_string() + &parts.collect::<String>()).replace('\u{a0}', " ")
        }
        Make::Page { data, .. } => data.to_string(),
        other => panic!("{other:?}"),
    };
    let handbook = data("es-us/handbook.pdf");
    assert!(handbook.contains("Jinetes Guardianes del Sendero: manual, 2026"));
    assert!(handbook.contains("\"language\":\"es-US\""));
    assert!(handbook.contains("20 a 40 galones"), "{handbook}");
    assert!(!handbook.contains("Water and heat"));
    assert!(data("handbook.pdf").contains("20 to 40 gallons"));
    assert!(data("es-us/question-sheet.pdf").contains("¿Qué tan larga"));
    assert!(data("es-us/answer-key.pdf").contains("6 pies"));
    assert!(data("es-us/wall-chart.pdf").contains("Cuide el agua"));
    assert!(data("es-us/kit-sheets/day-ride.pdf").contains("Limpiacascos"));
    assert!(data("es-us/site/index.html").contains("Agua y calor"));
    let run_sheet = data("es-us/run-sheets/north-camp.pdf");
    assert!(run_sheet.contains("Taller del Campamento Norte"));
    assert!(run_sheet.contains("Guardabosques") && !run_sheet.contains("Ranger"), "{run_sheet}");
    assert!(handbook.contains("temperatura del aire") && !handbook.contains("air temperature"), "{handbook}");
    let key = data("es-us/answer-key.pdf");
    assert!(key.contains("piel seca") && !key.contains("dry skin"), "{key}");
}

/// Wrong figures that a hurried editor might leave in Spanish; each is backed by a link.
#[test]
fn planted_wrong_figures_in_spanish_are_all_caught() {
    let water = "lessons/es-US/water.md";
    let ropes = "lessons/es-US/ropes.md";
    let planted = [
        (water, "de cinco a diez galones al día", "de cinco a doce galones al día", "figure-drift"),
        (water, "de cinco a diez galones al día", "de cinco a diez galones por hora", "figure-drift"),
        (water, "de cinco a diez galones al día", "de 15 a 30 litros al día", "figure-drift"),
        (water, "al menos a [200 pies]", "al menos a [300 pies]", "figure-drift"),
        (water, "al menos a [200 pies]", "al menos a [200 metros]", "figure-drift"),
        (water, "al menos a [200 pies]", "como máximo a [200 pies]", "limit-turned"),
        (water, "[doscientos pies]", "[trescientos pies]", "figure-drift"),
        (water, "[doscientos pies]", "[doscientos veinticinco pies]", "figure-drift"),
        (water, "[doscientos pies]", "[200 libras]", "unit-unfit"),
        (water, "[hora y media]", "[dos horas y media]", "figure-drift"),
        (water, "[hora y media]", "[1.25 horas]", "figure-drift"),
        (ropes, "[como máximo seis pies]", "[como máximo dieciséis pies]", "figure-drift"),
        (ropes, "[como máximo seis pies]", "[al menos seis pies]", "limit-turned"),
        (ropes, "[como máximo seis pies]", "[como máximo treinta y seis pies]", "figure-drift"),
        (ropes, "no más de [6 pies]", "no menos de [6 pies]", "limit-turned"),
        ("program.es-US.toml", "[200 pies]", "[20 pies]", "figure-drift"),
    ];
    for (file, was, now, rule) in planted {
        let changed = with(file, was, now);
        let told: Vec<_> = findings(changed.path())
            .into_iter()
            .filter(|finding| finding.level > Level::Note)
            .map(|finding| (finding.rule.name, finding.place.file.to_string()))
            .collect();
        assert_eq!(told, [(rule, file.to_owned())], "{was} → {now}");
    }
}

#[test]
fn the_same_figure_in_other_words_is_right() {
    let water = "lessons/es-US/water.md";
    for (file, was, now) in [
        (water, "[hora y media]", "[90 minutos]"),
        (water, "[hora y media]", "[una hora y media]"),
        (water, "[doscientos pies]", "[200 pies (60 metros)]"),
        (water, "de cinco a diez galones al día", "entre 5 y 10 galones diarios"),
        ("lessons/es-US/ropes.md", "[como máximo seis pies]", "[a lo sumo 1.8 metros]"),
    ] {
        assert_eq!(findings(with(file, was, now).path()), [], "{was} → {now}");
    }
}

#[test]
fn backing_tells_where_every_edition_quotes_a_fact() {
    let mut out = Vec::new();
    let desk = Environment { today: TODAY, folder: folder(), terminal: false, keys: None };
    backing::run(Some(&folder()), Some("water-distance"), false, None, &desk, &mut out).unwrap();
    let told = String::from_utf8(out).unwrap();
    for line in [
        "  lessons/water.md:12:23  200 feet\n",
        "  lessons/es-US/water.md:12:30  doscientos pies\n    Acampe, cocine y amarre a doscientos pies.\n",
        "  program.es-US.toml:15:28  200 pies\n",
        "  open/handbook.pdf\n",
        "  open/es-us/handbook.pdf\n",
    ] {
        assert!(told.contains(line), "{line}: {told}");
    }
    assert_eq!(
        told.matches("program.es-US.toml:15:28").count(),
        1,
        "a text of the main edition is told once"
    );
}

#[test]
fn what_is_to_be_written_is_said_in_the_language() {
    let changed = with("lessons/es-US/water.md", "[doscientos pies]", "[300 pies]");
    let told = findings(changed.path());
    assert!(told[0].mend.as_ref().unwrap().contains("Make it “200 pies”"), "{told:#?}");
}

#[test]
fn a_lesson_that_is_lacking_is_the_main_editions() {
    let changed = tempfile::tempdir().unwrap();
    copy(&folder(), changed.path());
    fs::remove_file(changed.path().join("lessons/es-US/ropes.md")).unwrap();
    let told: Vec<_> = findings(changed.path()).iter().map(|finding| finding.rule.name).collect();
    assert_eq!(told, ["edition-lacks-lesson"]);
    let program = program::open(changed.path()).unwrap();
    let lesson = &program.editions[0].content.lessons[1];
    assert_eq!(&*lesson.file, "lessons/ropes.md");
    assert!(!walk::lesson(lesson).is_empty());
}

#[test]
fn short_texts_that_are_lacking_are_told() {
    for (was, now, key) in [
        ("[glossary.\"high line\"]", "[otherwise]", "[glossary.\"high line\"]"),
        ("accept =", "other =", "[questions.signs] accept"),
        ("columns =", "other =", "[facts.ground-heat] columns"),
    ] {
        let changed = with("program.es-US.toml", was, now);
        let file = changed.path().join("program.es-US.toml");
        // Taken out with its table, not only named otherwise.
        let text = fs::read_to_string(&file).unwrap();
        let kept: Vec<&str> = match text.split_once("[otherwise]") {
            Some((before, after)) => vec![before, &after[after.find("\n[").unwrap()..]],
            None => text.split_inclusive('\n').filter(|line| !line.starts_with("other =")).collect(),
        };
        fs::write(&file, kept.concat()).unwrap();
        let told = findings(changed.path());
        assert_eq!(told.iter().map(|it| it.rule.name).collect::<Vec<_>>(), ["edition-lacks-words"], "{key}");
        assert!(told[0].mend.as_ref().unwrap().contains(key), "{told:#?}");
    }
}

#[test]
fn slips_in_an_editions_files_are_told() {
    for (file, was, now, rule) in [
        ("program.es-US.toml", "[questions.lead-length]", "[questions.lead-lenght]", "name-unknown"),
        ("program.es-US.toml", "summary =", "sumary =", "key-unknown"),
        ("program.es-US.toml", "[glossary.\"high line\"]", "[glossary.\"hihg line\"]", "name-unknown"),
        ("program.es-US.toml", "Ranger =", "Rangers =", "name-unknown"),
        ("program.es-US.toml", "\"temperatura del aire\", ", "", "value-unfit"),
        ("program.es-US.toml", "asfalto (°F)", "asfalto (°C)", "value-unfit"),
        ("program.es-US.toml", "\"15 pies\", ", "", "value-unfit"),
        ("program.toml", "\"es-US\"]", "\"es-US\", \"es-us\"]", "name-doubled"),
        ("program.toml", "\"es-US\"]", "\"Spanish!\"]", "value-unfit"),
        ("program.toml", "editions =", "language = \"en\"\neditions =", "key-unfit"),
    ] {
        let changed = with(file, was, now);
        let unread = program::open(changed.path()).err().unwrap_or_else(|| panic!("{now} was read"));
        assert!(
            unread.mistakes.iter().any(|mistake| mistake.rule.name == rule),
            "{now}: {:#?}",
            unread.mistakes
        );
    }
}

#[test]
fn every_folder_of_pieces_is_kept_from_events_and_editions() {
    let program = program::open(&root().join("content")).unwrap();
    let understood = Understood::new(&program);
    let own = |folder: &str| {
        program.editions.iter().any(|edition| edition.language.to_lowercase() == folder)
            || program.content.settings.events.iter().any(|event| event.id == folder)
    };
    let one = program.people.roster.rows[0].name.clone();
    let of_one = Scope { participant: Some(one), ..Scope::default() };
    let selections = [
        Selection::default(),
        Selection { specimen: true, ..Selection::default() },
        Selection { scope: of_one, ..Selection::default() },
    ];
    let jobs: Vec<_> = selections.iter().flat_map(|selection| flow::plan(&understood, selection)).collect();
    let folders: BTreeSet<&str> = jobs
        .iter()
        .filter_map(|job| job.path.split_once('/').map(|(folder, _)| folder))
        .filter(|folder| !own(folder))
        .collect();
    assert_eq!(folders.into_iter().collect::<Vec<_>>(), program::FOLDERS);
}

/// Answers on a Spanish question sheet, and what they come to.
#[test]
fn answers_in_spanish_are_scored_by_the_editions_words() {
    let right = [
        ("6 pies", "200 pies", "piel seca, tropieza"),
        ("seis pies", "doscientos pies", "jadea; no suda"),
        ("A", "al menos 200 pies", "Tropieza y jadea"),
        ("A) 6 pies", "Se acampa a 200 pies del agua.", "piel seca y jadea"),
        ("6 feet", "at least 200 feet", "dry skin, stumbling"),
        ("6 ft", "200 pies (60 metros)", "tropieza, no suda"),
    ];
    let wrong = [
        ("15 pies", "100 pies", "tropieza"),
        ("B", "trescientos pies", "piel seca, no suda"),
        ("60 feet", "20 feet", "jadea, jadea"),
    ];
    let look = [("6 o 15 pies", "200 libras", "piel, jadea"), ("pies", "no a 200 pies", "piel rara, jadea")];
    let folder = tempfile::tempdir().unwrap();
    copy(&self::folder(), folder.path());
    fs::create_dir(folder.path().join("people")).unwrap();
    let all = right.iter().chain(&wrong).chain(&look);
    let (mut roster, mut answers) =
        ("event,name,attended\n".to_owned(), "event,name,lead-length,water-distance,signs\n".to_owned());
    for (at, (rope, water, signs)) in all.enumerate() {
        let name = format!("Rider {}", (b'A' + at as u8) as char);
        roster += &format!("north-camp,{name},yes\n");
        answers += &format!("north-camp,{name},\"{rope}\",\"{water}\",\"{signs}\"\n");
    }
    fs::write(folder.path().join("people/roster.csv"), roster).unwrap();
    fs::write(folder.path().join("people/answers.csv"), answers).unwrap();
    let program = open(folder.path());
    let understood = Understood::new(&program);
    let scores = Scores::of(&understood);
    let told: Vec<Vec<Verdict>> = scores
        .list
        .iter()
        .map(|scoring| scoring.answers.iter().map(|scored| scored.judged.verdict).collect())
        .collect();
    let expected = |verdict: Verdict, count: usize| std::iter::repeat_n(vec![verdict; 3], count);
    let expected: Vec<_> = expected(Verdict::Right, right.len())
        .chain(expected(Verdict::Wrong, wrong.len()))
        .chain(expected(Verdict::Look, look.len()))
        .collect();
    assert_eq!(told, expected);
}

/// The program without its Spanish lesson on ropes.
fn lacking_a_lesson() -> tempfile::TempDir {
    let changed = tempfile::tempdir().unwrap();
    copy(&folder(), changed.path());
    fs::remove_file(changed.path().join("lessons/es-US/ropes.md")).unwrap();
    changed
}

/// What a piece of the program comes to.
fn made(folder: &Path, path: &str) -> Vec<u8> {
    let program = open(folder);
    let understood = Understood::new(&program);
    let jobs = flow::plan(&understood, &Selection::default());
    let job = jobs.iter().find(|job| job.path == path).unwrap_or_else(|| panic!("no {path}"));
    let mut bytes = Vec::new();
    let mut put = |made: Made| {
        bytes = made.bytes.to_vec();
        Ok(())
    };
    let press = Press::open(Theme::plain(), folder);
    press.make(&press.plan(job), &|_| true, &mut put).unwrap();
    bytes
}

/// Headings of a PDF by their titles, with the languages of what they hold.
fn headings(pdf: &[u8]) -> Vec<(String, BTreeSet<String>)> {
    fn langs(document: &Document, element: &Object, inherited: &str, told: &mut BTreeSet<String>) {
        let element = document.dereference(element).unwrap().1;
        if let Ok(list) = element.as_array() {
            return list.iter().for_each(|inner| langs(document, inner, inherited, told));
        }
        let Some(dict) = element.as_dict().ok().filter(|dict| dict.has(b"S")) else {
            // marked content: words on the page
            told.insert(inherited.to_owned());
            return;
        };
        let own = dict.get(b"Lang").ok().map(|lang| decode_text_string(lang).unwrap());
        if let Ok(inner) = dict.get(b"K") {
            langs(document, inner, own.as_deref().unwrap_or(inherited), told);
        }
    }
    fn gather(
        document: &Document,
        element: &Object,
        inherited: &str,
        found: &mut Vec<(String, BTreeSet<String>)>,
    ) {
        let element = document.dereference(element).unwrap().1;
        if let Ok(list) = element.as_array() {
            return list.iter().for_each(|inner| gather(document, inner, inherited, found));
        }
        let Some(dict) = element.as_dict().ok().filter(|dict| dict.has(b"S") || dict.has(b"K")) else {
            return;
        };
        let own = dict.get(b"Lang").ok().map(|lang| decode_text_string(lang).unwrap());
        let own = own.as_deref().unwrap_or(inherited);
        if let Ok(title) = dict.get(b"T") {
            let mut told = BTreeSet::new();
            if let Ok(inner) = dict.get(b"K") {
                langs(document, inner, own, &mut told);
            }
            found.push((decode_text_string(title).unwrap(), told));
        }
        if let Ok(inner) = dict.get(b"K") {
            gather(document, inner, own, found);
        }
    }
    let document = Document::load_mem(pdf).unwrap();
    let catalog = document.catalog().unwrap();
    let language = decode_text_string(catalog.get(b"Lang").unwrap()).unwrap();
    let mut found = Vec::new();
    gather(&document, catalog.get(b"StructTreeRoot").unwrap(), &language, &mut found);
    found
}

#[test]
fn what_an_edition_has_from_the_main_one_keeps_its_language_on_paper() {
    let folder = lacking_a_lesson();
    for path in ["es-us/handbook.pdf", "es-us/deck.pdf", "es-us/presenters-copy/north-camp.pdf"] {
        let headings = headings(&made(folder.path(), path));
        for (words, language) in [
            ("Ropes and knots", "en"),
            ("Tying", "en"),
            ("Agua y calor", "es-US"),
            ("A qué distancia del agua", "es-US"),
        ] {
            if path.starts_with("es-us/presenters-copy") && words.starts_with("Ropes") {
                // A number stands before it, so only the words themselves have their language.
                continue;
            }
            let found = headings.iter().find(|(title, _)| title.contains(words));
            let (_, told) = found.unwrap_or_else(|| panic!("{path} has no heading {words}: {headings:?}"));
            assert!(told.contains(language), "{words} in {path}: {told:?}");
            assert!(language == "en" || told.len() == 1, "{words} in {path}: {told:?}");
        }
    }
    let whole = headings(&made(&self::folder(), "es-us/handbook.pdf"));
    assert!(whole.len() > 4 && whole.iter().all(|(_, told)| !told.contains("en")), "{whole:?}");
}

#[test]
fn what_an_edition_has_from_the_main_one_keeps_its_language_on_pages() {
    let folder = lacking_a_lesson();
    let page = |path: &str| String::from_utf8(made(folder.path(), path)).unwrap();
    let lesson = page("es-us/site/lessons/ropes.html");
    assert!(lesson.contains("<html lang=\"es-US\"") && lesson.contains("<article lang=\"en\">"), "{lesson}");
    let front = page("es-us/site/index.html");
    assert!(front.contains("lang=\"en\">Ropes and knots</a>"), "{front}");
    let slides = page("es-us/site/slides.html");
    assert!(slides.contains("<h2><span lang=\"en\">Ropes and knots</span></h2>"), "{slides}");
    assert!(!page("es-us/site/lessons/water.html").contains("<article lang="));
}

#[test]
fn a_short_text_from_the_main_edition_keeps_its_language() {
    let folder = with(
        "program.es-US.toml",
        "because = \"Un caballo pasa la pata por encima de una más larga.\"\n",
        "",
    );
    let page = String::from_utf8(made(folder.path(), "es-us/site/self-check.html")).unwrap();
    assert!(page.contains("<span lang=\"en\">A horse steps over a longer rope.</span>"), "{page}");
}

#[test]
fn certificates_are_in_the_words_that_a_participant_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let program = folder.path().join("program");
    copy(&self::folder(), &program);
    fs::create_dir(program.join("people")).unwrap();
    let roster = |last: &str| {
        let rows = format!(
            "event,name,attended,passed,language\nnorth-camp,Ana Ruiz,yes,yes,es\nnorth-camp,Bo Lee,yes,yes,\n\
             north-camp,Cy Fox,yes,yes,Spanish\nnorth-camp,Di May,yes,yes,EN\nnorth-camp,Ed Roe,no,,{last}\n"
        );
        fs::write(program.join("people/roster.csv"), rows).unwrap();
    };
    roster("es-us");
    let made = Command::new(env!("CARGO_BIN_EXE_packstring"))
        .current_dir(&program)
        .env("PACKSTRING_KEYS", folder.path().join("keys"))
        .args(["make", "--pieces", "certificates"])
        .output()
        .unwrap();
    let told = String::from_utf8(made.stdout).unwrap();
    for run in ["certificates/north-camp.pdf", "certificates/north-camp_es-us.pdf"] {
        assert!(
            told.contains(&format!("2 people for North Camp Workshop; to print: private/{run}.")),
            "{told}"
        );
        assert!(program.join("out/private").join(run).is_file(), "{run}");
    }
    let read = program::open(&program).unwrap();
    let jobs = flow::plan(&Understood::new(&read), &Selection::default());
    let names = |path: &str| {
        let job = jobs.iter().find(|job| job.path == path).unwrap_or_else(|| panic!("no {path}"));
        let Make::Run(run) = &job.make else { panic!("certificates are a run") };
        let names = run.entries.iter().map(|entry| entry.data["name"].as_str().unwrap().to_owned());
        (
            run.data["event"]["name"].clone(),
            run.data["program"]["language"].clone(),
            names.collect::<BTreeSet<_>>(),
        )
    };
    let set = |names: [&str; 2]| names.map(str::to_owned).into();
    assert_eq!(
        names("certificates/north-camp_es-us.pdf"),
        ("Taller del Campamento Norte".into(), "es-US".into(), set(["Ana Ruiz", "Cy Fox"]))
    );
    assert_eq!(
        names("certificates/north-camp.pdf"),
        ("North Camp Workshop".into(), "en".into(), set(["Bo Lee", "Di May"]))
    );
    roster("Klingon");
    let unread = program::open(&program).expect_err("Klingon was read");
    let told: Vec<_> =
        unread.mistakes.iter().map(|mistake| (mistake.rule.name, mistake.mend.clone().unwrap())).collect();
    assert_eq!(told, [("value-unfit", "Write “en” or “es-US”, or leave it empty for the first.".to_owned())]);
}

#[test]
fn facts_go_by_their_names_in_the_edition() {
    let page = |path: &str| String::from_utf8(made(&folder(), path)).unwrap();
    let facts = page("es-us/site/facts.html");
    assert!(facts.contains("Largo de la cuerda de guía") && !facts.contains("Lead length"), "{facts}");
    assert!(page("site/facts.html").contains("Lead length"));
    let lacking = with("program.es-US.toml", "name = \"descanso\"\n", "");
    let told = findings(lacking.path());
    let told: Vec<_> =
        told.iter().map(|finding| (finding.rule.name, finding.mend.as_deref().unwrap_or(""))).collect();
    assert_eq!(told, [("edition-lacks-words", "Put them into program.es-US.toml: [facts.rest] name.")]);
}

/// A program that has no English but the keys of its files: limits and values as people write them there, and the form
/// that packstring's own guides show.
#[test]
fn a_program_in_spanish_alone_is_read() {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| {
        fs::create_dir_all(folder.path().join(name).parent().unwrap()).unwrap();
        fs::write(folder.path().join(name), text).unwrap();
    };
    put(
        "program.toml",
        "[program]\nname = \"Jinetes\"\nagency = \"Cuenca\"\nseason = \"2026\"\nlanguage = \"es-MX\"\n\
         [[syllabus]]\nlesson = \"agua\"\nminutes = 10\n",
    );
    put(
        "facts.toml",
        "[agua]\nvalue = \"15 gallons a day\"\nlimit = \"al menos\"\ncalled = [\"caballo\"]\nsource = \"Regla 1\"\n\
         [cuerda]\nvalue = \"6 pies\"\nlimit = \"como máximo\"\ncalled = [\"cuerda\"]\nsource = \"Regla 2\"\n",
    );
    let lesson = |rope: &str| {
        format!(
            "# Agua\n\n## Beber\n\n- Un caballo bebe [al menos 15 galones al día](fact:agua).\n\
             - La cuerda mide [{rope}](fact:cuerda).\n"
        )
    };
    put("lessons/agua.md", &lesson("como máximo seis pies"));
    assert_eq!(findings(folder.path()), []);
    put("lessons/agua.md", &lesson("al menos seis pies"));
    let told = findings(folder.path());
    assert_eq!(told.iter().map(|told| told.rule.name).collect::<Vec<_>>(), ["limit-turned"]);
}

/// An edition that was only begun lacks very much: how much, and where to begin, stands in one line a file.
#[test]
fn gaps_are_told_in_one_line_a_file() {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("content"), folder.path());
    fs::remove_dir_all(folder.path().join("lessons/es-US")).unwrap();
    fs::write(folder.path().join("program.es-US.toml"), "[program]\nname = \"Jinetes\"\n").unwrap();
    fs::create_dir_all(folder.path().join("lessons/es-US")).unwrap();
    fs::write(folder.path().join("lessons/es-US/wildlife.md"), "# Fauna\n\n## Lejos\n\n- Aléjese.\n")
        .unwrap();
    let program = open(folder.path());
    let lacks = program.editions[0].lacks.len();
    assert!(lacks > 20, "{lacks}");
    let told = findings(folder.path());
    let of = |rule: &str| told.iter().filter(|it| it.rule.name == rule).collect::<Vec<_>>();
    let words = of("edition-lacks-words");
    let files: Vec<&str> = words.iter().map(|it| &*it.place.file).collect();
    assert_eq!(files, ["facts.toml", "kits.toml", "program.toml", "questions.toml"]);
    let counts: usize = words
        .iter()
        .map(|it| {
            it.message
                .split("words of its own for ")
                .nth(1)
                .and_then(|rest| rest.split(' ').next()?.parse().ok())
                .unwrap_or(1)
        })
        .sum();
    assert_eq!(counts, lacks);
    assert!(words[3].message.contains("; the first is the question “"), "{}", words[3].message);
    assert!(words[3].mend.as_deref().unwrap().contains(" more."), "{:?}", words[3].mend);
    let [lessons] = of("edition-lacks-lesson")[..] else { panic!("{told:#?}") };
    assert!(
        lessons.message.contains("lacks 10 lessons of the syllabus; the first is “"),
        "{}",
        lessons.message
    );
    let [apart] = of("edition-apart")[..] else { panic!("{told:#?}") };
    assert!(apart.message.contains(" facts ("), "{}", apart.message);
}
