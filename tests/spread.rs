//! What `±` does to the results: closed forms, direct evaluation at the ends, the same bytes every time.

#![expect(clippy::panic, reason = "a plan that is not read fails its test")]

use std::sync::Arc;

use hosewright::assess::spread::{Moved, Settings, Spread, spread};
use hosewright::assess::{Assessment, read_and_assess};
use hosewright::diagnostic::SourceText;
use hosewright::finding::Verdict;
use hosewright::table::Tables;

use crate::commands::Bench;

const BENCH: &str = include_str!("plans/good/bench.toml");
const COOLING: &str = include_str!("stories/cooling/plan.toml");
const PETROL: &str = include_str!("plans/good/petrol.toml");
/// A hose of which everything is typed in.
const OWN: &str = "[[hose]]\nid = \"own\"\nbore = \"BORE\"\noutside = \"14 mm\"\nworking = \"20 bar\"\n\
burst = \"80 bar\"\nbend_radius = \"60 mm\"\nbend_to = \"centre-line\"\nliner = \"NBR\"\nsurface = \"smooth rubber hose\"\nsource = \"invented\"\nstanding = \"demo\"\n\n";
/// Half-width of a rectangular distribution over its standard deviation, squared: 3.
/// JCGM 100:2008, 4.3.7 (from memory).
const RECTANGULAR: f64 = 3.0;

fn replaced(text: &str, parts: &[(&str, &str)]) -> String {
    parts.iter().fold(text.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    })
}

fn file(text: &str) -> Arc<SourceText> {
    SourceText::new("plan.toml", text)
}

fn assessed(text: &str) -> Assessment {
    read_and_assess(&file(text), &Tables::builtin()).unwrap_or_else(|p| panic!("{}", p[0].message))
}

fn spread_of(text: &str, samples: u32) -> Spread {
    let settings = Settings { samples, strict: false };
    spread(&file(text), &Tables::builtin(), &assessed(text), settings)
}

fn moved<'s>(spread: &'s Spread, code: &str) -> &'s Moved {
    spread.moved.iter().find(|m| m.key.code == code).unwrap_or_else(|| panic!("no {code}"))
}

fn value(assessment: &Assessment, code: &str) -> f64 {
    let found = assessment.findings.iter().find(|f| f.code == code);
    found.and_then(|f| f.value).unwrap_or_else(|| panic!("no number for {code}"))
}

fn near(found: f64, known: f64, share: f64, what: &str) {
    assert!((found - known).abs() <= share * known.abs(), "{what}: {found}, not {known}");
}

/// The bench with two losses of given drops in its line, so that the drop of the line is linear in both.
fn two_losses(first: &str, second: &str) -> String {
    let loss = |what: &str, drop: &str| {
        format!(
            "{{ what = \"{what}\", drop = \"{drop}\", at_flow = \"90 L/h\", law = \"square\" }}"
        )
    };
    let losses = format!("losses = [{}, {}]", loss("filter", first), loss("meter", second));
    replaced(BENCH, &[("slack   = \"5 %\"", &format!("slack = \"5 %\"\n{losses}"))])
}

/// The bench with a hose of a bore.
fn with_bore(bore: &str, flow: &str) -> String {
    let hose = OWN.replace("BORE", bore);
    let head = "[[component]]\nid   = \"TANK\"";
    replaced(
        BENCH,
        &[
            (head, &format!("{hose}{head}")),
            (
                "hose    = \"demo-oil-braid\"\nsize    = \"-6\"",
                "hose    = \"own\"\nsize    = \"-6\"",
            ),
            ("of     = \"demo-oil-braid -6\"", "of     = \"own\""),
            ("\"90 L/h\"", &format!("\"{flow}\"")),
        ],
    )
}

#[test]
fn two_linear_inputs_spread_as_the_closed_form_says() {
    // Amounts of 0.3 and 0.4 kPa: at the worst 0.7 kPa to either side; variance (0.09 + 0.16)/3; shares
    // 36 % and 64 %.
    let samples = 4000;
    let spread = spread_of(&two_losses("2 kPa ± 0.3 kPa", "1 kPa ± 0.4 kPa"), samples);
    let drop = moved(&spread, "hydraulics.pressure-drop");
    let nominal = drop.nominal.value.expect("a drop");
    let [low, high] = drop.worst_case.expect("a worst case");
    near(low, nominal - 0.7, 1e-9, "low");
    near(high, nominal + 0.7, 1e-9, "high");
    assert!(!drop.beyond);
    let found = drop.sampled.statistics.expect("statistics");
    let deviation = (0.25_f64 / RECTANGULAR).sqrt();
    // Four standard errors: of the mean s/sqrt(n), of the deviation less than s/sqrt(2 n).
    let n = f64::from(samples);
    assert!((found.mean - nominal).abs() < 4.0 * deviation / n.sqrt(), "{found:?} of {nominal}");
    near(found.deviation, deviation, 4.0 / (2.0 * n).sqrt(), "standard deviation");
    // The sum of two rectangular distributions is trapezoidal: its upper end falls off as
    // (0.7 - x)^2 / (2 * 0.6 * 0.8), which is 5 % at x = 0.7 - sqrt(0.048).
    let edge = 0.7 - 0.048_f64.sqrt();
    near(found.high - nominal, edge, 0.05, "upper quantile");
    near(nominal - found.low, edge, 0.05, "lower quantile");
    let shares: Vec<f64> = drop.shares.iter().map(|(_, share)| *share).collect();
    near(shares[0], 0.64, 1e-6, "first share");
    near(shares[1], 0.36, 1e-6, "second share");
    assert_eq!(drop.dominating(), Some(1));
    assert_eq!(spread.inputs[1].what, "line F1 losses meter drop");
    assert_eq!(spread.inputs[1].written, "1 kPa ± 0.4 kPa");
    assert_eq!((spread.read, spread.samples), (samples, samples));
}

#[test]
fn one_linear_input_gives_a_rectangular_result() {
    // Velocity is flow over area: 10 % of the one is 10 % of the other, with a deviation of 10 %/sqrt(3)
    // and 90 % of the samples within 9 %.
    let samples = 2000;
    let text = replaced(BENCH, &[("\"90 L/h\"", "\"90 L/h ± 10 %\"")]);
    let spread = spread_of(&text, samples);
    let velocity = moved(&spread, "hydraulics.velocity");
    let nominal = velocity.nominal.value.expect("a velocity");
    let [low, high] = velocity.worst_case.expect("a worst case");
    near(low, 0.9 * nominal, 1e-12, "low");
    near(high, 1.1 * nominal, 1e-12, "high");
    let found = velocity.sampled.statistics.expect("statistics");
    near(found.deviation, 0.1 * nominal / RECTANGULAR.sqrt(), 0.06, "standard deviation");
    near(found.low, 0.91 * nominal, 0.01, "5 %");
    near(found.high, 1.09 * nominal, 0.01, "95 %");
    assert_eq!(velocity.shares, [(0, 1.0)]);
}

#[test]
fn a_bore_spreads_into_the_drop_as_direct_evaluation_does() {
    for (flow, regime) in [("60 L/h", "laminar"), ("600 L/h", "turbulent")] {
        let spread = spread_of(&with_bore("8 mm ± 0.2 mm", flow), 100);
        let drop = moved(&spread, "hydraulics.pressure-drop");
        let [low, high] = drop.worst_case.expect("a worst case");
        let (narrow, wide) =
            (assessed(&with_bore("7.8 mm", flow)), assessed(&with_bore("8.2 mm", flow)));
        near(high, value(&narrow, "hydraulics.pressure-drop"), 1e-12, regime);
        near(low, value(&wide, "hydraulics.pressure-drop"), 1e-12, regime);
        assert_eq!(drop.dominating(), Some(0));
        // Friction at a given flow goes with the bore to the power of -4 where it is laminar (Hagen and
        // Poiseuille) and -4.75 in a smooth bore where it is turbulent (Blasius); common knowledge.
        let wall =
            |a: &Assessment| a.facts.lines[0].duties[0].flow.as_ref().expect("flow").losses.wall_pa;
        let power = -libm::log(wall(&narrow) / wall(&wide)) / libm::log(7.8 / 8.2);
        let known = if regime == "laminar" { 4.0..4.000_1 } else { 4.6..4.9 };
        assert!(known.contains(&(power + 1e-6)), "{regime}: {power}");
    }
}

#[test]
fn the_dominating_input_is_the_one_to_measure_next_and_is_named() {
    let bench = Bench::new();
    bench.write("two.toml", &two_losses("20 kPa ± 40 %", "1 kPa ± 1 %"));
    let run = bench.run("check two.toml --spread --all");
    let words = run.words();
    assert!(words.contains("most from line F1 losses filter drop (100 %)"), "{words}");
    assert!(words.contains("measure next: line F1 losses filter drop"), "{words}");
    let json = bench.run("check two.toml --spread --format json").json();
    assert_eq!(json["spread"]["measure_next"], "line F1 losses filter drop");
}

#[test]
fn the_same_plan_gives_the_same_bytes_on_one_core_and_on_many() {
    let bench = Bench::new();
    bench.write("petrol.toml", PETROL);
    for format in ["text", "json", "csv"] {
        let args =
            ["check", "petrol.toml", "--spread", "--samples", "40", "--all", "--format", format];
        let first = bench.run_args(&args);
        assert!(first.out.len() > 500, "{}", first.err);
        assert_eq!(first.out, bench.run_args(&args).out, "{format}");
        let mut alone = bench.command(&args);
        alone.env("RAYON_NUM_THREADS", "1");
        let alone = crate::commands::finish(alone.output());
        assert_eq!(first.out, alone.out, "{format}");
    }
}

#[test]
fn a_bore_that_vanishes_is_reported_and_not_dropped() {
    let text = with_bore("8 mm ± 9 mm", "60 L/h");
    let spread = spread_of(&text, 200);
    let input = &spread.inputs[0];
    assert!(input.refused[0].is_some() && input.what == "hose own bore", "{input:?}");
    let unread: usize = spread.unread.iter().map(|l| l.count).sum();
    assert!(unread > 0 && spread.read > 0);
    assert_eq!(unread + spread.read as usize, 200);
    let drop = moved(&spread, "hydraulics.pressure-drop");
    assert_eq!((drop.worst_case, drop.lost_at.as_slice()), (None, &[0][..]));

    let bench = Bench::new();
    bench.write("thin.toml", &text);
    let words = bench.run("check thin.toml --spread").words();
    assert!(words.contains("hose own bore at its lower end is no plan any more"), "{words}");
    assert!(words.contains(&format!("{unread} of 200 samples were no plan any more")), "{words}");
    let json = bench.run("check thin.toml --spread --format json").json();
    assert_eq!(json["spread"]["samples_not_read"][0]["count"], spread.unread[0].count);
    assert!(json["spread"]["inputs"][0]["refused_low"].is_string());
}

#[test]
fn a_result_that_fails_in_the_worst_case_only_is_found_and_counts_when_strict() {
    // The limit of the drop lies between the nominal drop and the worst one.
    let limited = |second: &str| {
        let text = two_losses("2 kPa ± 0.3 kPa", second);
        let plain = spread_of(&text, 20);
        let nominal = moved(&plain, "hydraulics.pressure-drop").nominal.value.expect("a drop");
        let limit = format!("drop_limit = \"{:.4} kPa\"\nlosses", nominal + 0.6);
        replaced(&text, &[("losses", &limit)])
    };
    let spread = spread_of(&limited("1 kPa ± 0.4 kPa"), 400);
    let drop = moved(&spread, "hydraulics.pressure-drop");
    assert!(drop.changes() && drop.worst == Some(Verdict::Fail), "{drop:?}");
    assert_eq!(spread.worst(), Verdict::Fail);
    // Beyond 0.6 of 0.7: (0.7 - 0.6)^2 / (2 * 0.6 * 0.8) = 1.04 % of the samples.
    let chance = drop.sampled.fail.expect("a chance");
    assert!((chance - 0.0104).abs() < 0.02, "{chance}");
    let kept = drop.sampled.kept.expect("a share");
    near(kept + chance, 1.0, 1e-12, "kept and failed");
    // With less to be wrong by, the limit is kept in every run.
    let surer = spread_of(&limited("1 kPa ± 0.2 kPa"), 400);
    let drop = moved(&surer, "hydraulics.pressure-drop");
    assert_eq!((drop.sampled.fail, drop.worst != Some(Verdict::Fail)), (Some(0.0), true));

    let bench = Bench::new();
    bench.write("near.toml", &limited("1 kPa ± 0.4 kPa"));
    assert_eq!(bench.run("check near.toml --spread").status, bench.run("check near.toml").status);
    assert_eq!(bench.run("check near.toml --spread --strict").status, 1);
    let words = bench.run("check near.toml --spread").words();
    assert!(words.contains("at worst fail") && words.contains("chance to fail"), "{words}");
}

#[test]
fn a_plan_without_an_amount_is_told_how_to_write_one() {
    let bench = Bench::new();
    let words = bench.run("check plan.toml --spread").words();
    assert!(words.contains("No quantity of this plan says how well it is known"), "{words}");
    assert!(words.contains("8 mm ± 0.1 mm"), "{words}");
    let json = bench.run("check plan.toml --spread --format json").json();
    assert_eq!(json["spread"]["inputs"].as_array().map(Vec::len), Some(0));
    assert!(bench.run("check plan.toml --format json").json()["spread"].is_null());
    assert_eq!(bench.run("check plan.toml --spread --format csv").csv().len(), 1);
}

#[test]
fn a_number_of_samples_that_makes_no_sense_is_refused() {
    let bench = Bench::new();
    for wrong in ["0", "19", "100001", "-5", "many", "2e2", "1.5", "99999999999999999999", ""] {
        let samples = format!("--samples={wrong}");
        let run = bench.run_args(&["check", "plan.toml", "--spread", &samples]);
        assert_eq!(run.status, 2, "{wrong}");
        assert!(run.err.contains("20 to 100000") || wrong.is_empty(), "{wrong}: {}", run.err);
    }
    let alone = bench.run("check plan.toml --samples 50");
    assert_eq!(alone.status, 2);
    assert!(alone.err.contains("--spread"), "{}", alone.err);
}

#[test]
fn the_spread_is_explained() {
    let words = Bench::new().run("explain uncertainty").words();
    for part in ["rectangular distribution", "linear worst case", "JCGM 100:2008, 4.3.7"] {
        assert!(words.contains(part), "{part}: {words}");
    }
}

#[test]
fn where_the_network_has_no_answer_the_runs_are_counted_and_no_worst_case_is_claimed() {
    // The radiator's curve ends at 67 L/min, a little above the flow as planned; a stronger pump passes it.
    let radiator = "drop = \"50 kPa\", at_flow = \"100 L/min\", law = \"square\", effectiveness";
    let curve = "curve = [[\"0 L/min\", \"0 kPa\"], [\"50 L/min\", \"12.5 kPa\"], [\"67 L/min\", \"22.4 kPa\"]], effectiveness";
    let text =
        replaced(COOLING, &[(radiator, curve), ("rest = \"90 kPa\"", "rest = \"90 kPa ± 15 %\"")]);
    let spread = spread_of(&text, 60);
    let case = "open, bypass shut";
    let lost = spread.unsolved.iter().find(|l| l.what == format!("coolant in {case}"));
    let lost = lost.expect("runs without an answer");
    assert!(lost.count > 5 && lost.why.contains("RAD") && lost.why.contains("curve"), "{lost:?}");
    let of = |code: &str, place: &str, case: &str| {
        let is = |m: &&Moved| {
            m.key.code == code && m.key.place == place && m.case.as_deref() == Some(case)
        };
        spread.moved.iter().find(is).unwrap_or_else(|| panic!("no {code} of {place} in {case}"))
    };
    let flow = of("path-flow", "RAD IN-OUT", case);
    assert_eq!((flow.worst_case, flow.lost_at.as_slice()), (None, &[0][..]));
    assert!((5..60).contains(&flow.sampled.without_number), "{flow:?}");
    // Where it has one in every run: q2 = rest / ((rest - 30 kPa)/(100 L/min)2 + all that resists), which
    // follows from the two square laws; what resists comes from the flow as planned.
    let shut = of("path-flow", "WP IN-OUT", "thermostat shut");
    let hundreds = shut.nominal.value.expect("a flow") / 100.0;
    let resists = 90.0 / (hundreds * hundreds) - 60.0;
    let flow = |rest: f64| 100.0 * (rest / (rest - 30.0 + resists)).sqrt();
    let [low, high] = shut.worst_case.expect("a worst case");
    near(low, flow(76.5), 1e-6, "low");
    near(high, flow(103.5), 1e-6, "high");
    assert_eq!(spread.read, 60);
}
