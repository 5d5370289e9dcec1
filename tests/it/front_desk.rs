//! The front desk as a browser meets it: over HTTP/1.1 on this machine, with the roster's own file before and after.

mod answers;
mod choosing;
mod findings;
mod lessons;
mod printing;
mod withdrawing;

use crate::folders::copy;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

const ROSTER: &str = "people/roster.csv";

/// A list with a mark at its start, semicolons, lines that end in CR LF, cells in quotation marks, a row that is short,
/// and columns that nobody understands.
const LIST: &str = "\u{feff}event;name;\"companion\";attended;odd; email \r\n\
    spring;\"Vell, Ada\"; Clover ;yes;x;ada@post.example\r\n\
    spring;Bo Tarn;Biscuit;;\"a;b\";bo@post.example\r\n\
    spring;Short Row\r\n\
    \r\n\
    spring;Ciar\u{e1}n O\u{2019}Dowd;;no;;\r\n";

fn program(roster: &str) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof/sound"), folder.path());
    let settings = fs::read_to_string(folder.path().join("program.toml")).unwrap();
    let event = settings.split("[[events]]").nth(1).expect("the program has an event");
    let id = event.split("id = \"").nth(1).unwrap().split('"').next().unwrap();
    fs::create_dir_all(folder.path().join("people")).unwrap();
    for name in ["answers.csv", "hours.csv"] {
        let _ = fs::remove_file(folder.path().join("people").join(name));
    }
    let _ = fs::remove_dir_all(folder.path().join("records"));
    fs::write(folder.path().join(ROSTER), roster.replace("spring", id)).unwrap();
    folder
}

/// A desk that is open, and its browser.
struct Desk {
    child: Child,
    host: String,
    link: String,
    cookie: String,
}

impl Drop for Desk {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

struct Answer {
    status: u16,
    head: String,
    body: String,
}

impl Answer {
    fn header(&self, name: &str) -> Option<&str> {
        let lines = self.head.lines().filter_map(|line| line.split_once(": "));
        lines.into_iter().find(|(known, _)| known.eq_ignore_ascii_case(name)).map(|(_, value)| value)
    }
}

fn spawn(folder: &Path) -> (Child, String) {
    spawned(|command| {
        command.arg("--program").arg(folder).env("PACKSTRING_KEYS", folder.join("keys"));
    })
}

/// A desk that is started as `set` says, and its link.
fn spawned(set: impl FnOnce(&mut Command)) -> (Child, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_packstring"));
    command.args(["front-desk", "--no-browser"]).stdout(Stdio::piped()).stderr(Stdio::inherit());
    set(&mut command);
    let mut child = command.spawn().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap);
    let link = lines.find(|line| line.contains("http://")).expect("the link is told").trim().to_owned();
    (child, link)
}

fn request(
    host: &str,
    method: &str,
    path: &str,
    headers: &[(&str, &str)],
    form: &[(&str, &str)],
) -> std::io::Result<Answer> {
    let mut stream = TcpStream::connect(host)?;
    stream.set_read_timeout(Some(Duration::from_secs(60)))?;
    let body = url::form_urlencoded::Serializer::new(String::new()).extend_pairs(form).finish();
    let mut head = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
    for (name, value) in headers {
        head += &format!("{name}: {value}\r\n");
    }
    if method == "POST" {
        head +=
            &format!("Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n", body.len());
    }
    stream.write_all(format!("{head}\r\n{body}").as_bytes())?;
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes)?;
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
    let status = head.split(' ').nth(1).and_then(|status| status.parse().ok()).unwrap_or_default();
    Ok(Answer { status, head: head.to_owned(), body: body.to_owned() })
}

impl Desk {
    fn open(folder: &Path) -> Self {
        let (child, link) = spawn(folder);
        Self::enter(child, link)
    }

    fn enter(child: Child, link: String) -> Self {
        let host = link.strip_prefix("http://").unwrap().split('/').next().unwrap().to_owned();
        // Whatever fails from here on, the desk is closed.
        let mut desk = Self { child, host, link, cookie: String::new() };
        let (host, path) = (&desk.host, desk.link.split(&desk.host).nth(1).unwrap());
        let answer = request(host, "GET", path, &[("Host", host)], &[]).unwrap();
        assert_eq!(answer.status, 200, "{}", answer.body);
        let cookie = answer.header("set-cookie").unwrap();
        desk.cookie = cookie.split(';').next().unwrap().to_owned();
        desk
    }

    fn get(&self, path: &str) -> Answer {
        request(&self.host, "GET", path, &[("Host", &self.host), ("Cookie", &self.cookie)], &[]).unwrap()
    }

    fn send(&self, path: &str, form: &[(&str, &str)]) -> Answer {
        self.try_send(path, form).unwrap()
    }

    fn try_send(&self, path: &str, form: &[(&str, &str)]) -> std::io::Result<Answer> {
        let origin = format!("http://{}", self.host);
        let headers = [("Host", self.host.as_str()), ("Cookie", &self.cookie), ("Origin", &origin)];
        request(&self.host, "POST", path, &headers, form)
    }

    /// What is made to be printed, once it is ready.
    fn printed(&self, path: &str) -> Answer {
        let start = Instant::now();
        loop {
            let answer = self.get(path);
            if !answer.body.contains("action=\"/stop/") {
                return answer;
            }
            assert!(start.elapsed() < Duration::from_secs(120), "it is never ready: {}", answer.body);
        }
    }

    fn today(&self) -> String {
        self.get("/").body
    }
}

fn unescaped(html: &str) -> String {
    [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#39;", "'"),
        ("&#x27;", "'"),
        ("&#x2F;", "/"),
        ("&amp;", "&"),
    ]
    .iter()
    .fold(html.to_owned(), |text, (escaped, plain)| text.replace(escaped, plain))
}

/// The fields of a form as a browser sends them: of that one in a page whose text has `mark` in it.
fn fields(page: &str, mark: &str) -> Vec<(String, String)> {
    let form = page
        .split("<form")
        .skip(1)
        .map(|form| form.split("</form>").next().unwrap())
        .find(|form| unescaped(form).contains(mark))
        .unwrap_or_else(|| panic!("no form has {mark} in\n{page}"));
    let attribute = |input: &str, name: &str| {
        let value = input.split(&format!(" {name}=\"")).nth(1)?.split('"').next()?;
        Some(unescaped(value))
    };
    let inputs = form.split("<input").skip(1).map(|input| input.split('>').next().unwrap());
    inputs
        .filter_map(|input| Some((attribute(input, "name")?, attribute(input, "value").unwrap_or_default())))
        .collect()
}

fn borrowed(fields: &[(String, String)]) -> Vec<(&str, &str)> {
    fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect()
}

/// The same form with other words in a field.
fn with(fields: &[(String, String)], name: &str, value: &str) -> Vec<(String, String)> {
    assert!(fields.iter().any(|(known, _)| known == name), "no field {name} in {fields:?}");
    let other = |(known, was): &(String, String)| {
        (known.clone(), if known == name { value.to_owned() } else { was.clone() })
    };
    fields.iter().map(other).collect()
}

fn roster(folder: &TempDir) -> Vec<u8> {
    fs::read(folder.path().join(ROSTER)).unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// Which row of the list is somebody's: as their line in the file.
fn tick_of(desk: &Desk, name: &str) -> Vec<(String, String)> {
    fields(&desk.today(), &format!("aria-label=\"{name}: came\""))
}

/// What is wrong with a request, its headers, and its form.
type Trial<'t> = (&'t str, Vec<Pair<'t>>, &'t [Pair<'t>]);

/// A name and what stands for it.
type Pair<'p> = (&'p str, &'p str);

#[test]
fn the_start_link_lets_one_browser_in_and_nobody_else() {
    let folder = program(LIST);
    let before = roster(&folder);
    let desk = Desk::open(folder.path());
    let form = tick_of(&desk, "Bo Tarn");
    let form = borrowed(&form);
    let (host, own) = (desk.host.as_str(), format!("http://{}", desk.host));
    let port = host.split(':').nth(1).unwrap();
    assert!(host.starts_with("127.0.0.1:"), "{host}");
    // The link is spent.
    let path = desk.link.split(host).nth(1).unwrap();
    let again = request(host, "GET", path, &[("Host", host)], &[]).unwrap();
    assert_eq!((again.status, again.header("set-cookie")), (403, None));
    assert!(again.body.contains("used already"), "{}", again.body);
    // Each of these is one thing away from what the desk's own page sends.
    let localhost = format!("localhost:{port}");
    let cookie = desk.cookie.as_str();
    let other_cookie = format!("{}=0123", cookie.split('=').next().unwrap());
    let trials: [Trial; 8] = [
        ("another host", vec![("Host", "desk.example"), ("Cookie", cookie), ("Origin", &own)], &form),
        ("another name", vec![("Host", &localhost), ("Cookie", cookie), ("Origin", &own)], &form),
        (
            "another origin",
            vec![("Host", host), ("Cookie", cookie), ("Origin", "http://desk.example")],
            &form,
        ),
        ("no origin", vec![("Host", host), ("Cookie", cookie)], &form),
        (
            "another site",
            vec![("Host", host), ("Cookie", cookie), ("Origin", &own), ("Sec-Fetch-Site", "cross-site")],
            &form,
        ),
        ("no cookie", vec![("Host", host), ("Origin", &own)], &form),
        ("another cookie", vec![("Host", host), ("Cookie", &other_cookie), ("Origin", &own)], &form),
        ("no token", vec![("Host", host), ("Cookie", cookie), ("Origin", &own)], &form[1..]),
    ];
    for (what, headers, form) in trials {
        let answer = request(host, "POST", "/tick", &headers, form).unwrap();
        assert_eq!(answer.status, 403, "{what}");
        assert!(answer.body.contains("Nothing was changed"), "{what}: {}", answer.body);
        assert!(!answer.body.contains("Tarn"), "{what}");
        assert_eq!(roster(&folder), before, "{what}");
        // Nor is anything shown.
        if !["no origin", "no token"].contains(&what) {
            let seen = request(host, "GET", "/", &headers, &[]).unwrap();
            assert_eq!(seen.status, 403, "{what}");
            assert!(!seen.body.contains("Tarn"), "{what}");
        }
    }
    assert_eq!(desk.send("/tick", &form).status, 303);
    assert_ne!(roster(&folder), before);
}

// Sources: W3C Content Security Policy 3; Fetch, X-Content-Type-Options; RFC 9111, no-store; Referrer Policy.
#[test]
fn every_answer_is_closed_to_other_pages_and_stays_nowhere() {
    let folder = program(LIST);
    let desk = Desk::open(folder.path());
    for path in ["/", "/row/2", "/changes", "/findings", "/picture/row-2", "/nowhere", "/look/desk.css"] {
        let answer = desk.get(path);
        let policy = answer.header("content-security-policy").unwrap();
        assert!(policy.starts_with("default-src 'none';"), "{path}: {policy}");
        assert!(!policy.contains("unsafe") && policy.contains("frame-ancestors 'none'"), "{path}: {policy}");
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"), "{path}");
        assert_eq!(answer.header("referrer-policy"), Some("same-origin"), "{path}");
        assert_eq!(answer.header("cache-control"), Some("no-store"), "{path}");
        // What the policy forbids is not there to begin with.
        for inline in [" style=", " onclick=", "<style", "javascript:", "<script>"] {
            assert!(path.starts_with("/picture") || !answer.body.contains(inline), "{path}: {inline}");
        }
    }
    let page = desk.today();
    let addresses = page.split("href=\"").skip(1).map(|rest| rest.split('"').next().unwrap());
    for address in addresses {
        for name in ["Tarn", "Vell", "Ciar", "post.example"] {
            assert!(!address.contains(name), "a name stands in the address {address}");
        }
    }
}

#[test]
fn a_tick_a_mended_name_and_a_walk_in_write_their_cells_and_no_other_byte() {
    let folder = program(LIST);
    let desk = Desk::open(folder.path());
    let first = text(&roster(&folder));

    // A tick, in the word that the column has.
    let answer = desk.send("/tick", &borrowed(&tick_of(&desk, "Bo Tarn")));
    assert_eq!(answer.status, 303, "{}", answer.body);
    let ticked = first.replace(";Bo Tarn;Biscuit;;", ";Bo Tarn;Biscuit;yes;");
    assert_eq!(text(&roster(&folder)), ticked);
    let page = desk.get(answer.header("location").unwrap().split('#').next().unwrap()).body;
    assert!(page.contains("Saved for Bo Tarn."), "{page}");

    // A row that lacks the cell gets it.
    desk.send("/tick", &borrowed(&tick_of(&desk, "Short Row")));
    let lengthened = ticked.replace(";Short Row\r\n", ";Short Row;;yes\r\n");
    assert_eq!(text(&roster(&folder)), lengthened);

    // A name, in its quotation marks, and a companion whose spaces go only because it is written anew.
    let form = fields(&desk.get("/row/2").body, "name=\"c1\"");
    let form = with(&with(&form, "c1", "Vell, \"Adah\""), "c2", "Clover & Comet");
    assert_eq!(desk.send("/mend", &borrowed(&form)).status, 303);
    let mended = lengthened.replace("\"Vell, Ada\"; Clover ;", "\"Vell, \"\"Adah\"\"\";Clover & Comet;");
    assert_eq!(text(&roster(&folder)), mended);

    // Somebody who was not on the list.
    let form = fields(&desk.today(), "name=\"c2\"");
    let form = with(&with(&form, "c1", "=Zo\u{eb} New"), "c2", "Pepper; Salt");
    let answer = desk.send("/walk-in", &borrowed(&form));
    assert_eq!(answer.status, 303, "{}", answer.body);
    let id = mended.lines().nth(1).unwrap().split(';').next().unwrap();
    let added = format!("{mended}{id};'=Zo\u{eb} New;\"Pepper; Salt\";yes;;\r\n");
    assert_eq!(text(&roster(&folder)), added);
    // Once more is asked before anything is written.
    let again = desk.send("/walk-in", &borrowed(&form));
    assert_eq!(again.status, 409);
    assert!(again.body.contains("is on the list of this event already"), "{}", again.body);
    assert_eq!(text(&roster(&folder)), added);

    // And all of it is taken back, the last first, to the byte.
    for back in [&mended, &lengthened, &ticked, &first] {
        let list = desk.get("/changes").body;
        let undone = desk.send("/undo", &borrowed(&fields(&list, "action=\"/undo\"")));
        assert_eq!(undone.status, 303, "{}", undone.body);
        assert_eq!(&text(&roster(&folder)), back);
    }
    assert!(!desk.get("/changes").body.contains("action=\"/undo\""));
}

#[test]
fn changes_are_taken_back_in_any_order() {
    let folder = program(LIST);
    let desk = Desk::open(folder.path());
    let first = roster(&folder);
    desk.send("/tick", &borrowed(&tick_of(&desk, "Bo Tarn")));
    let form = with(&fields(&desk.get("/row/3").body, "name=\"c1\""), "c1", "Bo Tarne");
    desk.send("/mend", &borrowed(&form));
    // The tick was first, and the row is called otherwise by now.
    let list = desk.get("/changes").body;
    let tick = list.rsplit("<form").next().unwrap();
    desk.send("/undo", &borrowed(&fields(&format!("<form{tick}"), "/undo")));
    assert_eq!(text(&roster(&folder)), text(&first).replace("Bo Tarn", "Bo Tarne"));
    desk.send("/undo", &borrowed(&fields(&desk.get("/changes").body, "/undo")));
    assert_eq!(roster(&folder), first);
}

#[test]
fn what_somebody_else_wrote_is_shown_beside_and_never_written_over() {
    let folder = program(LIST);
    let desk = Desk::open(folder.path());
    let form = with(&fields(&desk.get("/row/3").body, "name=\"c2\""), "c2", "Mine");
    let theirs = text(&roster(&folder)).replace("Biscuit", "Theirs");
    fs::write(folder.path().join(ROSTER), &theirs).unwrap();
    let answer = desk.send("/mend", &borrowed(&form));
    assert_eq!(answer.status, 409);
    for words in ["Biscuit", "Theirs", "Mine", "Nothing was written"] {
        assert!(answer.body.contains(words), "{words}: {}", answer.body);
    }
    assert_eq!(text(&roster(&folder)), theirs);
    // By a person's word it is written all the same.
    let sure = fields(&answer.body, "action=\"/mend\"");
    assert_eq!(desk.send("/mend", &borrowed(&sure)).status, 303);
    assert_eq!(text(&roster(&folder)), theirs.replace("Theirs", "Mine"));
    // And it is not taken back over what was written since.
    let list = desk.get("/changes").body;
    let later = text(&roster(&folder)).replace("Mine", "Later");
    fs::write(folder.path().join(ROSTER), &later).unwrap();
    let undone = desk.send("/undo", &borrowed(&fields(&list, "/undo")));
    assert_eq!(undone.status, 409);
    assert!(undone.body.contains("Later"), "{}", undone.body);
    assert_eq!(text(&roster(&folder)), later);
}

#[test]
fn a_row_that_moved_is_found_and_another_person_is_not_taken_for_it() {
    let folder = program(LIST);
    let desk = Desk::open(folder.path());
    let form = tick_of(&desk, "Bo Tarn");
    // Sorted in a spreadsheet meanwhile.
    let lines: Vec<String> = text(&roster(&folder)).split_inclusive("\r\n").map(str::to_owned).collect();
    let sorted: String = [0, 5, 3, 2, 1].map(|at| lines[at].as_str()).concat();
    fs::write(folder.path().join(ROSTER), &sorted).unwrap();
    assert_eq!(desk.send("/tick", &borrowed(&form)).status, 303);
    assert_eq!(text(&roster(&folder)), sorted.replace(";Biscuit;;", ";Biscuit;yes;"));
    // Gone altogether, with somebody else in its place.
    let gone = sorted.replace("Bo Tarn;Biscuit", "Cy Other;Acorn").replace("bo@post", "cy@post");
    fs::write(folder.path().join(ROSTER), &gone).unwrap();
    let answer = desk.send("/tick", &borrowed(&form));
    assert_eq!(answer.status, 409);
    assert!(answer.body.contains("is not who you were shown"), "{}", answer.body);
    assert_eq!(text(&roster(&folder)), gone);
}

#[test]
fn a_letter_that_the_file_cannot_hold_and_a_protected_file_are_told() {
    let folder = program(&LIST.replace(['\u{feff}', '\u{e1}'], "").replace('\u{2019}', "'"));
    let latin: Vec<u8> = text(&roster(&folder))
        .replace("Ciarn", "Ciar\u{e1}n")
        .chars()
        .map(|letter| u8::try_from(u32::from(letter)).unwrap())
        .collect();
    fs::write(folder.path().join(ROSTER), &latin).unwrap();
    let desk = Desk::open(folder.path());
    let form = with(&fields(&desk.get("/row/3").body, "name=\"c2\""), "c2", "\u{141}ucja");
    let answer = desk.send("/mend", &borrowed(&form));
    assert!(answer.status == 409 && answer.body.contains("has no such letter"), "{}", answer.body);
    assert_eq!(roster(&folder), latin);
    let form = with(&form, "c2", "Zo\u{eb}");
    assert_eq!(desk.send("/mend", &borrowed(&form)).status, 303);
    let expected: Vec<u8> = latin
        .windows(7)
        .position(|it| it == b"Biscuit")
        .map_or(Vec::new(), |at| [&latin[..at], b"Zo\xeb", &latin[at + 7..]].concat());
    assert_eq!(roster(&folder), expected);
    // Protected against changes.
    let path = folder.path().join(ROSTER);
    let mut permissions = fs::metadata(&path).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions).unwrap();
    let answer = desk.send("/tick", &borrowed(&tick_of(&desk, "Bo Tarn")));
    assert!(answer.status == 409 && answer.body.contains("protected against changes"), "{}", answer.body);
    assert_eq!(roster(&folder), expected);
}

#[test]
fn a_workbook_is_said_to_be_one_and_how_to_go_on() {
    let folder = program(LIST);
    let id = text(&roster(&folder)).lines().nth(1).unwrap().split(';').next().unwrap().to_owned();
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    for (row, cells) in [["event", "name", "attended"], [&id, "Bo Tarn", "yes"]].iter().enumerate() {
        for (column, cell) in cells.iter().enumerate() {
            sheet.write_string(row as u32, column as u16, *cell).unwrap();
        }
    }
    book.save(folder.path().join("people/roster.xlsx")).unwrap();
    fs::remove_file(folder.path().join(ROSTER)).unwrap();
    let before = fs::read(folder.path().join("people/roster.xlsx")).unwrap();
    let desk = Desk::open(folder.path());
    let page = desk.today();
    assert!(page.contains("Bo Tarn") && page.contains("writes into no workbook"), "{page}");
    assert!(page.contains("save the sheet as people/roster.csv"), "{page}");
    assert!(!page.contains("action=\"/tick\"") && !page.contains("action=\"/walk-in\""));
    let token = fields(&page, "role=\"search\"");
    let token = token.iter().find(|(name, _)| name == "token").unwrap().1.clone();
    let form = [
        ("token", token.as_str()),
        ("event", &id),
        ("row", "2"),
        ("key", "x"),
        ("column", "2"),
        ("now", "no"),
    ];
    let answer = desk.send("/tick", &form);
    assert_eq!(answer.status, 409, "{}", answer.body);
    assert_eq!(fs::read(folder.path().join("people/roster.xlsx")).unwrap(), before);
}

/// Two desks, each with a browser that was shown the list before any of it was changed.
#[test]
fn fifty_quick_edits_from_two_desks_lose_nothing() {
    let rows: String = (0..50).map(|at| format!("spring;Person {at:02};;;;\r\n")).collect();
    let folder = program(&format!("event;name;companion;attended;odd;email\r\n{rows}"));
    let before = text(&roster(&folder));
    let desks = [Desk::open(folder.path()), Desk::open(folder.path())];
    let forms: Vec<Vec<Vec<(String, String)>>> = desks
        .iter()
        .enumerate()
        .map(|(which, desk)| {
            let page = desk.today();
            let mine = (0..50).filter(|at| at % 2 == which);
            mine.map(|at| fields(&page, &format!("aria-label=\"Person {at:02}: came\""))).collect()
        })
        .collect();
    std::thread::scope(|scope| {
        for (desk, forms) in desks.iter().zip(&forms) {
            scope.spawn(move || {
                for form in forms {
                    let answer = desk.send("/tick", &borrowed(form));
                    assert_eq!(answer.status, 303, "{}", answer.body);
                }
            });
        }
    });
    let expected = before.replace(";;;;\r\n", ";;yes;;\r\n");
    assert_eq!(text(&roster(&folder)), expected);
}

/// Killed at some moment while it writes, again and again: the list is a whole one each time, and nothing else lies about.
#[test]
fn a_desk_that_is_killed_leaves_the_roster_whole() {
    let rows: String = (0..400).map(|at| format!("spring;Person {at:03};;;;\r\n")).collect();
    let folder = program(&format!("event;name;companion;attended;odd;email\r\n{rows}"));
    let before = text(&roster(&folder));
    for round in 0..5_u64 {
        let desk = Desk::open(folder.path());
        let page = desk.today();
        let all: Vec<_> =
            (0..90).map(|at| fields(&page, &format!("aria-label=\"Person {at:03}: came\""))).collect();
        let mut child = {
            let stopped = std::time::Instant::now();
            std::thread::scope(|scope| {
                let (desk, all) = (&desk, &all);
                let sender = scope.spawn(move || {
                    for form in all {
                        if desk.try_send("/tick", &borrowed(form)).is_err() {
                            break;
                        }
                    }
                });
                std::thread::sleep(Duration::from_millis(150 + 37 * round));
                let killed = Command::new("kill").args(["-9", &desk.child.id().to_string()]).status();
                assert!(killed.is_ok_and(|killed| killed.success()));
                sender.join().unwrap();
            });
            assert!(stopped.elapsed() < Duration::from_secs(60));
            desk
        };
        let _ = child.child.wait();
        let now = text(&roster(&folder));
        assert_eq!(now.len() - now.matches(";yes;").count() * 3, before.len(), "round {round}");
        assert_eq!(now.replace(";yes;", ";;"), before, "round {round}");
    }
    // The next desk sweeps what the killed ones left.
    let desk = Desk::open(folder.path());
    desk.send("/tick", &borrowed(&tick_of(&desk, "Person 099")));
    let left: Vec<PathBuf> = fs::read_dir(folder.path().join("people"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| !path.ends_with("roster.csv"))
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

/// The bound is generous, for tests run beside one another; on an idle machine it is a tenth.
#[test]
fn a_list_of_two_thousand_stays_quick() {
    let rows: String = (0..2000)
        .map(|at| format!("spring;Person {at:04};Mule {at};yes;;person{at}@post.example\r\n"))
        .collect();
    let folder = program(&format!("event;name;companion;attended;odd;email\r\n{rows}"));
    let desk = Desk::open(folder.path());
    let first = Instant::now();
    let page = desk.today();
    let first = first.elapsed();
    assert!(page.contains("Person 0000") && page.contains("2000 of 2000 came"), "{page}");
    assert!(page.len() < 300_000, "one page of many: {} bytes", page.len());
    let again = Instant::now();
    desk.today();
    let again = again.elapsed();
    let tick = Instant::now();
    assert_eq!(desk.send("/tick", &borrowed(&fields(&page, "aria-label=\"Person 0042: came\""))).status, 303);
    let tick = tick.elapsed();
    eprintln!("first {first:?}, again {again:?}, tick {tick:?}");
    assert!(first < Duration::from_secs(6), "{first:?}");
    assert!(again < Duration::from_secs(3), "{again:?}");
    assert!(tick < Duration::from_secs(3), "{tick:?}");
}

#[test]
fn a_program_with_mistakes_is_shown_with_them_and_goes_on_when_they_are_mended() {
    let folder = program(LIST);
    let desk = Desk::open(folder.path());
    assert!(desk.today().contains("Bo Tarn"));
    let facts = folder.path().join("facts.toml");
    let sound = fs::read(&facts).unwrap();
    fs::write(&facts, "[broken").unwrap();
    // The list stays as it was read last, and what is wrong is told.
    let page = desk.today();
    assert!(page.contains("Bo Tarn") && page.contains("mistake"), "{page}");
    assert!(desk.get("/findings").body.contains("facts.toml"));
    // A tick goes on all the same.
    assert_eq!(desk.send("/tick", &borrowed(&tick_of(&desk, "Bo Tarn"))).status, 303);
    assert!(text(&roster(&folder)).contains(";Bo Tarn;Biscuit;yes;"));
    fs::write(&facts, sound).unwrap();
    assert!(!desk.today().contains("mistake"));
    // A cell that is neither yes nor no holds certificates, and the list can still be ticked.
    fs::write(
        folder.path().join(ROSTER),
        text(&roster(&folder)).replace(";Bo Tarn;Biscuit;yes;", ";Bo Tarn;Biscuit;perhaps;"),
    )
    .unwrap();
    let page = desk.today();
    assert!(page.contains("needs yes or no"), "{page}");
    assert_eq!(desk.send("/tick", &borrowed(&tick_of(&desk, "Bo Tarn"))).status, 303);
    assert!(text(&roster(&folder)).contains(";Bo Tarn;Biscuit;yes;"));
    assert!(!desk.today().contains("needs yes or no"));
}

#[test]
fn looking_gives_nothing_and_giving_says_whom_first() {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content"), folder.path());
    let register = folder.path().join("records");
    let records = || -> Vec<Vec<u8>> {
        let files = walkdir::WalkDir::new(&register).sort_by_file_name().into_iter();
        files.filter_map(|entry| fs::read(entry.ok()?.path()).ok()).collect()
    };
    let text_of = fs::read_to_string(folder.path().join(ROSTER)).unwrap();
    let added = "north-camp,Aldous Quillfeather,Bramble,yes,yes,aq@post.example,1 Test Lane,Dry Fork,NV,89914,US,M,,\n";
    fs::write(folder.path().join(ROSTER), text_of + added).unwrap();
    let before = records();
    let desk = Desk::open(folder.path());
    let page = desk.get("/give/north-camp").body;
    assert!(page.contains("Aldous Quillfeather"), "{page}");
    let row = page.split("name=\"of\" value=\"").nth(1).unwrap().split('"').next().unwrap();
    let mend = fields(&desk.get(&format!("/row/{row}")).body, "name=\"c1\"");
    let typed = desk.send("/typed", &borrowed(&with(&mend, "c1", "Aldous Quill")));
    let picture = typed.body.split("\"picture\":\"").nth(1).unwrap().split('"').next().unwrap();
    let drawn = desk.get(picture);
    assert!(drawn.header("content-type") == Some("image/svg+xml") && drawn.body.contains("<svg"));
    // A letter that no font has is told while it is typed.
    let typed = desk.send("/typed", &borrowed(&with(&mend, "c1", "Aldous \u{12000}")));
    assert!(typed.body.contains("U+12000") || typed.body.contains("letter"), "{}", typed.body);
    for what in ["sign-in-sheet", "name-tags", "certificates"] {
        let printed = desk.printed(&format!("/print/{what}/north-camp"));
        assert_eq!(printed.status, 200, "{what}");
    }
    assert_eq!(records(), before, "looking writes nothing");
    // Whoever was not shown is not given one.
    let give = fields(&page, "name=\"of\"");
    let refused = desk.send("/give/north-camp", &borrowed(&with(&give, "of", "3")));
    assert_eq!((refused.status, records() == before), (409, true), "{}", refused.body);
    let given = desk.send("/give/north-camp", &borrowed(&give));
    assert_eq!(given.status, 303, "{}", given.body);
    assert_ne!(records(), before);
    let page = desk.get(&format!("/row/{row}")).body;
    assert!(page.contains("Given on"), "{page}");
    let printed = desk.printed(&format!("/print/certificates/north-camp?row={row}"));
    assert!(printed.header("content-type") == Some("application/pdf") && printed.body.starts_with("%PDF"));

    // The name on the paper is wrong: it is mended, and the certificate given anew.
    let mend = fields(&page, "name=\"c1\"");
    assert_eq!(desk.send("/mend", &borrowed(&with(&mend, "c1", "Aldous Quilfeather"))).status, 303);
    let page = desk.get(&format!("/row/{row}")).body;
    let replace = fields(&page, "action=\"/replace\"");
    let settled = records();
    let other = desk.send("/replace", &borrowed(&with(&replace, "number", "3M85-R5DG")));
    assert_eq!((other.status, records() == settled), (409, true), "{}", other.body);
    let replaced = desk.send("/replace", &borrowed(&replace));
    assert_eq!(replaced.status, 303, "{}", replaced.body);
    let register = fs::read_to_string(folder.path().join("records/certificates.jsonl")).unwrap();
    let last = register.lines().last().unwrap();
    assert!(last.contains("Aldous Quilfeather") && last.contains("replaces"), "{last}");
    let page = desk.get(&format!("/row/{row}")).body;
    assert!(page.contains("Given on") && !page.contains("action=\"/replace\""), "{page}");
    // Once more changes nothing.
    let again = desk.send("/replace", &borrowed(&replace));
    assert_eq!(
        (
            again.status,
            fs::read_to_string(folder.path().join("records/certificates.jsonl")).unwrap() == register
        ),
        (409, true)
    );
}

/// The keys of a table of words, with those of the tables in it.
fn keys(table: &toml::Table, above: &str) -> Vec<String> {
    let inner = |(key, value): (&String, &toml::Value)| match value {
        toml::Value::Table(inner) => keys(inner, &format!("{above}{key}.")),
        _ => vec![format!("{above}{key}")],
    };
    table.iter().flat_map(inner).collect()
}

#[test]
fn the_desk_says_all_its_words_in_each_of_its_languages() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("themes/plain/desk/words");
    let words = |language: &str| -> toml::Table {
        fs::read_to_string(folder.join(format!("{language}.toml"))).unwrap().parse().unwrap()
    };
    let english = keys(&words("en"), "");
    assert!(english.len() > 100, "{}", english.len());
    for other in ["es", "fr"] {
        let known = keys(&words(other), "");
        let apart = |of: &[String], from: &[String]| -> Vec<String> {
            of.iter().filter(|key| !from.contains(key)).cloned().collect()
        };
        let none: Vec<String> = Vec::new();
        assert_eq!((apart(&english, &known), apart(&known, &english)), (none.clone(), none), "{other}");
        // What is filled in stands in each of them.
        for key in &english {
            let of = |language: &str| -> Vec<String> {
                let all = words(language);
                let found = key.split('.').fold(None, |at: Option<toml::Value>, part| match at {
                    None => all.get(part).cloned(),
                    Some(at) => at.get(part).cloned(),
                });
                let found = found.unwrap();
                let parts = found.as_str().unwrap().split('{').skip(1);
                let mut names: Vec<String> =
                    parts.map(|it| it.split('}').next().unwrap().to_owned()).collect();
                names.sort();
                names
            };
            assert_eq!(of(other), of("en"), "{other}: {key}");
        }
    }
}

/// Every file of a program, by its path, but what is made and what is noted beside it.
fn files(folder: &TempDir) -> Vec<(PathBuf, Vec<u8>)> {
    let entries = walkdir::WalkDir::new(folder.path()).sort_by_file_name().into_iter().map(Result::unwrap);
    let kept = entries.filter(|entry| entry.file_type().is_file());
    let kept = kept.filter(|entry| !entry.path().components().any(|part| part.as_os_str() == "records"));
    kept.map(|entry| (entry.path().to_owned(), fs::read(entry.path()).unwrap())).collect()
}

#[test]
fn a_facts_other_value_shows_what_changes_and_is_written_and_taken_back_whole() {
    let folder = tempfile::tempdir().unwrap();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("content"), folder.path());
    let before = files(&folder);
    let desk = Desk::open(folder.path());
    let list = desk.get("/facts").body;
    assert!(list.contains("/fact?name=lead%2Dlength") && list.contains("overdue"), "{list}");
    let page = desk.get("/fact?name=lead%2Dlength").body;
    let form = fields(&page, "action=\"/fact\"");
    // What is no value is told, and nothing is written.
    let wrong = desk.send("/fact", &borrowed(&with(&form, "value", "12 cubits\"")));
    assert_eq!(wrong.status, 200, "{}", wrong.body);
    assert!(!wrong.body.contains("action=\"/fact-save\""), "{}", wrong.body);
    let tried = desk.send("/fact", &borrowed(&with(&form, "value", "12 ft"))).body;
    assert!(tried.contains("twelve feet") && tried.contains("sentences change"), "{tried}");
    assert!(files(&folder) == before, "looking writes nothing");
    let save = fields(&tried, "action=\"/fact-save\"");
    // A lesson that was changed meanwhile is looked at again first.
    let other = desk.send("/fact-save", &borrowed(&with(&save, "count", "0")));
    assert!(other.status == 409 && files(&folder) == before, "{}", other.body);
    let saved = desk.send("/fact-save", &borrowed(&save));
    assert_eq!(saved.status, 303, "{}", saved.body);
    let after = files(&folder);
    let changed: Vec<&Path> =
        after.iter().zip(&before).filter(|(now, was)| now != was).map(|(now, _)| now.0.as_path()).collect();
    assert!(changed.len() > 1 && changed.iter().any(|path| path.ends_with("facts.toml")), "{changed:?}");
    assert!(changed.iter().all(|path| !path.to_string_lossy().contains("people")), "{changed:?}");
    let page = desk.get(saved.header("location").unwrap()).body;
    let undone = desk.send("/fact-undo", &borrowed(&fields(&page, "action=\"/fact-undo\"")));
    assert_eq!(undone.status, 303, "{}", undone.body);
    assert!(files(&folder) == before, "the files are not as they were");
}

/// A name in two columns, and an event over two days with a column for each.
#[test]
fn names_in_parts_and_events_over_days_are_written_where_they_stand() {
    let folder = program("event,First name,Last name,Day 1,Day 2,email\n");
    let settings = folder.path().join("program.toml");
    let text_of = fs::read_to_string(&settings).unwrap();
    let event = text_of.split("[[events]]").nth(1).unwrap();
    let id = event.split("id = \"").nth(1).unwrap().split('"').next().unwrap();
    let date = event.split("date = ").nth(1).unwrap().lines().next().unwrap().trim();
    let day: jiff::civil::Date = date.parse().unwrap();
    let days = format!("days = [{day}, {}]", day.tomorrow().unwrap());
    fs::write(&settings, text_of.replacen(&format!("date = {date}"), &days, 1)).unwrap();
    let list = format!("event,First name,Last name,Day 1,Day 2,email\n{id},Ada,Vell,,,\n{id},Bo,Tarn,x,x,\n");
    fs::write(folder.path().join(ROSTER), &list).unwrap();
    let desk = Desk::open(folder.path());
    let page = desk.get(&format!("/event/{id}")).body;
    // The boxes of a row are its days, in their order; each is ticked in the word of its column.
    let second = page.split("<form").filter(|form| form.contains("Ada Vell: came on")).nth(1).unwrap();
    let tick = fields(&format!("<form{second}"), "/tick");
    assert_eq!(desk.send("/tick", &borrowed(&tick)).status, 303);
    let ticked = list.replace("Ada,Vell,,,", "Ada,Vell,,x,");
    assert_eq!(text(&roster(&folder)), ticked);
    let form = with(&fields(&desk.get("/row/2").body, "name=\"c2\""), "c2", "Vella");
    assert_eq!(desk.send("/mend", &borrowed(&form)).status, 303);
    assert_eq!(text(&roster(&folder)), ticked.replace("Vell,", "Vella,"));
    // Without any part of a name nothing is written.
    let empty = with(&with(&form, "c1", ""), "c2", " ");
    assert_eq!(desk.send("/mend", &borrowed(&empty)).status, 400);
    assert_eq!(text(&roster(&folder)), ticked.replace("Vell,", "Vella,"));
}
