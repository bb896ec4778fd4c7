//! A dip stick far aft in a lying tank that is parked nose up, and lots poured into it, one height mistyped.

use serde_json::Value;

use super::{bench, item, near, number};

fn asked(more: &[&str]) -> Value {
    let start = ["dip", "plan.toml", "T", "--volumes", "1 L", "--nose-up", "9.5 deg"];
    bench("dip", &[]).run_args(&[&start[..], &["--format", "json"], more].concat()).json()
}

fn dips(report: &Value, attitude: &str) -> Vec<(f64, f64)> {
    let marks = report["marks"].as_array().map_or(&[][..], Vec::as_slice);
    let one = |m: &Value| {
        let reading = item(&m["readings"], "attitude", attitude);
        (number(&reading["dip_mm"]), number(&reading["level_marks_show_l"]))
    };
    marks.iter().map(one).collect()
}

#[test]
fn marks_level_and_parked_nose_up_are_those_of_the_drawing() {
    let report = asked(&[]);
    near("full", number(&report["full_l"]), 7.634, 5e-4);
    let expected = [
        ("level", [34.0, 55.5, 74.8, 93.4, 112.1, 132.0, 155.2]),
        ("nose up 9.5 deg", [44.4, 66.7, 86.3, 105.1, 124.2, 144.4, 169.1]),
    ];
    for (attitude, expected) in expected {
        let found = dips(&report, attitude);
        assert_eq!(found.len(), 7);
        for ((found, _), expected) in found.into_iter().zip(expected) {
            near(attitude, found, expected, 0.06);
        }
    }
}

#[test]
fn level_marks_read_nose_up_show_too_much_and_the_card_says_so() {
    let shown = dips(&asked(&[]), "nose up 9.5 deg");
    near("4 L", shown[3].1, 4.63, 0.005);
    near("2 L", shown[1].1, 2.57, 0.005);
    let card = bench("dip", &[])
        .run_args(&["dip", "plan.toml", "T", "--volumes", "1 L", "--nose-up", "9.5 deg"])
        .words();
    assert!(card.contains("at worst they show 4.63 L for a true 4 L"), "{card}");
    assert!(card.contains("2 L 66.7 mm 2.57 L 0.57 L"), "{card}");
    assert!(card.contains("local codes"), "{card}");
}

#[test]
fn the_hole_of_the_stick_belongs_to_mid_length() {
    let report = asked(&[]);
    let better = &report["stick"]["better"];
    near("at", number(&better["at_mm"]), 150.0, 1e-9);
    near("differ", number(&better["most_mm"]), 2.1, 0.05);
    assert!(number(&report["stick"]["planned"]["most_mm"]) > 13.0);
    let notes = report["notes"].to_string();
    assert!(notes.contains("Move the hole of the stick: at mid length"), "{notes}");
}

#[test]
fn the_mistyped_height_is_the_odd_one() {
    let report = asked(&[]);
    let points = report["poured"]["points"].as_array().unwrap();
    let odd: Vec<&Value> = points.iter().filter(|p| p["odd"] == true).collect();
    assert_eq!(odd.len(), 1, "{odd:?}");
    near("which", number(&odd[0]["volume_l"]), 3.0, 1e-9);
    near("expected", number(&odd[0]["expected_mm"]), 74.8, 0.5);
    // The others agree with the drawing.
    near("scale", number(&report["poured"]["scale"]), 1.0, 0.01);
    near("offset", number(&report["poured"]["offset_mm"]), 0.0, 0.5);
    // Twelve lots of 10 mL.
    near("sum", number(&report["poured"]["sum_error_l"]), 0.12, 1e-9);
}

#[test]
fn a_stick_cut_short_is_an_offset_and_not_an_odd_point() {
    let right = [("\"68 mm\"", "\"75 mm\"")];
    let plain = bench("dip", &right).run("dip plan.toml T --format json").json();
    let offset = number(&plain["poured"]["offset_mm"]);
    // Every reading 5 mm lower: 5 mm have to be added.
    let text = crate::house::read("tests/stories/dip/plan.toml");
    let mut exchanges: Vec<(String, String)> = Vec::new();
    for (_, rest) in text.match_indices(" L\", \"").map(|(i, m)| (i, &text[i + m.len()..])) {
        let height = rest.split(" mm").next().unwrap();
        let lower = height.parse::<f64>().unwrap() - 5.0 + if height == "68" { 7.0 } else { 0.0 };
        exchanges.push((format!("L\", \"{height} mm\""), format!("L\", \"{lower} mm\"")));
    }
    let pairs: Vec<(&str, &str)> =
        exchanges.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
    assert_eq!(pairs.len(), 12);
    let moved = bench("dip", &pairs).run("dip plan.toml T --format json").json();
    near("offset", number(&moved["poured"]["offset_mm"]), offset + 5.0, 0.01);
    assert!(moved["poured"]["points"].as_array().unwrap().iter().all(|p| p["odd"] == false));
}

#[test]
fn a_strip_whose_bar_is_short_is_refused() {
    let bench = bench("dip", &[]);
    let short =
        bench.run_args(&["dip", "plan.toml", "T", "--svg", "strip.svg", "--bar", "98.5 mm"]);
    assert_eq!(short.status, 1);
    assert!(short.words().contains("not to size and is refused"), "{}", short.out);
    assert!(!bench.path("strip.svg").exists());
    let bars = ["--bar", "100.2 mm", "--bar-across", "99.6 mm"];
    let right =
        bench.run_args(&[&["dip", "plan.toml", "T", "--svg", "strip.svg"][..], &bars].concat());
    assert_eq!(right.status, 0, "{}", right.err);
    let strip = bench.read("strip.svg");
    assert!(strip.contains("mm\" height=\"") && strip.contains(">4 L</text>"), "{strip}");
    assert!(strip.contains(">100 mm</text>"), "{strip}");
    // The lower end of the stick is at x = 0 of the drawing; 4 L stand 93.39 mm along it.
    let drawn =
        bench.run_args(&[&["dip", "plan.toml", "T", "--dxf", "strip.dxf"][..], &bars].concat());
    assert_eq!(drawn.status, 0, "{}", drawn.err);
    let drawing = bench.read("strip.dxf");
    let mut numbers = drawing.lines().filter_map(|l| l.trim().parse::<f64>().ok());
    assert!(numbers.any(|n| (n - 93.39).abs() < 0.02), "{drawing}");
}

#[test]
fn a_grossly_mistyped_height_is_named_and_does_not_stop_the_fit() {
    // The lengths of a lying can of 100 mm radius and 300 mm; each reading as poured, one typed backwards.
    use hosewright::geometry::GeometryError;
    use hosewright::geometry::vessel::poured::{Pour, PourErrors, poured_fit};
    let shape = |dip: f64| -> Result<(f64, f64), GeometryError> {
        if !(0.0..=200.0).contains(&dip) {
            return Err(GeometryError::NotSettled { what: "the volume of the tank" });
        }
        let (r, y): (f64, f64) = (100.0, 100.0 - dip);
        let half = (r * r - y * y).max(1e-9).sqrt();
        Ok((300.0 * (r * r * libm::acos(y / r) - y * half), 600.0 * half))
    };
    let dips = [19.0, 39.0, 57.0, 71.0, 84.0, 97.0, 110.0, 124.0, 139.0, 156.0];
    let points: Vec<Pour> = dips
        .iter()
        .map(|dip| Pour { volume_mm3: shape(*dip).map_or(0.0, |v| v.0), dip_mm: *dip })
        .collect();
    let errors = PourErrors { lot_mm3: 2e4, reading_mm: 1.0 };
    assert!(poured_fit(&points, errors, &shape).is_ok_and(|fit| fit.odd.is_empty()));
    for (at, typed) in [(1, 93.0), (1, 199.0), (2, 75.0), (4, 48.0), (9, 16.5), (0, 91.0)] {
        let mut wrong = points.clone();
        wrong[at].dip_mm = typed;
        let fit =
            poured_fit(&wrong, errors, &shape).unwrap_or_else(|e| panic!("{at} {typed}: {e}"));
        assert_eq!(fit.odd, [at], "{typed}");
        assert!((fit.points[at].expected_mm - dips[at]).abs() < 1.0, "{:?}", fit.points[at]);
        assert!(fit.offset_mm.abs() < 0.5 && (fit.scale - 1.0).abs() < 0.01);
    }
}
