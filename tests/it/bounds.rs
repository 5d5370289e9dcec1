//! A bound is never loosened and never turned round in silence: more than a hundred true rewordings in each language,
//! each held against a fact that binds so, which is silent, and one that binds the other way, which is told; with
//! the link and without it.

use crate::folders::{copy, open};
use crate::proof::{TODAY, root};
use packstring::finding::Finding;
use packstring::people::scoring::Scores;
use packstring::program::Program;
use packstring::proof;
use packstring::understand::Understood;
use std::fmt::Write as _;
use std::fs;

/// Each quantity as a fact that binds above and one that binds below.
const QUANTITIES: [(&str, &str, &str); 3] =
    [("rope", "6 ft", "feet"), ("wait", "30 minutes", "minutes"), ("load", "200 pounds", "pounds")];

fn program(language: &str, called: Option<(&str, &str)>) -> Program {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    let mut facts = fs::read_to_string(folder.path().join("facts.toml")).unwrap();
    facts = facts.replace("called = [\"lead rope\", \"lead line\"]", "called = [\"tether\"]");
    for (name, value, _) in QUANTITIES {
        for (limit, words) in [("most", "at most"), ("least", "at least")] {
            let named = called.filter(|(of, _)| *of == limit && name == "rope");
            let called = named.map_or(String::new(), |(_, words)| format!("called = [\"{words}\"]\n"));
            write!(
                facts,
                "\n[{name}-{limit}]\nvalue = \"{value}\"\nlimit = \"{words}\"\n{called}source = \"Rule\"\n"
            )
            .unwrap();
        }
    }
    fs::write(folder.path().join("facts.toml"), facts).unwrap();
    let settings = folder.path().join("program.toml");
    let text = fs::read_to_string(&settings).unwrap();
    let text = match language {
        "en" => text,
        other => {
            let said = text.lines().find(|line| line.starts_with("language")).map(str::to_owned);
            match said {
                Some(line) => text.replace(&line, &format!("language = \"{other}\"")),
                None => text.replacen("[program]", &format!("[program]\nlanguage = \"{other}\""), 1),
            }
        }
    };
    fs::write(settings, text).unwrap();
    open(folder.path())
}

fn found(program: &Program, sentence: &str) -> Vec<Finding> {
    let lesson = format!("# Ropes\n\n## Tying up\n\n{sentence}\n");
    let program =
        program.with_lesson("ropes", &lesson).unwrap_or_else(|unread| panic!("{:#?}", unread.mistakes));
    let understood = Understood::new(&program);
    let mut findings = proof::proofread(&understood, &Scores::of(&understood), TODAY);
    findings
        .retain(|finding| &*finding.place.file == "lessons/ropes.md" && finding.rule.name != "slide-bare");
    findings
}

fn rules(findings: &[Finding]) -> Vec<&'static str> {
    findings.iter().map(|finding| finding.rule.name).collect()
}

/// The rows of a table: which way it binds, and the sentence.
fn rows(text: &str) -> impl Iterator<Item = (&str, &str)> {
    let rows = text.lines().filter(|line| !line.starts_with('#'));
    rows.map(|row| row.split_once(" | ").expect("a way and a sentence"))
}

fn is_unit(sentence: &str, unit: &str) -> bool {
    let forms: &[&str] = match unit {
        "feet" => &["feet", "ft", "pies"],
        "minutes" => &["minutes", "minutos"],
        _ => &["pounds", "libras"],
    };
    let words = &sentence[sentence.find('[').unwrap()..sentence.find(']').unwrap()];
    forms.iter().any(|form| words.contains(form))
}

fn each_way(language: &str, text: &str, called: &str) {
    let backed = program(language, None);
    let unbacked = ["most", "least"].map(|way| (way, program(language, Some((way, called)))));
    let mut wrong = String::new();
    let mut tried = 0;
    for (way, sentence) in rows(text) {
        let name = QUANTITIES.iter().find(|(.., unit)| is_unit(sentence, unit)).expect("a quantity").0;
        let other = if way == "most" { "least" } else { "most" };
        let linked = |limit: &str| sentence.replace(']', &format!("](fact:{name}-{limit})"));
        let (right, turned) = (found(&backed, &linked(way)), found(&backed, &linked(other)));
        if !right.is_empty() {
            writeln!(wrong, "true, and told: {sentence} {:?} {}", rules(&right), right[0].message).unwrap();
        }
        if rules(&turned) != ["limit-turned"] {
            writeln!(wrong, "turned ({way} for {other}): {sentence} {:?}", rules(&turned)).unwrap();
        }
        tried += 2;
        if name != "rope" || !sentence.to_lowercase().contains(called) {
            continue;
        }
        let bare = sentence.replace(['[', ']'], "");
        for (limit, program) in &unbacked {
            let told = rules(&found(program, &bare));
            let expected = if *limit == way { "figure-unbacked-match" } else { "limit-turned" };
            if told != [expected] {
                writeln!(wrong, "unbacked ({way} for {limit}): {bare} {told:?}").unwrap();
            }
            tried += 1;
        }
    }
    assert!(tried > 300, "{tried}");
    assert!(wrong.is_empty(), "of {tried}:\n{wrong}");
}

#[test]
fn bounds_in_english_are_read_either_way() {
    each_way("en", include_str!("../bounds/en.txt"), "lead rope");
}

#[test]
fn bounds_in_spanish_are_read_either_way() {
    each_way("es-US", include_str!("../bounds/es.txt"), "cuerda");
}

/// What each fact of a limit must not be said to be, and what it may. Worked by hand; common practice, no source.
#[test]
fn a_rounding_never_passes_a_bound() {
    const ROWS: &[(&str, &str, &[&str], &[&str])] = &[
        (
            "at most",
            "40 minutes",
            &["at most 1 hour", "1 hour", "up to an hour", "about 50 minutes"],
            &["at most 40 minutes", "40 minutes", "up to 2,400 seconds"],
        ),
        (
            "at least",
            "6.5 ft",
            &["at least 6 feet", "six feet", "at least two yards"],
            &["at least 6.5 feet", "at least seven feet", "at least six and a half feet"],
        ),
        (
            "at most",
            "5.6 ft",
            &["at most 6 feet", "six feet", "within six feet"],
            &["at most 5.6 feet", "no more than 5.6 feet"],
        ),
        (
            "at most",
            "18 months",
            &["at most 2 years", "two years"],
            &["at most 18 months", "at most a year and a half"],
        ),
        (
            "at least",
            "2.4 gallons",
            &["two gallons", "at least 2 gallons"],
            &["at least 2.4 gallons", "2.4 gallons"],
        ),
        (
            "at least",
            "200 feet",
            &["at least 60 m", "60 m", "at least 0.03 miles"],
            &["at least 200 feet (60 m)", "at least 61 m", "at least 200 feet, or 61 meters"],
        ),
        (
            "at most",
            "6 ft",
            &["at most 2 m", "2 m", "six feet (2 m)", "at most 3 to 4 feet, or 9"],
            &["at most 1.8 m", "six feet (1.8 m)", "at most two yards"],
        ),
    ];
    let mut wrong = String::new();
    let folder = tempfile::tempdir().unwrap();
    for (at, (limit, value, never, may)) in ROWS.iter().enumerate() {
        let place = folder.path().join(at.to_string());
        copy(&root().join("tests/proof/sound"), &place);
        let facts = fs::read_to_string(place.join("facts.toml")).unwrap();
        let fact = format!("{facts}\n[x]\nvalue = \"{value}\"\nlimit = \"{limit}\"\nsource = \"Rule\"\n");
        fs::write(place.join("facts.toml"), fact).unwrap();
        let program = open(&place);
        for (words, silent) in never.iter().map(|it| (it, false)).chain(may.iter().map(|it| (it, true))) {
            let told = rules(&found(&program, &format!("Here it is [{words}](fact:x).")));
            if told.is_empty() != silent {
                writeln!(wrong, "{limit} {value}: {words}: {told:?}").unwrap();
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// Every word of a link is one of the fact's, or a small one.
#[test]
fn a_backed_figure_says_no_more_than_its_fact() {
    const FACTS: &str = r#"
[burning]
value = "over 102.5 °F"
source = "Rule"
[chill]
value = "below 95 °F"
source = "Rule"
[burden]
value = "150,000 pounds"
called = ["manure"]
source = "Rule"
[away]
value = "200 feet"
limit = "at least"
called = ["camp"]
source = "Rule"
[speed]
value = "5 miles an hour"
limit = "at most"
called = ["wheels"]
source = "Rule"
[drink]
value = "5 to 10 gallons a day"
called = ["water"]
source = "Rule"
[squeeze]
value = "180 kPa"
called = ["tire"]
source = "Rule"
[noise]
value = "70 decibels"
called = ["bell"]
source = "Rule"
[small]
value = "613,200 lb"
source = "Rule"
[group-limit]
value = "6 people"
limit = "at most"
called = ["party"]
source = "Rule"
[bring]
value = "2 gallons per horse"
called = ["bring along"]
source = "Rule"
[string-size]
value = "12 animals"
called = ["string", "head of stock"]
source = "Rule"
"#;
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    let facts = fs::read_to_string(folder.path().join("facts.toml")).unwrap();
    fs::write(folder.path().join("facts.toml"), facts + FACTS).unwrap();
    let program = open(folder.path());
    let mut wrong = String::new();
    for (fact, words, silent) in [
        ("burden", "150,000 pounds per horse", false),
        ("burden", "100,000 to 200,000 pounds", false),
        ("burden", "150,000 pounds of gravel", false),
        ("burden", "150,000 pounds", true),
        ("burden", "150,000 pounds of manure", true),
        ("burden", "the 150,000 pounds", true),
        ("away", "200 feet per person", false),
        ("away", "at least 200 feet from the gate", false),
        ("away", "at least 200 feet from camp", true),
        ("away", "a 200-foot", true),
        ("speed", "at most 5 miles", false),
        ("speed", "at most 5 miles an hour", true),
        ("speed", "5 mph", true),
        ("drink", "5 or 10 gallons a day", false),
        ("drink", "5 to 10 gallons", false),
        ("drink", "5 to 10 gallons a day", true),
        ("drink", "five to ten gallons of water a day", true),
        ("squeeze", "180 bar", false),
        ("squeeze", "180 kPa", true),
        ("squeeze", "1.8 bar", true),
        ("noise", "70 Hz", false),
        ("noise", "70 lux", false),
        ("noise", "70 dB", true),
        ("noise", "70 decibels", true),
        ("small", "1 million pounds", false),
        ("small", "613,200 pounds", true),
        ("group-limit", "six goats", false),
        ("group-limit", "at most six riders on mules", false),
        ("group-limit", "at most six people", true),
        ("group-limit", "at most six tired people", true),
        ("group-limit", "a six-person party", true),
        ("group-limit", "a party of at most six", true),
        ("group-limit", "at most six", true),
        ("string-size", "12 head of stock", true),
        ("string-size", "a dozen animals", true),
        ("string-size", "twelve pack animals", true),
        ("string-size", "12 cars", false),
        ("string-size", "12 animal trainers", false),
        ("group-limit", "at most six people movers", false),
        ("drink", "less than 5 to 10 gallons a day", false),
        ("drink", "5 to 10 gallons a day at most", false),
        ("burning", "over 102.5 °F", true),
        ("burning", "more than 102.5 °F", true),
        ("burning", "below 102.5 °F", false),
        ("burning", "under 102.5 °F", false),
        ("burning", "up to 102.5 °F", false),
        ("chill", "below 95 °F", true),
        ("chill", "above 95 °F", false),
        ("chill", "over 95 °F", false),
        ("bring", "2 gallons", false),
        ("bring", "2 gallons per horse", true),
        ("bring", "2 gallons a horse", true),
        ("bring", "2 gallons for each horse", true),
        ("bring", "2 gallons per goat", false),
    ] {
        let told = rules(&found(&program, &format!("It is [{words}](fact:{fact}).")));
        if told.is_empty() != silent {
            writeln!(wrong, "{fact}: {words}: {told:?}").unwrap();
        }
    }
    let elsewhere = found(&program, "On each day a horse drinks [5 to 10 gallons](fact:drink).");
    assert_eq!(rules(&elsewhere), Vec::<&str>::new(), "the period stands elsewhere in the sentence");
    for sentence in [
        "Each horse needs [2 gallons](fact:bring).",
        "Bring [2 gallons](fact:bring) for every horse.",
        "For your horses, bring [2 gallons](fact:bring) apiece.",
    ] {
        assert_eq!(rules(&found(&program, sentence)), Vec::<&str>::new(), "{sentence}");
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// Without a link each is told as what it is, for a lead of at most six feet. Common speech, no source.
#[test]
fn an_unbacked_bound_is_told_as_what_it_is() {
    let program = program("en", Some(("most", "lead rope")));
    for (sentence, rule) in [
        ("A lead rope may be a yard long.", "figure-near-miss"),
        ("A lead rope is a couple of yards long.", "figure-unbacked-match"),
        ("A lead rope is a couple of meters long.", "figure-near-miss"),
        ("A lead rope is ten (10) feet long.", "figure-near-miss"),
        ("A lead rope is six (6) feet long.", "figure-unbacked-match"),
        ("A lead rope is 3–4 m long.", "figure-near-miss"),
        ("A lead rope, min. 6 ft., is tied.", "limit-turned"),
        ("A lead rope is 6 ft+ long.", "limit-turned"),
        ("A lead rope is 6+ ft long.", "limit-turned"),
        ("A lead rope is never under six feet.", "limit-turned"),
        ("A lead rope is 2 m long.", "figure-near-miss"),
    ] {
        assert_eq!(rules(&found(&program, sentence)), [rule], "{sentence}");
    }
}

/// The table of what rounding and hedges may do holds what it says.
#[test]
fn the_table_of_hedges_holds() {
    use packstring::quantity::{Agreement, Held, agree, read_one};
    let page = fs::read_to_string(root().join("docs/rules/README.md")).unwrap();
    let section =
        page.split("## Rounding, bounds and hedges").nth(1).unwrap().split("## All rules").next().unwrap();
    let rows: Vec<Vec<&str>> = section
        .lines()
        .filter(|line| line.starts_with('|'))
        .skip(2)
        .map(|line| line.trim_matches('|').split('|').map(str::trim).collect())
        .collect();
    assert!(rows.len() > 10);
    for row in rows {
        let [_, _, reason, fact, agrees, not] = row[..] else { panic!("{row:?}") };
        assert!(!reason.is_empty());
        let held = Held::stated(&read_one(fact).unwrap(), None);
        assert_eq!(agree(&read_one(agrees).unwrap(), &held), Agreement::Agrees, "{agrees} for {fact}");
        assert_ne!(agree(&read_one(not).unwrap(), &held), Agreement::Agrees, "{not} for {fact}");
    }
}

/// Facts that bind, one that does not, one that is exact, and rates, for the sentences below.
const MORE_FACTS: &str = r#"
[reach]
value = "6 ft"
limit = "at most"
called = ["tether"]
source = "Rule"
[away]
value = "200 feet"
limit = "at least"
called = ["creek"]
source = "Rule"
[pressure]
value = "45 psi"
called = ["tire"]
source = "Rule"
[mules]
value = "48 mules"
limit = "exactly"
called = ["the herd"]
source = "Rule"
[riders]
value = "8 riders"
limit = "at most"
called = ["party"]
source = "Rule"
[pulse]
value = "40 beats per minute"
called = ["pulse"]
source = "Rule"
[pasture]
value = "2 horses per acre"
called = ["pasture"]
source = "Rule"
[fee]
value = "$12.50"
called = ["fee"]
source = "Rule"
[radio]
value = "154.6 MHz"
called = ["radio"]
source = "Rule"
"#;

fn with_more_facts(language: &str) -> Program {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    let facts = fs::read_to_string(folder.path().join("facts.toml")).unwrap();
    fs::write(folder.path().join("facts.toml"), facts + MORE_FACTS).unwrap();
    let settings = folder.path().join("program.toml");
    let text = fs::read_to_string(&settings).unwrap();
    let said = text.lines().find(|line| line.starts_with("language")).map(str::to_owned);
    let text = match said {
        Some(line) => text.replace(&line, &format!("language = \"{language}\"")),
        None => text.replacen("[program]", &format!("[program]\nlanguage = \"{language}\""), 1),
    };
    fs::write(settings, text).unwrap();
    open(folder.path())
}

/// The rules that are told of sentences, each beside those that it must be; what is otherwise, in words.
fn told_otherwise(language: &str, rows: &[(&str, &[&str])]) -> String {
    let program = with_more_facts(language);
    let mut wrong = String::new();
    for (sentence, expected) in rows {
        let told = rules(&found(&program, sentence));
        if told != *expected {
            writeln!(wrong, "{sentence}: {told:?}, and not {expected:?}").unwrap();
        }
    }
    wrong
}

const TURNED: &[&str] = &["limit-turned"];
const SILENT: &[&str] = &[];

/// A sentence around an open link is judged as it will be printed. Common speech, no source.
#[test]
fn what_stands_around_an_open_link_may_not_turn_it_round() {
    let wrong = told_otherwise(
        "en",
        &[
            ("Use at least [...](fact:reach) of it.", TURNED),
            ("At least […](fact:reach) it is.", TURNED),
            ("Use **at least** […](fact:reach) of it.", TURNED),
            ("Use […](fact:reach) or more.", TURNED),
            ("Use **[…](fact:reach)** or more.", TURNED),
            ("Use more than […](fact:reach).", TURNED),
            ("Camp within […](fact:away) of it.", TURNED),
            ("Use twice […](fact:reach).", &["words-unplaced"]),
            ("Use […](fact:reach) six inches.", &["figure-drift"]),
            ("Use at most […](fact:reach).", SILENT),
            ("Use […](fact:reach) or less.", SILENT),
            ("Use […](fact:reach).", SILENT),
            ("Never camp within […](fact:away) of it.", SILENT),
        ],
    );
    assert!(wrong.is_empty(), "{wrong}");
}

/// What binds stands behind the object, or at the sentence's start, or denies the figure. Common speech, no source.
#[test]
fn what_binds_farther_off_is_read_too() {
    let wrong = told_otherwise(
        "en",
        &[
            ("Camp [200 feet](fact:away) from the water at most.", TURNED),
            ("Camp [200 feet](fact:away) from the water or less.", TURNED),
            ("Camp [200 feet](fact:away) from the water, or closer.", TURNED),
            ("Camp [200 feet](fact:away) from the water at least.", SILENT),
            ("Camp [200 feet](fact:away) from the water, or farther.", SILENT),
            ("Use [six feet](fact:reach) of strong rope at least.", TURNED),
            ("Use [six feet](fact:reach) of strong rope at most.", SILENT),
            ("At a minimum, use [six feet](fact:reach) of rope.", TURNED),
            ("At a maximum, use [six feet](fact:reach) of rope.", SILENT),
            ("A rope must reach [six feet](fact:reach).", TURNED),
            ("A rope must not reach past [six feet](fact:reach).", SILENT),
            ("A rope may reach [six feet](fact:reach).", SILENT),
            ("Ropes below [six feet](fact:reach) fail.", TURNED),
            ("Ropes above [six feet](fact:reach) fail.", SILENT),
            ("A rope of [six feet](fact:reach) is too short.", TURNED),
            ("A rope of [six feet](fact:reach) is not too short.", SILENT),
            ("You need not camp [at least 200 feet](fact:away) from it.", TURNED),
            ("There is no need to stay [at least 200 feet](fact:away) from it.", TURNED),
            ("Do not forget to stay [at least 200 feet](fact:away) from it.", SILENT),
            ("Do not camp unless you are [at least 200 feet](fact:away) from it.", SILENT),
            ("Do not camp within [200 feet](fact:away) of it.", SILENT),
            ("The rope is [at most six feet](fact:reach) or more.", TURNED),
            ("The rope is [6 ft.](fact:reach) or more.", TURNED),
            ("The rope is [6 ft.](fact:reach) or less by rule.", SILENT),
            ("The rope is [6 ft. or less](fact:reach).", SILENT),
            ("The tether is 6 ft. or more by rule.", TURNED),
            ("Camp [about 200 feet](fact:away) from it.", &["figure-drift"]),
            ("Camp [200 feet, give or take](fact:away).", &["figure-drift"]),
            ("Camp [200 feet (about 60 m)](fact:away) from it.", SILENT),
            ("Pump it to [at most 45 psi](fact:pressure).", &["limit-unsaid"]),
            ("Pump it to [45 psi](fact:pressure).", SILENT),
            ("There are [over 48 mules](fact:mules).", TURNED),
        ],
    );
    assert!(wrong.is_empty(), "{wrong}");
    let spanish = told_otherwise(
        "es-US",
        &[
            ("Como poco, [seis pies](fact:reach) de cuerda.", TURNED),
            ("La cuerda debe alcanzar los [seis pies](fact:reach).", TURNED),
            ("Acampe hasta a [200 pies](fact:away) de ahí.", TURNED),
            ("Acampe [a unos 200 pies](fact:away) de ahí.", &["figure-drift"]),
            (
                "La cuerda mide el doble de los [seis pies](fact:reach).",
                &["figure-unbacked", "words-unplaced"],
            ),
        ],
    );
    assert!(spanish.is_empty(), "{spanish}");
    let french = told_otherwise(
        "fr",
        &[
            ("La corde mesure pour le moins [six pieds](fact:reach).", TURNED),
            ("La corde mesure [six pieds](fact:reach), voire plus.", TURNED),
            ("Campez en deçà de [200 pieds](fact:away) de là.", TURNED),
            ("Campez dans les [200 pieds](fact:away) de là.", TURNED),
        ],
    );
    assert!(french.is_empty(), "{french}");
}

/// What stands right beside a link makes another figure of it, and so does another thing. Common speech, no source.
#[test]
fn what_is_glued_to_a_link_and_what_is_counted_are_held_too() {
    let unplaced: &[&str] = &["words-unplaced"];
    let drift: &[&str] = &["figure-drift"];
    let wrong = told_otherwise(
        "en",
        &[
            ("It is 1[6 ft](fact:reach) long.", unplaced),
            ("It is [6 ft](fact:reach)–10.", &["words-unplaced", "figure-unbacked"]),
            ("It is twenty-[six feet](fact:reach) long.", drift),
            ("It is [six feet](fact:reach) six inches.", drift),
            ("Camp between 100 and [200 feet](fact:away) off.", drift),
            ("Use twice [six feet](fact:reach).", unplaced),
            ("Use half of the [six feet](fact:reach).", &["figure-unbacked", "words-unplaced"]),
            ("Check it twice: [six feet](fact:reach).", SILENT),
            ("It is [40 horses per minute](fact:pulse).", unplaced),
            ("It is [40 beats per minute](fact:pulse).", SILENT),
            ("Keep [2 riders per acre](fact:pasture).", unplaced),
            ("Keep [2 horses per acre](fact:pasture).", SILENT),
            ("It is [8 groups of riders](fact:riders).", unplaced),
            ("It is [48 pairs of mules](fact:mules).", unplaced),
            ("It is [48 head of mules](fact:mules).", SILENT),
            ("It costs [$13](fact:fee).", drift),
            ("Tune to [155 MHz](fact:radio).", drift),
            ("Pump it to [3 bar](fact:pressure).", drift),
            ("Pump it to [3.1 bar](fact:pressure).", SILENT),
        ],
    );
    assert!(wrong.is_empty(), "{wrong}");
}

/// Headings of columns, first cells and sentences before lists bind what stands under them. Common practice, no source.
#[test]
fn what_leads_a_figure_binds_it() {
    let wrong = told_otherwise(
        "en",
        &[
            ("| what | minimum |\n| --- | --- |\n| rope | [six feet](fact:reach) |", TURNED),
            ("| what | maximum |\n| --- | --- |\n| rope | [six feet](fact:reach) |", SILENT),
            ("| what | length |\n| --- | --- |\n| minimum | [six feet](fact:reach) |", TURNED),
            ("Use at least:\n\n- [six feet](fact:reach) of rope", TURNED),
            ("Use at most:\n\n- [six feet](fact:reach) of rope", SILENT),
            ("| what | length |\n| --- | --- |\n| tether | 12 ft |", &["figure-near-miss"]),
            ("| what | length |\n| --- | --- |\n| creek | at most 200 feet |", TURNED),
            ("| what | length |\n| --- | --- |\n| tether | 6 ft |", &["figure-unbacked"]),
            (
                "| what | length | off |\n| --- | --- | --- |\n| tether | 6 ft | 30 ft |",
                &["figure-unbacked"; 2],
            ),
        ],
    );
    assert!(wrong.is_empty(), "{wrong}");
}

/// Names, terms and right answers are print too.
#[test]
fn names_and_right_answers_are_read() {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    for (file, more) in [
        ("program.toml", "\n[[awards]]\nname = \"Award for a lead rope of 9 feet\"\nhours = 50\n"),
        ("program.toml", "\n[[glossary]]\nterm = \"lead rope of 10 feet\"\nmeaning = \"A rope.\"\n"),
        (
            "questions.toml",
            "\n[[questions]]\nid = \"look\"\nask = \"Why?\"\nkind = \"open\"\nlook-for = [\"a lead rope of 11 feet\"]\n",
        ),
    ] {
        let path = folder.path().join(file);
        let text = fs::read_to_string(&path).unwrap();
        fs::write(path, text + more).unwrap();
    }
    let program = open(folder.path());
    let understood = Understood::new(&program);
    let findings = proof::proofread(&understood, &Scores::of(&understood), TODAY);
    let told: Vec<&str> = findings
        .iter()
        .filter(|finding| finding.rule.name == "figure-near-miss")
        .map(|finding| &*finding.says)
        .collect();
    for figure in ["9 feet", "10 feet", "11 feet"] {
        assert!(told.iter().any(|says| says.contains(figure)), "{figure}: {told:?}");
    }
}

/// Nobody can tell which way a fact binds whose value and limit say two things.
#[test]
fn a_value_that_its_limit_turns_round_is_no_fact() {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("tests/proof/sound"), folder.path());
    let path = folder.path().join("facts.toml");
    let fact = "\n[gap]\nvalue = \"at least 3 m\"\nlimit = \"at most\"\nsource = \"Rule\"\n";
    let text = fs::read_to_string(&path).unwrap();
    fs::write(path, text + fact).unwrap();
    let program = open(folder.path());
    let understood = Understood::new(&program);
    assert!(understood.findings.iter().any(|finding| finding.rule.name == "fact-unreadable"));
    assert!(understood.held("gap").is_none());
}
