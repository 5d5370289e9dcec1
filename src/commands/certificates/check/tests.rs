//! Numbers, records, codes and registers, sound and tampered with.

use super::*;
use crate::credential::{PublicKey, SecretKey, sign_given};
use crate::program::register::{Entry, HEAD, Key, Occasion, SignedIn, chain};
use jiff::civil::date;
use std::fs;

const DAY: Date = date(2026, 6, 1);
const NUMBERS: [&str; 3] = ["JRHY-4P87", "6H4T-PXW6", "NJ85-6TH6"];

fn number(at: usize) -> Number {
    Number::parse(NUMBERS[at]).unwrap()
}

fn record(at: usize, key: &SecretKey) -> String {
    let given = credential::Claims {
        agency: "Juniper Basin Open Lands",
        title: "Certificate of Completion",
        number: NUMBERS[at],
        holder: "Elena Márquez",
        companion: Some("Biscuit"),
        achievement: "North Camp Spring Workshop",
        description: "Trail Rider Stewards, 2026",
        criteria: "Attended and passed.",
        date: date(2026, 5, 16),
        until: None,
    };
    canonical::text(&sign_given(&given, key))
}

fn given(at: usize, replaces: Option<Number>, key: &SecretKey) -> Entry {
    let name = "North Camp Spring Workshop".to_owned();
    Entry::Given(Box::new(Given {
        number: number(at),
        occasion: Occasion::Event { id: "north-camp".into(), name, date: date(2026, 5, 16) },
        season: "2026".into(),
        agency: None,
        venue: None,
        until: None,
        title: None,
        program: None,
        name: "Elena Márquez".into(),
        companion: Some("Biscuit".into()),
        email: None,
        day: date(2026, 5, 17),
        replaces,
        credential: Some(canonical::read(&record(at, key)).unwrap()),
    }))
}

fn public(key: &SecretKey) -> Entry {
    let public: PublicKey = key.public();
    Entry::Key(Key { public: public.to_string(), day: date(2026, 5, 1), signed: None })
}

/// The lines of a register, hashed anew whatever they say.
fn write(folder: &Path, entries: &[Entry], seal: Option<&SecretKey>) {
    let (mut register, mut text) = (Register::default(), String::new());
    for entry in entries {
        let (line, read) = chain::next(&register, entry.clone(), text.len());
        register.push(read).unwrap();
        text += &(line + "\n");
    }
    let seal = seal.map(|key| chain::Seal::of(&register, key));
    fs::write(folder.join(register::FILE), text).unwrap();
    fs::write(folder.join(HEAD), chain::Head::of(&register, seal).to_json()).unwrap();
}

/// A folder with a register.
fn with(entries: &[Entry], seal: Option<&SecretKey>) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("program.toml"), "").unwrap();
    fs::create_dir(folder.path().join("records")).unwrap();
    write(folder.path(), entries, seal);
    folder
}

/// A program with the first certificate replaced by the second, and the third withdrawn.
fn program(key: &SecretKey) -> tempfile::TempDir {
    let withdrawn = Withdrawn { number: number(2), day: date(2026, 6, 1), why: "given by mistake".into() };
    let entries = [
        public(key),
        given(0, None, key),
        given(1, Some(number(0)), key),
        given(2, None, key),
        Entry::Withdrawn(withdrawn),
    ];
    with(&entries, None)
}

fn asked(folder: Option<&Path>, at: &Path, what: &str) -> (String, Option<Outcome>) {
    let environment =
        Environment { today: date(2026, 7, 1), folder: at.to_owned(), ..Environment::here(false).unwrap() };
    let mut out = Vec::new();
    match run(folder, &[what.to_owned()], &environment, &mut out) {
        Ok(outcome) => (String::from_utf8(out).unwrap(), Some(outcome)),
        Err(CommandError::Said(said)) => (said, None),
        Err(other) => panic!("{other:?}"),
    }
}

fn tells(folder: &Path, what: &str, words: &[&str], outcome: Option<Outcome>) {
    let (said, ended) = asked(None, folder, what);
    assert!(words.iter().all(|word| said.contains(word)), "{what}: {said}");
    assert_eq!(ended, outcome, "{what}: {said}");
}

#[test]
fn a_number_is_asked_of_the_register() {
    let folder = program(&SecretKey::from_seed([4; 32]));
    let (findings, at) = (Some(Outcome::Findings), folder.path());
    let genuine =
        ["counts", "Elena Márquez (with Biscuit)", "2026-05-16", "signature on its record", "this program's"];
    tells(at, "6h4t pxw6", &genuine, Some(Outcome::Clear));
    tells(at, NUMBERS[0], &["replaced by 6H4T-PXW6"], findings);
    tells(at, NUMBERS[2], &["withdrawn on 2026-06-01 (given by mistake)"], findings);
    tells(at, "RQ4V-5RGY", &["not known"], findings);
    tells(at, "RQ4V-5RYG", &["does not check"], findings);
    let nowhere = tempfile::tempdir().unwrap();
    tells(nowhere.path(), NUMBERS[1], &["well formed", "--program"], None);
}

#[test]
fn a_record_is_verified_and_its_key_is_asked_of_the_register() {
    let (key, other) = (SecretKey::from_seed([4; 32]), SecretKey::from_seed([5; 32]));
    let folder = program(&key);
    let (findings, at) = (Some(Outcome::Findings), folder.path());
    tells(at, &record(1, &key), &["Elena Márquez", "this program's", "counts"], Some(Outcome::Clear));
    tells(at, &record(0, &key), &["replaced by 6H4T-PXW6"], findings);
    tells(at, &record(2, &key), &["withdrawn on"], findings);
    tells(at, &record(1, &other), &["not a key of this program"], findings);
    tells(at, &record(1, &key).replace("Elena", "Eve"), &["Not genuine", "does not fit"], findings);
    let file = at.join("certificate.json");
    fs::write(&file, record(1, &key)).unwrap();
    tells(at, "certificate.json", &["counts"], Some(Outcome::Clear));
    tells(at, register::FILE, &["5 lines, 3 certificates"], Some(Outcome::Clear));
    let nowhere = tempfile::tempdir().unwrap();
    let (said, ended) = asked(None, nowhere.path(), &record(1, &key));
    assert!(said.contains("no program here that knows the key") && ended == findings, "{said}");
    let (said, ended) = asked(Some(at), nowhere.path(), &record(1, &key));
    assert!(ended == Some(Outcome::Clear), "{said}");
}

/// The code of a certificate's paper, as a text and as a link.
fn codes(at: usize, key: &SecretKey, form: packed::Form) -> [String; 2] {
    let bytes = packed::pack(&canonical::read(&record(at, key)).unwrap(), form).unwrap();
    [packed::text(&bytes), packed::link("https://lands.example/site/check-certificate.html", &bytes)]
}

#[test]
fn a_code_is_checked_as_its_record_is() {
    let (key, other) = (SecretKey::from_seed([4; 32]), SecretKey::from_seed([5; 32]));
    let folder = program(&key);
    let (findings, at) = (Some(Outcome::Findings), folder.path());
    let nowhere = tempfile::tempdir().unwrap();
    for form in [packed::Form::Short, packed::Form::Whole] {
        for code in codes(1, &key, form) {
            let words = ["Elena Márquez", "With Biscuit", "this program's", "counts"];
            tells(at, &code, &words, Some(Outcome::Clear));
            fs::write(at.join("scanned.txt"), format!("{code}\r\n")).unwrap();
            tells(at, "scanned.txt", &words, Some(Outcome::Clear));
        }
        for code in codes(0, &key, form) {
            tells(at, &code, &["replaced by 6H4T-PXW6"], findings);
        }
        for code in codes(2, &key, form) {
            tells(at, &code, &["withdrawn on"], findings);
        }
    }
    for code in codes(1, &other, packed::Form::Whole) {
        tells(at, &code, &["not a key of this program"], findings);
        tells(nowhere.path(), &code, &["no program here that knows the key"], findings);
    }
    for code in codes(1, &other, packed::Form::Short) {
        tells(at, &code, &["not known here", "another program"], findings);
        tells(nowhere.path(), &code, &["not known here", "--program DIR"], findings);
    }
}

#[test]
fn a_code_that_was_read_wrong_is_refused() {
    let key = SecretKey::from_seed([4; 32]);
    let folder = program(&key);
    let [text, link] = codes(1, &key, packed::Form::Short);
    let findings = Some(Outcome::Findings);
    let (at, end) = (folder.path(), text.len() - 9);
    tells(at, &text[..end], &["cannot be read", "Scan it once more"], findings);
    let last = if text[end..].starts_with('0') { "1" } else { "0" };
    let other = format!("{}{last}{}", &text[..end], &text[end + 1..]);
    tells(at, &other, &["Not genuine", "does not fit"], findings);
    tells(at, &link[..link.len() - 2], &["cannot be read"], findings);
    tells(at, "PS:", &["cannot be read"], findings);
}

type Spoil = fn(&mut Given);

/// Whatever a line says otherwise than its record, and however the chain was hashed anew.
#[test]
fn a_line_that_says_otherwise_than_its_record_is_not_vouched_for() {
    let key = SecretKey::from_seed([4; 32]);
    let spoils: [(&str, Spoil); 6] = [
        ("another person", |given| given.name = "Eve Stranger".into()),
        ("another companion", |given| given.companion = None),
        ("another companion", |given| given.companion = Some("Thunder".into())),
        ("another number", |given| given.number = number(2)),
        ("something else", |given| {
            let date = given.occasion.date();
            given.occasion = Occasion::Event { id: "camp".into(), name: "Another".into(), date };
        }),
        ("another date", |given| {
            let name = given.occasion.name().to_owned();
            given.occasion = Occasion::Event { id: "camp".into(), name, date: date(2026, 5, 17) };
        }),
    ];
    for (told, spoil) in spoils {
        let Entry::Given(mut line) = given(1, None, &key) else { unreachable!() };
        spoil(&mut line);
        let asked = line.number.to_string();
        let entries = [public(&key), Entry::Given(line)];
        // Also where the head was signed by somebody who had the key for a moment.
        for seal in [None, Some(&key)] {
            let folder = with(&entries, seal);
            tells(folder.path(), &asked, &["proves nothing", told], Some(Outcome::Findings));
            tells(folder.path(), register::FILE, &["not whole", told], Some(Outcome::Findings));
            let (said, _) = self::asked(None, folder.path(), &asked);
            assert!(!said.contains("counts"), "{said}");
        }
    }
}

#[test]
fn a_record_that_was_changed_with_its_line_is_not_vouched_for() {
    let key = SecretKey::from_seed([4; 32]);
    let Entry::Given(mut line) = given(1, None, &key) else { unreachable!() };
    line.name = "Eve Stranger".into();
    let record = line.credential.as_ref().unwrap().to_string().replace("Elena Márquez", "Eve Stranger");
    line.credential = serde_json::from_str(&record).ok();
    let folder = with(&[public(&key), Entry::Given(line)], None);
    let told = ["proves nothing", "does not fit"];
    tells(folder.path(), NUMBERS[1], &told, Some(Outcome::Findings));
}

#[test]
fn a_key_that_a_stranger_put_in_does_not_count() {
    let (key, other) = (SecretKey::from_seed([4; 32]), SecretKey::from_seed([5; 32]));
    let findings = Some(Outcome::Findings);
    // Put in without a word, with its own word, and with that of yet another.
    let own = |register: &Register| SignedIn::of(&other.public().to_string(), DAY, register, &other);
    let mut before = Register::default();
    before.push(chain::next(&before, public(&key), 0).1).unwrap();
    let of = |signed| Entry::Key(Key { public: other.public().to_string(), day: DAY, signed });
    let mut moved = SignedIn::of(&other.public().to_string(), DAY, &before, &key);
    moved.by = other.public().to_string();
    let elsewhere = SignedIn::of(&other.public().to_string(), DAY, &Register::default(), &key);
    for signed in [None, Some(own(&before)), Some(moved), Some(elsewhere)] {
        let folder = with(&[public(&key), of(signed), given(1, None, &other)], None);
        tells(folder.path(), NUMBERS[1], &["is not proved", "no earlier key"], findings);
        tells(folder.path(), &record(1, &other), &["no earlier key"], findings);
    }
    // Not put in at all.
    let folder = with(&[public(&key), given(1, None, &other)], None);
    tells(folder.path(), NUMBERS[1], &["proves nothing", "no key of this program"], findings);
    // Put in by the program's own key.
    let signed = SignedIn::of(&other.public().to_string(), DAY, &before, &key);
    let folder = with(&[public(&key), of(Some(signed)), given(1, None, &other)], None);
    tells(folder.path(), NUMBERS[1], &["counts", "signature on its record"], Some(Outcome::Clear));
}

#[test]
fn a_head_that_was_written_anew_is_told() {
    let (key, other) = (SecretKey::from_seed([4; 32]), SecretKey::from_seed([5; 32]));
    let findings = Some(Outcome::Findings);
    let unsigned = |name: &str| {
        let Entry::Given(mut line) = given(1, None, &key) else { unreachable!() };
        line.name = name.into();
        line.credential = None;
        Entry::Given(line)
    };
    let lines = |name| [public(&key), unsigned(name)];
    let folder = with(&lines("Elena Márquez"), Some(&key));
    let at = folder.path();
    tells(at, NUMBERS[1], &["counts", "register's head"], Some(Outcome::Clear));
    let head = fs::read_to_string(at.join(HEAD)).unwrap();
    // Other lines under the head that was signed, with its numbers put right.
    write(at, &lines("Eve Stranger"), None);
    tells(at, NUMBERS[1], &["is not proved", "Only the chain of hashes"], findings);
    let plain = fs::read_to_string(at.join(HEAD)).unwrap();
    let seal = &head[head.find(",\"seal\"").unwrap()..];
    fs::write(at.join(HEAD), plain.trim_end().trim_end_matches('}').to_owned() + seal).unwrap();
    tells(at, NUMBERS[1], &["proves nothing", "written anew"], findings);
    // Signed by a stranger, and with a signature of another register.
    write(at, &lines("Eve Stranger"), Some(&other));
    tells(at, NUMBERS[1], &["proves nothing", "none of this program's"], findings);
    let forged = head.replace("\"lines\":2,\"hash\":", "\"lines\":1,\"hash\":");
    write(at, &lines("Elena Márquez"), None);
    fs::write(at.join(HEAD), forged.replacen("\"lines\":1", "\"lines\":2", 1)).unwrap();
    tells(at, NUMBERS[1], &["proves nothing", "does not fit"], findings);
}

#[test]
fn what_nobody_signed_is_said_to_be_borne_out_by_the_chain_alone() {
    let key = SecretKey::from_seed([4; 32]);
    let Entry::Given(mut line) = given(1, None, &key) else { unreachable!() };
    line.credential = None;
    let folder = with(&[Entry::Given(line)], None);
    tells(
        folder.path(),
        NUMBERS[1],
        &["counts", "has no key", "Only the chain of hashes"],
        Some(Outcome::Clear),
    );
}

#[test]
fn a_head_that_counts_no_lines_and_has_the_hash_of_one_is_told() {
    let folder = with(&[public(&SecretKey::from_seed([4; 32]))], None);
    let head = fs::read_to_string(folder.path().join(HEAD)).unwrap();
    fs::write(folder.path().join(HEAD), head.replace("\"lines\":1", "\"lines\":0")).unwrap();
    tells(folder.path(), NUMBERS[1], &["proves nothing"], Some(Outcome::Findings));
}

/// As other issuers write them, with the W3C's data model: one proof by itself, and an end.
#[test]
fn a_proof_by_itself_and_an_end_are_understood() {
    use crate::credential::proof;
    let key = SecretKey::from_seed([4; 32]);
    let told = |until: Option<Date>, alone: bool, words: &[&str], outcome: Outcome| {
        let mut record = canonical::read(&record(1, &key)).unwrap();
        let members = record.as_object_mut().unwrap();
        members.remove("proof");
        if let Some(until) = until {
            members.insert("validUntil".into(), format!("{until}T23:59:59Z").into());
        }
        let mut signed = proof::sign(members.clone(), &key);
        if alone {
            signed["proof"] = signed["proof"][0].clone();
        }
        let Entry::Given(mut line) = given(1, None, &key) else { unreachable!() };
        (line.until, line.credential) = (until, Some(signed.clone()));
        let folder = with(&[public(&key), Entry::Given(line)], None);
        tells(folder.path(), &canonical::text(&signed), words, Some(outcome));
        tells(folder.path(), NUMBERS[1], words, Some(outcome));
    };
    told(None, true, &["counts"], Outcome::Clear);
    // On its last day it holds.
    told(Some(date(2026, 7, 1)), false, &["counts"], Outcome::Clear);
    let over = ["was valid until 2026-06-30", "no longer is"];
    told(Some(date(2026, 6, 30)), true, &over, Outcome::Findings);
}

#[test]
fn a_register_that_was_changed_is_told() {
    let folder = program(&SecretKey::from_seed([4; 32]));
    let file = folder.path().join(register::FILE);
    let text = fs::read_to_string(&file).unwrap().replace("Biscuit", "Brisket");
    fs::write(&file, text).unwrap();
    tells(folder.path(), register::FILE, &["not whole"], Some(Outcome::Findings));
    tells(folder.path(), NUMBERS[1], &["register is not whole"], Some(Outcome::Findings));
}

#[test]
fn what_is_nothing_of_the_kind_is_refused_in_a_sentence() {
    let folder = tempfile::tempdir().unwrap();
    let findings = Some(Outcome::Findings);
    let write = |name: &str, bytes: &[u8]| fs::write(folder.path().join(name), bytes).unwrap();
    write("deep.json", "[".repeat(60_000).as_bytes());
    write("long.json", format!("{{\"a\":\"{}\"}}", "a".repeat(100_000)).as_bytes());
    write("bytes.json", &[0xff, 0xfe, 0x00]);
    write("empty.json", b"");
    write("page.pdf", b"%PDF-1.7");
    let at = folder.path();
    tells(at, "deep.json", &["nested too deep"], findings);
    tells(at, "long.json", &["no certificate's record is longer"], findings);
    tells(at, "bytes.json", &["is not the record of a certificate"], findings);
    tells(at, "empty.json", &["nothing in it"], findings);
    tells(at, "page.pdf", &["is a PDF"], findings);
    tells(at, "{\"a\":1,\"a\":2}", &["stands in it twice"], findings);
    tells(at, "gone.json", &["There is no file gone.json"], None);
    tells(at, ".", &["is a folder"], None);
    let (said, _) = asked(None, at, "{\u{1b}[31m}");
    assert!(!said.contains('\u{1b}'), "{said}");
}

#[test]
fn a_record_cannot_act_on_the_terminal() {
    let key = SecretKey::from_seed([4; 32]);
    let folder = program(&key);
    let given = credential::Claims {
        agency: "Basin\u{1b}[2J",
        title: "A",
        number: "B",
        holder: "C\u{7}",
        companion: None,
        achievement: "D",
        description: "E",
        criteria: "F",
        date: date(2026, 5, 16),
        until: None,
    };
    let (said, _) = asked(None, folder.path(), &canonical::text(&sign_given(&given, &key)));
    assert!(said.trim_end().chars().all(|letter| !letter.is_control()), "{said:?}");
}
