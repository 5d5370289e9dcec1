//! Functions that take any bytes, and what must hold of what they give: nothing panics, and what is said of the results
//! beside each. Driven by `tests/it/fuzz.rs`, and by the fuzz targets of `fuzz/`.

use packstring::addresses::{self, Address};
use packstring::program::tables::{self, How};
use packstring::program::{self, Program, pictures};
use packstring::quantity::{self, Held, Worked};
use packstring::session::Known;
use std::cell::RefCell;
use std::fs;
use std::path::Path;
use std::sync::Arc;

pub struct Target {
    pub name: &'static str,
    pub ask: fn(&[u8]),
    pub corpus: &'static [&'static str],
    /// Words of the language that is read, to be put in by chance.
    pub words: &'static [&'static str],
}

pub const ALL: [fn() -> Target; 15] = [
    figures, formula, markdown, facts, settings, questions, kits, roster, workbook, hours, answers, address,
    register, history, svg,
];

const FIGURES: &[&str] = &[
    "six feet",
    "about 22 million pounds a year",
    "5 to 10 gallons a day",
    "200 ft (60 m)",
    "102.5 °F",
    "$3.50",
    "at least ",
    "no more than ",
    "½",
    "1/2",
    "-",
    "–",
    " per ",
    "%",
    "dozen",
    "a third of",
    "10 x 12 ft",
    "°",
    "1,000",
    "3.2.1",
    "²",
    "mi/h",
    "half an hour",
    "two and a half",
    "between ",
    " and ",
];

pub fn figures() -> Target {
    Target {
        name: "figures",
        ask: |bytes| {
            let text = String::from_utf8_lossy(bytes);
            let figures = quantity::read(&text);
            let mut last = 0;
            for figure in &figures {
                assert!(last <= figure.span.start && figure.span.start < figure.span.end);
                last = figure.span.end;
                assert!(text.get(figure.span.clone()).is_some() && text.get(figure.reach.clone()).is_some());
                let held = Held::stated(figure, None);
                quantity::agree(figure, &held);
                let _ = quantity::say(&held, None);
            }
            let _ = (quantity::read_one(&text), quantity::unit(&text));
        },
        corpus: &[
            "Keep at least six feet away, or about 2 m. It weighs 1,200 pounds (545 kg).",
            "Between 5 and 10 gallons a day; $3.50 each; 22 million pounds a year at 102.5 °F.",
            "Two and a half hours, 1/2 mile, 3 × 4 ft, a dozen horses, twice a week.",
        ],
        words: FIGURES,
    }
}

pub fn formula() -> Target {
    Target {
        name: "formula",
        ask: |bytes| {
            let text = String::from_utf8_lossy(bytes);
            let Ok(worked) = Worked::parse(&text) else { return };
            for value in ["10 ft", "5 to 10 gallons a day", "77 °F", "0", "20 percent"] {
                let held = Held::stated(&quantity::read_one(value).unwrap(), None);
                if let Ok(held) = worked.evaluate(&|_| held.clone()) {
                    let _ = quantity::say(&held, None);
                }
            }
        },
        corpus: &[
            "horses * manure-daily * 365 days",
            "(air - 32 °F) in °C",
            "round(min(a, b) / max(3, 4), 10 lb)",
            "1/2 * load ^ 2 + 3 ft - 2 in",
        ],
        words: &[
            "(", ")", "*", "/", "+", " - ", "^12", "^-12", " in ft", "round(", "min(", ",", "a", "365 days",
            "0", "of", "%", "°F", "1e9", "m2", "/ year", "$3",
        ],
    }
}

thread_local! {
    /// A program folder of this thread, which targets put one file into.
    static FOLDER: RefCell<Option<(tempfile::TempDir, Arc<Program>)>> = const { RefCell::new(None) };
}

/// Calls with the folder of a sound program, and with that program.
fn with_program(call: impl FnOnce(&Path, &Program)) {
    FOLDER.with_borrow_mut(|kept| {
        let (folder, program) = kept.get_or_insert_with(|| {
            let folder = tempfile::tempdir().unwrap();
            lay_out(folder.path());
            let program =
                program::open(folder.path()).unwrap_or_else(|unread| panic!("{:?}", unread.mistakes));
            (folder, Arc::new(program))
        });
        call(folder.path(), program);
    });
}

fn lay_out(folder: &Path) {
    for (name, text) in [
        ("program.toml", SETTINGS),
        ("facts.toml", FACTS),
        ("questions.toml", QUESTIONS),
        ("kits.toml", KITS),
        ("lessons/water.md", LESSON),
        ("people/roster.csv", ROSTER),
    ] {
        let path = folder.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
}

const SETTINGS: &str = "[program]\nname = \"Trail Riders\"\nagency = \"Basin Lands\"\nseason = \"2026\"\n\n[[syllabus]]\nlesson = \"water\"\nminutes = 10\n\n[[events]]\nid = \"north\"\nname = \"North Camp\"\ndate = 2026-05-16\nstart = 09:00\nminutes = 60\nplace = \"Shelter\"\nform = \"in person\"\n";
const FACTS: &str = "[lead]\nvalue = \"10 ft\"\nlimit = \"at most\"\nsource = \"Rule 4\"\ncalled = [\"lead rope\"]\n\n[twice]\nworked-from = \"lead * 2\"\nwording = \"20 feet\"\n\n[heat]\ncolumns = [\"air (°F)\", \"ground (°F)\"]\nrows = [[77, 125], [86, 135]]\nsource = \"a\"\n\n[at.north.lead]\nvalue = \"6 ft\"\nsource = \"b\"\n";
const QUESTIONS: &str = "passing = \"1 of 1\"\n\n[[questions]]\nid = \"lead\"\nkind = \"figure\"\nask = \"How long?\"\nfact = \"lead\"\n";
const KITS: &str = "[[kits]]\nid = \"pocket\"\nname = \"Pocket Kit\"\n\n[[kits.items]]\nitem = \"Hoof pick\"\nweight = \"3 oz\"\n";
const LESSON: &str = "# Water\n\n## On the trail\n\nKeep the lead to [ten feet](fact:lead).\n\n> Say: drink often.\n\n- one\n- two[^1]\n\n![Heat](fact:heat)\n\n| a | b |\n| - | - |\n| 1 | 2 |\n\n[^1]: a note\n";
const ROSTER: &str = "event,name,companion,attended,street,town,state,postcode\nnorth,Ana Ruiz,Comet,yes,12 Main St,Ogden,UT,84401\n";

const MARKDOWN: &[&str] = &[
    "# ",
    "## ",
    "### ",
    "> ",
    "> Say: ",
    "> Warning: ",
    "- ",
    "1. ",
    "- [ ] ",
    "| a | b |\n| - | - |\n",
    "[^1]",
    "[^1]: ",
    "[…](fact:lead)",
    "[ten feet](fact:lead?unit=m)",
    "![a](fact:heat?as=table)",
    "![a](../pictures/a.svg)",
    "[a](b.md#c)",
    "](",
    "[",
    "]",
    "<",
    "<b>",
    "&amp;",
    "&#0;",
    "`",
    "```\n",
    "**",
    "_",
    "~~",
    "\\",
    "\n\n",
    "---\n",
    "<https://a.example>",
    "\t",
    "    ",
    "six feet",
];

const TOML: &[&str] = &[
    "[",
    "]",
    "[[",
    "]]",
    "=",
    "\"",
    "\"\"\"",
    "'",
    "\\u00e9",
    "\n",
    "#",
    ",",
    "{",
    "}",
    "true",
    "2026-02-30",
    "09:00",
    "0x1",
    "1_000",
    ".",
    "value = ",
    "worked-from = ",
    "rows = [[1, 2]]",
    "columns = ",
    "\"10 ft\"",
    "[at.",
    "id = ",
    "limit = \"about\"",
];

pub fn markdown() -> Target {
    Target {
        name: "markdown",
        ask: |bytes| {
            with_program(|_, program| {
                let Ok(program) = program.with_lesson("water", &String::from_utf8_lossy(bytes)) else {
                    return;
                };
                let known = Known::of(&program, jiff::civil::date(2026, 6, 1));
                for finding in &known.findings {
                    let _ = program.sources.line_column(&finding.place);
                }
            });
        },
        corpus: &[
            LESSON,
            include_str!("../../../content/lessons/first-aid-kit.md"),
            "# Water\n\n## On the\u{200d} trail[ten feet](fact:lead).\n",
            "# A\n\n> > > - **a _b_ `c`**\n\n1. one\n\n   two\n\n***\n\n[a]: b.md\n\n[a][a]\n",
        ],
        words: MARKDOWN,
    }
}

/// Opens the program with other bytes in one of its files, and puts that back as it was.
fn open_with(name: &str, bytes: &[u8]) {
    with_program(|folder, _| {
        let path = folder.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        let before = fs::read(&path).ok();
        fs::write(&path, bytes).unwrap();
        match program::open(folder) {
            Ok(program) => {
                let known = Known::of(&program, jiff::civil::date(2026, 6, 1));
                for finding in &known.findings {
                    let _ = program.sources.line_column(&finding.place);
                }
            }
            Err(unread) => {
                assert!(!unread.mistakes.is_empty());
                for finding in &unread.mistakes {
                    let _ = unread.sources.line_column(&finding.place);
                }
            }
        }
        match before {
            Some(before) => fs::write(&path, before).unwrap(),
            None => fs::remove_file(&path).unwrap(),
        }
    });
}

pub fn facts() -> Target {
    Target {
        name: "facts",
        ask: |bytes| open_with("facts.toml", bytes),
        corpus: &[FACTS, include_str!("../../../content/facts.toml")],
        words: TOML,
    }
}

pub fn settings() -> Target {
    Target {
        name: "settings",
        ask: |bytes| open_with("program.toml", bytes),
        corpus: &[SETTINGS, include_str!("../../../content/program.toml")],
        words: TOML,
    }
}

pub fn questions() -> Target {
    Target {
        name: "questions",
        ask: |bytes| open_with("questions.toml", bytes),
        corpus: &[QUESTIONS, include_str!("../../../content/questions.toml")],
        words: TOML,
    }
}

pub fn kits() -> Target {
    Target {
        name: "kits",
        ask: |bytes| open_with("kits.toml", bytes),
        corpus: &[KITS, include_str!("../../../content/kits.toml")],
        words: TOML,
    }
}

const CSV: &[&str] = &[
    ",",
    ";",
    "\t",
    "|",
    "\"",
    "\"\"",
    "\n",
    "\r\n",
    "\r",
    "event",
    "name",
    "attended",
    "yes",
    "no",
    "passed",
    "=1+1",
    "'=",
    "\u{1a}",
    "é",
    "2:30",
    "1.5 h",
    "2026-05-16",
    "5/16/26",
    "90 minutes",
    "north",
];

pub fn roster() -> Target {
    Target {
        name: "roster",
        ask: |bytes| open_with("people/roster.csv", bytes),
        corpus: &[
            ROSTER,
            "event;name;attended\r\nnorth;\"Ruiz, Ana\";x\r\n",
            "Title\n\nevent\tname\tattended\nnorth\tA\tyes\n",
        ],
        words: CSV,
    }
}

pub fn workbook() -> Target {
    Target {
        name: "workbook",
        ask: |bytes| {
            // The parts of an archive are changed, and packed anew: else hardly any could be unpacked.
            let text = String::from_utf8_lossy(bytes);
            let (name, sheet) = text.split_once('\u{1f}').unwrap_or(("x", &text));
            let is_ods = name == "ods";
            let packed = packed(is_ods, sheet);
            let file = if is_ods { "people/roster.ods" } else { "people/roster.xlsx" };
            let reading = tables::read(&file.into(), packed, &How::default());
            if let Some(table) = reading.table {
                for row in table.rows() {
                    row.cells().for_each(|cell| drop(cell.value()));
                }
            }
            let _ = tables::read(&file.into(), bytes.to_vec(), &How::default());
        },
        corpus: &[
            "x\u{1f}<row r=\"1\"><c r=\"A1\" t=\"inlineStr\"><is><t>event</t></is></c><c r=\"B1\" t=\"s\"><v>0</v></c></row><row r=\"2\"><c r=\"A2\" s=\"1\"><v>45000.5</v></c><c r=\"B2\" t=\"b\"><v>1</v></c><c r=\"C2\" t=\"e\"><v>#REF!</v></c></row>",
            "ods\u{1f}<table:table-row table:number-rows-repeated=\"2\"><table:table-cell office:value-type=\"string\"><text:p>event<text:s text:c=\"3\"/></text:p></table:table-cell><table:table-cell office:value-type=\"float\" office:value=\"2.5\" table:number-columns-repeated=\"3\"/><table:table-cell office:date-value=\"2026-05-16\"/><table:table-cell office:time-value=\"PT02H30M00S\"/></table:table-row>",
        ],
        words: &[
            "<c>",
            "</c>",
            "<row>",
            "</row>",
            "<v>",
            "</v>",
            "t=\"s\"",
            "t=\"d\"",
            "r=\"XFD9\"",
            "r=\"A4294967295\"",
            "s=\"9\"",
            "99999999999",
            "-1",
            "1e308",
            "NaN",
            "PT99999999999H",
            "9999-99-99",
            "<table:table-row>",
            "</table:table-row>",
            "<table:table-cell/>",
            "table:number-columns-repeated=\"9\"",
            "<text:p>",
            "</text:p>",
            "<text:s text:c=\"9\"/>",
            "<office:annotation>",
            "&lt;",
            "&#0;",
            "&x;",
            "<![CDATA[",
            "]]>",
            "<!--",
        ],
    }
}

fn packed(is_ods: bool, sheet: &str) -> Vec<u8> {
    use std::io::Write;
    let parts: Vec<(&str, String)> = if is_ods {
        vec![
            ("mimetype", "application/vnd.oasis.opendocument.spreadsheet".into()),
            ("META-INF/manifest.xml", "<manifest:manifest/>".into()),
            (
                "content.xml",
                format!(
                    "<office:document-content><office:body><office:spreadsheet><table:table table:name=\"a\">{sheet}</table:table></office:spreadsheet></office:body></office:document-content>"
                ),
            ),
        ]
    } else {
        let relations = |kind: &str, target: &str| {
            format!(
                "<Relationships><Relationship Id=\"r1\" Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/{kind}\" Target=\"{target}\"/></Relationships>"
            )
        };
        vec![
            ("[Content_Types].xml", "<Types/>".into()),
            ("_rels/.rels", relations("officeDocument", "xl/workbook.xml")),
            ("xl/workbook.xml", "<workbook><sheets><sheet name=\"a\" sheetId=\"1\" r:id=\"r1\"/></sheets></workbook>".into()),
            ("xl/_rels/workbook.xml.rels", relations("worksheet", "worksheets/sheet1.xml")),
            ("xl/styles.xml", "<styleSheet><cellXfs><xf numFmtId=\"0\"/><xf numFmtId=\"14\"/><xf numFmtId=\"46\"/></cellXfs></styleSheet>".into()),
            ("xl/sharedStrings.xml", "<sst><si><t>name</t></si></sst>".into()),
            ("xl/worksheets/sheet1.xml", format!("<worksheet><sheetData>{sheet}</sheetData></worksheet>")),
        ]
    };
    let mut archive = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (name, text) in parts {
        archive.start_file(name, options).unwrap();
        archive.write_all(text.as_bytes()).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

pub fn hours() -> Target {
    Target {
        name: "hours",
        ask: |bytes| open_with("people/hours.csv", bytes),
        corpus: &[
            "name,date,hours,activity\nAna Ruiz,2026-05-20,2:30,trail\nAna Ruiz,5/21/2026,90 minutes,camp\nAna Ruiz,21 May,1.5 h,\n",
        ],
        words: CSV,
    }
}

pub fn answers() -> Target {
    Target {
        name: "answers",
        ask: |bytes| open_with("people/answers.csv", bytes),
        corpus: &["name,event,lead\nAna Ruiz,north,ten feet\nAna Ruiz,north,\"10 ft, I think\"\n"],
        words: CSV,
    }
}

pub fn address() -> Target {
    Target {
        name: "address",
        ask: |bytes| {
            let text = String::from_utf8_lossy(bytes);
            let mut parts = text.split('\u{1f}').map(str::to_owned);
            let mut next = || parts.next().unwrap_or_default();
            let (street, town, state) = (next(), next(), next());
            let address = Address { street, town, state, postcode: next(), country: next() };
            let home = addresses::Country::united_states();
            for capitals in [false, true] {
                let style = addresses::Style { home, capitals };
                let _ = addresses::doubts(&address, &style);
                if let Ok(block) = addresses::block("Ana Ruiz", &address, &style) {
                    assert!(!block.lines.is_empty());
                }
            }
        },
        corpus: &[
            "12 Main St Apt 4\u{1f}Ogden\u{1f}UT\u{1f}84401-1234\u{1f}",
            "PO Box 9\u{1f}Sitka\u{1f}Alaska\u{1f}99835\u{1f}USA",
            "Hauptstraße 5\u{1f}Wien\u{1f}\u{1f}1010\u{1f}Austria",
            "PSC 3 Box 4\u{1f}APO\u{1f}AE\u{1f}09012\u{1f}",
        ],
        words: &[
            "St", "N", "Apt", "#", "Box", "RR 2", "1/2", "Ave", "US", "UT", "\u{1f}", "\n", ",", "-",
            "00000", "Hwy 89",
        ],
    }
}

const GIVEN: &str = include_str!("../../../content/records/certificates.jsonl");

pub fn register() -> Target {
    Target {
        name: "register",
        ask: |bytes| open_with("records/certificates.jsonl", bytes),
        corpus: &[GIVEN],
        words: &[
            "{",
            "}",
            "\"",
            ":",
            ",",
            "null",
            "true",
            "[]",
            "1e9",
            "-1",
            "\\u0000",
            "\n",
            "\"number\"",
            "\"hash\"",
            "2026-02-30",
        ],
    }
}

const WAS: &str = include_str!("../../../content/records/facts.jsonl");

pub fn history() -> Target {
    Target {
        name: "history",
        ask: |bytes| open_with("records/facts.jsonl", bytes),
        corpus: &[WAS],
        words: &[
            "{",
            "}",
            "\"",
            ":",
            ",",
            "null",
            "\n",
            "\"fact\"",
            "\"gone\"",
            "\"hash\"",
            "9999-12-31",
            "-1",
        ],
    }
}

pub fn svg() -> Target {
    Target {
        name: "svg",
        ask: |bytes| {
            with_program(|folder, _| {
                fs::create_dir_all(folder.join("pictures")).unwrap();
                let name = "pictures/a.svg";
                fs::write(folder.join(name), bytes).unwrap();
                let Ok(shown) = pictures::read(folder, name) else { return };
                let text = std::str::from_utf8(&shown).unwrap();
                // What is written is taken, and written the same again.
                fs::write(folder.join(name), &shown).unwrap();
                assert_eq!(pictures::read(folder, name).as_deref(), Ok(&*shown), "{text}");
                let document = roxmltree::Document::parse(text).unwrap();
                for node in document.descendants().filter(roxmltree::Node::is_element) {
                    let element = node.tag_name().name();
                    assert_eq!(node.tag_name().namespace(), Some("http://www.w3.org/2000/svg"), "{text}");
                    assert!(
                        !["script", "foreignObject", "set", "animate", "iframe"].contains(&element),
                        "{text}"
                    );
                    for attribute in node.attributes() {
                        let value = attribute.value().to_lowercase();
                        assert!(!attribute.name().to_lowercase().starts_with("on"), "{text}");
                        let is_address = attribute.name() == "href";
                        let scheme: String =
                            value.chars().filter(|it| !it.is_whitespace() && !it.is_control()).collect();
                        assert!(!is_address || !scheme.starts_with("javascript:"), "{text}");
                        let is_link = is_address && element == "a";
                        assert!(
                            !is_address || is_link || scheme.is_empty() || scheme.starts_with(['#', 'd']),
                            "{text}"
                        );
                    }
                    if element == "style" {
                        let style = node.text().unwrap_or_default().to_lowercase();
                        assert!(!style.contains('@') && !style.contains('\\'), "{text}");
                        assert!(style.matches("url(").count() <= style.matches('#').count(), "{text}");
                    }
                }
            });
        },
        corpus: &[
            "<?xml version=\"1.0\"?><svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" viewBox=\"0 0 9 9\"><style>.a { fill: url(#b) }</style><defs><linearGradient id=\"b\"><stop offset=\"1\"/></linearGradient></defs><a xlink:href=\"https://a.example\"><path class=\"a\" d=\"M0 0L1 1\"/></a><text x=\"1\">a &amp; b</text><use href=\"#b\"/></svg>",
            "<!DOCTYPE svg [<!ENTITY a 'b'>]><svg xmlns=\"http://www.w3.org/2000/svg\"><filter id=\"f\"><feGaussianBlur stdDeviation=\"1\"/></filter><g filter=\"url(#f)\" style=\"fill:red\"><rect width=\"5\" height=\"5\"/>&a;</g><switch><foreignObject/><text/></switch></svg>",
        ],
        words: &[
            "<script>",
            "</script>",
            "<set ",
            "onload=\"a\"",
            "href=\"javascript:a\"",
            "xlink:href=\"",
            "data:image/png;base64,AAAA",
            "url(",
            "url(#b)",
            "@import 'a';",
            "@media a {",
            "\\75",
            "<![CDATA[",
            "]]>",
            "<!--",
            "-->",
            "<?a b?>",
            "&a;",
            "&#60;",
            "xmlns=\"\"",
            "xmlns:x=\"http://www.w3.org/1999/xhtml\"",
            "<x:a>",
            "</g>",
            "<g>",
            "/>",
            "id=\"b\"",
            "style=\"",
            "<style>",
            "</style>",
            "image-set(",
            "*{",
            "}",
            "!important",
            "marker=\"url(#b)\"",
            "transform=\"scale(9)\"",
        ],
    }
}
