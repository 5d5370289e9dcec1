//! Findings as a SARIF log (Static Analysis Results Interchange Format, version 2.1.0, OASIS).
//!
//! Only what tools for editing and review use is in it: the rules, and each finding with its place and
//! a fingerprint. The same input gives the same bytes: no clock, no path of this machine.

use super::json::CoverageRecord;
use super::{LocatedFinding, Report, cell_words};
use crate::digest::hex;
use crate::finding::Rule;
use crate::proof;
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use serde_json::{Map, Value, json};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// What every path in the log starts from. Where it lies on this machine is nobody's business.
const ROOT: &str = "PROGRAMROOT";

/// All but the unreserved letters of RFC 3986 and the slash between the parts of a path.
const IN_PATH: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~').remove(b'/');

/// How the fingerprint is made; another way of making it must have another name.
const FINGERPRINT: &str = "fileRuleWords/v1";

pub(super) fn log(report: &Report) -> Value {
    let rules = rules();
    let mut fingerprints = Fingerprints::default();
    let results: Vec<Value> = report.told().map(|told| result(&told, &rules, &mut fingerprints)).collect();
    let read = report.looked.map(CoverageRecord::from);
    json!({
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": {
                "name": "packstring",
                "version": env!("CARGO_PKG_VERSION"),
                "rules": rules.values().map(|(_, rule)| rule).collect::<Vec<_>>(),
            } },
            "invocations": [{ "executionSuccessful": report.looked.is_some() }],
            "language": "en-US",
            "originalUriBaseIds": {
                ROOT: { "description": { "text": "The program folder, which holds program.toml." } },
            },
            "columnKind": "unicodeCodePoints",
            "results": results,
            "properties": { "read": read },
        }],
    })
}

/// Each rule, with its number in the list.
type Rules = BTreeMap<&'static Rule, (usize, Value)>;

fn rules() -> Rules {
    let mut all: Vec<&Rule> = proof::rules().collect();
    all.sort();
    let described = all.into_iter().enumerate().map(|(at, rule)| {
        let Rule { name, level, summary, .. } = rule;
        let described = json!({
            "id": name,
            "shortDescription": { "text": literal(summary) },
            "help": { "text": format!("What it means, with examples: docs/rules/{name}.md") },
            "defaultConfiguration": { "level": level },
        });
        (rule, (at, described))
    });
    described.collect()
}

fn result(told: &LocatedFinding, rules: &Rules, fingerprints: &mut Fingerprints) -> Value {
    let finding = told.finding;
    let uri = utf8_percent_encode(&finding.place.file, IN_PATH).to_string();
    let artifact = json!({ "uri": uri, "uriBaseId": ROOT });
    let region = json!({
        "startLine": told.start.line,
        "startColumn": told.start.column,
        "endLine": told.end.line,
        "endColumn": told.end.column,
    });
    let mut physical = json!({ "artifactLocation": artifact });
    // What concerns a file as a whole, or one that is not there, has no region.
    if finding.place.range.end > 0 {
        physical["region"] = region.clone();
    }
    let mut result = Map::new();
    result.insert("ruleId".into(), finding.rule.name.into());
    if let Some((at, _)) = rules.get(finding.rule) {
        result.insert("ruleIndex".into(), (*at).into());
    }
    result.insert("level".into(), json!(finding.level));
    result.insert("message".into(), json!({ "text": literal(&message(told)) }));
    let mut location = json!({ "physicalLocation": physical });
    if let Some(cell) = &told.cell() {
        location["logicalLocations"] = json!([{ "name": cell_words(cell) }]);
    }
    result.insert("locations".into(), json!([location]));
    result.insert("partialFingerprints".into(), json!({ FINGERPRINT: fingerprints.of(told) }));
    if let Some(words) = told.instead() {
        result.insert("fixes".into(), json!([fix(words, &artifact, &region)]));
    }
    result.insert("properties".into(), json!({ "stopsPress": finding.stops_press }));
    result.into()
}

/// Other words for those at the place (3.55): an editor offers to put them there.
fn fix(words: &str, artifact: &Value, region: &Value) -> Value {
    json!({
        "description": { "text": literal(&format!("Write “{words}”.")) },
        "artifactChanges": [{
            "artifactLocation": artifact,
            "replacements": [{ "deletedRegion": region, "insertedContent": { "text": words } }],
        }],
    })
}

/// All that a reader needs who sees nothing but this: what is wrong, what the fact says, how to mend it.
fn message(told: &LocatedFinding) -> String {
    let finding = told.finding;
    let mut message = finding.message.clone();
    if let Some(words) = &finding.fact_says {
        message += &format!(" The fact says: {words}.");
    }
    if let Some(hint) = &finding.mend {
        message += &format!(" {hint}");
    }
    message
}

/// Words in which braces and links, which SARIF would read, stand for themselves (3.11.5 and 3.11.6).
fn literal(words: &str) -> String {
    let words = words.replace('{', "{{").replace('}', "}}");
    if words.contains("](") { words.replace('[', "\\[").replace(']', "\\]") } else { words }
}

/// Fingerprints stay when lines move: they are made of the rule, the file and the words, and of which
/// it is among findings that agree in these.
#[derive(Default)]
struct Fingerprints {
    given: BTreeMap<String, usize>,
}

impl Fingerprints {
    fn of(&mut self, told: &LocatedFinding) -> String {
        let finding = told.finding;
        let words = told.says().split_whitespace().collect::<Vec<_>>().join(" ");
        let about = [finding.rule.name, &finding.place.file, &words].join("\n");
        let earlier = self.given.entry(about.clone()).or_default();
        let digest = Sha256::digest(format!("{about}\n{earlier}"));
        *earlier += 1;
        hex(&digest[..16])
    }
}
