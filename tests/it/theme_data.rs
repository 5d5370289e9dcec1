//! What templates are given, held against `docs/theme/schemas/`: a theme's author can rely on what stands there.
//!
//! The schemas are made from the models of pieces. With `PACKSTRING_ACCEPT=1` they are written anew; what they say is
//! then held against the data of whole programs, and that they are strict.

use crate::flow;
use crate::folders::{copy, open};
use crate::proof::root;
use crate::schema;
use packstring::job::{Job, Make, Piece};
use packstring::people::scope::Scope;
use packstring::people::scoring::Scores;
use packstring::pieces::{self, Selection, reprint_list, start_here};
use packstring::press::Theme;
use packstring::since::{Change, Comparison, FactChange, Level, PieceNow, Stands, Verdict};
use packstring::understand::Understood;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::sync::Arc;

/// Programs that between them have nearly every form of everything.
const PROGRAMS: [&str; 5] =
    ["content", "tests/sheets", "tests/lessons", "tests/editions", "src/session/begin/en"];

/// The forms of words that none of them has; stands in a lesson of each.
const MORE: &str = "
## Every form of words

**Strong**, ~~struck~~, `code`, a ![rope](../pictures/none.svg) and a break\\
here
and one there.[^more]

![A picture that is not there](../pictures/none.svg)

[^more]: A note.
";

/// Data as a template is given it: whose it is (`handbook`), what of it, and where it was planned.
struct Given {
    template: String,
    /// `piece`, `part` (one of several files beside it) or `entry` (one of a run).
    what: &'static str,
    data: Value,
    of: String,
}

fn given() -> Vec<Given> {
    let mut given = Vec::new();
    for folder in PROGRAMS {
        let copied = tempfile::tempdir().unwrap();
        copy(&root().join(folder), copied.path());
        let lessons = fs::read_dir(copied.path().join("lessons")).unwrap().map(|entry| entry.unwrap().path());
        let lesson = lessons.filter(|path| path.is_file()).min().expect("a lesson");
        // An edition that lacks a lesson has the main one's, with its language.
        let _ = fs::remove_file(copied.path().join("lessons/es-US/ropes.md"));
        fs::write(&lesson, fs::read_to_string(&lesson).unwrap() + MORE).unwrap();
        let program = open(copied.path());
        let understood = Understood::new(&program);
        // The demo has many events, of which a few have every form.
        let events = program.content.settings.events.iter().rev().take(4).map(|event| Some(event.id.clone()));
        for event in std::iter::once(None).chain(events) {
            let selection = Selection { scope: Scope { event, participant: None }, ..Selection::default() };
            let jobs = flow::plan(&understood, &selection);
            given.push(Given {
                template: "pages/start-here.html".to_owned(),
                what: "piece",
                data: start_here::data(&understood, &selection, &jobs),
                of: format!("the page to start with of {folder}"),
            });
            for job in jobs {
                let of = format!("{} of {folder}", job.path);
                given.extend(of_job(job).into_iter().map(|(template, what, data)| Given {
                    template,
                    what,
                    data,
                    of: of.clone(),
                }));
            }
        }
        let comparison = comparison(&program.content.settings.language);
        let mut jobs = vec![reprint_list::job(&understood, &Selection::default(), &comparison, "list.pdf")];
        let pieces = vec![Piece::Errata];
        let errata = Selection { pieces, since: Some(Arc::new(comparison)), ..Selection::default() };
        jobs.extend(pieces::plan(&understood, &Scores::default(), &errata));
        for job in jobs {
            let of = format!("{} of {folder}, compared", job.path);
            given.extend(of_job(job).into_iter().map(|(template, what, data)| Given {
                template,
                what,
                data,
                of: of.clone(),
            }));
        }
    }
    given
}

/// A comparison that has something of each kind.
fn comparison(language: &str) -> Comparison {
    let words = |words: &str| Some(words.to_owned());
    let stands = Stands {
        key: "handbook".to_owned(),
        piece: "Handbook".into(),
        path: "handbook.pdf".into(),
        on_screen: false,
        pages: vec![4, 31],
    };
    let change = |level, was, now| Change {
        level,
        edition: language.into(),
        was,
        now,
        file: None,
        section: None,
        signal: None,
        facts: vec!["lead-length".into()],
        not_restated: false,
        stands: vec![stands.clone()],
    };
    let piece = |verdict, pages| PieceNow {
        key: "handbook".to_owned(),
        verdict,
        edition: language.into(),
        piece: "Handbook".into(),
        shelf: "open".into(),
        path: "handbook.pdf".into(),
        on_screen: false,
        pages,
        changes: 2,
        pictures: Vec::new(),
    };
    Comparison {
        format: 1,
        season_was: "2026".into(),
        season_now: "2027".into(),
        only_season: 0,
        only_page: 0,
        facts: vec![FactChange {
            name: "lead-length".into(),
            at: None,
            safety: true,
            was: "6 ft".into(),
            now: words("5 ft"),
            source: words("Rule 4.2"),
            as_of: words("2026-03-01"),
            asked: true,
        }],
        changes: vec![
            change(Level::Safety, words("six feet"), words("five feet")),
            change(Level::Words, None, words("new")),
        ],
        pieces: vec![piece(Verdict::ReprintSafety, Some(38)), piece(Verdict::Gone, None)],
        answers: Vec::new(),
        translate_again: Vec::new(),
        private: Vec::new(),
    }
}

fn of_job(job: Job) -> Vec<(String, &'static str, Value)> {
    match job.make {
        Make::Sheet(sheet) | Make::Drawing(sheet) => {
            let template = format!("sheets/{}", sheet.template);
            let parts = sheet.parts.into_iter().map(|(_, part)| (template.clone(), "part", part));
            std::iter::once((template.clone(), "piece", sheet.data)).chain(parts).collect()
        }
        Make::Imposed(imposed) => of_job(Job { make: Make::Sheet(imposed.pages), ..job }),
        Make::Run(run) => {
            let template = format!("sheets/{}", run.template);
            let entries = run.entries.into_iter().map(|entry| (template.clone(), "entry", entry.data));
            std::iter::once((template.clone(), "piece", run.data)).chain(entries).collect()
        }
        Make::Page { template, data } => vec![(format!("pages/{template}"), "piece", data)],
        _ => Vec::new(),
    }
}

fn schemas() -> BTreeMap<String, Value> {
    let entries = fs::read_dir(root().join("docs/theme/schemas")).unwrap();
    let read = |entry: fs::DirEntry| {
        let schema = serde_json::from_str(&fs::read_to_string(entry.path()).unwrap());
        let name = entry.file_name().into_string().unwrap();
        (name.clone(), schema.unwrap_or_else(|error| panic!("{name}: {error}")))
    };
    entries.map(|entry| read(entry.unwrap())).collect()
}

/// `sheets/handbook.typ` has `handbook.typ.schema.json`.
fn schema_of(template: &str) -> String {
    format!("{}.schema.json", template.rsplit('/').next().unwrap())
}

#[test]
fn schemas_are_those_of_the_models() {
    let made = packstring::pieces::schemas::all();
    schema::assert_made("theme/schemas", made.iter().map(|(name, schema)| (name.as_str(), schema)));
}

/// Two types of one name would be told apart by a number that says nothing, and what stands beside a reference is not
/// held.
#[test]
fn every_model_has_a_name_of_its_own() {
    fn references(schema: &Value, at: &str, found: &mut Vec<String>) {
        match schema {
            Value::Object(fields) => {
                let beside = fields.keys().filter(|key| !["$ref", "description"].contains(&key.as_str()));
                if fields.contains_key("$ref") && beside.count() > 0 {
                    found.push(at.to_owned());
                }
                fields.iter().for_each(|(key, inner)| references(inner, &format!("{at}/{key}"), found));
            }
            Value::Array(several) => several.iter().for_each(|inner| references(inner, at, found)),
            _ => {}
        }
    }
    let mut found = Vec::new();
    for (name, schema) in schemas() {
        let defs = schema["$defs"].as_object().unwrap();
        let is_numbered = |key: &&String| key.ends_with(|letter: char| letter.is_ascii_digit());
        found.extend(defs.keys().filter(is_numbered).map(|key| format!("{name} {key}")));
        references(&schema["$defs"], &name, &mut found);
    }
    assert_eq!(found, Vec::<String>::new());
}

#[test]
fn what_templates_are_given_is_what_the_docs_say() {
    let schemas = schemas();
    let mut wrong = BTreeSet::new();
    let mut unseen: BTreeSet<String> = schemas.keys().cloned().collect();
    unseen.remove("common.schema.json");
    for given in given() {
        let name = schema_of(&given.template);
        unseen.remove(&name);
        let Some(schema) = schemas.get(&name) else {
            wrong.insert(format!("docs/theme/schemas/{name} is not there, and {} needs it", given.of));
            continue;
        };
        let Some(part) = schema["$defs"].get(given.what) else {
            wrong.insert(format!("{name} has no $defs/{}, and {} has it", given.what, given.of));
            continue;
        };
        // Within its own file, as the part's references are.
        let whole =
            serde_json::json!({ "$ref": format!("#/$defs/{}", given.what), "$defs": schema["$defs"] });
        assert!(part.is_object());
        for fault in schema::faults(&whole, &schemas, &given.data) {
            let fault: String = fault.chars().take(300).collect();
            wrong.insert(format!("{name}, {} ({}): {fault}", given.what, given.of));
        }
    }
    assert_eq!(unseen, BTreeSet::new(), "no program of these has data for them");
    let shown: Vec<&String> = wrong.iter().take(20).collect();
    assert!(wrong.is_empty(), "{} in all, the models say otherwise: {shown:#?}", wrong.len());
}

#[test]
fn every_template_has_a_schema_and_every_schema_a_template() {
    let theme = Theme::plain();
    // Who sets finished pages on other sheets is given what was measured of them, not what was planned.
    let sets_pages =
        |name: &str| String::from_utf8_lossy(theme.file(name).unwrap()).contains("\"/data/imposed.json\"");
    let is_given = |name: &str| match name.split_once('/') {
        Some(("sheets", file)) => !file.contains('/') && !sets_pages(name),
        // These are for other pages to build on; scripts and type are no templates.
        Some(("pages", file)) => {
            !["base.html", "walk.html", "questions.html", "inks.css", "faces.css"].contains(&file)
                && !file.contains('/')
                && !file.ends_with(".js")
        }
        _ => false,
    };
    let expected: BTreeSet<String> =
        theme.files().map(|(name, _)| name).filter(|name| is_given(name)).map(schema_of).collect();
    let mut there: BTreeSet<String> = schemas().into_keys().collect();
    assert!(there.remove("common.schema.json"));
    assert_eq!(there, expected);
}

/// A schema that takes any other key would let docs and data drift apart.
#[test]
fn schemas_are_strict() {
    fn loose(schema: &Value, at: &str, found: &mut Vec<String>) {
        let Value::Object(fields) = schema else { return };
        if fields.contains_key("properties")
            && fields.get("additionalProperties") != Some(&Value::Bool(false))
        {
            found.push(at.to_owned());
        }
        if fields.get("type") == Some(&Value::from("array")) && !fields.contains_key("items") {
            found.push(at.to_owned());
        }
        for (key, inner) in fields {
            let at = format!("{at}/{key}");
            match inner {
                Value::Array(several) => several.iter().for_each(|inner| loose(inner, &at, found)),
                inner => loose(inner, &at, found),
            }
        }
    }
    let mut found = Vec::new();
    schemas().iter().for_each(|(name, schema)| loose(schema, name, &mut found));
    assert_eq!(found, Vec::<String>::new());
}
