//! Licences of all that is built in or built with: each crate allows one of those that may be passed on with ours.

#![expect(clippy::expect_used, reason = "a test that cannot go on must fail loudly")]

use std::process::Command;

use serde_json::Value;

use super::root;

/// Licences that ask for no more than their own text.
const ALLOWED: &[&str] = &[
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Whether an SPDX expression can be met with the allowed licences; `A/B` is an old spelling of `A OR B`.
fn is_met(expression: &str) -> bool {
    let spaced = expression.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut at = 0;
    either(&words, &mut at) && at == words.len()
}

fn either(words: &[&str], at: &mut usize) -> bool {
    let mut met = all(words, at);
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        // Read to its end also where the first is met.
        let other = all(words, at);
        met |= other;
    }
    met
}

fn all(words: &[&str], at: &mut usize) -> bool {
    let mut met = one(words, at);
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        let other = one(words, at);
        met &= other;
    }
    met
}

fn one(words: &[&str], at: &mut usize) -> bool {
    let Some(word) = words.get(*at) else { return false };
    *at += 1;
    if *word == "(" {
        let met = either(words, at);
        let closed = words.get(*at) == Some(&")");
        *at += usize::from(closed);
        return met && closed;
    }
    if words.get(*at) == Some(&"WITH") {
        let exception = words.get(*at + 1).copied().unwrap_or_default();
        *at += 2;
        let whole = format!("{word} WITH {exception}");
        return ALLOWED.contains(&whole.as_str()) || ALLOWED.contains(word);
    }
    ALLOWED.contains(word)
}

#[test]
fn expressions_are_read_as_they_are_meant() {
    for met in ["MIT", "MIT OR GPL-3.0", "(MIT OR GPL-3.0) AND Unicode-3.0", "Apache-2.0/MIT"] {
        assert!(is_met(met), "{met}");
    }
    for not in ["GPL-3.0", "MIT AND GPL-3.0", "MIT AND (GPL-3.0 OR LGPL-3.0)", "", "MIT MIT"] {
        assert!(!is_met(not), "{not}");
    }
    assert!(is_met("Apache-2.0 WITH LLVM-exception"));
}

/// The machine that this compiler builds for.
fn host() -> String {
    let output = Command::new("rustc").arg("-vV").output().expect("the compiler answers");
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let host = text.lines().find_map(|line| line.strip_prefix("host: "));
    host.expect("the compiler names its host").to_owned()
}

#[test]
fn every_crate_allows_a_licence_that_may_be_passed_on() {
    let cargo = option_env!("CARGO").unwrap_or("cargo");
    let mut command = Command::new(cargo);
    command.args(["metadata", "--format-version", "1", "--locked"]);
    // Crates for other machines may not be here; `FULL=1` asks for them over the network.
    if std::env::var_os("FULL").is_none() {
        command.args(["--offline", "--filter-platform", &host()]);
    }
    let output = command.current_dir(root()).output().expect("cargo answers");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let data: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let packages = data["packages"].as_array().expect("packages");
    assert!(packages.len() > 100, "only {} packages", packages.len());
    let mut wrong = Vec::new();
    for package in packages {
        let licence = package["license"].as_str().unwrap_or_default();
        if !is_met(licence) {
            wrong.push(format!("{} {}: \"{licence}\"", package["name"], package["version"]));
        }
    }
    assert!(wrong.is_empty(), "not among the allowed licences:\n{}", wrong.join("\n"));
}
