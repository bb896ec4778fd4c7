//! `hosewright explain`: what a check looks at and where its limit comes from.

use core::fmt::Write;

use serde_json::json;

use super::args::Explain;
use super::table::unknown;
use super::{Answer, Trouble};
use crate::assess::spread::ABOUT as SPREAD;
use crate::check::{About, abouts};
use crate::report::grid::wrapped;
use crate::report::{Format, spreadsheet};

pub fn run(args: &Explain, format: Format, width: usize) -> Result<Answer, Trouble> {
    let all = || abouts().chain([&SPREAD]);
    let codes: Vec<&str> = all().map(|a| a.code).collect();
    let chosen: Vec<&About> = match &args.code {
        None => all().collect(),
        Some(code) => {
            let found = all().find(|a| a.code == code);
            vec![found.ok_or_else(|| unknown("check", code, &codes))?]
        }
    };
    Ok(Answer::plain(match format {
        Format::Json => {
            let list: Vec<_> = chosen
                .iter()
                .map(|a| {
                    json!({
                        "code": a.code, "looks_at": a.looks_at, "why": a.why, "number": a.number,
                        "limit_from": a.limit_from, "open_when": a.open_when, "do": a.remedy,
                    })
                })
                .collect();
            format!("{:#}\n", json!({ "checks": list }))
        }
        Format::Csv => spreadsheet::rows(
            &["code", "looks_at", "why", "number", "limit_from", "open_when", "do"],
            chosen.iter().map(|a| parts(a).iter().map(|(_, text)| (*text).to_owned()).collect()),
        ),
        Format::Text if args.code.is_none() => chosen
            .iter()
            .map(|a| wrapped(&format!("{}: {}", a.code, a.looks_at), width, 0))
            .collect(),
        Format::Text => chosen.iter().map(|a| text(a, width)).collect(),
    }))
}

fn parts(about: &About) -> [(&'static str, &'static str); 7] {
    [
        ("", about.code),
        ("What it looks at", about.looks_at),
        ("Why it matters", about.why),
        ("The number and the limit", about.number),
        ("Where the limit comes from", about.limit_from),
        ("When it cannot be judged", about.open_when),
        ("What to do", about.remedy),
    ]
}

fn text(about: &About, width: usize) -> String {
    let mut out = format!("{}\n", about.code);
    for (heading, body) in parts(about).iter().skip(1) {
        let _ = writeln!(out, "\n{heading}");
        out.push_str(&wrapped(body, width, 2));
    }
    out
}
