//! Published problems in flow, worked by the kernels and held against the answers in print.

use std::collections::{BTreeMap, BTreeSet};

use serde::Deserialize;

use super::compared::Compared;

#[path = "hydraulics/bore.rs"]
mod bore;
#[path = "hydraulics/calls.rs"]
mod calls;
#[path = "hydraulics/laws.rs"]
mod laws;
#[path = "hydraulics/leak.rs"]
mod leak;
#[path = "hydraulics/networks.rs"]
mod networks;
#[path = "hydraulics/oracle.rs"]
mod oracle;
#[path = "hydraulics/problems.rs"]
mod problems;
#[path = "hydraulics/refusals.rs"]
mod refusals;
#[path = "hydraulics/si.rs"]
mod si;
#[path = "hydraulics/unsteady.rs"]
mod unsteady;
#[path = "hydraulics/zeros.rs"]
mod zeros;

/// The files of cases, each read when the test is built.
const FILES: [&str; 10] = [
    include_str!("hydraulics/laminar.toml"),
    include_str!("hydraulics/turbulent.toml"),
    include_str!("hydraulics/moody-readings.toml"),
    include_str!("hydraulics/local-losses.toml"),
    include_str!("hydraulics/gravity-and-suction.toml"),
    include_str!("hydraulics/surge.toml"),
    include_str!("hydraulics/curved.toml"),
    include_str!("hydraulics/unsteady.toml"),
    include_str!("hydraulics/networks.toml"),
    include_str!("hydraulics/leak.toml"),
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CaseFile {
    case: Vec<Case>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    id: String,
    topic: String,
    name: String,
    source: Source,
    call: String,
    note: Option<String>,
    given: BTreeMap<String, (f64, String)>,
    expect: Vec<Expected>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Source {
    document: String,
    place: String,
    url: Option<String>,
    standing: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Expected {
    /// The answer's name in the inventory.
    row: String,
    /// What the kernels are asked for.
    quantity: String,
    unit: String,
    value: f64,
    within: f64,
    /// An independent solution of the same inputs, and how close (relative) the kernels must come to it.
    recomputed: Option<f64>,
    recomputed_within: Option<f64>,
    status: Option<String>,
    printed: Option<f64>,
    differs: Option<String>,
    because: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Inventory {
    topics: BTreeMap<String, Vec<String>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Omissions {
    not_covered: Vec<Omission>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Omission {
    id: String,
    topic: String,
    name: String,
    rows: Vec<String>,
    reason: String,
}

fn cases() -> Result<Vec<Case>, toml::de::Error> {
    let mut all = Vec::new();
    for text in FILES {
        all.extend(toml::from_str::<CaseFile>(text)?.case);
    }
    Ok(all)
}

fn omissions() -> Result<Vec<Omission>, toml::de::Error> {
    toml::from_str::<Omissions>(include_str!("hydraulics/not-covered.toml"))
        .map(|read| read.not_covered)
}

/// The kernels' answer in the unit of the source.
fn found(case: &Case, expected: &Expected) -> calls::Answer {
    let given = si::Given::new(&case.given)?;
    Ok(calls::answer(&case.call, &given, &expected.quantity)? / si::factor(&expected.unit)?)
}

/// Every answer of every case beside what is printed.
pub fn compared() -> Vec<Compared> {
    let one = |case: &Case, expected: &Expected| {
        let ours = found(case, expected).unwrap_or(f64::NAN);
        let differs = expected.printed.zip(expected.differs.as_ref());
        Compared {
            subject: format!("hydraulics/{}", case.topic),
            name: case.name.clone(),
            what: expected.row.clone(),
            unit: expected.unit.clone(),
            printed: expected.value,
            ours,
            within: expected.within,
            because: expected.because.clone(),
            differs: differs.map(|(printed, why)| format!("{printed} is printed: {why}")),
            document: case.source.document.clone(),
            place: case.source.place.clone(),
            url: case.source.url.clone(),
            standing: case.source.standing.clone(),
        }
    };
    let cases = cases().unwrap_or_default();
    cases.iter().flat_map(|case| case.expect.iter().map(move |e| one(case, e))).collect()
}

/// What is wrong with one answer; empty when it stands.
fn faults(case: &Case, expected: &Expected) -> Vec<String> {
    let place = format!("{} ({}) {}", case.id, case.name, expected.row);
    let found = match found(case, expected) {
        Ok(found) => found,
        Err(error) => return vec![format!("{place}: {error}")],
    };
    let mut faults = Vec::new();
    let off = (found - expected.value).abs();
    if !off.is_finite() || off > expected.within {
        faults.push(format!(
            "{place}: {found} {}, expected {} within {}",
            expected.unit, expected.value, expected.within
        ));
    }
    if let (Some(known), Some(share)) = (expected.recomputed, expected.recomputed_within)
        && (found - known).abs() > share * known.abs()
    {
        faults.push(format!("{place}: {found}, worked out independently {known}, share {share}"));
    }
    faults
}

#[test]
fn every_published_problem_comes_out_as_printed() {
    let faults: Vec<String> = cases()
        .unwrap()
        .iter()
        .flat_map(|case| case.expect.iter().flat_map(|expected| faults(case, expected)))
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_answer_row_is_covered_or_listed_with_a_reason() {
    let inventory: Inventory =
        toml::from_str(include_str!("hydraulics/inventory.toml")).expect("the inventory reads");
    let rows_of = |id: &str, rows: Vec<&String>| -> Vec<String> {
        rows.into_iter().map(|row| format!("{id}/{row}")).collect()
    };
    let covered: BTreeSet<String> = cases()
        .unwrap()
        .iter()
        .flat_map(|case| rows_of(&case.id, case.expect.iter().map(|e| &e.row).collect()))
        .collect();
    let listed: BTreeSet<String> = omissions()
        .unwrap()
        .iter()
        .flat_map(|left| rows_of(&left.id, left.rows.iter().collect()))
        .collect();
    let mut problems = Vec::new();
    for (topic, rows) in &inventory.topics {
        let here = rows.iter().filter(|row| covered.contains(*row)).count();
        say(&format!("{topic:<34} {here:>3} of {:>3} rows", rows.len()));
        for row in rows {
            match (covered.contains(row), listed.contains(row)) {
                (false, false) => problems.push(format!("{row}: neither covered nor listed")),
                (true, true) => problems.push(format!("{row}: covered and listed")),
                _ => {}
            }
        }
    }
    let known: BTreeSet<&String> = inventory.topics.values().flatten().collect();
    for row in covered.union(&listed).filter(|row| !known.contains(row)) {
        problems.push(format!("{row}: not in the inventory"));
    }
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

#[expect(
    clippy::disallowed_macros,
    reason = "the count per topic is for the reader of the test's output"
)]
fn say(line: &str) {
    println!("{line}");
}

#[test]
fn every_case_says_where_it_comes_from_and_why_its_tolerance_is_what_it_is() {
    let standings =
        ["read", "cross-checked", "quoted-elsewhere", "from-memory", "common-practice", "demo"];
    for case in cases().unwrap() {
        let id = &case.id;
        assert!(!case.topic.is_empty() && !case.name.is_empty(), "{id}");
        assert!(case.note.as_ref().is_none_or(|n| !n.is_empty()), "{id}");
        let source = &case.source;
        assert!(!source.document.is_empty() && !source.place.is_empty());
        assert!(standings.contains(&source.standing.as_str()), "{id}");
        let url = source.url.as_deref();
        assert!(url.is_none_or(|url| url.starts_with("https://")), "{id}");
        for expected in &case.expect {
            assert!(expected.because.len() > 3 && expected.within > 0.0, "{id} {}", expected.row);
            let wrong = expected.status.as_deref() == Some("printed-wrong");
            assert_eq!(wrong, expected.differs.is_some(), "{id} {}", expected.row);
            assert_eq!(wrong, expected.printed.is_some(), "{id} {}", expected.row);
        }
    }
}

#[test]
fn a_figure_printed_wrong_is_not_what_the_kernels_give() {
    for case in cases().unwrap() {
        for expected in &case.expect {
            if let Some(printed) = expected.printed {
                assert!(
                    (printed - expected.value).abs() > 5.0e-3 * expected.value.abs(),
                    "{} {} is not wrong after all",
                    case.id,
                    expected.row
                );
            }
        }
    }
}

#[test]
fn every_omission_names_its_problem_and_its_reason() {
    for left in omissions().unwrap() {
        let words = [&left.topic, &left.name, &left.reason];
        assert!(words.iter().all(|w| w.len() > 3), "{}", left.id);
        assert!(!left.rows.is_empty(), "{}", left.id);
    }
}
