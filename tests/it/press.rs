//! The press: names come out as they are, files are accessible, the same bytes each time.

use lopdf::Document;
use packstring::finding::{Finding, Level, Place};
use packstring::imposition::{Paper, Reading};
use packstring::job::{
    Code, Correction, Fit, Imposed, Job, Make, Onto, Original, Piece, RunEntry, RunOfSheets, Sheet, Shelf,
};
use packstring::press::{Output, Press, PressError, Step, Theme};
use page_validation::{ValidationOptions, ValidationProfile, validate_pdf_bytes};
use serde_json::{Value, json};
use std::fs;
use std::path::Path;

/// Names that would do harm if they were ever read as code.
const NAMES: [&str; 7] = [
    "#panic(\"x\")",
    "<b>bold</b>",
    "*stars* and _lines_",
    "$x^2$",
    "\"], \"name\": \"other",
    "{{7*7}} {% raw %}",
    "`code` @ref <label> = ~ -- \\",
];

/// A letter that no code point stands for yet, so that no font can have it.
pub const NOBODY_HAS: char = '\u{378}';

const TRIAL: &str = r#"
#let piece = json("/data/piece.json")
#set document(title: piece.title, author: "Juniper Basin Open Lands")
#set text(font: ("Vollkorn", "Noto Serif Devanagari", "Noto Naskh Arabic"), lang: "en")
#heading(level: 1, piece.title)
#for name in piece.names { par(name) }
"#;

fn press(template: &str) -> Press {
    Press::open(Theme::plain().with_file("sheets/trial.typ", template.as_bytes()), Path::new("content"))
}

fn job(path: &str, make: Make) -> Job {
    Job { piece: Piece::Certificates, shelf: Shelf::Private, path: path.into(), make }
}

fn sheet(data: Value) -> Sheet {
    Sheet { template: "trial.typ".into(), data, ..Sheet::default() }
}

/// A run of certificates for these names.
fn run<'n>(names: impl IntoIterator<Item = &'n str>) -> Job {
    let entry = |(row, name): (usize, &str)| RunEntry {
        path: format!("certificates/{row}.pdf"),
        title: format!("Certificate: {name}"),
        data: json!({
            "name": name,
            "companion": if row % 3 == 0 { Some("Biscuit") } else { None },
            "number": format!("N-{row}"),
            "qr": { "size": 25 },
        }),
        code: Code::of("Trail Rider Stewards 2026".into(), Correction::Medium),
        place: Some(Place::new(&"people/roster.csv".into(), row..row + 1)),
        letter: None,
    };
    let data = json!({
        "title": "Certificate: North Camp Spring Workshop",
        "paper": "letter",
        "ink": "color",
        "program": {
            "name": "Trail Rider Stewards", "agency": "Juniper Basin Open Lands", "season": "2026",
            "language": "en", "summary": null, "contacts": [],
            "signatures": [{ "name": "Ines Calloway", "title": "Outreach Ranger" }],
        },
        "event": { "name": "North Camp Spring Workshop", "date": "2026-05-16", "place": "North Camp shelter" },
        "certificate": { "title": null, "text": null },
    });
    let entries = names.into_iter().enumerate().map(entry).collect();
    let run = RunOfSheets {
        template: "certificate.typ".into(),
        data,
        entries,
        pictures: Vec::new(),
        places: Vec::new(),
        alone: true,
    };
    job("certificates.pdf", Make::Run(run))
}

type Files = Vec<(Output, Vec<u8>)>;

fn make_wanted(
    press: &Press,
    job: &Job,
    wanted: &dyn Fn(&Output) -> bool,
) -> Result<(Files, Vec<Finding>), PressError> {
    let mut files = Files::new();
    let told = press.make(&press.plan(job), wanted, &mut |made| {
        files.push((made.output.clone(), made.bytes.to_vec()));
        Ok(())
    })?;
    Ok((files, told.into_iter().map(|told| told.finding).collect()))
}

fn make(press: &Press, job: &Job) -> (Files, Vec<Finding>) {
    make_wanted(press, job, &|_| true).unwrap_or_else(|error| panic!("{error}"))
}

pub fn text(bytes: &[u8]) -> Vec<String> {
    let document = Document::load_mem(bytes).unwrap();
    let pages: Vec<u32> = document.get_pages().keys().copied().collect();
    pages.iter().map(|&page| document.extract_text(&[page]).unwrap()).collect()
}

/// A text without its spaces: readers of PDFs put them where they think that words end.
pub fn letters(text: &str) -> String {
    text.split_whitespace().collect()
}

fn assert_accessible(bytes: &[u8]) {
    let report =
        validate_pdf_bytes(bytes, &ValidationOptions::default().profile(ValidationProfile::PdfUa1)).unwrap();
    assert!(report.failures.is_empty(), "{:#?}", report.failures);
}

#[test]
fn names_come_out_letter_by_letter_on_a_sheet() {
    let job = job("trial.pdf", Make::Sheet(sheet(json!({ "title": "Names", "names": NAMES }))));
    let (files, findings) = make(&press(TRIAL), &job);
    assert_eq!(findings, []);
    let printed = letters(&text(&files[0].1).concat());
    assert_eq!(printed, letters(&format!("Names{}", NAMES.concat())));
}

#[test]
fn names_come_out_letter_by_letter_on_certificates() {
    let (files, findings) = make(&press(TRIAL), &run(NAMES));
    assert_eq!(findings, []);
    assert_eq!(files.len(), NAMES.len() + 1);
    for (name, (_, bytes)) in NAMES.iter().zip(&files) {
        let printed = letters(&text(bytes).concat());
        assert!(printed.contains(&letters(name)), "{name} is not in {printed}");
    }
}

#[test]
fn an_old_no_break_space_in_a_name_hinders_nothing() {
    let name = "\u{feff}Ana\u{feff} Ruiz";
    let of_a_sheet = job("trial.pdf", Make::Sheet(sheet(json!({ "title": name, "names": [name] }))));
    for job in [of_a_sheet, run([name])] {
        let (files, findings) = make(&press(TRIAL), &job);
        assert_eq!(findings, []);
        for (_, bytes) in &files {
            assert_accessible(bytes);
            let printed = letters(&text(bytes).concat());
            assert!(printed.replace('\u{2060}', "").contains("AnaRuiz"), "{printed}");
        }
    }
}

#[test]
fn names_come_out_escaped_on_pages() {
    let theme = Theme::plain().with_file("pages/trial.html", b"<p>{{ name }}</p>");
    let press = Press::open(theme, Path::new("content"));
    for name in NAMES {
        let page = Make::Page { template: "trial.html".into(), data: json!({ "name": name }) };
        let (files, _) = make(&press, &job("trial.html", page));
        let html = String::from_utf8(files[0].1.clone()).unwrap();
        let inner = html.strip_prefix("<p>").unwrap().strip_suffix("</p>").unwrap();
        assert!(!inner.contains(['<', '>', '"']), "{inner}");
        let entities = [
            ("&lt;", "<"),
            ("&gt;", ">"),
            ("&quot;", "\""),
            ("&#x27;", "'"),
            ("&#x2F;", "/"),
            ("&amp;", "&"),
        ];
        let plain =
            entities.iter().fold(inner.to_owned(), |text, (entity, letter)| text.replace(entity, letter));
        assert_eq!(plain, name);
    }
}

#[test]
fn every_file_is_accessible_and_says_whose_it_is() {
    let (files, _) = make(&press(TRIAL), &run(["Ana", "José Núñez", "अनीता शर्मा", "ليلى حداد"]));
    for (_, bytes) in &files {
        assert_accessible(bytes);
    }
    let job = job("trial.pdf", Make::Sheet(sheet(json!({ "title": "Names", "names": NAMES }))));
    assert_accessible(&make(&press(TRIAL), &job).0[0].1);
    let single = Document::load_mem(&files[1].1).unwrap();
    let info = single.trailer.get(b"Info").and_then(|info| single.dereference(info)).unwrap().1;
    let title = info.as_dict().unwrap().get(b"Title").unwrap();
    assert_eq!(lopdf::decode_text_string(title).unwrap(), "Certificate: José Núñez");
    assert_eq!(single.catalog().unwrap().get(b"Lang").unwrap().as_str().unwrap(), b"en");
}

#[test]
fn the_same_bytes_each_time_and_on_any_number_of_threads() {
    let names: Vec<_> = (0..230).map(|n| format!("Rider {n} O’Brien")).collect();
    let job = run(names.iter().map(String::as_str));
    let first = make(&press(TRIAL).with_threads(1), &job).0;
    let second = make(&press(TRIAL).with_threads(2), &job).0;
    assert_eq!(first.len(), 231);
    assert!(first == second, "one thread and two give different files");
    assert!(first == make(&press(TRIAL).with_threads(2), &job).0, "two makings differ");
}

#[test]
fn what_is_made_alone_is_the_same_as_in_the_run() {
    let names: Vec<_> = (0..130).map(|n| format!("Rider {n}")).collect();
    let job = run(names.iter().map(String::as_str));
    let all = make(&press(TRIAL), &job).0;
    let (some, _) =
        make_wanted(&press(TRIAL), &job, &|output| output.path == "certificates/117.pdf").unwrap();
    assert_eq!(some.len(), 1);
    assert!(all.contains(&some[0]), "a certificate made alone has other bytes");
}

#[test]
fn a_run_keeps_the_order_of_its_entries() {
    let names: Vec<_> = (0..250).map(|n| format!("Rider Nr{n}x")).collect();
    let job = run(names.iter().map(String::as_str));
    let press = press(TRIAL);
    let (files, _) = make(&press, &job);
    let planned = press.plan(&job);
    assert_eq!(planned.outputs(), files.iter().map(|(output, _)| output).collect::<Vec<_>>());
    let (together, bytes) = files.last().unwrap();
    assert_eq!(together.path, "certificates.pdf");
    let pages = text(bytes);
    assert_eq!(pages.len(), 250);
    for (name, page) in names.iter().zip(pages) {
        assert!(letters(&page).contains(&letters(name)), "{name} is not in {page}");
    }
    assert_accessible(bytes);
    let bookmarks = Document::load_mem(bytes).unwrap().get_toc().unwrap().toc;
    let titles: Vec<_> = bookmarks.iter().map(|mark| (mark.title.clone(), mark.page)).collect();
    let expected: Vec<_> = names.iter().cloned().zip(1..).collect();
    assert_eq!(titles, expected);
}

#[test]
fn a_missing_letter_holds_that_certificate_and_no_other() {
    let strange = format!("Ana{NOBODY_HAS} Okafor");
    let job = run(["Ines", &strange, "Abc\u{202e}def", "Theo"]);
    let press = press(TRIAL);
    let (files, found) = make(&press, &job);
    assert_eq!(found, [], "it is told before anything is made, and each time");
    let findings = press.plan(&job).held;
    let made: Vec<_> = files.iter().map(|(output, _)| output.path.as_str()).collect();
    assert_eq!(made, ["certificates/0.pdf", "certificates/3.pdf", "certificates.pdf"]);
    assert_eq!(text(&files[2].1).len(), 2);
    let told: Vec<_> =
        findings.iter().map(|f| (f.rule.name, f.level, f.place.range.clone(), f.says.as_str())).collect();
    let expected = [
        ("letter-missing", Level::Error, 1..2, strange.as_str()),
        ("letter-missing", Level::Error, 2..3, "Abc‹U+202E›def"),
    ];
    assert_eq!(told, expected);
    assert!(findings[0].message.contains("U+0378"));
    assert!(findings[1].message.contains("U+202E"));
}

#[test]
fn a_sheet_with_a_missing_letter_is_held_and_says_which() {
    let name = format!("Ana{NOBODY_HAS}");
    let job = job("trial.pdf", Make::Sheet(sheet(json!({ "title": "Names", "names": [name] }))));
    let (files, findings) = make(&press(TRIAL), &job);
    assert_eq!(files, []);
    assert_eq!(findings.len(), 1);
    assert!(findings[0].message.contains("U+0378") && findings[0].message.contains("trial.pdf"));
}

#[test]
fn a_mistake_in_a_template_is_told_with_file_line_and_column() {
    let template = "#let piece = json(\"/data/piece.json\")\n#set document(title: \"x\")\n#piece.nothing";
    let job = job("trial.pdf", Make::Sheet(sheet(json!({ "title": "Names" }))));
    let error = make_wanted(&press(template), &job, &|_| true).unwrap_err();
    let PressError::Template { path, faults } = &error else { panic!("{error}") };
    assert_eq!((path.as_str(), faults.len()), ("trial.pdf", 1));
    assert_eq!(
        (faults[0].file.as_deref(), faults[0].line, faults[0].column),
        (Some("sheets/trial.typ"), 3, 8)
    );
    assert!(error.to_string().contains("sheets/trial.typ:3:8: "), "{error}");
}

#[test]
fn a_slide_that_runs_over_is_told_at_its_section() {
    let template = r#"
#set document(title: "Deck")
#set page(width: 16cm, height: 9cm)
#for (i, key) in ("a#one", "a#two", "a#three").enumerate() {
  if i > 0 { pagebreak() }
  [#metadata((slide: i, key: key)) <slide>]
  heading(level: 1, key)
  if i == 1 { for n in range(30) { [Line #n \ ] } }
}"#;
    let place = Place::new(&"lessons/a.md".into(), 40..47);
    let mut sheet = sheet(json!({}));
    sheet.places = vec![("a#two".into(), place.clone())];
    let job = job("deck.pdf", Make::Sheet(sheet));
    let press = press(template);
    let (files, findings) = make(&press, &job);
    assert_eq!(files.len(), 1);
    assert_eq!(findings.len(), 1);
    assert_eq!((findings[0].rule.name, &findings[0].place), ("slide-overfull", &place));
    assert_eq!(press.measure(&job).unwrap(), findings);
}

#[test]
fn a_part_that_must_fit_its_pages_is_told_where_it_does_not() {
    let template = r#"
#set document(title: "Sheet")
#heading(level: 1)[Sheet]
#pagebreak()
two [#metadata((key: "first", pages: 2)) <sheet-end>]
#pagebreak()
one
#pagebreak()
and more [#metadata((key: "second")) <sheet-end>]"#;
    let (_, findings) = make(&press(template), &job("trial.pdf", Make::Sheet(sheet(json!({})))));
    let told: Vec<_> = findings.iter().map(|f| (f.rule.name, f.message.as_str())).collect();
    assert_eq!(told, [("sheet-overfull", "This must fit on one page and takes 2.")]);
}

#[test]
fn a_picture_that_cannot_be_read_is_a_finding_and_not_a_mistake_of_the_theme() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("pictures")).unwrap();
    std::fs::write(folder.path().join("pictures/bad.png"), b"no picture").unwrap();
    let template = "#set document(title: \"x\")\n#for name in json(\"/data/piece.json\") { image(\"/program/\" + name, alt: \"a\") }";
    let theme = Theme::plain().with_file("sheets/trial.typ", template.as_bytes());
    let press = Press::open(theme, folder.path());
    let place = Place::new(&"lessons/a.md".into(), 4..9);
    let outside = tempfile::tempdir().unwrap();
    let drawing = "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 9 9'></svg>";
    std::fs::write(outside.path().join("secret.svg"), drawing).unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(outside.path().join("secret.svg"), folder.path().join("pictures/link.svg"))
        .unwrap();
    let script = drawing.replace("><", "><script>alert(1)</script><");
    std::fs::write(folder.path().join("pictures/script.svg"), script).unwrap();
    let names = [
        "pictures/bad.png",
        "pictures/none.png",
        "../secret.png",
        "pictures/link.svg",
        "pictures/script.svg",
    ];
    for name in names {
        let mut sheet = sheet(json!([name]));
        sheet.pictures = vec![name.into()];
        sheet.places = vec![(name.into(), place.clone())];
        let (files, findings) = make(&press, &job("trial.pdf", Make::Sheet(sheet)));
        assert_eq!(files, []);
        assert_eq!(findings.len(), 1, "{name}");
        assert_eq!((findings[0].rule.name, &findings[0].place), ("picture-unreadable", &place));
    }
}

/// Sets what it chose by measuring: of three choices the second, unless it is handed another.
const FITTED: &str = r#"
#import "lib/look.typ": settled
#set document(title: "t", author: "a")
#let piece = json("/data/piece.json")
#let fit = settled(piece.fit, () => ("first", "second", "third").position(it => it == "second"))
#heading(level: 1, ("first", "second", "third").at(fit.value))
#fit.mark
"#;

fn fitted(ink: &str, key: &str, pictures: &[&str]) -> Job {
    let pictures = pictures.iter().map(|&name| name.to_owned()).collect();
    let fits = vec![Fit { key: key.into(), pictures }];
    job("t.pdf", Make::Sheet(Sheet { fits, ..sheet(json!({"fit": key, "ink": ink})) }))
}

#[test]
fn what_fitting_found_is_handed_back_where_the_same_is_fitted() {
    let chosen = |press: &Press, job: &Job| {
        let text = text(&make(press, job).0[0].1).concat();
        ["first", "second", "third"].into_iter().find(|it| text.contains(*it)).unwrap()
    };
    let job = fitted("color", "one", &["pictures/passing.svg"]);
    let first = press(FITTED);
    assert_eq!(chosen(&first, &job), "second");
    let [(key, value)] = first.fits().try_into().expect("one thing is fitted");
    assert_eq!(value, 1);

    // Handed another choice, it takes that without looking: so nothing is measured again.
    let with = |template: &str, value: Value| {
        let press = press(template);
        press.take_fits([(key.clone(), value)]);
        press
    };
    assert_eq!(chosen(&with(FITTED, json!(2)), &job), "third");
    // Whatever else decides it is another thing to fit.
    for other in [
        fitted("black", "one", &["pictures/passing.svg"]),
        fitted("color", "two", &["pictures/passing.svg"]),
        fitted("color", "one", &[]),
    ] {
        assert_eq!(chosen(&with(FITTED, json!(2)), &other), "second");
    }
    assert_eq!(chosen(&with(&format!("{FITTED} "), json!(2)), &job), "second");
    // What is damaged is found anew.
    for damaged in [json!(7), json!("third"), json!(null), json!([])] {
        let press = with(FITTED, damaged);
        assert_eq!(chosen(&press, &job), "second");
        assert_eq!(press.fits(), [(key.clone(), json!(1))]);
    }
}

#[test]
fn a_sheet_has_no_clock() {
    let template = "#set document(title: \"x\")\n#datetime.today().display()";
    let error = make_wanted(&press(template), &job("a.pdf", Make::Sheet(sheet(json!({})))), &|_| true);
    assert!(error.is_err());
}

#[test]
fn a_drawing_is_an_svg_and_the_same_each_time() {
    let template = "#set document(title: \"x\")\n#set page(width: 4cm, height: 3cm)\n#circle(radius: 1cm)";
    let job = job("drawing.svg", Make::Drawing(sheet(json!({}))));
    let files = make(&press(template), &job).0;
    assert!(files[0].1.starts_with(b"<svg"));
    assert!(files == make(&press(template), &job).0);
}

#[test]
fn a_fingerprint_changes_with_what_a_file_is_made_from_and_with_nothing_else() {
    let of = |press: &Press, job: &Job| press.plan(job).outputs()[0].fingerprint.clone();
    let with = |data: Value| job("trial.pdf", Make::Sheet(sheet(data)));
    let one = with(json!({ "title": "a" }));
    assert_eq!(of(&press(TRIAL), &one), of(&press(TRIAL), &one));
    assert_ne!(of(&press(TRIAL), &one), of(&press(TRIAL), &with(json!({ "title": "b" }))));
    assert_ne!(of(&press(TRIAL), &one), of(&press("other"), &one));
    let (few, more) = (run(["Ana", "Theo"]), run(["Ana", "Theo", "Ines"]));
    let press = press(TRIAL);
    let (few, more) = (press.plan(&few), press.plan(&more));
    let (few, more) = (few.outputs(), more.outputs());
    assert_eq!(few[..2], more[..2]);
    assert_ne!(few[2].fingerprint, more[3].fingerprint);
}

/// Whatever a fingerprint leaves out is a change after which an old file is kept.
#[test]
fn a_fingerprint_changes_with_each_thing_that_a_file_is_made_from() {
    let folder = tempfile::tempdir().unwrap();
    let programs = ["M0 0h9", "M0 0h8"].map(|line| {
        let program = folder.path().join(line.replace(' ', ""));
        fs::create_dir_all(program.join("pictures")).unwrap();
        let svg = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="{line}v4"/></svg>"#
        );
        fs::write(program.join("pictures/x.svg"), svg).unwrap();
        program
    });
    let of = |program: &Path, theme: Theme, make: Make| -> Vec<String> {
        let (press, job) = (Press::open(theme, program), job("trial.pdf", make));
        press.plan(&job).outputs().iter().map(|output| output.fingerprint.clone()).collect()
    };
    let [one, other] = &programs;
    let trial = |template: &str| Theme::plain().with_file("sheets/trial.typ", template.as_bytes());
    let plain = || trial(TRIAL);
    let differ = |what: &str, before: Vec<String>, after: Vec<String>| {
        assert_eq!(before.len(), after.len(), "{what}");
        assert!(before.iter().zip(&after).all(|(before, after)| before != after), "{what}");
    };
    let shows = |parts: &[(&str, i32)], pictures: &[&str]| Sheet {
        parts: parts.iter().map(|(name, value)| ((*name).to_owned(), json!(value))).collect(),
        pictures: pictures.iter().map(|name| (*name).to_owned()).collect(),
        ..sheet(json!({ "title": "a" }))
    };
    let made = |sheet: Sheet| of(one, plain(), Make::Sheet(sheet));
    differ("what a part holds", made(shows(&[("p", 1)], &[])), made(shows(&[("p", 2)], &[])));
    differ("what a part is called", made(shows(&[("p", 1)], &[])), made(shows(&[("q", 1)], &[])));
    differ("a part more", made(shows(&[("p", 1)], &[])), made(shows(&[("p", 1), ("q", 1)], &[])));
    let picture = ["pictures/x.svg"];
    let with_picture = |program: &Path| of(program, plain(), Make::Sheet(shows(&[], &picture)));
    differ("the bytes of a picture", with_picture(one), with_picture(other));
    differ("a picture more", made(shows(&[], &[])), made(shows(&[], &picture)));
    differ("a drawing", made(shows(&[], &[])), of(one, plain(), Make::Drawing(shows(&[], &[]))));

    let points = |value: i64| packstring::quantity::Exact::from_integer(value.into());
    let booklet = |thickness: i64, staples: bool, reading: Reading| {
        let onto = Onto::Booklet { sheet: Paper::Letter, reading, thickness: points(thickness), staples };
        of(one, plain(), Make::Imposed(Imposed { pages: shows(&[], &[]), onto }))
    };
    let left = || booklet(0, false, Reading::LeftToRight);
    differ("the thickness of paper", left(), booklet(1, false, Reading::LeftToRight));
    differ("staple marks", left(), booklet(0, true, Reading::LeftToRight));
    differ("the edge of the spine", left(), booklet(0, false, Reading::RightToLeft));
    let tiles = |margin: i64, overlap: i64| {
        let onto = Onto::Tiles { sheet: Paper::A4, margin: points(margin), overlap: points(overlap) };
        of(one, plain(), Make::Imposed(Imposed { pages: shows(&[], &[]), onto }))
    };
    differ("the margin of tiles", tiles(18, 36), tiles(19, 36));
    differ("the overlap of tiles", tiles(18, 36), tiles(18, 37));

    let page = |theme: Theme| {
        let data = json!({ "title": "a" });
        of(one, theme, Make::Page { template: "index.html".into(), data })
    };
    let changed = |file: &str| {
        let bytes = [Theme::plain().file(file).unwrap().as_slice(), b" "].concat();
        Theme::plain().with_file(file, &bytes)
    };
    differ("what pages share", page(Theme::plain()), page(changed("pages/base.html")));
    differ("the words of pages", page(Theme::plain()), page(changed("words/en.toml")));

    let copy =
        |program: &Path, theme: Theme, of_file: Original| of(program, theme, Make::Copy { of: of_file });
    let of_theme = || Original::Theme("pages/site.css".into());
    differ(
        "a copied file of the theme",
        copy(one, Theme::plain(), of_theme()),
        copy(one, changed("pages/site.css"), of_theme()),
    );
    let of_program = || Original::Program("pictures/x.svg".into());
    differ(
        "a copied picture",
        copy(one, Theme::plain(), of_program()),
        copy(other, Theme::plain(), of_program()),
    );

    let run_of = |change: &dyn Fn(&mut packstring::job::RunOfSheets)| {
        let Make::Run(mut run) = run(["Ana", "Theo"]).make else { unreachable!() };
        change(&mut run);
        of(one, Theme::plain(), Make::Run(run))
    };
    let as_it_is = || run_of(&|_| {});
    differ("what a run shares", as_it_is(), run_of(&|run| run.data["title"] = json!("Another")));
    differ("the pictures of a run", as_it_is(), run_of(&|run| run.pictures = vec!["pictures/x.svg".into()]));
    differ(
        "the titles of a run",
        as_it_is(),
        run_of(&|run| run.entries.iter_mut().for_each(|entry| entry.title += "!")),
    );
}

#[test]
fn what_comes_out_too_small_on_a_certificate_is_told_where_it_is_said() {
    let plain = Press::open(Theme::plain(), Path::new("."));
    let mut job = run(["Ana", &"W".repeat(4000), "Elena Márquez"]);
    let Make::Run(run) = &mut job.make else { unreachable!() };
    run.data["program"]["signatures"][0]["title"] = json!("Superintendent of the Open Lands ".repeat(20));
    let signed = Place::new(&"program.toml".into(), 7..9);
    run.places = vec![("signature".into(), signed.clone())];
    let (files, findings) = make(&plain, &job);
    assert_eq!(files.len(), 4, "all are made all the same");
    let told: Vec<_> = findings.iter().map(|f| (f.rule.name, f.place.clone())).collect();
    let row = Place::new(&"people/roster.csv".into(), 1..2);
    assert_eq!(told, [("sheet-crowded", signed), ("sheet-crowded", row)]);
}

/// The runs of letters on a page: their size, and how far from the page's upper edge they stand, in points.
fn set(bytes: &[u8]) -> (f32, Vec<(f32, f32)>) {
    let document = Document::load_mem(bytes).unwrap();
    let page = document.page_iter().next().unwrap();
    let media = document.get_dictionary(page).unwrap().get(b"MediaBox").unwrap().as_array().unwrap();
    let height = media[3].as_float().unwrap();
    let (mut size, mut found) = (0.0, Vec::new());
    // Each drawing's own place: the last of what was moved, from the inside out.
    let mut places: Vec<[f32; 6]> = vec![[1.0, 0.0, 0.0, 1.0, 0.0, 0.0]];
    let numbers = |operands: &[lopdf::Object]| -> [f32; 6] {
        std::array::from_fn(|at| operands[at].as_float().unwrap())
    };
    let product = |a: [f32; 6], b: [f32; 6]| {
        [
            a[0] * b[0] + a[1] * b[2],
            a[0] * b[1] + a[1] * b[3],
            a[2] * b[0] + a[3] * b[2],
            a[2] * b[1] + a[3] * b[3],
            a[4] * b[0] + a[5] * b[2] + b[4],
            a[4] * b[1] + a[5] * b[3] + b[5],
        ]
    };
    for operation in document.get_and_decode_page_content(page).unwrap().operations {
        let here = *places.last().unwrap();
        match operation.operator.as_str() {
            "q" => places.push(here),
            "Q" => drop(places.pop()),
            "cm" => *places.last_mut().unwrap() = product(numbers(&operation.operands), here),
            "Tf" => size = operation.operands[1].as_float().unwrap(),
            "Tm" => {
                let at = product(numbers(&operation.operands), here);
                found.push((size * at[3].abs(), height - at[5]));
            }
            _ => {}
        }
    }
    (height, found)
}

/// However long it is, a name stands on one line of the page, whole, and its companion is set below it at 45 % of its
/// size at most.
#[test]
fn a_name_stands_on_its_line_and_its_companion_is_set_smaller() {
    let plain = Press::open(Theme::plain(), Path::new("."));
    let long = "Maximiliana Federica Castellanos-Quintanilla de la Torre y Ibarrondo";
    for design in ["landscape", "portrait", "half sheet", "child"] {
        let mut job =
            run([long, "Bo Li", "Priya", "Wolfeschlegelsteinhausenbergerdorff", "x", "y", "أمينة بنت يوسف"]);
        let Make::Run(run) = &mut job.make else { unreachable!() };
        run.data["certificate"]["design"] = json!(design);
        run.entries[0].data["companion"] = json!("Emperatriz Magdalena de las Colinas");
        let (files, findings) = make(&plain, &job);
        assert!(findings.is_empty(), "{design}: {findings:?}");
        for (at, name) in [(0, long), (3, "Wolfeschlegelsteinhausenbergerdorff")] {
            let said = text(&files[at].1).concat();
            assert!(letters(&said).contains(&letters(name)), "{design}: {said}");
        }
        for (at, (_, bytes)) in files.iter().take(7).enumerate() {
            let (height, set) = set(bytes);
            let largest = set.iter().map(|(size, _)| *size).fold(0.0, f32::max);
            let line = set.iter().rposition(|(size, _)| *size > largest * 0.99).unwrap();
            let (name, down) = set[line];
            assert!((down / height - 0.45).abs() < 0.005, "{design} {at}: {down} of {height}");
            assert!(name >= if design == "child" { 13.0 } else { 16.0 }, "{design} {at}: {name}");
            let (next, _) = set[line + 1];
            if at % 3 == 0 {
                assert!(next <= name * 0.455 && next >= 6.0, "{design} {at}: {next} beside {name}");
            }
        }
    }
}

#[test]
fn a_certificate_for_an_award_names_its_own_award_and_day() {
    let mut job = run(["Elena Márquez"]);
    let Make::Run(run) = &mut job.make else { unreachable!() };
    run.data["event"] = Value::Null;
    run.data["certificate"]["kind"] = json!("award");
    run.entries[0].data["event"] = json!({ "name": "Trail Hand", "date": "2026-07-01", "place": null });
    let (files, findings) = make(&Press::open(Theme::plain(), Path::new(".")), &job);
    assert!(findings.is_empty(), "{findings:?}");
    let said = letters(&text(&files[0].1).concat());
    for words in ["AwardforService", "ElenaMárquez", "TrailHand,July1,2026"] {
        assert!(said.contains(words), "{words} in {said}");
    }
    assert_accessible(&files[0].1);
}

#[test]
fn an_envelope_that_an_address_does_not_fit_stays_empty_and_is_told() {
    let mut job = run(["Ana", "Theo", "Elena"]);
    let Make::Run(run) = &mut job.make else { unreachable!() };
    run.template = "envelope.typ".into();
    run.data["envelope"] = json!({ "width": 684, "height": 297 });
    run.data["return_address"] = json!(vec!["1 Basin Road"; 40]);
    for (row, entry) in run.entries.iter_mut().enumerate() {
        let lines = vec![format!("{row} Lantern Hill"); if row == 1 { 60 } else { 3 }];
        entry.data = json!({ "lines": lines, "narrow": null });
    }
    let home = Place::new(&"program.toml".into(), 7..9);
    run.places = vec![("return-address".into(), home.clone())];
    let (files, findings) = make(&Press::open(Theme::plain(), Path::new(".")), &job);
    let told: Vec<_> = findings.iter().map(|f| (f.rule.name, f.place.clone())).collect();
    let row = Place::new(&"people/roster.csv".into(), 1..2);
    assert_eq!(told, [("label-overfull", home), ("label-overfull", row)]);
    let said: Vec<String> = files[..3].iter().map(|(_, bytes)| letters(&text(bytes).concat())).collect();
    assert!(said[0].contains("0LanternHill") && said[2].contains("2LanternHill"), "{said:?}");
    assert!(!said[1].contains("Lantern"), "{said:?}");
}

#[test]
fn many_jobs_come_in_their_order_however_many_threads_there_are() {
    let sheets = (0..40).map(|n| {
        let data =
            json!({ "title": format!("Names {n}"), "names": vec!["Ana"; if n % 5 == 0 { 400 } else { 1 }] });
        job(&format!("{n}.pdf"), Make::Sheet(sheet(data)))
    });
    let jobs: Vec<Job> = sheets.chain([run(["Ana", "Theo"]), job("a.txt", Make::Text("a".into()))]).collect();
    let made = |threads: usize| {
        let press = press(TRIAL).with_threads(threads);
        let planned: Vec<_> = jobs.iter().map(|job| press.plan(job)).collect();
        let mut told = Vec::new();
        let made = press.make_all(&planned, &|_, output| output.path != "7.pdf", &mut |step| {
            told.push(match step {
                Step::Begun(at) => (at, "begun".to_owned(), Vec::new()),
                Step::Laid(at, pages) => (at, format!("{pages} laid out"), Vec::new()),
                Step::Made(at, made) => (at, made.output.path.clone(), made.bytes.to_vec()),
                Step::Found(at, found) => (at, format!("{} found", found.len()), Vec::new()),
            });
            Ok(())
        });
        made.unwrap();
        told
    };
    let (one, many) = (made(1), made(3));
    assert!(one == many);
    let names: Vec<&str> = one.iter().map(|(_, what, _)| what.as_str()).collect();
    assert_eq!(names[..6], ["begun", "0.pdf", "0 found", "begun", "1.pdf", "0 found"]);
    assert!(!names.contains(&"7.pdf"));
    assert_eq!(
        names[names.len() - 9..],
        [
            "begun",
            "2 laid out",
            "certificates/0.pdf",
            "certificates/1.pdf",
            "certificates.pdf",
            "0 found",
            "begun",
            "a.txt",
            "0 found",
        ]
    );
}

#[test]
fn of_several_mistakes_the_first_job_s_is_told() {
    let template = "#let piece = json(\"/data/piece.json\")\n#set document(title: \"x\")\n#if piece.bad { panic(piece.title) }";
    let with = |n: usize| job(&format!("{n}.pdf"), Make::Sheet(sheet(json!({ "title": n, "bad": n > 3 }))));
    let jobs: Vec<Job> = (0..20).map(with).collect();
    let press = press(template).with_threads(3);
    let planned: Vec<_> = jobs.iter().map(|job| press.plan(job)).collect();
    let mut files = Vec::new();
    let made = press.make_all(&planned, &|_, _| true, &mut |step| {
        if let Step::Made(_, made) = step {
            files.push(made.output.path.clone());
        }
        Ok(())
    });
    assert!(matches!(made.unwrap_err(), PressError::Template { path, .. } if path == "4.pdf"));
    assert_eq!(files, ["0.pdf", "1.pdf", "2.pdf", "3.pdf"]);
}

#[test]
fn a_certificate_is_made_again_when_its_code_says_something_else() {
    let (one, mut other) = (run(["Ana", "Theo"]), run(["Ana", "Theo"]));
    let Make::Run(changed) = &mut other.make else { unreachable!() };
    changed.entries[1].code = Code::of("Trail Rider Stewards 2027".into(), Correction::Medium);
    let press = press(TRIAL);
    let (one, other) = (press.plan(&one), press.plan(&other));
    let alike: Vec<bool> =
        one.outputs().iter().zip(other.outputs()).map(|(one, other)| **one == *other).collect();
    assert_eq!(alike, [true, false, false]);
}
