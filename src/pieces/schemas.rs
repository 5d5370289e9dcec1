//! The JSON Schemas of what templates are given, made from the models that pieces serialize.
//!
//! They stand in `docs/theme/schemas/` for who makes a theme. A test compares them with what the types give, and
//! `PACKSTRING_ACCEPT=1` rewrites them. What a doc comment says of a field, its schema says.

use super::{
    answer_key, attendance, bring_list, calibration_sheet, certificates, deck, drawings, envelopes, errata,
    handbook, handout, kit_sheets, labels, leaflet, mailing, name_tags, orders, packing_list,
    presenters_copy, question_sheet, reprint_list, run_sheet, scores, season_report, sign_in_sheet, site,
    slides, start_here, tally, tree, wall_chart, welcome_list,
};
use crate::schema::{self, strict};
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// What several templates are given stands here once.
pub const COMMON: &str = "common.schema.json";

const DRAFT: &str = "https://json-schema.org/draft/2020-12/schema";

/// What a template is given: `piece`, and of some also a `part` (one of several files beside it) or an `entry` (one of
/// a run).
struct Given {
    template: &'static str,
    models: &'static [(&'static str, Model)],
}

type Model = fn(&mut SchemaGenerator) -> Schema;

const fn piece<T: JsonSchema>() -> (&'static str, Model) {
    ("piece", T::json_schema)
}

const fn part<T: JsonSchema>() -> (&'static str, Model) {
    ("part", T::json_schema)
}

const fn entry<T: JsonSchema>() -> (&'static str, Model) {
    ("entry", T::json_schema)
}

const fn given(template: &'static str, models: &'static [(&'static str, Model)]) -> Given {
    Given { template, models }
}

const GIVEN: &[Given] = &[
    given("sheets/answer-key.typ", &[piece::<question_sheet::Questions<answer_key::AnsweredQuestion>>()]),
    given("sheets/attendance.typ", &[piece::<attendance::Attendance>()]),
    given("sheets/bring-list.typ", &[piece::<bring_list::BringList>()]),
    given("sheets/calibration-sheet.typ", &[piece::<calibration_sheet::CalibrationSheet>()]),
    given(
        "sheets/certificate.typ",
        &[piece::<certificates::CertificateRun>(), entry::<certificates::CertificateEntry>()],
    ),
    given("sheets/deck.typ", &[piece::<deck::Deck>(), part::<slides::SlidesOfLesson>()]),
    given("sheets/drawing.typ", &[piece::<drawings::Drawing>()]),
    given("sheets/envelope.typ", &[piece::<envelopes::Envelopes>(), entry::<mailing::AddressBlock>()]),
    given("sheets/handbook.typ", &[piece::<handbook::Handbook>(), part::<tree::Lesson>()]),
    given("sheets/errata-slips.typ", &[piece::<errata::Slips>()]),
    given("sheets/errata-stickers.typ", &[piece::<errata::Stickers>()]),
    given("sheets/handout.typ", &[piece::<handout::Handout>()]),
    given("sheets/kit-sheet.typ", &[piece::<kit_sheets::KitSheet>()]),
    given("sheets/kits-side-by-side.typ", &[piece::<kit_sheets::KitsSideBySide>()]),
    given("sheets/labels.typ", &[piece::<labels::Labels>()]),
    given("sheets/leaflet.typ", &[piece::<leaflet::Leaflet>()]),
    given("sheets/name-tags.typ", &[piece::<name_tags::NameTags>()]),
    given("sheets/orders.typ", &[piece::<orders::Orders>()]),
    given("sheets/packing-list.typ", &[piece::<packing_list::PackingList>()]),
    given(
        "sheets/presenters-copy.typ",
        &[piece::<presenters_copy::PresentersCopy>(), part::<presenters_copy::ScriptOfLesson>()],
    ),
    given(
        "sheets/question-sheet.typ",
        &[piece::<question_sheet::Questions<question_sheet::AskedQuestion>>()],
    ),
    given("sheets/reprint-list.typ", &[piece::<reprint_list::ReprintList>()]),
    given("sheets/run-sheet.typ", &[piece::<run_sheet::RunSheet>()]),
    given("sheets/scoring-sheet.typ", &[piece::<scores::ScoringSheet>()]),
    given("sheets/season-report.typ", &[piece::<season_report::SeasonReport>()]),
    given("sheets/sign-in-sheet.typ", &[piece::<sign_in_sheet::SignInSheet>()]),
    given("sheets/tally.typ", &[piece::<tally::TallySheet>()]),
    given("sheets/wall-chart.typ", &[piece::<wall_chart::WallChart>()]),
    given("sheets/welcome-list.typ", &[piece::<welcome_list::WelcomeList>()]),
    given("pages/answers.html", &[piece::<site::AnswersPage>()]),
    given("pages/check-certificate.html", &[piece::<site::CheckPage>()]),
    given("pages/facts.html", &[piece::<site::FactsTold>()]),
    given("pages/glossary.html", &[piece::<site::GlossaryPage>()]),
    given("pages/index.html", &[piece::<site::FrontPage>()]),
    given("pages/lesson.html", &[piece::<site::LessonPage>()]),
    given("pages/search.html", &[piece::<site::SearchPage>()]),
    given("pages/self-check.html", &[piece::<site::SelfCheckPage>()]),
    given("pages/slides.html", &[piece::<site::SlidesPage>()]),
    given("pages/start-here.html", &[piece::<start_here::StartHere>()]),
    given("pages/workshops.html", &[piece::<site::WorkshopsPage>()]),
    given("pages/site.css", &[piece::<site::StyleSheet>()]),
    given("pages/slides.css", &[piece::<site::StyleSheet>()]),
];

/// Every schema by its file's name: `sheets/handbook.typ` has `handbook.typ.schema.json`.
pub fn all() -> BTreeMap<String, Value> {
    let mut generator = schema::generator();
    let mut models: Vec<(&Given, Map<String, Value>)> = Vec::new();
    for given in GIVEN {
        let schema =
            |(what, model): &(&str, Model)| ((*what).to_owned(), strict(model(&mut generator).to_value()));
        models.push((given, given.models.iter().map(schema).collect()));
    }
    let parts: Map<String, Value> =
        generator.take_definitions(false).into_iter().map(|(name, part)| (name, strict(part))).collect();
    let reached: Vec<BTreeSet<String>> = models.iter().map(|(_, models)| reached(models, &parts)).collect();
    let shared: BTreeSet<&String> =
        parts.keys().filter(|name| reached.iter().filter(|of| of.contains(*name)).count() > 1).collect();
    let mut files = BTreeMap::new();
    for ((given, mut defs), reached) in models.into_iter().zip(&reached) {
        let own = parts.iter().filter(|(name, _)| reached.contains(*name) && !shared.contains(name));
        defs.extend(own.map(|(name, part)| (name.clone(), part.clone())));
        let mut defs = Value::Object(defs);
        lead_to_common(&mut defs, &shared);
        let name = given.template.rsplit('/').next().unwrap_or(given.template);
        files.insert(format!("{name}.schema.json"), file(given, defs));
    }
    let common: Map<String, Value> =
        shared.iter().map(|name| ((*name).clone(), parts[*name].clone())).collect();
    let title = "What the data of several templates share";
    files.insert(COMMON.to_owned(), json!({"$schema": DRAFT, "title": title, "$defs": common}));
    files
}

fn file(given: &Given, defs: Value) -> Value {
    let has = |what: &str| given.models.iter().any(|(name, _)| *name == what);
    let mut description = match given.template.starts_with("pages/") {
        true => {
            "The keys of piece stand at the top of the template, with words and inks beside them.".to_owned()
        }
        false => "piece is /data/piece.json.".to_owned(),
    };
    if has("part") {
        description += " Each lesson is a part, in a file of its own: /data/NAME.json, where NAME is its part in the \
                        list of lessons.";
    }
    if has("entry") {
        description += " /data/entries.json is a list of entries; each takes exactly one page.";
    }
    json!({
        "$schema": DRAFT,
        "title": format!("What {} is given", given.template),
        "description": description,
        "$ref": "#/$defs/piece",
        "$defs": defs,
    })
}

/// The names of all parts that schemas refer to, and those that these refer to.
fn reached(schemas: &Map<String, Value>, parts: &Map<String, Value>) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    let mut waiting: Vec<&Value> = schemas.values().collect();
    while let Some(schema) = waiting.pop() {
        let mut referred = Vec::new();
        references(schema, &mut referred);
        for name in referred {
            if names.insert(name.to_owned()) {
                waiting.extend(parts.get(name));
            }
        }
    }
    names
}

fn references<'s>(schema: &'s Value, names: &mut Vec<&'s str>) {
    match schema {
        Value::Object(fields) => {
            let to = fields.get("$ref").and_then(Value::as_str);
            names.extend(to.and_then(|to| to.strip_prefix("#/$defs/")));
            fields.values().for_each(|inner| references(inner, names));
        }
        Value::Array(several) => several.iter().for_each(|inner| references(inner, names)),
        _ => {}
    }
}

/// References to what is shared lead into the file that has it.
fn lead_to_common(schema: &mut Value, shared: &BTreeSet<&String>) {
    match schema {
        Value::Object(fields) => {
            if let Some(Value::String(to)) = fields.get_mut("$ref")
                && let Some(name) = to.strip_prefix("#/$defs/")
                && shared.iter().any(|known| known.as_str() == name)
            {
                *to = format!("{COMMON}{to}");
            }
            fields.values_mut().for_each(|inner| lead_to_common(inner, shared));
        }
        Value::Array(several) => several.iter_mut().for_each(|inner| lead_to_common(inner, shared)),
        _ => {}
    }
}
