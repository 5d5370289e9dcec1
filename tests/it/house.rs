//! The order of rooms: a room knows those below it in the drawing of `DEVELOPERS.md`, and no other.

use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

/// The rooms as the drawing has them, from the top down.
fn drawn() -> Vec<String> {
    let guide = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let house = guide.split("## The house").nth(1).expect("the guide draws the house");
    let drawing = house.split("```").nth(1).expect("the drawing stands between fences");
    let first_words = drawing.lines().filter_map(|line| line.split_whitespace().next());
    first_words
        .filter_map(|word| word.strip_suffix('/').or_else(|| word.strip_suffix(".rs")))
        .map(str::to_owned)
        .collect()
}

/// Each file of `src/` with the room that it lies in; `lib.rs` and `main.rs` lie in none.
fn files() -> Vec<(String, PathBuf)> {
    let src = root().join("src");
    let files = walkdir::WalkDir::new(&src).sort_by_file_name().into_iter().map(Result::unwrap);
    let files =
        files.map(walkdir::DirEntry::into_path).filter(|path| path.extension().is_some_and(|it| it == "rs"));
    let in_room = files.filter_map(|path| {
        let first = path.strip_prefix(&src).unwrap().components().next()?;
        let room = first.as_os_str().to_str()?.trim_end_matches(".rs").to_owned();
        (!["lib", "main"].contains(&room.as_str())).then_some((room, path))
    });
    in_room.collect()
}

/// The rooms that code names, each with its line: by `crate::room`, and by `crate::{room, …}` on however many lines.
fn rooms_of(text: &str) -> Vec<(usize, String)> {
    let code: Vec<&str> = text.lines().map(|line| line.split("//").next().unwrap_or_default()).collect();
    let code = code.join("\n");
    let name = |text: &str| -> String {
        text.trim_start().chars().take_while(|it| it.is_alphanumeric() || *it == '_').collect()
    };
    let mut rooms = Vec::new();
    for (at, prefix) in code.match_indices("crate::") {
        let line = code[..at].lines().count().max(1);
        let rest = &code[at + prefix.len()..];
        match rest.strip_prefix('{') {
            Some(list) => {
                // Of `{a::{b, c}, d}`, the names at the outer level.
                let mut depth = 0;
                let mut outer = String::new();
                for letter in list.chars() {
                    match letter {
                        '{' => depth += 1,
                        '}' if depth == 0 => break,
                        '}' => depth -= 1,
                        letter if depth == 0 => outer.push(letter),
                        _ => {}
                    }
                }
                rooms.extend(outer.split(',').map(|item| (line, name(item))));
            }
            None => rooms.push((line, name(rest))),
        }
    }
    rooms.retain(|(_, room)| !room.is_empty());
    rooms
}

#[test]
fn every_room_is_drawn_and_every_drawn_room_is_there() {
    let mut there: Vec<String> = files().into_iter().map(|(room, _)| room).collect();
    there.sort();
    there.dedup();
    let mut drawn = drawn();
    drawn.sort();
    assert_eq!(drawn, there);
}

#[test]
fn no_import_runs_up() {
    let drawn = drawn();
    let floor = |room: &str| drawn.iter().position(|other| other == room);
    let mut up = Vec::new();
    let mut imports = 0;
    for (room, path) in files() {
        let own = floor(&room).unwrap_or_else(|| panic!("{room} is not drawn"));
        let text = fs::read_to_string(&path).unwrap();
        for (line, other) in rooms_of(&text).into_iter().filter(|(_, other)| *other != room) {
            imports += 1;
            // What is no room is an item of the crate's root, and there is none.
            if floor(&other).is_none_or(|floor| floor <= own) {
                up.push(format!("{}:{line}: {room} names {other}", path.display()));
            }
        }
    }
    assert!(imports > 500, "the imports are read: {imports}");
    assert!(up.is_empty(), "{} imports run up:\n{}", up.len(), up.join("\n"));
}

#[test]
fn the_reader_of_imports_sees_each_form() {
    let read = |text: &str| -> Vec<String> { rooms_of(text).into_iter().map(|(_, room)| room).collect() };
    assert_eq!(read("use crate::press::Press;"), ["press"]);
    assert_eq!(read("use crate::{\n    people::{self, x},\n    proof,\n};"), ["people", "proof"]);
    assert_eq!(read("    crate::spelling::marks::told(crate::words::x)"), ["spelling", "words"]);
    assert!(read("/// [`crate::press`] is above").is_empty());
    assert_eq!(rooms_of("\nuse crate::job;")[0].0, 2);
}

/// What opens, writes or takes away: it waits for pipes and follows links, and only `disk/` knows how not to.
const OF_THE_DISK: [&str; 18] = [
    "fs::read(",
    "fs::read_to_string(",
    "fs::write(",
    "fs::copy(",
    "fs::rename(",
    "fs::hard_link(",
    "fs::remove_file(",
    "fs::remove_dir(",
    "fs::remove_dir_all(",
    "fs::create_dir(",
    "fs::set_permissions(",
    "File::open(",
    "File::create(",
    "File::create_new(",
    "File::options(",
    "OpenOptions",
    "DirBuilder",
    "tempfile::",
];

#[test]
fn files_are_opened_written_and_taken_away_in_one_room() {
    let is_test = |path: &Path| {
        // `trial.rs` lays out programs for the tests of `people/`; `typography.rs` is one.
        path.file_name()
            .is_some_and(|name| ["tests.rs", "trial.rs", "typography.rs"].contains(&name.to_str().unwrap()))
    };
    let mut elsewhere = Vec::new();
    let mut seen = 0;
    for (room, path) in files() {
        let text = fs::read_to_string(&path).unwrap();
        let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
        for (at, line) in code.lines().enumerate() {
            let line = line.split("//").next().unwrap_or_default();
            let Some(found) = OF_THE_DISK.iter().find(|call| line.contains(*call)) else { continue };
            seen += 1;
            if room != "disk" && !is_test(&path) {
                elsewhere.push(format!("{}:{}: {found}", path.display(), at + 1));
            }
        }
    }
    assert!(seen > 4, "the reader of calls sees those of disk/");
    assert!(elsewhere.is_empty(), "{}", elsewhere.join("\n"));
}
