//! Which public functions of the kernels no published figure reaches, by their names.

use core::fmt::Write;
use std::collections::{BTreeMap, BTreeSet};

use crate::house::{read, rust_files};

/// Folders and files of the kernels.
const KERNELS: &[&str] =
    &["src/geometry", "src/hydraulics", "src/rating", "src/heat", "src/makeup", "src/identify"];

const INTRODUCTION: &str = "## Public functions of the kernels without a published figure

By name: a function counts as held where a test that compares published figures names it. What another public function
calls is not followed. Those that answers of libraries or other tests hold are told apart from
those that only their own example, or the function that uses them, tries.
";

/// The public functions of a source text, outside its tests, with comments left out.
fn public(text: &str) -> BTreeSet<String> {
    let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
    let lines = code.lines().map(str::trim_start).filter(|line| !line.starts_with("//"));
    let named = lines.filter_map(|line| {
        let rest = line.strip_prefix("pub const fn ").or_else(|| line.strip_prefix("pub fn "))?;
        Some(rest.split(|c: char| !c.is_alphanumeric() && c != '_').next()?.to_owned())
    });
    named.collect()
}

/// Every name in a text.
fn named(text: &str) -> BTreeSet<&str> {
    text.split(|c: char| !c.is_alphanumeric() && c != '_').collect()
}

/// Whether users of the library can name what is public in a file: each module above it is public, or hands out some of it.
fn is_reached(path: &str, sources: &BTreeMap<String, String>) -> bool {
    let inside = path.trim_end_matches(".rs").trim_end_matches("/mod");
    let Some((above, own)) = inside.rsplit_once('/') else { return true };
    let parent = [format!("{above}.rs"), format!("{above}/mod.rs")];
    // A folder of kernels itself is public.
    let Some((name, text)) = parent.iter().find_map(|p| sources.get_key_value(p)) else {
        return true;
    };
    let opened = [format!("pub mod {own};"), format!("pub use {own}::")];
    opened.iter().any(|line| text.contains(line.as_str())) && is_reached(name, sources)
}

fn texts(files: &[String]) -> String {
    files.iter().map(|path| read(path)).collect::<Vec<_>>().join("\n")
}

/// The functions without a figure, in two lists.
pub fn section() -> String {
    let tests = rust_files(&["tests"]);
    let compares = |path: &String| {
        path.starts_with("tests/reference/") && !path.contains("/page") && !path.contains("oracle")
            || path == "tests/fluids.rs"
    };
    let (figures, others): (Vec<String>, Vec<String>) = tests.into_iter().partition(compares);
    let (figures, others) = (texts(&figures), texts(&others));
    let (figures, others) = (named(&figures), named(&others));
    let mut lists = [Vec::new(), Vec::new()];
    let mut total = 0;
    let sources: BTreeMap<String, String> =
        rust_files(KERNELS).into_iter().map(|path| (path.clone(), read(&path))).collect();
    for (path, text) in sources.iter().filter(|(path, _)| is_reached(path, &sources)) {
        let module = path.trim_start_matches("src/").trim_end_matches(".rs").replace("/mod", "");
        for name in public(text) {
            total += 1;
            if !figures.contains(name.as_str()) {
                let list = usize::from(!others.contains(name.as_str()));
                lists[list].push(format!("{module}::{name}").replace('/', "::"));
            }
        }
    }
    let mut out = format!("{INTRODUCTION}\n");
    let held = total - lists[0].len() - lists[1].len();
    let _ = writeln!(out, "{held} of {total} are held by published figures.\n");
    for (list, title) in lists.iter().zip(["Held by other tests", "Held by none of them"]) {
        let _ = writeln!(out, "### {title}: {}\n", list.len());
        for name in list {
            let _ = writeln!(out, "- `{name}`");
        }
        out.push('\n');
    }
    out.trim_end().to_owned() + "\n"
}

#[test]
fn public_functions_and_names_are_seen() {
    let text = "pub fn one() {}\n    pub const fn two(\n// pub fn not() {}\npub(crate) fn no() {}\n\
                #[cfg(test)]\nmod tests;\npub fn three()\n#[cfg(test)]\nmod tests {\npub fn no_more() {}\n";
    assert_eq!(public(text).into_iter().collect::<Vec<_>>(), ["one", "three", "two"]);
    let names = named("let x = one(two::<f64>(3)); y.three; map(four)");
    assert!(["one", "two", "three", "four"].iter().all(|name| names.contains(name)));
}
