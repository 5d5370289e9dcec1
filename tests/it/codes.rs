//! The codes on certificates as they come out on paper: the demo's, in all four designs, taken out of the PDFs, scanned
//! at 150 dpi and with stains, and read by a library that knows nothing of ours. What they say is rebuilt to the record
//! beside the certificate, and its signature verified.

use crate::folders::{copy, open};
use lopdf::content::Content;
use lopdf::{Dictionary, Document, Object};
use packstring::credential::packed::{self, Form, Occasion};
use packstring::credential::{canonical, verify_value};
use packstring::program::register::Register;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

const DESIGNS: [(&str, &str); 4] = [
    ("north-camp", "landscape"),
    ("evening-online", "portrait"),
    ("sand-creek", "half sheet"),
    ("fall-packers", "child"),
];

/// The demo with another design for each event, its certificates and its site made.
fn demo() -> &'static Path {
    static MADE: OnceLock<tempfile::TempDir> = OnceLock::new();
    let folder = MADE.get_or_init(|| made(""));
    folder.path()
}

/// With more lines in the table of the site.
fn made(more: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content"), folder.path());
    let file = folder.path().join("program.toml");
    let mut text = fs::read_to_string(&file).unwrap();
    for (event, design) in DESIGNS {
        let id = format!("id = \"{event}\"\n");
        assert!(text.contains(&id));
        text = text.replace(&id, &format!("{id}certificate = \"{design}\"\n"));
    }
    assert!(text.contains("[site]\n"));
    fs::write(&file, text.replace("[site]\n", &format!("[site]\n{more}"))).unwrap();
    let made = Command::new(env!("CARGO_BIN_EXE_packstring"))
        .current_dir(folder.path())
        .env("PACKSTRING_KEYS", folder.path().join("keys"))
        .args(["make", "--pieces", "certificates,site"])
        .output()
        .unwrap();
    assert!(made.status.code().is_some_and(|code| code < 2), "{}", String::from_utf8_lossy(&made.stderr));
    folder
}

fn register() -> Register {
    (*open(Path::new(env!("CARGO_MANIFEST_DIR")).join("content")).people.register).clone()
}

fn records(register: &Register) -> Vec<&Value> {
    register.all_given().filter_map(|given| given.credential.as_ref()).collect()
}

fn occasions(records: &[&Value]) -> Vec<Occasion> {
    let mut occasions: Vec<Occasion> = Vec::new();
    for occasion in records.iter().map(|record| Occasion::of(record).unwrap()) {
        if !occasions.contains(&occasion) {
            occasions.push(occasion);
        }
    }
    occasions
}

/// The PDFs of single certificates of an event.
fn certificates(folder: &Path, event: &str) -> Vec<PathBuf> {
    let all = fs::read_dir(folder.join("out/private/certificates").join(event)).unwrap();
    let mut all: Vec<PathBuf> = all.map(|it| it.unwrap().path()).collect();
    all.retain(|path| path.with_extension("json").exists() && path.extension().is_some_and(|it| it == "pdf"));
    all.sort();
    all
}

/// A code on a page.
struct Printed {
    /// A byte a module, 255 for a light one.
    modules: Vec<u8>,
    /// Modules a side.
    size: usize,
    /// One module in millimeters.
    module: f64,
}

/// The square pictures of a page in shades of gray, with the matrix that is in force where they are shown.
fn codes(
    document: &Document,
    resources: &Dictionary,
    content: &[u8],
    at: [f64; 6],
    found: &mut Vec<Printed>,
) {
    let follow = |object: &Object| document.dereference(object).unwrap().1.clone();
    let named = |name: &[u8]| {
        let forms = follow(resources.get(b"XObject").ok()?);
        Some(follow(forms.as_dict().ok()?.get(name).ok()?))
    };
    let mut matrices = vec![at];
    for operation in Content::decode(content).unwrap().operations {
        let matrix = *matrices.last().unwrap();
        match operation.operator.as_str() {
            "q" => matrices.push(matrix),
            "Q" => drop(matrices.pop()),
            "cm" => {
                let [a, b, c, d, e, f]: [f64; 6] =
                    std::array::from_fn(|at| operation.operands[at].as_float().unwrap().into());
                let [p, q, r, s, t, u] = matrix;
                *matrices.last_mut().unwrap() = [
                    a * p + b * r,
                    a * q + b * s,
                    c * p + d * r,
                    c * q + d * s,
                    e * p + f * r + t,
                    e * q + f * s + u,
                ];
            }
            "Do" => {
                let Some(object) = named(operation.operands[0].as_name().unwrap()) else { continue };
                let stream = object.as_stream().unwrap();
                let bytes = stream.decompressed_content().unwrap_or_else(|_| stream.content.clone());
                if stream.dict.get(b"Subtype").unwrap().as_name().unwrap() == b"Image" {
                    let side = |key: &[u8]| stream.dict.get(key).unwrap().as_i64().unwrap() as usize;
                    let (size, height) = (side(b"Width"), side(b"Height"));
                    if size == height && bytes.len() == size * size {
                        assert!((matrix[0] - matrix[3].abs()).abs() < 0.01, "the code is square");
                        found.push(Printed {
                            modules: bytes,
                            size,
                            module: matrix[0] / size as f64 / 72.0 * 25.4,
                        });
                    }
                } else {
                    let own = follow(stream.dict.get(b"Resources").unwrap());
                    codes(document, own.as_dict().unwrap(), &bytes, matrix, found);
                }
            }
            _ => {}
        }
    }
}

fn printed(pdf: &Path) -> Printed {
    let document = Document::load(pdf).unwrap();
    let page = *document.get_pages().values().next().unwrap();
    let page_object = document.get_dictionary(page).unwrap();
    let resources =
        document.dereference(page_object.get(b"Resources").unwrap()).unwrap().1.as_dict().unwrap();
    let mut found = Vec::new();
    let content = document.get_page_content(page);
    codes(&document, resources, &content, [1.0, 0.0, 0.0, 1.0, 0.0, 0.0], &mut found);
    assert_eq!(found.len(), 1, "{}", pdf.display());
    found.remove(0)
}

/// A stain: where its middle is, in parts of the code's side, and how dark it is.
type Stain = Option<((f64, f64), u8)>;

/// How much of a code's area a stain covers.
const STAINED: f64 = 0.06;

/// A code with a quiet zone of four modules as a scanner sees it at so many dots an inch: each dot is the mean of what it
/// covers, and no dot meets the edge of a module.
fn scanned(code: &Printed, dpi: f64, stain: Stain, shift: f64) -> (usize, Vec<u8>) {
    const FINE: usize = 4;
    let modules_a_dot = 25.4 / dpi / code.module;
    let side = ((code.size + 8) as f64 / modules_a_dot).ceil() as usize + 3;
    let module = |at: f64| at.floor() as isize - 4;
    let radius = (STAINED / std::f64::consts::PI).sqrt() * code.size as f64;
    let shade = |x: f64, y: f64| {
        let inside = |at: isize| (0..code.size as isize).contains(&at);
        let (column, row) = (module(x), module(y));
        let printed = match inside(column) && inside(row) {
            true => code.modules[row as usize * code.size + column as usize],
            false => 255,
        };
        match stain {
            Some(((right, down), stained)) => {
                let (across, along) = (x - 4.0 - right * code.size as f64, y - 4.0 - down * code.size as f64);
                if across.hypot(along) <= radius { stained } else { printed }
            }
            None => printed,
        }
    };
    let dot = |x: usize, y: usize| {
        let fine = |dot: usize, part: usize| {
            (dot as f64 - shift + (part as f64 + 0.5) / FINE as f64) * modules_a_dot
        };
        let parts = (0..FINE * FINE).map(|part| u32::from(shade(fine(x, part % FINE), fine(y, part / FINE))));
        (parts.sum::<u32>() / (FINE * FINE) as u32) as u8
    };
    (side, (0..side * side).map(|at| dot(at % side, at / side)).collect())
}

/// As a telephone does, which looks again and again from a little elsewhere.
fn read(code: &Printed, dpi: f64, stain: Stain) -> Option<String> {
    [0.63, 0.13, 0.4, 0.87].into_iter().find_map(|shift| {
        let (side, dots) = scanned(code, dpi, stain, shift);
        let mut reader = quircs::Quirc::default();
        let found = reader.identify(side, side, &dots).next()?.ok()?.decode().ok()?;
        String::from_utf8(found.payload).ok()
    })
}

#[test]
fn every_code_on_paper_is_read_and_is_the_record() {
    let register = register();
    let known = occasions(&records(&register));
    let mut looked_at = 0;
    for (event, design) in DESIGNS {
        for pdf in certificates(demo(), event) {
            let code = printed(&pdf);
            assert!(code.module >= 0.4999, "{design}: {} mm", code.module);
            let read = read(&code, 150.0, None).unwrap_or_else(|| panic!("{} is not read", pdf.display()));
            let record = packed::read(&read).unwrap().record(&known).unwrap();
            let beside = fs::read_to_string(pdf.with_extension("json")).unwrap();
            assert_eq!(canonical::text(&record), beside.trim_end(), "{}", pdf.display());
            let says = verify_value(&record).unwrap();
            assert!(register.keys().any(|key| key.public == says.key.to_string()));
            looked_at += 1;
        }
    }
    assert!(looked_at > 40, "{looked_at}");
}

/// A scanner, or a stain, that spares the three corner marks: without those there is no code.
#[test]
fn a_stained_code_is_read() {
    for (event, design) in DESIGNS {
        for pdf in certificates(demo(), event).iter().step_by(4) {
            let code = printed(pdf);
            let clean = read(&code, 150.0, None).unwrap();
            for middle in [(0.5, 0.5), (0.5, 0.8), (0.8, 0.45), (0.4, 0.6)] {
                for shade in [0, 255] {
                    let read = read(&code, 150.0, Some((middle, shade)));
                    assert_eq!(
                        read.as_ref(),
                        Some(&clean),
                        "{design}, {}: {middle:?} {shade}",
                        pdf.display()
                    );
                }
            }
        }
    }
}

#[test]
fn with_an_address_the_code_is_a_link_to_the_page_that_checks() {
    let folder = made("address = \"https://stewards.juniperbasin.example/riders/\"\n");
    let register = register();
    let known = occasions(&records(&register));
    for (event, design) in DESIGNS {
        let pdf = &certificates(folder.path(), event)[0];
        let code = printed(pdf);
        let read = read(&code, 150.0, None).unwrap();
        let is_link =
            read.starts_with("https://stewards.juniperbasin.example/riders/check-certificate.html#z");
        assert_eq!(is_link, design != "child", "{read}");
        assert!(code.size as f64 * 0.5 < 31.0);
        assert!(packed::read(&read).unwrap().record(&known).is_ok());
    }
}

#[test]
fn every_record_of_the_demo_is_rebuilt_and_every_turned_bit_refused() {
    let register = register();
    let records = records(&register);
    let known = occasions(&records);
    assert!(records.len() > 40, "{}", records.len());
    for record in &records {
        for form in [Form::Short, Form::Whole] {
            let packed = packed::read(&packed::text(&packed::pack(record, form).unwrap())).unwrap();
            let rebuilt = packed.record(&known).unwrap();
            assert_eq!(&&rebuilt, record);
            assert!(verify_value(&rebuilt).is_ok());
        }
    }
    for record in records.iter().step_by(9) {
        let bytes = packed::pack(record, Form::Short).unwrap();
        for bit in 0..bytes.len() * 8 {
            let mut other = bytes.clone();
            other[bit / 8] ^= 1 << (bit % 8);
            let found = packed::read(&packed::text(&other)).and_then(|packed| packed.record(&known));
            assert!(found.is_err(), "bit {bit}");
        }
    }
}

/// What the page knows of the demo's occasions.
fn told_by_page(folder: &Path) -> Value {
    let page = fs::read_to_string(folder.join("out/open/site/check-certificate.html")).unwrap();
    let (_, told) = page.split_once("data-occasions=\"").unwrap();
    let told = told.split_once('"').unwrap().0;
    let told = told.replace("&quot;", "\"").replace("&#x27;", "'").replace("&lt;", "<").replace("&gt;", ">");
    serde_json::from_str(&told.replace("&#39;", "'").replace("&#x2F;", "/").replace("&amp;", "&")).unwrap()
}

/// The page knows every occasion and nobody's name, and what the script in the browser is tried with
/// (`tests/browser/credentials.mjs`) is what the demo gives. `PACKSTRING_ACCEPT=1` writes that anew.
#[test]
fn the_page_that_checks_knows_the_occasions_and_no_names() {
    let (register, told) = (register(), told_by_page(demo()));
    let records = records(&register);
    let known: BTreeSet<String> =
        occasions(&records).iter().map(|it| packstring::digest::hex(it.id())).collect();
    let rows: Vec<&Value> = told["occasions"].as_array().unwrap().iter().collect();
    let ids: BTreeSet<String> = rows.iter().map(|row| row[0].as_str().unwrap().to_owned()).collect();
    assert_eq!(ids, known);
    assert_eq!(rows.len(), known.len());
    let text = told.to_string();
    for given in register.all_given() {
        assert!(!text.contains(&given.name), "{}", given.name);
        assert!(given.companion.as_ref().is_none_or(|name| !text.contains(&format!("\"{name}\""))));
    }
    let cases: Vec<Value> = records
        .iter()
        .step_by(7)
        .map(|record| {
            let (short, whole) =
                (packed::pack(record, Form::Short).unwrap(), packed::pack(record, Form::Whole).unwrap());
            let link = packed::link("https://lands.example/site/check-certificate.html", &short);
            json!({
                "code": packed::text(&short), "link": link, "whole": packed::text(&whole),
                "record": canonical::text(record),
            })
        })
        .collect();
    let given = serde_json::to_string_pretty(&json!({"page": told, "cases": cases})).unwrap() + "\n";
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser/codes.json");
    if std::env::var_os("PACKSTRING_ACCEPT").is_some() {
        fs::write(&file, &given).unwrap();
    }
    assert_eq!(fs::read_to_string(&file).unwrap_or_default(), given);
}
