//! A desk without a program: one is chosen, or laid out.

use super::*;

/// A desk that was opened in a folder in which there is no program; `home` stands for the user's own folder.
fn desk_in(folder: &Path, home: &Path) -> Desk {
    let (child, link) = spawned(|command| {
        command.current_dir(folder).env("PACKSTRING_KEYS", home.join("keys"));
        command.env("HOME", home).env("USERPROFILE", home);
    });
    Desk::enter(child, link)
}

fn all_files(folder: &Path) -> Vec<PathBuf> {
    let files = walkdir::WalkDir::new(folder).min_depth(1).into_iter().map(Result::unwrap);
    files.map(walkdir::DirEntry::into_path).collect()
}

#[test]
fn a_program_nearby_is_found_and_opened() {
    let home = tempfile::tempdir().unwrap();
    let place = home.path().join("Documents/basin");
    fs::create_dir_all(&place).unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound"), &place);
    let elsewhere = tempfile::tempdir().unwrap();
    let desk = desk_in(elsewhere.path(), home.path());
    let page = desk.today();
    let form = fields(&page, &place.display().to_string());
    assert!(form.iter().any(|(name, _)| name == "folder"), "{page}");
    // Whatever page is asked for, there is no other yet.
    assert_eq!(unescaped(&desk.get("/facts").body), unescaped(&page));
    let chosen = desk.send("/choose", &borrowed(&form));
    assert_eq!((chosen.status, chosen.header("location")), (303, Some("/")), "{}", chosen.body);
    assert!(desk.get("/facts").body.contains("lead-length"));
    assert_eq!(all_files(elsewhere.path()), [] as [PathBuf; 0], "looking writes nothing");
}

#[test]
fn what_is_no_program_is_said_to_be_none_and_stays_as_it_is() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("notes.txt"), "mine").unwrap();
    let desk = desk_in(home.path(), home.path());
    let form = fields(&desk.today(), "name=\"folder\"");
    for (folder, says) in [
        ("nowhere/at/all", "is not there"),
        (&*home.path().display().to_string(), "there is no program.toml in it"),
        ("notes.txt", "is a file, not a program folder"),
    ] {
        let told = desk.send("/choose", &borrowed(&with(&form, "folder", folder)));
        assert_eq!(told.status, 409, "{folder}: {}", told.body);
        assert!(unescaped(&told.body).contains(says), "{folder}: {}", told.body);
    }
    let mut form = fields(&desk.today(), "name=\"new\"");
    form.push(("language".to_owned(), "en".to_owned()));
    let told = desk.send("/begin", &borrowed(&with(&form, "new", &home.path().display().to_string())));
    assert_eq!(told.status, 409);
    assert!(unescaped(&told.body).contains("notes.txt is in it"), "{}", told.body);
    let told = desk.send("/begin", &[("token", &form[0].1), ("new", "ours"), ("language", "xx")]);
    assert!(told.status == 409 && told.body.contains("There is no example"), "{}", told.body);
    assert_eq!(all_files(home.path()), [home.path().join("notes.txt")]);
}

#[test]
fn a_new_program_is_laid_out_and_opened() {
    let home = tempfile::tempdir().unwrap();
    let desk = desk_in(home.path(), home.path());
    let mut form = fields(&desk.today(), "name=\"new\"");
    let new = home.path().join("our-program");
    assert_eq!(form.iter().find(|(name, _)| name == "new").unwrap().1, new.display().to_string());
    form.push(("language".to_owned(), "es".to_owned()));
    let laid = desk.send("/begin", &borrowed(&form));
    assert_eq!((laid.status, laid.header("location")), (303, Some("/")), "{}", laid.body);
    assert!(new.join("program.toml").is_file());
    let today = desk.today();
    assert!(today.contains("lang=\"es-US\""), "{today}");
    // Another page of the same desk does not lay out again.
    let again = desk.send("/begin", &borrowed(&form));
    assert_eq!(again.status, 404, "{}", again.body);
}
