//! The commands as a new user meets them: what they read, and what they say of what is wrong.

use crate::folders::copy;
use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

fn packstring(arguments: &[&str], input: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_packstring"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input).unwrap();
    child.wait_with_output().unwrap()
}

fn words(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn figures_reads_standard_input_where_the_file_is_a_dash() {
    let done = packstring(&["figures", "-"], "Tie at ten feet.\n".as_bytes());
    assert_eq!(words(&done.stdout), "standard input:1:8   ten feet   10   foot\n1 figure in 1 text.\n");
    assert_eq!((done.status.code(), words(&done.stderr)), (Some(0), String::new()));

    let done = packstring(&["figures", "-"], b"ten \xff feet");
    assert_eq!(words(&done.stderr), "standard input: it is not UTF-8 text; save it as UTF-8 and try again\n");
    assert_eq!(done.status.code(), Some(2));
}

/// A folder that cannot be looked into is not one that has nothing in it: certificates would be given twice.
#[test]
fn a_folder_that_cannot_be_looked_into_is_told() {
    let program = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound"), program.path());
    for folder in ["lessons", "people", "records"] {
        let path = program.path().join(folder);
        let aside = program.path().join("aside");
        let was_there = fs::rename(&path, &aside).is_ok();
        fs::write(&path, "no folder").unwrap();
        let done = packstring(&["make", "--program", program.path().to_str().unwrap()], b"");
        let told = words(&done.stdout);
        let told_of =
            format!("The folder {folder} cannot be read: it is a file, and a folder belongs there.");
        assert!(told.contains(&told_of) && told.contains("1 finding in"), "{told}");
        assert_eq!(done.status.code(), Some(2));
        fs::remove_file(&path).unwrap();
        if was_there {
            fs::rename(&aside, &path).unwrap();
        }
    }
    assert!(!program.path().join("out").exists());
}

/// Pieces that show a question's key change with its fact, also where no sentence of theirs quotes it.
#[test]
fn backing_tells_of_the_pieces_that_show_a_key() {
    let program = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content"), program.path());
    let questions = program.path().join("questions.toml");
    let asked = fs::read_to_string(&questions).unwrap();
    let no_reasons = asked.lines().filter(|line| !line.starts_with("because"));
    fs::write(&questions, no_reasons.collect::<Vec<_>>().join("\n")).unwrap();
    for fact in ["lead-length", "camp-distance"] {
        let done = packstring(&["backing", "--program", program.path().to_str().unwrap(), fact], b"");
        let told = words(&done.stdout);
        assert!(told.contains("the key of the question"), "{fact}: {told}");
        for piece in ["  staff/answer-key.pdf\n", "  open/site/self-check.html\n"] {
            assert!(told.contains(piece), "{fact}: {told}");
        }
    }
}

#[test]
fn what_is_wrong_is_told_in_words_that_fit() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("notes.txt"), "water: 2\n").unwrap();
    fs::create_dir(folder.path().join("folder.ics")).unwrap();
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let content = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    let content = content.to_str().unwrap();
    let calendar = |file: &str| -> Vec<String> {
        ["backing", "--program", content, "--due", "--calendar", file].map(str::to_owned).to_vec()
    };
    let check = |what: &str| -> Vec<String> {
        ["certificates", "check", "--program", content, what].map(str::to_owned).to_vec()
    };
    for (arguments, expected) in [
        (calendar(&path("folder.ics")), "it is a folder; name a file in it"),
        (calendar(&path("none/due.ics")), "could not be written: there is no folder"),
        (check(&path("notes.txt")), "notes.txt holds no certificate and no number."),
        (check("nope"), "No certificate number has the character “O”. Numbers look like K7M3-P2QX."),
        (vec!["certificates".into(), "nope".into()], "“packstring certificates --help” shows what there is."),
    ] {
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let done = packstring(&arguments, b"");
        let told = words(&done.stdout) + &words(&done.stderr);
        assert!(told.contains(expected), "{arguments:?}: {told}");
        assert_ne!(done.status.code(), Some(0), "{arguments:?}");
    }
}

/// An editor that saves text adds its own ending, which many systems do not show.
#[test]
fn a_program_file_with_a_second_ending_is_named() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("program.toml.txt"), "[program]\n").unwrap();
    let done = packstring(&["proofread", "--program", folder.path().to_str().unwrap()], b"");
    let told = words(&done.stderr);
    assert_eq!(done.status.code(), Some(2));
    assert!(told.contains("there is program.toml.txt. Rename it to program.toml"), "{told}");
}

/// Nobody has to know a command to come to one.
#[test]
fn packstring_alone_says_what_to_do_next() {
    let done = packstring(&[], b"");
    assert_eq!((done.status.code(), words(&done.stderr)), (Some(0), String::new()));
    assert!(words(&done.stdout).contains("packstring --help"), "{}", words(&done.stdout));
}

#[test]
fn the_version_tells_the_theme() {
    let said = words(&packstring(&["--version"], b"").stdout);
    let (version, theme) = said.trim_end().split_once("; theme plain ").unwrap();
    assert_eq!(version, concat!("packstring ", env!("CARGO_PKG_VERSION")));
    assert!(theme.len() == 8 && theme.bytes().all(|digit| digit.is_ascii_hexdigit()), "{said}");
}

/// The scripts are the parser's own; a shell, where it is here, says whether it can read its own.
#[test]
fn completions_name_every_command_and_the_shell_reads_them() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let done = packstring(&["completions", shell], b"");
        let script = words(&done.stdout);
        assert!(
            done.status.success() && script.contains("proofread") && script.contains("keep-record"),
            "{shell}"
        );
    }
    let script = packstring(&["completions", "bash"], b"").stdout;
    let read = Command::new("bash").args(["-n", "/dev/stdin"]).stdin(Stdio::piped()).spawn();
    let Ok(mut bash) = read else { return };
    bash.stdin.take().unwrap().write_all(&script).unwrap();
    assert!(bash.wait().unwrap().success());
}

#[test]
fn the_manual_has_a_page_for_each_command() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("manual");
    let done = packstring(&["completions", "--manual", folder.to_str().unwrap()], b"");
    assert!(done.status.success(), "{}", words(&done.stderr));
    for page in ["packstring.1", "packstring-make.1", "packstring-certificates-replace.1"] {
        assert!(fs::read_to_string(folder.join(page)).unwrap().contains(".TH"), "{page}");
    }
    let again = packstring(&["completions", "--manual", folder.to_str().unwrap()], b"");
    assert_eq!(again.status.code(), Some(2), "what is there is not written over");
}

/// A double click runs the file in whatever folder; it goes to its own and opens the front desk of the program there.
#[cfg(unix)]
#[test]
fn a_double_click_opens_the_front_desk_of_its_own_folder() {
    use std::os::unix::fs::PermissionsExt;
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("our program's");
    assert!(packstring(&["begin", folder.to_str().unwrap()], b"").status.success());
    // Stands in for packstring, and says what it was asked and where.
    let stand_in = place.path().join("bin/packstring");
    fs::create_dir(place.path().join("bin")).unwrap();
    fs::write(&stand_in, "#!/bin/sh\necho \"$PWD: $*\"\n").unwrap();
    fs::set_permissions(&stand_in, fs::Permissions::from_mode(0o755)).unwrap();
    let path = format!("{}:/usr/bin:/bin", place.path().join("bin").display());
    let expected = format!("{}: front-desk --program .\n", folder.canonicalize().unwrap().display());
    let clicked =
        Command::new(folder.join("Front desk.command")).env("PATH", &path).current_dir("/").output().unwrap();
    assert_eq!(words(&clicked.stdout), expected, "{}", words(&clicked.stderr));

    let entry = fs::read_to_string(folder.join("Front desk.desktop")).unwrap();
    let line = entry.lines().find_map(|line| line.strip_prefix("Exec=")).unwrap();
    let file = folder.join("Front desk.desktop");
    let mut run = exec_of(line, file.to_str().unwrap()).into_iter();
    let clicked =
        Command::new(run.next().unwrap()).args(run).env("PATH", &path).current_dir("/").output().unwrap();
    assert_eq!(words(&clicked.stdout), expected, "{}", words(&clicked.stderr));

    let batch = fs::read_to_string(folder.join("Front desk.bat")).unwrap();
    assert_eq!(batch.matches('\n').count(), batch.matches("\r\n").count(), "Windows ends lines with both");
}

/// What the key Exec of a desktop entry runs (Desktop Entry Specification 1.5, "Value types" and "The Exec key"): in
/// the line two backslashes stand for one, then words are parted by spaces but within double quotes, where a backslash takes the
/// next sign as it is; `%k` is the file itself.
#[cfg(unix)]
fn exec_of(line: &str, file: &str) -> Vec<String> {
    let mut parts = vec![String::new()];
    let (mut quoted, line) = (false, line.replace(r"\\", "\\"));
    let mut signs = line.chars();
    while let Some(sign) = signs.next() {
        let last = parts.last_mut().unwrap();
        match sign {
            '"' => quoted = !quoted,
            '\\' if quoted => last.extend(signs.next()),
            ' ' if !quoted => parts.push(String::new()),
            _ => last.push(sign),
        }
    }
    parts.into_iter().map(|part| if part == "%k" { file.to_owned() } else { part }).collect()
}
