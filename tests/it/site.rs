//! The site: its pages lead only to what is there, and what a program says stays letters.

use crate::flow;
use crate::folders::{laid_out, open};
use packstring::job::{Job, Make, Original, Piece, Shelf};
use packstring::pieces::Selection;
use packstring::press::{Made, Press, Theme};
use packstring::program::Program;
use packstring::understand::Understood;
use percent_encoding::percent_decode_str;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

const SETTINGS: &str = r#"
[program]
name = "Trail <i>Rider</i> Stewards"
agency = "Juniper Basin & Sons"
season = "2026"
language = "en"
summary = "Keep the lead to [ten feet](fact:lead-length)."

[[contacts]]
name = "Basin Dispatch"
for = "Injury or fire"
phone = "555-0100"
emergency = true

[[contacts]]
name = "Office"
for = "All else"
phone = "ask at the desk"
email = "desk@basin.example"

[[syllabus]]
lesson = "ropes"
minutes = 12
who = "Ines Calloway"

[[syllabus]]
lesson = "hot ground"
minutes = 8
"#;

const FACTS: &str = r#"
[lead-length]
value = "10 ft"
limit = "at most"
called = ["lead rope"]
source = 'Rule "4.2" <script>alert(1)</script> {% raw %}'
url = "https://basin.example/rules?a=1&b=2"
as-of = 2026-03-01
review-by = 2027-03-01
safety = true

[twice-length]
worked-from = "lead-length * 2"
wording = "20 feet"

[ground-heat]
columns = ["air temperature (°F)", "asphalt (°F)"]
rows = [[77, 125], [86, 135]]
source = "Field notes"
as-of = 2026-03-01
"#;

const ROPES: &str = r#"# Ropes \<b\>bold\</b\> {{ 7*7 }} & "knots"

Opening words.[^first]

## On the trail

Keep the lead to [ten feet](fact:lead-length), and never to [20 feet](fact:twice-length). See
[Hot ground](<hot ground.md#feel it first>) and [the rules](https://basin.example/a?b=1&c="2").

> Say: Only the presenter says this.

> Ask: What would you do?

> Danger: A rope around a hand takes the hand. Keep to [ten feet](fact:lead-length).

- [ ] Check the `{{ knot }}`
- [x] Wear gloves

| Knot | Use |
| :-- | --: |
| Quick release | Tying up |

## On the trail

1. One
   - Two
     - Three

[^first]: A note with [ten feet](fact:lead-length) in it.
"#;

const HOT_GROUND: &str = r#"# Hot ground

## Feel it first

![Ground heat](fact:ground-heat)

![A hand on the ground](pictures/hand.svg "Five seconds")
"#;

const PICTURE: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"/>"#;

fn with_small_program(look: impl FnOnce(&Understood)) {
    let files = [
        ("program.toml", SETTINGS),
        ("facts.toml", FACTS),
        ("lessons/ropes.md", ROPES),
        ("lessons/hot ground.md", HOT_GROUND),
        ("pictures/hand.svg", PICTURE),
    ];
    with_program(&files, look);
}

/// The settings above with this one lesson.
fn settings_with(lesson: &str) -> String {
    let head = SETTINGS.split("[[syllabus]]").next().unwrap();
    format!("{head}[[syllabus]]\nlesson = \"{lesson}\"\nminutes = 5\n")
}

fn with_program(files: &[(&str, &str)], look: impl FnOnce(&Understood)) {
    let folder = laid_out(files);
    look(&Understood::new(&open(folder.path())));
}

pub fn demo() -> Program {
    open(Path::new(env!("CARGO_MANIFEST_DIR")).join("content"))
}

/// The pages of the site and their style sheet as text, by their path on the open shelf.
pub fn pages(understood: &Understood) -> BTreeMap<String, String> {
    let press = Press::open(Theme::plain(), &understood.root.folder);
    let mut pages = BTreeMap::new();
    for job in site(understood).iter().filter(|job| matches!(job.make, Make::Page { .. })) {
        let mut put = |made: Made| {
            pages.insert(made.output.path.clone(), String::from_utf8(made.bytes.to_vec()).unwrap());
            Ok(())
        };
        let findings =
            press.make(&press.plan(job), &|_| true, &mut put).unwrap_or_else(|error| panic!("{error}"));
        assert!(findings.is_empty(), "{findings:?}");
    }
    pages
}

pub fn site(understood: &Understood) -> Vec<Job> {
    flow::plan(understood, &Selection { pieces: vec![Piece::Site], ..Selection::default() })
}

/// The values of an attribute in a page. A program's text never holds a bare quotation mark.
fn attributes(page: &str, name: &str) -> Vec<String> {
    let start = format!(" {name}=\"");
    page.split(&start).skip(1).map(|rest| letters(rest.split('"').next().unwrap())).collect()
}

fn letters(escaped: &str) -> String {
    let named = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")];
    named.iter().fold(escaped.to_owned(), |text, (entity, letter)| text.replace(entity, letter))
}

fn is_elsewhere(href: &str) -> bool {
    ["https://", "http://", "mailto:", "tel:", "data:,"].iter().any(|start| href.starts_with(start))
}

/// Where a relative link on the page at `page` leads, as path and fragment on the open shelf.
fn resolve(page: &str, href: &str) -> (String, Option<String>) {
    let (path, fragment) = match href.split_once('#') {
        Some((path, fragment)) => (path, Some(decoded(fragment))),
        None => (href, None),
    };
    if path.is_empty() {
        return (page.to_owned(), fragment);
    }
    let mut parts: Vec<&str> = page.split('/').collect();
    parts.pop();
    for part in path.split('/') {
        match part {
            ".." => assert!(parts.pop().is_some(), "{href} on {page} leaves the open shelf"),
            part => parts.push(part),
        }
    }
    (decoded(&parts.join("/")), fragment)
}

fn decoded(encoded: &str) -> String {
    percent_decode_str(encoded).decode_utf8().unwrap().into_owned()
}

/// Holds every link and picture of the pages against the jobs of the open shelf and the pages' ids.
fn links_lead_somewhere(understood: &Understood) {
    let pages = pages(understood);
    let jobs = flow::plan(understood, &Selection::default());
    let open: BTreeSet<&str> =
        jobs.iter().filter(|job| job.shelf == Shelf::Open).map(|job| job.path.as_str()).collect();
    let ids: BTreeMap<&str, BTreeSet<String>> = pages
        .iter()
        .map(|(path, page)| {
            let all = attributes(page, "id");
            let ids: BTreeSet<String> = all.iter().cloned().collect();
            assert_eq!(ids.len(), all.len(), "{path} has an id twice: {all:?}");
            (path.as_str(), ids)
        })
        .collect();
    for (path, page) in &pages {
        for href in attributes(page, "href").iter().chain(&attributes(page, "src")) {
            if is_elsewhere(href) {
                continue;
            }
            let (target, fragment) = resolve(path, href);
            assert!(open.contains(target.as_str()), "{href} on {path} leads to {target}, which is not made");
            if let Some(fragment) = fragment {
                assert!(ids[target.as_str()].contains(&fragment), "{href} on {path}: no such id");
            }
        }
    }
}

#[test]
fn every_link_of_a_small_program_leads_somewhere() {
    with_small_program(links_lead_somewhere);
}

#[test]
fn every_link_of_the_demo_leads_somewhere() {
    links_lead_somewhere(&Understood::new(&demo()));
}

fn in_two_languages() -> Program {
    open(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/editions"))
}

#[test]
fn every_link_of_two_editions_leads_somewhere() {
    links_lead_somewhere(&Understood::new(&in_two_languages()));
}

#[test]
fn editions_lead_to_the_same_page_of_each_other() {
    let mut program = in_two_languages();
    let leads = |program: &Program, page: &str, to: &str| {
        let pages = pages(&Understood::new(program));
        let link = |href: &String| resolve(page, href).0 == to;
        attributes(&pages[page], "href").iter().any(link)
    };
    for page in ["index.html", "facts.html", "lessons/water.html", "slides.html", "glossary.html"] {
        let (english, spanish) = (format!("site/{page}"), format!("es-us/site/{page}"));
        assert!(leads(&program, &english, &spanish), "{english}");
        assert!(leads(&program, &spanish, &english), "{spanish}");
    }
    assert!(
        pages(&Understood::new(&program))["site/index.html"]
            .contains("hreflang=\"es-US\" lang=\"es-US\">Español</a>")
    );
    // A lesson that an edition lacks is not led to: its front page is.
    program.content.languages[1].lessons.remove("water");
    assert!(!leads(&program, "site/lessons/water.html", "es-us/site/lessons/water.html"));
    assert!(leads(&program, "site/lessons/water.html", "es-us/site/index.html"));
}

#[test]
fn the_sitemap_tells_of_the_same_page_in_other_languages() {
    let mut program = in_two_languages();
    let address = Some("https://lands.example/riders/site/".to_owned());
    program.content.settings.site.address.clone_from(&address);
    program.editions[0].content.settings.site.address = address;
    let texts = open_texts(&Understood::new(&program));
    let spanish = "https://lands.example/riders/es-us/site/lessons/water.html";
    let link = format!("<xhtml:link rel=\"alternate\" hreflang=\"es-US\" href=\"{spanish}\"/>");
    assert!(texts["site/sitemap.xml"].contains(&link), "{}", texts["site/sitemap.xml"]);
    assert!(texts["es-us/site/sitemap.xml"].contains(&format!("<loc>{spanish}</loc>")));
    let pages = pages(&Understood::new(&program));
    assert!(
        pages["es-us/site/lessons/water.html"].contains(&format!("rel=\"canonical\" href=\"{spanish}\""))
    );
    let alternate = format!("<link rel=\"alternate\" hreflang=\"es-US\" href=\"{spanish}\">");
    assert!(pages["site/lessons/water.html"].contains(&alternate));
}

#[test]
fn a_term_leads_to_its_meaning_where_a_lesson_uses_it_first() {
    let program = in_two_languages();
    let pages = pages(&Understood::new(&program));
    let lesson = &pages["site/lessons/ropes.html"];
    assert_eq!(lesson.matches("class=\"term\"").count(), 1, "{lesson}");
    assert!(lesson.contains("href=\"../glossary.html#term.lead\">lead</a> rope is"), "{lesson}");
    let glossary = &pages["site/glossary.html"];
    assert!(glossary.contains("href=\"lessons/ropes.html#use.term.lead\">Ropes and knots</a>"), "{glossary}");
}

#[test]
fn every_open_piece_is_among_the_downloads() {
    let program = demo();
    let understood = Understood::new(&program);
    let made = pages(&understood);
    // Each edition's front page leads to its own.
    let fronts = made.iter().filter(|(path, _)| path.ends_with("site/index.html"));
    let led: BTreeSet<String> = fronts
        .flat_map(|(path, page)| attributes(page, "href").into_iter().map(|href| resolve(path, &href).0))
        .collect();
    let jobs = flow::plan(&understood, &Selection::default());
    let mut held = 0;
    for job in jobs.iter().filter(|job| job.shelf == Shelf::Open && job.piece != Piece::Site) {
        assert!(led.contains(&job.path), "no front page leads to {}", job.path);
        held += 1;
    }
    assert!(held > 10 && led.contains("handbook-booklet.pdf") && led.contains("wall-chart-tiled.pdf"));
}

#[test]
fn what_a_program_says_stays_letters() {
    with_small_program(|understood| {
        let pages = pages(understood);
        let lesson = &pages["site/lessons/ropes.html"];
        let title = "Ropes &lt;b&gt;bold&lt;/b&gt; {{ 7*7 }} &amp; &quot;knots&quot;";
        assert!(lesson.contains(&format!("<h1>{title}</h1>")), "{lesson}");
        assert!(lesson.contains(&format!("<title>{title} · Trail &lt;i&gt;Rider")), "{lesson}");
        assert!(lesson.contains("<code>{{ knot }}</code>"), "{lesson}");
        let facts = &pages["site/facts.html"];
        let source = "Rule &quot;4.2&quot; &lt;script&gt;alert(1)&lt;/script&gt; {% raw %}";
        assert!(facts.contains(source), "{facts}");
        for (path, page) in &pages {
            let page = without_own_script(path, page);
            for tag in ["<script", "<b>", "<i>", "javascript:"] {
                assert!(!page.contains(tag), "{path} holds {tag}");
            }
        }
    });
}

/// A page without the one script that it may have: the theme's own, from a file beside it.
fn without_own_script(path: &str, page: &str) -> String {
    // The folder of an edition comes before it.
    let (_, below) = path.split_at(path.find("site/").unwrap_or(0));
    let name = match below {
        "site/check-certificate.html" => "check-certificate",
        "site/self-check.html" => "self-check",
        "site/answers.html" => "answers",
        "site/search.html" => "search",
        _ if below.starts_with("site/facts") => "facts",
        "site/workshops.html" => "workshops",
        "site/slides.html" => return page.replacen("<script defer src=\"slides.js\"></script>", "", 1),
        _ if below.starts_with("site/slides/") => {
            return page.replacen("<script defer src=\"../slides.js\"></script>", "", 1);
        }
        _ => return page.to_owned(),
    };
    page.replacen(&format!("<script src=\"{name}.js\"></script>"), "", 1)
}

#[test]
fn pages_are_for_anyone() {
    with_small_program(|understood| {
        for (path, page) in pages(understood) {
            // The deck has the presenter's script in it, out of sight, for the presenter's window.
            let is_deck = path.starts_with("site/slides") && path.ends_with(".html");
            let said = page.match_indices("Only the presenter").count();
            let hidden = page.split("<div class=\"script\" hidden>").skip(1);
            let in_script: usize = hidden
                .map(|rest| rest.split("</section>").next().unwrap())
                .map(|script| script.matches("Only the presenter").count())
                .sum();
            assert_eq!(said, if is_deck { in_script } else { 0 }, "{path}");
            assert_eq!(said > 0, is_deck, "{path}");
            assert!(!page.contains("Ines Calloway"), "{path}");
        }
    });
}

#[test]
fn facts_and_quotes_lead_to_each_other() {
    with_small_program(|understood| {
        let pages = pages(understood);
        let facts = attributes(&pages["site/facts.html"], "href");
        for (page, id) in [
            ("site/lessons/ropes.html", "quote.lead-length.1"),
            ("site/lessons/ropes.html", "quote.lead-length.3"),
            ("site/index.html", "quote.lead-length.1"),
            ("site/lessons/hot ground.html", "quote.ground-heat.1"),
        ] {
            let leads =
                |href: &String| resolve("site/facts.html", href) == (page.to_owned(), Some(id.to_owned()));
            assert!(facts.iter().any(leads), "no link to {id} on {page}");
        }
        let lesson = attributes(&pages["site/lessons/ropes.html"], "href");
        assert!(lesson.contains(&"../facts.html#lead-length".to_owned()));
    });
}

/// The bytes of a page's style sheet and script.
fn beside(path: &str, page: &str, pages: &BTreeMap<String, String>) -> usize {
    let theme = Theme::plain();
    let addresses = attributes(page, "href").into_iter().chain(attributes(page, "src"));
    let files: BTreeSet<String> = addresses.map(|href| resolve(path, &href).0).collect();
    let weights = files.iter().filter_map(|file| match file.rsplit_once('.')? {
        (_, "css") => pages.get(file).map(String::len),
        (_, "js") => theme.file(&format!("pages/{}", file.rsplit('/').next()?)).map(|script| script.len()),
        _ => None,
    });
    weights.sum()
}

#[test]
fn pages_are_light_and_ask_for_nothing() {
    let program = demo();
    let pages = pages(&Understood::new(&program));
    for (path, page) in &pages {
        let weight = page.len() + beside(path, page, &pages);
        assert!(weight < 100_000, "{path} has {weight} bytes with its style and script");
        for address in attributes(page, "src") {
            assert!(!address.contains(':'), "{path} fetches {address}");
        }
        let page = without_own_script(path, page);
        // The type of the theme lies beside the style sheet.
        let page = if path.ends_with(".css") { page.replace("src: url(faces/", "") } else { page };
        for word in ["@import", "url(", "<script", "<iframe"] {
            assert!(!page.contains(word), "{path} holds {word}");
        }
    }
}

#[test]
fn pictures_are_copied_from_the_program() {
    with_small_program(|understood| {
        let jobs = site(understood);
        let copied: Vec<(&str, &Original)> = jobs
            .iter()
            .filter_map(|Job { path, make, .. }| match make {
                Make::Copy { of } => Some((path.as_str(), of)),
                _ => None,
            })
            .collect();
        let picture = Original::Program("pictures/hand.svg".into());
        let script = |name: &str| Original::Theme(format!("pages/{name}"));
        let (facts, slides, check, search) =
            (script("facts.js"), script("slides.js"), script("check-certificate.js"), script("search.js"));
        assert_eq!(
            copied,
            [
                ("site/facts.js", &facts),
                ("site/slides.js", &slides),
                ("site/check-certificate.js", &check),
                ("site/search.js", &search),
                ("site/pictures/hand.svg", &picture)
            ]
        );
    });
}

/// Contrast by WCAG 2.2, "contrast ratio" and "relative luminance".
fn contrast(one: &str, other: &str) -> f64 {
    let luminance = |color: &str| {
        let part = |at: usize| {
            let part = f64::from(u8::from_str_radix(&color[at..at + 2], 16).unwrap()) / 255.0;
            if part <= 0.04045 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
    };
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

#[test]
fn text_stands_out_by_day_and_by_night() {
    // The formula's own ends, and the grey that is known to pass just so.
    assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    assert!((contrast("#767676", "#ffffff") - 4.54).abs() < 0.005);
    let theme = Theme::plain();
    let inks: toml::Table = std::str::from_utf8(theme.file("inks.toml").unwrap()).unwrap().parse().unwrap();
    for scheme in ["color", "night"] {
        let ink = |role: &str| inks[scheme][role].as_str().unwrap();
        for ground in ["paper", "sage", "sand"] {
            for text in ["ink", "quiet", "juniper", "clay"] {
                let found = contrast(ink(text), ink(ground));
                assert!(found >= 4.5, "{scheme}: {text} on {ground} is {found:.2}");
            }
            let found = contrast(ink("line"), ink(ground));
            assert!(found >= 3.0, "{scheme}: line on {ground} is {found:.2}");
        }
    }
    for word in ["danger", "warning", "caution"] {
        let part = |part: &str| inks["color"][word][part].as_str().unwrap();
        assert!(contrast(part("letters"), part("ground")) >= 4.5, "{word}");
        assert!(contrast(part("mark"), part("sign")) >= 3.0, "{word}");
    }
}

/// What stands between two words of a page, without its tags.
fn between<'p>(page: &'p str, from: &str, to: &str) -> &'p str {
    page.split_once(from).unwrap_or_else(|| panic!("no {from} in {page}")).1.split(to).next().unwrap()
}

#[test]
fn facts_stand_with_the_first_lesson_that_quotes_them() {
    with_small_program(|understood| {
        let page = &pages(understood)["site/facts.html"];
        let groups: Vec<&str> = page.split("<details class=\"group\">").skip(1).collect();
        let told = groups.iter().map(|group| {
            let facts = attributes(group.split("</details>").next().unwrap(), "id");
            (letters(between(group, "<h2>", "</h2>")), facts.join(" "))
        });
        let expected = [
            ("Ropes <b>bold</b> {{ 7*7 }} & \"knots\"", "lead-length twice-length"),
            ("Hot ground", "ground-heat"),
        ];
        assert_eq!(told.collect::<Vec<_>>(), expected.map(|(lesson, facts)| (lesson.into(), facts.into())));
    });
    let files = [
        ("program.toml", &*settings_with("ropes")),
        ("facts.toml", FACTS),
        ("lessons/ropes.md", "# Ropes\n\n## Hold\n\nKeep to [20 feet](fact:twice-length).\n"),
    ];
    with_program(&files, |understood| {
        let page = &pages(understood)["site/facts.html"];
        let unquoted = page.split("<details class=\"group\">").nth(2).expect("two groups");
        assert!(unquoted.contains("In no lesson") && unquoted.contains("id=\"lead-length\""), "{unquoted}");
        links_lead_somewhere(understood);
    });
}

#[test]
fn sources_stand_beside_the_text_once_for_each_figure() {
    with_small_program(|understood| {
        let page = &pages(understood)["site/lessons/ropes.html"];
        // The note at the foot is read with the opening, and has the figure first.
        assert_eq!(page.matches("class=\"sources\" aria-hidden=\"true\"").count(), 1, "{page}");
        let sources = between(page, "class=\"sources\" aria-hidden=\"true\">", "</div>");
        assert!(
            sources.contains("<strong>ten\u{a0}feet</strong>") && sources.contains("Rule &quot;4.2&quot;"),
            "{sources}"
        );
        assert!(!pages(understood)["site/slides.html"].contains("class=\"sources\""));
    });
}

#[test]
fn the_lessons_are_a_route_with_minutes_and_pictures() {
    with_small_program(|understood| {
        let page = &pages(understood)["site/index.html"];
        let route = between(page, "<ol class=\"route\">", "</ol>");
        let stops: Vec<&str> = route.split("<li>").skip(1).collect();
        assert_eq!(stops.len(), 2);
        assert!(stops[0].contains("12 min") && stops[1].contains("8 min"), "{route}");
        assert!(
            !stops[0].contains("<img") && stops[1].contains("src=\"pictures/hand.svg\" alt=\"\""),
            "{route}"
        );
    });
}

#[test]
fn a_program_with_many_facts_has_several_light_pages() {
    let mut facts = FACTS.to_owned();
    let mut lesson = "# Rules\n\n## All of them\n".to_owned();
    for number in 1..=160 {
        facts +=
            &format!("[rule-{number}]\nvalue = \"{number} ft\"\nsource = \"Rule {number} of the book\"\n");
        lesson += &format!("\nKeep to [{number} feet](fact:rule-{number}).\n");
    }
    let files =
        [("program.toml", &*settings_with("rules")), ("facts.toml", &facts), ("lessons/rules.md", &lesson)];
    with_program(&files, |understood| {
        links_lead_somewhere(understood);
        let pages = pages(understood);
        let count = pages.keys().filter(|path| path.starts_with("site/facts")).count();
        assert_eq!(count, 4);
        assert!(pages.values().all(|page| page.len() < 100_000));
    });
}

#[test]
fn a_lesson_of_any_depth_and_script_becomes_a_page() {
    let lesson = format!(
        "# Tiefe\n\n## سلامة الخيول\n\n{}the bottom of the quotes\n\n{}the bottom of the list\n\n\
         See [above](#سلامة-الخيول).\n",
        "> ".repeat(23),
        (0..10).map(|level| format!("{}- level\n", "  ".repeat(level))).collect::<String>()
            + &"  ".repeat(10)
            + "- ",
    );
    let files = [
        ("program.toml", &*settings_with("tief & hoch")),
        ("facts.toml", FACTS),
        ("lessons/tief & hoch.md", &lesson),
    ];
    with_program(&files, |understood| {
        links_lead_somewhere(understood);
        let page = &pages(understood)["site/lessons/tief & hoch.html"];
        assert!(page.contains("the bottom of the quotes"));
        assert!(page.contains("the bottom of the list"));
    });
}

#[test]
fn the_data_of_a_lesson_page() {
    with_small_program(|understood| {
        let jobs = site(understood);
        let data = jobs.iter().find_map(|job| match &job.make {
            Make::Page { data, .. } if job.path == "site/lessons/ropes.html" => Some(data),
            _ => None,
        });
        insta::assert_json_snapshot!(data.unwrap());
    });
}

const QUESTIONS: &str = r#"
[[questions]]
id = "length"
lesson = "ropes"
kind = "figure"
ask = "How long may a lead rope be?"
fact = "lead-length"
unit = "ft"
because = "The rule: [at most ten feet](fact:lead-length), keyword-because."

[[questions]]
id = "hold"
kind = "choice"
ask = "How do you hold \\<b\\>it?"
choices = ["Wrapped", "Folded \"so\""]
right = "Folded \"so\""

[[questions]]
id = "signs"
kind = "name-some"
ask = "Name signs."
count = 1
accept = [["keyword-accept", "other"]]

[[questions]]
id = "change"
kind = "open"
ask = "What will you change?"
look-for = ["keyword-look-for"]
"#;

fn with_questions(site: &str, look: impl FnOnce(&Understood)) {
    let settings = format!(
        "{SETTINGS}\n[[events]]\nid = \"cove\"\nname = \"Cove Day\"\ndate = 2026-10-03\nstart = 09:00\nminutes = 60\n\
         place = \"Cove\"\nform = \"in person\"\n{site}"
    );
    let local = format!("{FACTS}\n[at.cove.lead-length]\nvalue = \"8 ft\"\nsource = \"Cove order 7\"\n");
    let files = [
        ("program.toml", settings.as_str()),
        ("facts.toml", &local),
        ("questions.toml", QUESTIONS),
        ("lessons/ropes.md", ROPES),
        ("lessons/hot ground.md", HOT_GROUND),
        ("pictures/hand.svg", PICTURE),
    ];
    with_program(&files, look);
}

/// All that is on the open shelf as text: pages, and finished texts.
fn open_texts(understood: &Understood) -> BTreeMap<String, String> {
    let mut texts = pages(understood);
    for job in site(understood) {
        if let Make::Text(text) = job.make {
            texts.insert(job.path, text);
        }
    }
    texts
}

#[test]
fn questions_for_self_check_have_answer_reason_and_lesson() {
    with_questions("", |understood| {
        links_lead_somewhere(understood);
        let page = &pages(understood)["site/self-check.html"];
        for word in ["keyword-because", "keyword-accept", "keyword-look-for", "lessons/ropes.html"] {
            assert!(page.contains(word), "{word}");
        }
        assert!(page.contains("<strong>at most 10\u{a0}feet</strong>"), "{page}");
        assert!(page.contains("hold &lt;b&gt;it?"), "{page}");
        let facts = &pages(understood)["site/facts.html"];
        assert!(facts.contains("self-check.html#quote.lead-length.1"), "{facts}");
    });
}

#[test]
fn the_key_is_nowhere_else_and_can_be_kept_back() {
    const KEY: [&str; 4] = ["keyword-because", "keyword-accept", "keyword-look-for", "data-key="];
    with_questions("", |understood| {
        for (path, text) in open_texts(understood) {
            let holds = KEY.iter().any(|word| text.contains(word));
            assert_eq!(holds, path == "site/self-check.html", "{path}");
        }
    });
    with_questions("[site]\nself-check = false\n", |understood| {
        let texts = open_texts(understood);
        assert!(!texts.contains_key("site/self-check.html") && texts.contains_key("site/answers.html"));
        for (path, text) in texts {
            for word in KEY.iter().chain(&["self-check"]) {
                assert!(!text.contains(word), "{path} holds {word}");
            }
        }
        links_lead_somewhere(understood);
        assert!(site(understood).iter().all(|job| !job.path.contains("self-check")));
    });
}

#[test]
fn a_site_with_an_address_has_a_sitemap_and_canonical_links() {
    with_questions("", |understood| {
        assert!(!open_texts(understood).contains_key("site/sitemap.xml"));
        assert!(pages(understood).values().all(|page| !page.contains("canonical")));
    });
    with_questions("[site]\naddress = \"https://lands.example/riders\"\n", |understood| {
        let texts = open_texts(understood);
        let sitemap = &texts["site/sitemap.xml"];
        for (path, page) in pages(understood).iter().filter(|(path, _)| path.ends_with(".html")) {
            let href =
                attributes(page, "href").into_iter().find(|href| href.starts_with("https://lands.example"));
            let href = href.unwrap_or_else(|| panic!("{path} has no canonical link"));
            assert!(sitemap.contains(&format!("<loc>{href}</loc>")), "{href} is not in {sitemap}");
        }
        assert!(sitemap.contains("<loc>https://lands.example/riders/lessons/hot%20ground.html</loc>"));
    });
}

#[test]
fn what_a_fact_is_at_an_event_stands_with_the_event() {
    with_questions("", |understood| {
        let page = &pages(understood)["site/facts.html"];
        let said =
            page.split("Different at").nth(1).expect("a row for the event").split("</div>").next().unwrap();
        for word in ["Cove Day", "October 3, 2026", "at most 8\u{a0}ft", "Cove order 7"] {
            assert!(said.contains(word), "{word} in {said}");
        }
        assert_eq!(page.matches("Different at").count(), 1);
    });
}

#[test]
fn the_index_has_every_section_and_fact_once() {
    with_small_program(|understood| {
        let texts = open_texts(understood);
        let part = texts["site/search-index-1.js"].strip_prefix("searchPart(").unwrap();
        let list: serde_json::Value =
            serde_json::from_str(part.trim_end().strip_suffix(");").unwrap()).unwrap();
        let text = |value: &serde_json::Value| value.as_str().unwrap().to_owned();
        let on_page = |page: &serde_json::Value| {
            let of = page[2]
                .as_array()
                .unwrap()
                .iter()
                .map(|place| format!("{}#{}", text(&page[1]), text(&place[1])));
            of.collect::<Vec<String>>()
        };
        let places: Vec<String> = list.as_array().unwrap().iter().flat_map(on_page).collect();
        for place in [
            "lessons/ropes.html#on-the-trail",
            "lessons/hot%20ground.html#feel-it-first",
            "facts.html#lead-length",
        ] {
            assert_eq!(places.iter().filter(|other| **other == place).count(), 1, "{place} in {places:?}");
        }
        assert!(!part.contains("Only the presenter"));
    });
}
