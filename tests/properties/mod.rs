//! Laws that hold for every plan: symmetry, spelling, and limits that bite only one way.
#![expect(clippy::panic, reason = "a test that cannot go on says why")]

mod sketch;

use hosewright::assess::{Assessment, read_and_assess};
use hosewright::diagnostic::SourceText;
use hosewright::finding::Verdict;
use hosewright::table::Tables;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use sketch::{Sketch, Spelling, assessed};

/// The same random plans in every run; a plan takes milliseconds, so few are enough and many cost.
fn few() -> ProptestConfig {
    ProptestConfig {
        cases: 48,
        rng_seed: RngSeed::Fixed(24),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// The worst verdict of a check; it must have spoken.
fn verdict(assessment: &Assessment, code: &str) -> Verdict {
    let of_code = assessment.findings.iter().filter(|f| f.code == code).map(|f| f.verdict);
    of_code.max().unwrap_or_else(|| panic!("{code} said nothing"))
}

fn drop_kpa(assessment: &Assessment) -> f64 {
    let flow = assessment.facts.lines[0].duties[0].flow.as_ref();
    flow.unwrap_or_else(|e| panic!("{e}")).losses.drop_pa() / 1e3
}

fn path_mm(assessment: &Assessment) -> f64 {
    let geometry = assessment.facts.lines[0].geometry.as_ref();
    geometry.unwrap_or_else(|e| panic!("{e:?}")).route.length_mm
}

fn cut_mm(assessment: &Assessment) -> f64 {
    let makeup = assessment.facts.lines[0].makeup.as_ref();
    makeup.unwrap_or_else(|e| panic!("{e}")).cut.cut_mm
}

/// Numbers of two assessments of one machine agree, finding by finding.
fn assert_same(a: &Assessment, b: &Assessment) {
    let near = |x: f64, y: f64| (x - y).abs() <= 1e-9 * x.abs().max(1.0);
    assert!(near(path_mm(a), path_mm(b)), "{} and {}", path_mm(a), path_mm(b));
    assert!(near(cut_mm(a), cut_mm(b)), "{} and {}", cut_mm(a), cut_mm(b));
    assert!(near(drop_kpa(a), drop_kpa(b)), "{} and {}", drop_kpa(a), drop_kpa(b));
    assert_eq!(a.findings.len(), b.findings.len());
    for (x, y) in a.findings.iter().zip(&b.findings) {
        assert_eq!((x.code, &x.place, x.verdict), (y.code, &y.place, y.verdict), "{x:?}\n{y:?}");
        for (m, n) in [(x.value, y.value), (x.limit, y.limit)] {
            let agree = m.zip(n).map_or(m.is_none() && n.is_none(), |(m, n)| near(m, n));
            assert!(agree, "{}: {m:?} and {n:?}", x.code);
        }
    }
}

#[test]
fn the_sketch_is_a_plan_that_every_check_can_judge() {
    let assessment = Sketch::default().assessed();
    for code in
        ["geometry.bend-radius", "rating.working-pressure", "rating.vacuum", "hydraulics.velocity"]
    {
        assert_ne!(verdict(&assessment, code), Verdict::Open, "{code}");
    }
    assert_ne!(assessment.worst(), Verdict::Fail, "{:?}", assessment.findings);
}

/// A limit of the sketch: how it is set, the check that reads it, and whether smaller is stricter.
struct Limit {
    code: &'static str,
    set: fn(&mut Sketch, f64),
    from: f64,
    to: f64,
    smaller_is_stricter: bool,
}

const fn limit(code: &'static str, set: fn(&mut Sketch, f64), from: f64, to: f64) -> Limit {
    Limit { code, set, from, to, smaller_is_stricter: true }
}

const LIMITS: [Limit; 6] = [
    limit("rating.working-pressure", |s, x| s.working = x, 1.0, 8.0),
    limit("rating.temperature", |s, x| s.hottest = x, 20.0, 80.0),
    limit(
        "rating.vacuum",
        |s, x| {
            s.vacuum = x;
            s.pressure = -0.4;
            s.flow = 1.0;
        },
        0.3,
        0.8,
    ),
    limit("hydraulics.velocity", |s, x| s.more = format!("velocity_limit = \"{x} m/s\""), 0.5, 3.0),
    limit(
        "hydraulics.pressure-drop",
        |s, x| s.more = format!("drop_limit = \"{x} kPa\""),
        1.0,
        400.0,
    ),
    Limit {
        code: "geometry.bend-radius",
        set: |s, x| s.bend_radius = x,
        from: 40.0,
        to: 120.0,
        smaller_is_stricter: false,
    },
];

#[test]
fn a_stricter_limit_never_turns_a_fail_into_a_pass() {
    for Limit { code, set, from, to, smaller_is_stricter } in LIMITS {
        let at = |step: u32| {
            let mut sketch = Sketch::default();
            let share = f64::from(step) / 24.0;
            let share = if smaller_is_stricter { 1.0 - share } else { share };
            set(&mut sketch, from + (to - from) * share);
            verdict(&sketch.assessed(), code)
        };
        let verdicts: Vec<Verdict> = (0..=24).map(at).collect();
        assert!(verdicts.windows(2).all(|v| v[0] <= v[1]), "{code}: {verdicts:?}");
        // A range that never reaches the limit would prove nothing.
        let moves = verdicts.first() < verdicts.last();
        assert!(moves && !verdicts.contains(&Verdict::Open), "{code}: {verdicts:?}");
    }
}

#[test]
fn the_strictest_slack_rule_of_a_table_of_ones_own_never_helps() {
    let at = |percent: u32| {
        let text = tables_with("slack-min", "5 %", &format!("{percent} %"));
        let file = SourceText::new(
            "plan.toml",
            Sketch { more: "slack = \"6 %\"".into(), ..Sketch::default() }.text(),
        );
        let assessment = read_and_assess(&file, &text).unwrap_or_else(|p| panic!("{p:?}"));
        verdict(&assessment, "geometry.slack")
    };
    let verdicts: Vec<Verdict> = (3..=8).map(at).collect();
    assert!(verdicts.windows(2).all(|v| v[0] <= v[1]), "{verdicts:?}");
    assert_eq!((verdicts[0], verdicts[5]), (Verdict::Ok, Verdict::Fail), "{verdicts:?}");
}

/// The built-in tables with one rule of limit/installation changed.
fn tables_with(rule: &str, was: &str, is: &str) -> Tables {
    let (_, _, text) = Tables::builtin_texts()
        .into_iter()
        .find(|(kind, name, _)| (*kind, *name) == ("limit", "installation"))
        .unwrap_or_else(|| panic!("no limit/installation"));
    let row = |line: &str| {
        if line.contains(&format!("rule = \"{rule}\"")) {
            line.replace(&format!("\"{was}\""), &format!("\"{is}\""))
        } else {
            line.to_owned()
        }
    };
    let changed: Vec<String> = text.lines().map(row).collect();
    let there = |l: &&str| l.contains(&format!("\"{rule}\"")) && l.contains(&format!("\"{was}\""));
    assert_eq!(text.lines().filter(there).count(), 1, "no rule {rule} of {was}");
    let file = SourceText::new("tables/limit/installation.toml", changed.join("\n"));
    Tables::with_user(&[("limit".into(), file)]).unwrap_or_else(|p| panic!("{p:?}"))
}

proptest! {
    #![proptest_config(few())]

    #[test]
    fn a_longer_line_never_loses_less(longer in 1.0..2000.0_f64, flow in 0.1..40.0_f64, t in 5.0..110.0_f64) {
        // Level, and stretched along the first leg, so that neither height nor bends change.
        let level = |x: f64| Sketch {
            from: [0.0, 0.0, 0.0],
            to: [700.0 + x, 300.0, 0.0],
            clips: vec![[700.0 + x, 0.0, 0.0]],
            flow,
            temperature: t,
            ..Sketch::default()
        };
        let (short, long) = (level(0.0).assessed(), level(longer).assessed());
        prop_assert!(path_mm(&long) > path_mm(&short));
        prop_assert!(drop_kpa(&long) > drop_kpa(&short));
        prop_assert!(cut_mm(&long) >= cut_mm(&short));
    }

    #[test]
    fn a_wider_bore_never_loses_more(wider in 0.1..6.0_f64, flow in 0.1..40.0_f64) {
        let of = |bore: f64| drop_kpa(&Sketch { bore, flow, ..Sketch::default() }.assessed());
        // Ends and ports stay at 7.5 mm: only the bore of the hose itself is told apart below that.
        prop_assert!(of(5.0 + wider.min(2.4)) <= of(5.0));
    }

    #[test]
    fn more_flow_never_loses_less(flow in 0.1..40.0_f64, more in 1.0..3.0_f64) {
        let of = |flow: f64| {
            let level = Sketch { from: [0.0, 0.0, 250.0], flow, ..Sketch::default() };
            drop_kpa(&level.assessed())
        };
        prop_assert!(of(flow * more) >= of(flow));
    }

    #[test]
    fn a_line_taken_from_its_other_end_has_the_same_path_and_cut(
        x in 300.0..600.0_f64, y in -150.0..-60.0_f64, z in 250.0..420.0_f64,
    ) {
        let forth = Sketch { clips: vec![[x, 0.0, 380.0], [700.0, y, z]], ..Sketch::default() };
        let back = Sketch { swapped: true, ..forth.clone() };
        let (a, b) = (forth.assessed(), back.assessed());
        // The same legs are added up in the other order.
        prop_assert!((path_mm(&a) - path_mm(&b)).abs() <= 1e-9 * path_mm(&a));
        // Cuts are whole steps of 1 mm.
        prop_assert!((cut_mm(&a) - cut_mm(&b)).abs() < 1e-9);
        let radii = |a: &Assessment| -> Vec<f64> {
            let geometry = a.facts.lines[0].geometry.as_ref();
            geometry.map(|g| g.bends.iter().map(|b| b.angle_deg).collect()).unwrap_or_default()
        };
        let (forth, mut back) = (radii(&a), radii(&b));
        back.reverse();
        prop_assert_eq!(forth.len(), back.len());
        prop_assert!(forth.iter().zip(&back).all(|(f, b)| (f - b).abs() < 1e-9));
    }

    #[test]
    fn a_plan_says_the_same_in_inches_and_in_metres(
        x in 300.0..600.0_f64, flow in 0.5..20.0_f64, t in 5.0..95.0_f64, bar in 0.5..60.0_f64,
    ) {
        let sketch = Sketch {
            clips: vec![[x, 0.0, 380.0], [700.0, -60.0, 300.0]],
            flow,
            temperature: t,
            pressure: bar,
            ..Sketch::default()
        };
        let metric = sketch.assessed();
        for spelling in [Spelling::Inch, Spelling::Metre] {
            assert_same(&metric, &Sketch { spelling, ..sketch.clone() }.assessed());
        }
    }

    #[test]
    fn a_thinner_wall_never_has_a_higher_rating(wall in 0.3..3.0_f64, thinner in 0.3..1.0_f64) {
        let rated = |wall: f64| {
            let own = Sketch::default().text();
            let tube = format!("tube = \"cres-304-annealed\"\noutside = \"9.525 mm\"\nwall = \"{wall} mm\"\n");
            let text = own
                .replace("hose = \"mine\"\n", &tube)
                .replace("demo-flare-straight -6", "demo-tube-nut -6");
            let assessment = assessed(&text);
            let rating = &assessment.facts.lines[0].rating;
            let rated = rating.rated_pa.as_ref().map(|r| r.value);
            (rated.unwrap_or(f64::NAN), rating.derated_pa().map(|r| r.value))
        };
        let ((thick, hot_thick), (thin, hot_thin)) = (rated(wall), rated(wall * thinner));
        prop_assert!(thin <= thick, "{} and {}", thin, thick);
        prop_assert!(hot_thin <= hot_thick);
    }
}

#[test]
fn a_plan_in_another_order_says_the_same_of_each_line() {
    let text = Sketch::default().text();
    let second = text
        .replace("id = \"L1\"", "id = \"L0\"")
        .replace("TANK.OUT", "TANK.TWO")
        .replace("PUMP.IN", "PUMP.TWO");
    let line = |t: &str| t[t.find("[[line]]").unwrap_or(0)..].to_owned();
    let ports = |t: &str| {
        t.replace("[component.ports.OUT]", "[component.ports.TWO]\nat = [0, 50, 400]\nfaces = [1, 0, 0]\nend = { family = \"flare-37\", size = \"-6\", gender = \"male\" }\n[component.ports.OUT]")
            .replace("[component.ports.IN]", "[component.ports.TWO]\nat = [750, 300, 250]\nfaces = [0, -1, 0]\nend = { family = \"flare-37\", size = \"-6\", gender = \"male\" }\n[component.ports.IN]")
    };
    let head = ports(&text[..text.find("[[line]]").unwrap_or(0)]);
    let (one, two) = (line(&text), line(&second));
    let (a, b) = (assessed(&format!("{head}{one}{two}")), assessed(&format!("{head}{two}{one}")));
    for id in ["L1", "L0"] {
        let of = |a: &Assessment| -> Vec<_> {
            let own = a.findings.iter().filter(|f| f.place.split(',').next() == Some(id));
            own.cloned().collect()
        };
        assert!(!of(&a).is_empty());
        assert_eq!(of(&a), of(&b), "{id}");
    }
}
