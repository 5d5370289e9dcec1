//! Letters by e-mail, made as a ranger makes them and read back by a library that did not write them.

use crate::folders::{copy, open};
use crate::press::NOBODY_HAS;
use mailparse::{MailAddr, MailHeaderMap, addrparse_header, parse_mail};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

/// The demo, with these changes to its files: the file, what stands there, and what is to stand there.
fn demo(changes: &[(&str, &str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content"), folder.path());
    for (file, old, new) in changes {
        let path = folder.path().join(file);
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(old), "{file}: {old}");
        fs::write(path, text.replacen(old, new, 1)).unwrap();
    }
    folder
}

fn make(folder: &Path, arguments: &[&str]) -> String {
    run(folder, &[&["make"], arguments].concat())
}

fn run(folder: &Path, arguments: &[&str]) -> String {
    let made = Command::new(env!("CARGO_BIN_EXE_packstring"))
        .current_dir(folder)
        .env("PACKSTRING_KEYS", folder.join("keys"))
        .args(arguments)
        .output()
        .unwrap();
    let said = format!("{}{}", String::from_utf8_lossy(&made.stdout), String::from_utf8_lossy(&made.stderr));
    assert!(made.status.code().is_some_and(|code| code < 2), "{said}");
    said
}

/// Files below a folder, by their path.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let all = walkdir::WalkDir::new(folder).into_iter().map(Result::unwrap);
    let files = all.filter(|entry| entry.file_type().is_file());
    let named = |path: &Path| path.strip_prefix(folder).unwrap().to_str().unwrap().replace('\\', "/");
    files.map(|entry| (named(entry.path()), fs::read(entry.path()).unwrap())).collect()
}

/// The rows of the tables for a mail merge.
fn rows(letters: &BTreeMap<String, Vec<u8>>) -> Vec<Vec<String>> {
    let tables = letters.iter().filter(|(path, _)| path.ends_with(".csv"));
    let rows = tables.flat_map(|(_, bytes)| {
        let mut reader = csv::Reader::from_reader(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap());
        assert_eq!(reader.headers().unwrap(), vec!["name", "email", "file", "language", "event", "number"]);
        reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect::<Vec<_>>()
    });
    rows.collect()
}

/// What a PDF says.
fn words(pdf: &[u8]) -> String {
    let words = lopdf::Document::load_mem(pdf).unwrap().extract_text(&[1]).unwrap();
    assert!(words.len() > 50, "{words}");
    words
}

const LETTERS: &str = "[letters]\nsubject = \"{title}, {number}\"\ntext = \"Dear {name}: {event}, {date}. {record}\"\n\n[certificate]";

#[test]
fn everybody_with_an_address_gets_a_letter_with_the_certificate_and_its_record() {
    let folder = demo(&[("program.toml", "[certificate]", LETTERS)]);
    // One of them asked for Spanish.
    let roster = folder.path().join("people/roster.csv");
    let lines = fs::read_to_string(&roster).unwrap();
    let lines = lines.lines().map(|line| match line {
        _ if line.starts_with("event,") => format!("{line},language\n"),
        _ if line.contains("Marisol Peñaloza") => format!("{line},es-US\n"),
        _ => format!("{line},\n"),
    });
    fs::write(&roster, lines.collect::<String>()).unwrap();
    make(folder.path(), &["--pieces", "certificates,letters"]);
    let private = folder.path().join("out/private");
    let (letters, certificates) = (files(&private.join("letters")), files(&private.join("certificates")));
    let rows = rows(&letters);
    let mails: Vec<&String> = letters.keys().filter(|path| path.ends_with(".eml")).collect();
    assert!(mails.len() > 30, "{}", mails.len());
    let mut told: Vec<&String> = rows.iter().map(|row| &row[2]).collect();
    told.sort();
    assert_eq!(told, mails);
    let mut languages: BTreeMap<&str, usize> = BTreeMap::new();
    for row in &rows {
        let [name, email, file, language, event, number] = row.as_slice() else { panic!("six cells") };
        let mail = parse_mail(&letters[file]).unwrap();
        let to = addrparse_header(mail.headers.get_first_header("To").unwrap()).unwrap();
        let [MailAddr::Single(to)] = to.as_slice() else { panic!("{file}: one address") };
        assert_eq!((to.display_name.as_ref(), &to.addr), (Some(name), email));
        assert_eq!(mail.headers.get_first_value("X-Unsent").as_deref(), Some("1"));
        assert!(mail.headers.get_first_value("From").unwrap().contains("stewards@juniperbasin.example"));
        let [text, page, record] = mail.subparts.as_slice() else { panic!("{file}: three parts") };
        let beside = |ending: &str| &certificates[&file.replace(".eml", ending)];
        assert_eq!(words(&page.get_body_raw().unwrap()), words(beside(".pdf")), "{file}");
        assert_eq!(&record.get_body_raw().unwrap(), beside(".json"), "{file}");
        let (subject, body) = (mail.headers.get_first_value("Subject").unwrap(), text.get_body().unwrap());
        assert!(body.contains(name.as_str()), "{body}");
        if language == "en" && !file.starts_with("service_awards/") {
            assert!(subject.ends_with(&format!(", {number}")), "{subject}");
            assert!(body.starts_with(&format!("Dear {name}: {event}")), "{body}");
            assert!(body.contains(", 2026. The other file is"), "{body}");
        }
        *languages.entry(language).or_default() += 1;
    }
    assert!(languages["es-US"] > 0 && languages.len() == 2, "{languages:?}");
    // Nothing of it lies where anyone may look.
    let all = files(&folder.path().join("out"));
    let mails = |path: &&String| path.ends_with(".eml") || path.contains("letters/");
    assert!(all.keys().filter(mails).all(|path| path.starts_with("private/letters/")));
    // Who was withdrawn has none.
    let register = &open(folder.path()).people.register;
    for given in register.all_given() {
        let counts = register.valid().any(|valid| valid.number == given.number);
        let has = rows.iter().any(|row| row[5] == given.number.to_string());
        assert!(counts || !has, "{}", given.number);
    }
}

#[test]
fn a_letter_is_made_again_only_where_something_in_it_changed() {
    let folder = demo(&[]);
    let letters = folder.path().join("out/private/letters");
    make(folder.path(), &["--pieces", "letters"]);
    let first = files(&letters);
    let again = make(folder.path(), &["--pieces", "letters"]);
    assert!(again.contains("In all: made 0"), "{again}");
    assert_eq!(files(&letters), first);
    // The same bytes where nothing was kept.
    let other = demo(&[]);
    make(other.path(), &["--pieces", "letters"]);
    assert_eq!(files(&other.path().join("out/private/letters")), first);
    // One address changed: that person's letters, and the tables that name them.
    let roster = folder.path().join("people/roster.csv");
    let text = fs::read_to_string(&roster).unwrap();
    fs::write(&roster, text.replace("w.achterberg@post.example", "wendell@post.example")).unwrap();
    let third = make(folder.path(), &["--pieces", "letters"]);
    let now = files(&letters);
    let changed: Vec<&String> = first.keys().filter(|path| first[*path] != now[*path]).collect();
    let own = first.keys().filter(|path| path.contains("/wendell-achterberg"));
    let tables = own.clone().map(|path| path.split_once('/').unwrap().0.to_owned() + ".csv");
    let mut expected: Vec<String> = own.cloned().chain(tables).collect();
    expected.sort();
    assert!(expected.len() >= 2);
    assert_eq!(changed, expected.iter().collect::<Vec<_>>());
    assert!(third.contains(&format!("Letters {}", expected.len())), "{third}");
}

#[test]
fn a_letter_whose_certificate_was_withdrawn_is_taken_away() {
    let folder = demo(&[]);
    let letters = folder.path().join("out/private/letters");
    make(folder.path(), &["--pieces", "letters"]);
    let first = files(&letters);
    let number = rows(&first)[0][5].clone();
    let withdrawn = Command::new(env!("CARGO_BIN_EXE_packstring"))
        .current_dir(folder.path())
        .env("PACKSTRING_KEYS", folder.path().join("keys"))
        .args(["certificates", "withdraw", &number, "--because", "given by mistake"])
        .output()
        .unwrap();
    assert!(withdrawn.status.success(), "{}", String::from_utf8_lossy(&withdrawn.stderr));
    make(folder.path(), &["--pieces", "letters"]);
    let now = files(&letters);
    assert_eq!(now.len() + 1, first.len());
    assert!(rows(&now).iter().all(|row| row[5] != number));
}

#[test]
fn what_is_no_address_holds_its_letter_and_is_told() {
    for odd in ["w.achterberg@post", "w@post.example; a@post.example", "none"] {
        let folder = demo(&[("people/roster.csv", "w.achterberg@post.example", odd)]);
        make(folder.path(), &["--pieces", "certificates,letters"]);
        let letters = files(&folder.path().join("out/private/letters"));
        assert!(
            letters.len() > 30 && letters.keys().all(|path| !path.starts_with("north-camp/wendell")),
            "{odd}"
        );
        let told = run(folder.path(), &["proofread", "--no-layout"]);
        assert!(told.contains("email-unfit"), "{told}");
    }
}

#[test]
fn letters_of_one_event_and_of_one_person_leave_the_others_as_they_are() {
    let folder = demo(&[]);
    let letters = folder.path().join("out/private/letters");
    make(folder.path(), &["--pieces", "letters"]);
    let first = files(&letters);
    make(folder.path(), &["--pieces", "letters", "--event", "north-camp"]);
    make(folder.path(), &["--pieces", "letters", "--participant", "Wendell Achterberg"]);
    assert_eq!(files(&letters), first);
}

#[test]
fn what_a_program_writes_wrong_is_told() {
    for (table, told) in [
        ("[letters]\nfrom = \"the office\"\n", "cannot be the address that letters come from"),
        ("[letters]\ntext = \"Dear {nme}\"\n", "Nothing fills in “{nme}”"),
        ("[letters]\nform = \"a@b.example\"\n", "form"),
    ] {
        let folder = demo(&[("program.toml", "[certificate]", &format!("{table}\n[certificate]"))]);
        let unread = packstring::program::open(folder.path()).unwrap_err();
        let mistakes = crate::mistakes::told(&unread);
        assert!(mistakes.contains(told), "{mistakes}");
    }
}

/// A certificate that cannot be printed is held, and nobody is written to about it.
#[test]
fn a_certificate_that_is_held_goes_by_no_mail() {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound"), folder.path());
    let contact = "\n[[contacts]]\nname = \"Desk\"\nfor = \"Questions\"\nemail = \"desk@basin.example\"\n";
    let settings = folder.path().join("program.toml");
    fs::write(&settings, fs::read_to_string(&settings).unwrap() + contact).unwrap();
    let roster = format!(
        "event,name,companion,attended,passed,email\n\
         spring,Ada {NOBODY_HAS}Vell,Moss,yes,yes,ada@vell.example\n\
         spring,Mara Quill,Pip,yes,yes,mara@quill.example\n"
    );
    fs::write(folder.path().join("people/roster.csv"), roster).unwrap();
    let told = make(folder.path(), &["--pieces", "certificates,letters"]);
    assert!(told.contains("No font at hand"), "{told}");
    let letters = files(&folder.path().join("out/private/letters"));
    let mails: Vec<&String> = letters.keys().filter(|path| path.ends_with(".eml")).collect();
    assert!(matches!(mails.as_slice(), [mail] if mail.contains("quill")), "{mails:?} {told}");
    let rows = rows(&letters);
    assert!(matches!(rows.as_slice(), [row] if row[0] == "Mara Quill"), "{rows:?}");
}

/// RFC 5322, section 3.4.1: letters beyond ASCII stand in no address of a message, unless all servers speak RFC 6531.
#[test]
fn an_address_that_not_every_server_takes_gets_no_letter_and_is_told() {
    let folder = demo(&[
        ("program.toml", "[certificate]", LETTERS),
        ("people/roster.csv", "ciaran.odowd@post.example", "\u{f3}ciaran.odowd@post.example"),
    ]);
    make(folder.path(), &["--pieces", "letters"]);
    let letters = files(&folder.path().join("out/private/letters"));
    assert!(letters.keys().any(|path| path.ends_with(".eml")));
    for (path, bytes) in letters.iter().filter(|(path, _)| path.ends_with(".eml")) {
        let head = bytes.windows(4).position(|it| it == b"\r\n\r\n").unwrap();
        assert!(bytes[..head].is_ascii(), "{path}");
        assert!(!path.contains("ciaran"), "{path}");
    }
    assert!(run(folder.path(), &["proofread", "--no-layout"]).contains("email-unfit"));
}
