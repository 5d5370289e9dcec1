//! The commands as a new user meets them: what they read, and what they say of what is wrong.

use std::io::Write;
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
