//! Figures of single calculations, worked outside and held against the program's answers.

use hosewright::hydraulics::darcy_weisbach::{Liquid, Straight, straight_loss};
use hosewright::hydraulics::friction::{Regime, darcy};
use serde_json::Value;

use super::Bench;

/// Rows of numbers of an oracle file, below its comment and its head.
fn rows(text: &str) -> Vec<Vec<f64>> {
    let number = |cell: &str| cell.parse().unwrap_or(f64::NAN);
    let lines = text.lines().filter(|l| !l.starts_with('#')).skip(1);
    lines.map(|l| l.split(',').map(number).collect()).collect()
}

fn near(found: &Value, known: f64, share: f64, what: &str) {
    let found = found.as_f64().unwrap_or(f64::NAN);
    assert!((found - known).abs() <= share * known.abs(), "{what}: {found}, not {known}");
}

#[test]
fn friction_factors_agree_with_fifty_digit_arithmetic() {
    let bench = Bench::new();
    let rows = rows(include_str!("../oracle/friction.csv"));
    assert_eq!(rows.len(), 300);
    for (index, row) in rows.iter().enumerate() {
        // Twelve digits: far beyond any use, and above the noise of text and arithmetic.
        let found = darcy(row[0], row[1]).unwrap();
        assert_eq!(found.regime, Regime::of(row[0]));
        near(&found.factor.into(), row[2], 1e-12, &format!("{row:?}"));
        if index % 30 == 7 {
            let (reynolds, ratio) = (row[0].to_string(), row[1].to_string());
            let run = bench.run_args(&[
                "quick",
                "friction",
                "--reynolds",
                &reynolds,
                "--roughness-ratio",
                &ratio,
                "--format",
                "json",
            ]);
            near(&run.json()["friction_factor"], row[2], 1e-12, &format!("{row:?} by command"));
        }
    }
}

#[test]
fn pressure_drops_agree_with_an_independent_library() {
    let bench = Bench::new();
    let rows = rows(include_str!("../oracle/drop.csv"));
    assert!(rows.len() >= 60);
    for (index, row) in rows.iter().enumerate() {
        let run =
            Straight { bore_m: row[0], length_m: row[1], roughness_m: row[5], loss_sum: row[6] };
        let liquid = Liquid { density_kg_m3: row[3], viscosity_pa_s: row[4] };
        // The library solves for friction to about 2e-12 (tests/oracle/README.md).
        let loss = straight_loss(&run, &liquid, row[2]).unwrap();
        near(&loss.drop_pa.into(), row[10], 1e-10, &format!("{row:?}"));
        if index % 6 == 1 {
            let found = drop_by_command(&bench, row);
            near(&found["velocity_m_s"], row[7], 1e-10, &format!("{row:?} by command"));
            near(&found["reynolds"], row[8], 1e-10, &format!("{row:?} by command"));
            near(&found["friction_factor"], row[9], 1e-10, &format!("{row:?} by command"));
            near(&found["drop_kpa"], row[10] / 1e3, 1e-10, &format!("{row:?} by command"));
        }
    }
}

fn drop_by_command(bench: &Bench, row: &[f64]) -> Value {
    let text = |index: usize, unit: &str| format!("{} {unit}", row[index]);
    let run = bench.run_args(&[
        "quick",
        "drop",
        "--bore",
        &text(0, "m"),
        "--length",
        &text(1, "m"),
        "--flow",
        &text(2, "m3/s"),
        "--density",
        &text(3, "kg/m3"),
        "--viscosity",
        &text(4, "Pa s"),
        "--roughness",
        &text(5, "m"),
        "--loss-sum",
        &row[6].to_string(),
        "--format",
        "json",
    ]);
    assert_eq!(run.status, 0, "{}", run.err);
    run.json()
}

#[test]
fn a_bore_found_for_a_drop_gives_that_drop_back() {
    let bench = Bench::new();
    let line = ["--length", "3 m", "--flow", "20 L/min", "--density", "870 kg/m3"];
    let oil = ["--kinematic", "32 mm2/s", "--format", "json"];
    let bore = [&["quick", "bore", "--drop", "15 kPa"][..], &line, &oil].concat();
    let found = bench.run_args(&bore).json();
    let text = format!("{} mm", found["bore_mm"]);
    let drop = [&["quick", "drop", "--bore", text.as_str()][..], &line, &oil].concat();
    // The search closes its bracket to 1e-12 of the bore, and the drop goes with its fourth power.
    near(&bench.run_args(&drop).json()["drop_kpa"], 15.0, 1e-9, "drop");
}

#[test]
fn the_hose_of_the_story_is_cut_at_467_mm_and_ends_up_515_mm_long() {
    let bench = Bench::new();
    let path =
        ["quick", "length", "--path", "486 mm", "--cut-off-a", "24 mm", "--cut-off-b", "24 mm"];
    let of =
        |more: &[&str]| bench.run_args(&[&path[..], more, &["--format", "json"]].concat()).json();
    // 486 / (1 - 0.056) - 48 = 466.8, to the next millimetre 467; slack 29 of 515.
    let story = of(&["--slack", "5.6 %"]);
    assert_eq!(
        (story["cut_mm"].as_f64(), story["assembly_mm"].as_f64()),
        (Some(467.0), Some(515.0))
    );
    near(&story["slack_percent"], 100.0 * 29.0 / 515.0, 1e-12, "slack");
    // Four percent off the bare hose: 467 x 0.96 + 48.
    near(&story["pressure_shortest_mm"], 496.32, 1e-12, "shortest under pressure");
    // The rule's least: 486 / 0.95 - 48 = 463.58, to the next millimetre 464.
    assert_eq!(of(&[])["cut_mm"].as_f64(), Some(464.0));
    // Cut in steps of 5 mm: 465.
    assert_eq!(of(&["--step", "5 mm"])["cut_mm"].as_f64(), Some(465.0));
    let text = bench.run_args(&[&path[..], &["--slack", "5.6 %"]].concat()).words();
    assert!(text.contains("467 mm") && text.contains("515 mm"), "{text}");
}

#[test]
fn a_hose_pushed_over_its_spigots_is_cut_longer_than_the_assembly() {
    let bench = Bench::new();
    let run = bench.run_args(&[
        "quick",
        "length",
        "--path",
        "300 mm",
        "--cut-off-a",
        "-25 mm",
        "--cut-off-b",
        "-30 mm",
        "--slack",
        "5 %",
        "--format",
        "json",
    ]);
    // 300 / 0.95 + 55 = 370.79, to the next millimetre.
    assert_eq!(run.json()["cut_mm"].as_f64(), Some(371.0));
}

#[test]
fn a_working_pressure_follows_its_curve_and_stays_open_without_one() {
    let bench = Bench::new();
    let curve = ["--rated", "10 bar", "--curve", "20 degC=100 %, 120 degC=60 %"];
    let at = |t: &str| {
        let args = [&["quick", "derate"][..], &curve, &["--temperature", t, "--format", "json"]];
        bench.run_args(&args.concat())
    };
    // Half way along the curve: 80 % of 1000 kPa.
    near(&at("70 degC").json()["derated_kpa"], 800.0, 1e-12, "half way");
    near(&at("20 degC").json()["derated_kpa"], 1000.0, 1e-12, "cold");
    assert_eq!(at("130 degC").status, 2, "beyond the curve nothing is promised");

    let hose = |name: &str, t: &str| {
        bench.run_args(&["quick", "derate", "--hose", name, "--temperature", t, "--format", "json"])
    };
    // J517 says the rating holds over the whole range: 2000 psi = 13789.5146 kPa.
    near(
        &hose("sae-100r1at -8", "90 degC").json()["derated_kpa"],
        13_789.514_6,
        1e-8,
        "whole range",
    );
    assert_eq!(hose("sae-100r1at -8", "101 degC").status, 2, "hotter than the hose may be");
    let open = hose("mil-h-8794 -8", "100 degC");
    assert_eq!(open.status, 2);
    assert!(open.out.contains("open") && open.out.contains("must not meet"), "{}", open.out);
}

#[test]
fn between_laminar_and_turbulent_the_answer_is_a_band() {
    let bench = Bench::new();
    let found = bench.run("quick friction --reynolds 3000 --format json").json();
    assert_eq!(found["regime"], "transition");
    let number = |key: &str| found[key].as_f64().unwrap_or(f64::NAN);
    assert!(number("friction_factor_low") < number("friction_factor"));
    assert!(number("friction_factor") < number("friction_factor_high"));
    let laminar = bench.run("quick friction --reynolds 1000 --format json").json();
    near(&laminar["friction_factor"], 0.064, 1e-15, "64/Re");
}

#[test]
fn stiffness_from_an_overhang_is_that_of_the_plain_formula_at_its_angle() {
    let bench = Bench::new();
    let hose = ["quick", "stiffness", "--overhang", "600 mm", "--format", "json"];
    let of = |more: &[&str]| bench.run_args(&[&hose[..], more].concat()).json();
    // At 41.5 degrees EI = w (L / 2)^3, within 0.1 %.
    let weight = 0.35 * 9.80665;
    let angle = of(&["--mass", "0.35 kg/m", "--angle", "41.5 deg"]);
    near(&angle["stiffness_n_m2"], weight * 0.3 * 0.3 * 0.3, 1e-3, "plain formula");
    near(&angle["load_number"], 8.0042, 1e-4, "load number");
    // Small droop: EI = w L^4 / (8 droop), and P L^3 / (3 droop) for a load at the tip.
    let droop = of(&["--mass", "0.35 kg/m", "--droop", "6 mm"]);
    near(&droop["stiffness_n_m2"], weight * 0.6_f64.powi(4) / 0.048, 1e-2, "small droop");
    let tip = of(&["--tip-mass", "200 g", "--droop", "6 mm"]);
    near(&tip["stiffness_n_m2"], 0.2 * 9.80665 * 0.6_f64.powi(3) / 0.018, 1e-2, "tip load");
    // A curl that adds on one side takes away on the other.
    let turned = of(&["--mass", "0.35 kg/m", "--droop", "9 mm", "--turned", "3 mm"]);
    assert_eq!(turned["stiffness_n_m2"], droop["stiffness_n_m2"]);
}
