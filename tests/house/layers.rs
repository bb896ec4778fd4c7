//! Who may use whom inside the library, held against every path that the sources write.

use super::{read, rust_files};

/// Every top-level module with the modules it may use, lowest first.
///
/// An arrow leads upwards in this list only, so no circle can be written down.
const ARROWS: &[(&str, &[&[&str]])] = &[
    ("units", &[]),
    ("source", &[&["units"]]),
    ("finding", &[&["units", "source"]]),
    ("diagnostic", &[&["units", "source"]]),
    ("curve", &[&["units", "source"]]),
    ("document", &[&["units", "diagnostic"]]),
    ("table", &[&["units", "source", "diagnostic", "document", "curve"]]),
    ("plan", &[&["units", "source", "diagnostic", "document", "table"]]),
    ("bounds", &[]),
    ("wide", &[]),
    ("record", &[]),
    ("sweep", &[]),
    ("geometry", &[&["bounds", "wide"]]),
    ("hydraulics", &[&["bounds", "curve", "wide"]]),
    ("rating", &[&["bounds"]]),
    ("heat", &[&["bounds"]]),
    ("uncertainty", &[&["bounds"]]),
    ("makeup", &[&["bounds", "geometry"]]),
    ("identify", &[&["bounds"]]),
    (
        "solve",
        &[&[
            "units",
            "source",
            "curve",
            "table",
            "plan",
            "geometry",
            "hydraulics",
            "rating",
            "heat",
            "makeup",
        ]],
    ),
    (
        "signed",
        &[&["units", "source", "finding", "diagnostic", "table", "plan", "record", "solve"]],
    ),
    ("check", &[&["units", "source", "finding", "table", "plan", "solve", "signed"]]),
    (
        "assess",
        &[&[
            "source",
            "finding",
            "diagnostic",
            "table",
            "plan",
            "uncertainty",
            "solve",
            "signed",
            "check",
        ]],
    ),
    ("size", &[&["units", "finding", "table", "plan", "hydraulics", "solve", "check", "assess"]]),
    (
        "trial",
        &[&[
            "units",
            "source",
            "finding",
            "table",
            "plan",
            "hydraulics",
            "makeup",
            "solve",
            "check",
        ]],
    ),
    (
        "pile",
        &[&[
            "units",
            "source",
            "finding",
            "diagnostic",
            "document",
            "table",
            "plan",
            "identify",
            "solve",
        ]],
    ),
    ("report", &[WRITTEN, &["record", "signed"]]),
    ("book", &[WRITTEN, &["record", "signed", "report"]]),
    (
        "compare",
        &[&[
            "units",
            "finding",
            "diagnostic",
            "table",
            "plan",
            "solve",
            "assess",
            "report",
            "book",
        ]],
    ),
    (
        "built",
        &[&[
            "units",
            "finding",
            "diagnostic",
            "table",
            "plan",
            "record",
            "solve",
            "assess",
            "trial",
            "report",
        ]],
    ),
    (
        "life",
        &[&[
            "units",
            "source",
            "finding",
            "diagnostic",
            "table",
            "plan",
            "record",
            "signed",
            "trial",
            "report",
        ]],
    ),
    ("bench", &[WRITTEN, &["signed", "report", "book"]]),
    (
        "cli",
        &[
            WRITTEN,
            &["record", "signed", "sweep", "report", "book", "compare", "built", "life", "bench"],
        ],
    ),
    ("lib", &[]),
    ("main", &[]),
];

/// What every writer may use: all that was read, calculated and judged.
const WRITTEN: &[&str] = &[
    "units",
    "source",
    "finding",
    "diagnostic",
    "curve",
    "document",
    "table",
    "plan",
    "geometry",
    "hydraulics",
    "rating",
    "heat",
    "uncertainty",
    "makeup",
    "identify",
    "solve",
    "check",
    "assess",
    "size",
    "trial",
    "pile",
];

/// Types of a kernel's answer that a check may name, since facts carry them.
const RESULT_TYPES: &[(&str, &str)] = &[
    ("check", "hydraulics::friction::Regime"),
    ("check", "rating::mating::Mating"),
    ("check", "rating::mating::SpigotFit"),
    ("check", "hydraulics::tank::Outlook"),
];

/// A path that a source file writes, with the line it stands on.
#[derive(Debug, PartialEq)]
struct Used {
    line: usize,
    path: String,
}

/// Every path behind `crate::` in a source text, groups in braces taken apart.
fn used(text: &str) -> Vec<Used> {
    let code = without_comments(text);
    let mut found = Vec::new();
    for (at, word) in code.match_indices("crate::") {
        let before = code[..at].chars().next_back();
        if before.is_some_and(|c| c.is_alphanumeric() || c == '_') {
            continue;
        }
        let line = code[..at].matches('\n').count() + 1;
        let mut paths = Vec::new();
        expand("", &code[at + word.len()..], &mut paths);
        found.extend(paths.into_iter().map(|path| Used { line, path }));
    }
    found
}

/// The text with comments blanked out, line by line, so that places stay true.
fn without_comments(text: &str) -> String {
    let code = |line: &str| match line.find("//") {
        // A link inside a string literal is no comment, and no path of ours either.
        Some(at) if !line[..at].ends_with(':') => line[..at].to_owned(),
        _ => line.to_owned(),
    };
    text.lines().map(code).collect::<Vec<_>>().join("\n")
}

/// Writes out one path, or each path of a group; returns the bytes that were read.
fn expand(prefix: &str, text: &str, paths: &mut Vec<String>) -> usize {
    let name: String = text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
    let after = &text[name.len()..];
    if let Some(rest) = after.strip_prefix("::").filter(|_| !name.is_empty()) {
        return name.len() + 2 + expand(&format!("{prefix}{name}::"), rest, paths);
    }
    if !after.starts_with('{') || !name.is_empty() {
        paths.push(format!("{prefix}{name}"));
        return name.len();
    }
    let mut at = 1;
    while let Some(next) = after[at..].chars().next() {
        match next {
            '}' => return at + 1,
            c if c == ',' || c.is_whitespace() => at += c.len_utf8(),
            _ => at += expand(prefix, &after[at..], paths).max(next.len_utf8()),
        }
    }
    at
}

/// The top-level module of `src/a/b.rs` or `src/a.rs`.
fn module_of(path: &str) -> &str {
    let inside = path.trim_start_matches("src/");
    inside.split('/').next().unwrap_or(inside).trim_end_matches(".rs")
}

fn allowed(module: &str, path: &str) -> bool {
    let target = path.split("::").next().unwrap_or(path);
    let arrows = ARROWS.iter().find(|(m, _)| *m == module).map_or(&[] as &[&[&str]], |(_, a)| a);
    let covers = |whole: &str| path == whole || path.starts_with(&format!("{whole}::"));
    target == module
        || arrows.iter().any(|some| some.contains(&target))
        || RESULT_TYPES.iter().any(|(m, whole)| *m == module && covers(whole))
}

#[test]
fn every_module_uses_only_what_lies_below_it() {
    let mut wrong = Vec::new();
    for file in rust_files(&["src"]) {
        let module = module_of(&file).to_owned();
        for Used { line, path } in used(&read(&file)) {
            if !allowed(&module, &path) {
                wrong.push(format!("{file}:{line}: {module} must not use {path}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_path_climbs_out_of_its_top_level_module() {
    let mut wrong = Vec::new();
    for file in rust_files(&["src"]) {
        let folders = file.matches('/').count();
        let own = usize::from(!file.ends_with("/mod.rs"));
        // src/a/b.rs may climb once, to `a`; src/a.rs and src/a/mod.rs not at all.
        let most = (folders + own).saturating_sub(2);
        for (number, line) in without_comments(&read(&file)).lines().enumerate() {
            // Unit tests live one module deeper and are indented.
            let deeper = usize::from(line.starts_with(' ') && line.contains("super::"));
            if line.contains(&"super::".repeat(most + deeper + 1)) {
                wrong.push(format!("{file}:{}: {}", number + 1, line.trim()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_module_of_the_library_stands_in_the_table() {
    let mut modules: Vec<String> =
        rust_files(&["src"]).iter().map(|f| module_of(f).to_owned()).collect();
    modules.sort();
    modules.dedup();
    let mut listed: Vec<&str> = ARROWS.iter().map(|(m, _)| *m).collect();
    listed.sort_unstable();
    assert_eq!(modules, listed);
}

#[test]
fn arrows_lead_to_modules_above_in_the_list_and_so_never_in_a_circle() {
    for (place, (module, arrows)) in ARROWS.iter().enumerate() {
        for arrow in arrows.iter().copied().flatten() {
            let target = ARROWS.iter().position(|(m, _)| m == arrow);
            assert!(target.is_some_and(|t| t < place), "{module} -> {arrow}");
        }
    }
}

#[test]
fn the_reader_of_paths_sees_groups_nests_and_inline_paths() {
    let text = "use crate::{plan::{Plan, line::Line}, units};\n\
                // use crate::cli;\n\
                fn f() { crate::table::file::read(); my_crate::x(); }\n";
    let paths: Vec<String> = used(text).into_iter().map(|u| u.path).collect();
    assert_eq!(paths, ["plan::Plan", "plan::line::Line", "units", "table::file::read"]);
    assert!(!allowed("units", "plan::Plan"));
    assert!(!allowed("check", "hydraulics::friction::darcy"));
    assert!(allowed("check", "hydraulics::friction::Regime::Laminar"));
}
