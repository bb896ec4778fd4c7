//! Another program timed on the same problems, in the same run.

use std::io::Write as _;
use std::process::{Command, Stdio};

/// The Python interpreter that the command line names.
pub fn python() -> Option<String> {
    std::env::args().skip(1).find(|argument| !argument.starts_with('-'))
}

/// What a script of `tests/oracle` prints when it is given a text.
pub fn answer(python: &str, script: &str, text: &str) -> Option<String> {
    let mut child = Command::new(python)
        .arg(format!("{}/tests/oracle/{script}", env!("CARGO_MANIFEST_DIR")))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .ok()?;
    child.stdin.take()?.write_all(text.as_bytes()).ok()?;
    String::from_utf8(child.wait_with_output().ok()?.stdout).ok()
}
