//! Ports and clips by their tapes: what is read, where the lines run then, and what is judged.

#![expect(clippy::panic, reason = "a test that cannot go on says why")]

use std::sync::Arc;

use hosewright::assess::{Assessment, read_and_assess};
use hosewright::diagnostic::SourceText;
use hosewright::finding::{Finding, Verdict};
use hosewright::geometry::trilateration::MOST_TAPES;
use hosewright::plan::{Plan, starter::STARTER};
use hosewright::solve::measured::{Placed, as_built};
use hosewright::table::Tables;
use nalgebra::Point3;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

type At = [f64; 3];

const DATUMS: [At; 5] = [
    [0.0, 0.0, 0.0],
    [900.0, 0.0, 0.0],
    [0.0, 600.0, 0.0],
    [900.0, 500.0, 800.0],
    [300.0, -400.0, 500.0],
];
const DRAWN: At = [650.0, 150.0, 300.0];
const PORT: &str = "at    = [650, 150, 300]\nfaces = [0, -1, 0]\n";

fn apart(a: At, b: At) -> f64 {
    (Point3::from(a) - Point3::from(b)).norm()
}

/// `measured` of something at a place, taped from the first datums, each tape reading `off` more.
fn measured(to: At, count: usize, off: &[(usize, f64)]) -> String {
    let tape = |(i, datum): (usize, &At)| {
        let more: f64 = off.iter().filter(|(which, _)| *which == i).map(|(_, mm)| mm).sum();
        let distance = apart(*datum, to) + more;
        format!("{{ from = \"D{}\", distance = \"{distance} mm\", tolerance = \"2 mm\" }}", i + 1)
    };
    let tapes: Vec<String> = DATUMS.iter().take(count).enumerate().map(tape).collect();
    format!("measured = [{}]", tapes.join(", "))
}

fn datums() -> String {
    let one = |(i, at): (usize, &At)| {
        let [x, y, z] = at;
        format!("[[datum]]\nid = \"D{}\"\nat = [{x}, {y}, {z}]\n\n", i + 1)
    };
    DATUMS.iter().enumerate().map(one).collect()
}

/// The starter plan with datums, and with another inlet of the pump.
fn plan(port: &str, tolerance: &str) -> String {
    let (head, tail) = STARTER.split_at(STARTER.find(PORT).unwrap_or_default());
    let tail = tail.replacen(PORT, port, 1).replacen("tolerance = \"3 mm\"", tolerance, 1);
    format!("{}{tail}", head.replacen("# --- components:", &format!("{}# ---", datums()), 1))
}

fn taped(to: At, count: usize, off: &[(usize, f64)]) -> String {
    plan(&format!("{PORT}{}\n", measured(to, count, off)), "tolerance = \"3 mm\"")
}

fn file(text: &str) -> Arc<SourceText> {
    SourceText::new("plan.toml", text)
}

fn assessed(text: &str) -> Assessment {
    read_and_assess(&file(text), &Tables::builtin())
        .unwrap_or_else(|p| panic!("{:?}\n{text}", p.first().map(|p| &p.message)))
}

fn placed(assessment: &Assessment) -> &Placed {
    let [facts] = assessment.facts.measured.as_slice() else { panic!("not one place") };
    facts.placed.as_ref().unwrap_or_else(|none| panic!("{none:?}"))
}

fn findings(assessment: &Assessment) -> Vec<&Finding> {
    assessment.findings.iter().filter(|f| f.code == "geometry.measured-place").collect()
}

fn only(assessment: &Assessment) -> &Finding {
    match findings(assessment).as_slice() {
        [one] => one,
        other => panic!("{other:?}"),
    }
}

/// Everything but what is said of the measured place itself, and of the tolerance that it brings along.
fn others(assessment: &Assessment) -> Vec<Finding> {
    let own = ["geometry.measured-place", "makeup.reach"];
    let rest = assessment.findings.iter().filter(|f| !own.contains(&f.code));
    rest.cloned().collect()
}

/// The findings of two plans of one machine agree, up to the last digits of their numbers.
fn assert_same(a: &Assessment, b: &Assessment) {
    let (a, b) = (others(a), others(b));
    assert_eq!(a.len(), b.len());
    for (a, b) in a.iter().zip(&b) {
        assert_eq!((a.code, &a.place, a.verdict), (b.code, &b.place, b.verdict));
        for (m, n) in [(a.value, b.value), (a.limit, b.limit)] {
            let near = |(m, n): (f64, f64)| (m - n).abs() <= 1e-7 * m.abs().max(1.0);
            assert!(m.zip(n).map_or(m == n, near), "{a:?}\n{b:?}");
        }
    }
}

#[test]
fn a_plan_without_tapes_stays_as_it_is() {
    let file = file(STARTER);
    let plan = Plan::read(&file, &Tables::builtin()).unwrap_or_else(|p| panic!("{p:?}"));
    let built = as_built(&plan);
    assert!(built.measured.is_empty());
    assert!(matches!(built.plan, std::borrow::Cow::Borrowed(_)));
    assert!(findings(&assessed(STARTER)).is_empty());
}

#[test]
fn lines_run_to_the_measured_place_and_the_plan_keeps_the_drawn_one() {
    let to = [664.0, 138.0, 309.0];
    let moved = assessed(&taped(to, 3, &[]));
    let port = "at    = [664, 138, 309]\nfaces = [0, -1, 0]\n";
    let drawn = assessed(&plan(port, "tolerance = \"3 mm\""));
    assert_same(&moved, &drawn);
    assert!(apart(placed(&moved).at_mm, to) < 1e-6);
    assert!(apart(moved.plan.components[1].ports[0].at_mm, DRAWN) < 1e-9);
    // The place of the drawing gives other numbers, so the comparison can fail.
    let path =
        |a: &Assessment| a.facts.lines[0].geometry.as_ref().map_or(0.0, |g| g.route.length_mm);
    let as_drawn = assessed(&plan(PORT, "tolerance = \"3 mm\""));
    assert!((path(&moved) - path(&as_drawn)).abs() > 1.0);
}

#[test]
fn a_measured_clip_moves_the_corner_and_is_named_by_its_line() {
    let to = [344.0, -9.0, 388.0];
    let clip = format!("{{ at = [330, 0, 380], tolerance = \"5 mm\", {} }}", measured(to, 4, &[]));
    let text = plan(PORT, "").replace("[[330, 0, 380],", &format!("[{clip},"));
    let moved = assessed(&text);
    let drawn = plan(PORT, "").replace("[[330, 0, 380],", "[[344, -9, 388],");
    assert_same(&moved, &assessed(&drawn));
    let said = findings(&moved);
    let places: Vec<&str> = said.iter().map(|f| f.place.as_str()).collect();
    assert_eq!(places, ["F1, clip 1", "F1, clip 1, tapes"]);
    assert_eq!((said[0].verdict, said[1].verdict), (Verdict::Fail, Verdict::Ok));
    assert!((said[0].value.unwrap_or(0.0) - apart(to, [330.0, 0.0, 380.0])).abs() < 1e-6);
}

#[test]
fn a_port_that_is_screwed_to_a_measured_one_goes_with_it() {
    let filter = "[[component]]\nid = \"FF\"\nkind = \"filter\"\n[component.ports.OUT]\n\
        at = [650, 152, 300]\nfaces = [0, 1, 0]\n\
        end = { family = \"flare-37\", size = \"-6\", gender = \"female\" }\n\
        [component.ports.IN]\nat = [640, 100, 300]\nfaces = [0, -1, 0]\n\
        end = { family = \"flare-37\", size = \"-6\", gender = \"male\" }\n\n\
        [[join]]\nports = [\"FF.OUT\", \"PUMP.IN\"]\n\n# --- lines:";
    let text = taped([660.0, 155.0, 298.0], 3, &[])
        .replace("# --- lines:", filter)
        .replace("to      = \"PUMP.IN\"", "to      = \"FF.IN\"");
    let plan = Plan::read(&file(&text), &Tables::builtin()).unwrap_or_else(|p| panic!("{p:?}"));
    let built = as_built(&plan);
    let at = |id: &str, port: &str| {
        let owner = built.plan.components.iter().find(|c| c.id == id);
        let port = owner.and_then(|c| c.ports.iter().find(|p| p.name == port));
        port.unwrap_or_else(|| panic!("{id}.{port:?}")).at_mm
    };
    assert!(apart(at("PUMP", "IN"), [660.0, 155.0, 298.0]) < 1e-6);
    assert!(apart(at("FF", "OUT"), [660.0, 157.0, 298.0]) < 1e-6);
    assert!(apart(at("FF", "IN"), [640.0, 100.0, 300.0]) < 1e-9);
}

#[test]
fn a_place_within_its_tolerance_is_ok_and_one_beyond_it_fails_by_that_much() {
    let near = assessed(&taped([652.0, 151.0, 300.0], 3, &[]));
    assert_eq!(only(&near).verdict, Verdict::Ok);
    assert!(only(&near).message.contains("a fourth tape would check the three"));
    let far = assessed(&taped([672.0, 141.0, 301.0], 3, &[]));
    let finding = only(&far);
    assert_eq!(finding.verdict, Verdict::Fail);
    assert!(finding.message.contains("x 672.0 mm, y 141.0 mm, z 301.0 mm"), "{finding:?}");
    let off = apart([672.0, 141.0, 301.0], DRAWN);
    assert!((finding.value.unwrap_or(0.0) - off).abs() < 1e-6);
    let limit = 3.0 + placed(&far).tolerance_mm;
    assert!((finding.limit.unwrap_or(0.0) - limit).abs() < 1e-9);
}

#[test]
fn without_a_tolerance_only_what_the_tapes_explain_is_ok() {
    let of = |to: At| {
        let text = plan(&format!("{PORT}{}\n", measured(to, 3, &[])), "");
        only(&assessed(&text)).verdict
    };
    assert_eq!(of([651.0, 150.5, 300.0]), Verdict::Ok);
    assert_eq!(of([672.0, 141.0, 301.0]), Verdict::Open);
}

#[test]
fn four_tapes_show_that_one_is_misread_and_name_it_by_the_drawing() {
    let agree = assessed(&taped(DRAWN, 4, &[]));
    let said = findings(&agree);
    assert_eq!((said[0].verdict, said[1].verdict), (Verdict::Ok, Verdict::Ok));
    assert!(said[1].message.starts_with("the 4 tapes agree"), "{}", said[1].message);
    let wrong = assessed(&taped(DRAWN, 4, &[(1, 30.0)]));
    let said = findings(&wrong);
    assert_eq!((said[0].verdict, said[1].verdict), (Verdict::Open, Verdict::Fail));
    let message = &said[1].message;
    assert!(message.starts_with("the tape from D2 disagrees by 30.0 mm"), "{message}");
    assert!(message.contains("of four any may be the wrong one"), "{message}");
    assert!(message.contains("nearest to the drawing, to 0.0 mm"), "{message}");
    assert!((said[1].value.unwrap_or(0.0) - 30.0).abs() < 1e-6);
}

#[test]
fn five_tapes_name_the_one_that_is_misread() {
    for which in 0..5 {
        for off in [14.0, -40.0] {
            let wrong = assessed(&taped([640.0, 155.0, 310.0], 5, &[(which, off)]));
            let said = findings(&wrong);
            let suspect = placed(&wrong).suspect().map(|s| s.tape);
            assert_eq!((said[1].verdict, suspect), (Verdict::Fail, Some(which)), "{said:?}");
            let starts = format!("the tape from D{} disagrees by {:.1} mm", which + 1, off.abs());
            assert!(said[1].message.starts_with(&starts), "{}", said[1].message);
        }
    }
}

#[test]
fn tapes_that_cannot_be_are_a_fail_and_weak_ones_are_open() {
    let apart = assessed(&taped(DRAWN, 3, &[(0, -700.0)]));
    let finding = only(&apart);
    assert_eq!(finding.verdict, Verdict::Fail);
    assert!(finding.message.starts_with("the tapes from D1 and D"), "{}", finding.message);
    let low = [650.0, 150.0, 4.0];
    let flat = assessed(&taped(low, 3, &[]));
    assert_eq!(only(&flat).verdict, Verdict::Open);
    assert!(only(&flat).message.contains("off the plane of the known points"));
    let line = taped(DRAWN, 3, &[]).replace("at = [0, 600, 0]", "at = [400, 1, 0]");
    let line = assessed(&line.replace(&format!("\"{} mm\"", apart3()), "\"420 mm\""));
    assert_eq!(only(&line).verdict, Verdict::Open);
    assert!(only(&line).message.contains("in one line"), "{:?}", only(&line));
    // What cannot be placed stays where it is drawn.
    assert_same(&line, &assessed(&plan(PORT, "tolerance = \"3 mm\"")));
}

/// Distance from the third datum to the drawn place.
fn apart3() -> f64 {
    apart(DATUMS[2], DRAWN)
}

#[test]
fn the_other_side_of_the_datums_is_reported_and_the_drawing_decides() {
    let text = taped(DRAWN, 3, &[]);
    let above = assessed(&text);
    let below = assessed(&text.replace("at    = [650, 150, 300]", "at    = [650, 150, -20]"));
    let (above, below) = (placed(&above), placed(&below));
    assert!(apart(above.at_mm, DRAWN) < 1e-6);
    assert!(apart(below.at_mm, [650.0, 150.0, -300.0]) < 1e-6);
    assert!(apart(above.mirror_mm.unwrap_or_default(), below.at_mm) < 1e-6);
}

#[test]
fn an_uncertain_tape_moves_the_results_and_bears_its_name() {
    let clip = format!("{{ at = [330, 0, 380], {} }}", measured([330.0, 0.0, 380.0], 3, &[]));
    let text = taped(DRAWN, 3, &[]).replace("[[330, 0, 380],", &format!("[{clip},"));
    let text = text.replace(" mm\", tolerance", " mm ± 1 mm\", tolerance");
    let assessment = assessed(&text);
    let names: Vec<&str> = assessment.plan.uncertain.iter().map(|u| u.what.as_str()).collect();
    assert_eq!(
        names,
        [
            "component PUMP ports IN measured 1 distance",
            "component PUMP ports IN measured 2 distance",
            "component PUMP ports IN measured 3 distance",
            "line F1 clips 1 measured 1 distance",
            "line F1 clips 1 measured 2 distance",
            "line F1 clips 1 measured 3 distance",
        ]
    );
}

#[test]
fn as_many_tapes_are_read_as_the_kernel_takes() {
    let datum = |i: usize| {
        let step = u32::try_from(i).map_or(0.0, f64::from);
        let at = [70.0 * step, 5.0 * step * step, 20.0 * (step % 3.0)];
        (format!("[[datum]]\nid = \"E{i}\"\nat = [{}, {}, {}]\n\n", at[0], at[1], at[2]), at)
    };
    let tape = |i: usize| {
        let distance = apart(datum(i).1, DRAWN);
        format!("{{ from = \"E{i}\", distance = \"{distance} mm\", tolerance = \"2 mm\" }}")
    };
    let with = |count: usize| {
        let tapes: Vec<String> = (0..count).map(tape).collect();
        let datums: String = (0..count).map(|i| datum(i).0).collect();
        plan(&format!("{PORT}measured = [{}]\n", tapes.join(", ")), "").replacen(
            "[[datum]]",
            &format!("{datums}[[datum]]"),
            1,
        )
    };
    let most = assessed(&with(MOST_TAPES));
    assert!(apart(placed(&most).at_mm, DRAWN) < 1e-6);
    assert!(Plan::read(&file(&with(MOST_TAPES + 1)), &Tables::builtin()).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 24,
        rng_seed: RngSeed::Fixed(24),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn a_taped_machine_says_the_same_as_one_drawn_where_it_was_taped(
        off in prop::array::uniform3(-25.0..25.0_f64), count in 3..=5_usize,
    ) {
        let to = [DRAWN[0] + off[0], DRAWN[1] + off[1], DRAWN[2] + off[2]];
        let port = format!("at    = [{}, {}, {}]\nfaces = [0, -1, 0]\n", to[0], to[1], to[2]);
        assert_same(&assessed(&taped(to, count, &[])), &assessed(&plan(&port, "")));
    }

    #[test]
    fn tapes_within_their_tolerances_never_fail(
        off in prop::array::uniform5(-2.0..2.0_f64), count in 3..=5_usize,
    ) {
        let off: Vec<(usize, f64)> = off.into_iter().enumerate().collect();
        let assessment = assessed(&taped(DRAWN, count, &off));
        for finding in findings(&assessment) {
            prop_assert!(finding.verdict <= Verdict::Caution, "{finding:?}");
        }
    }
}
