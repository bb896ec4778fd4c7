//! From the plan to the finding: keep-outs, movements, sleeves and lines beside each other.

use std::sync::{Arc, OnceLock};

use hosewright::assess::{Assessment, read_and_assess};
use hosewright::diagnostic::SourceText;
use hosewright::finding::{Finding, Verdict};
use hosewright::plan::starter::STARTER;
use hosewright::report::json;
use hosewright::table::Tables;

/// The line of the starter plan runs from (0, 0, 400) to (330, 0, 380) first; it is 12 mm thick.
const THICK_MM: f64 = 12.0;

fn assessed(plan: &str) -> Assessment {
    static TABLES: OnceLock<Tables> = OnceLock::new();
    let file: Arc<SourceText> = SourceText::new("plan.toml", plan);
    read_and_assess(&file, TABLES.get_or_init(Tables::builtin)).unwrap_or_else(|problems| {
        let all: Vec<String> = problems.iter().map(|p| p.message.clone()).collect();
        panic!("{}\nin\n{plan}", all.join("\n"))
    })
}

/// The starter plan with well-known ports, a keep-out and some lines changed.
fn with(keep_out: &str, changes: &[(&str, &str)]) -> Assessment {
    // The port faces along the first leg, so that this is straight from the seat on.
    let text = STARTER.replace("tolerance = \"3 mm\"\n", "");
    let mut text = text.replace("faces = [1, 0, 0]", "faces = [33, 0, -2]");
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    assessed(&format!("{text}\n{keep_out}"))
}

/// A block over the first leg with its lower face at this height, 30 mm wide along it.
fn block(kind: &str, height: f64, more: &str) -> String {
    let high = height + 20.0;
    format!(
        "[[keep_out]]\nid = \"K\"\nkind = \"{kind}\"\nbox = {{ from = [150, -30, {height}], to = [180, 30, {high}] }}\n{more}\n"
    )
}

fn findings(assessment: &Assessment) -> Vec<&Finding> {
    assessment.findings.iter().filter(|f| f.code == "geometry.clearance").collect()
}

/// What is said of the line beside the keep-out.
fn beside(assessment: &Assessment) -> Option<&Finding> {
    findings(assessment).into_iter().find(|f| f.place == "F1, beside K")
}

fn verdict(assessment: &Assessment) -> Option<Verdict> {
    beside(assessment).map(|f| f.verdict)
}

const OWN: &str = "clearance = \"25 mm\"";
const SLACK: &str = "slack   = \"5 %\"";
/// Hardly any slack, so that hardly anything bows.
const TIGHT: &str = "slack   = \"0.01 %\"";
const SLEEVED: &str =
    "slack   = \"5 %\"\nsleeves = [{ kind = \"heat\", start = \"0 mm\", end = \"400 mm\" }]";

#[test]
fn a_line_nearer_than_the_builder_wants_fails_and_is_told_where_a_sleeve_goes() {
    // The leg is at 390.9 mm under the near edge of the block, and leans by 20 in 330.
    let near = with(&block("hot", 407.0, OWN), &[]);
    let finding = beside(&near).unwrap_or_else(|| panic!("nothing is said"));
    let lean = (1.0_f64 + (20.0 / 330.0) * (20.0 / 330.0)).sqrt();
    let wanted = (407.0 - (400.0 - 150.0 * 20.0 / 330.0)) / lean - THICK_MM / 2.0;
    assert_eq!(finding.verdict, Verdict::Fail);
    assert!((finding.value.unwrap_or(f64::NAN) - wanted).abs() < 0.05, "{finding:?} {wanted}");
    assert_eq!(finding.limit, Some(25.0));
    assert!(finding.remedy.contains("heat sleeve over it from"), "{}", finding.remedy);
    let sleeved = with(&block("hot", 407.0, OWN), &[(SLACK, SLEEVED)]);
    assert_eq!(verdict(&sleeved), Some(Verdict::Caution));
    let chafe = SLEEVED.replace("heat", "chafe");
    let other = with(&block("hot", 407.0, OWN), &[(SLACK, &chafe)]);
    assert_eq!(verdict(&other), Some(Verdict::Fail));
    let short = SLEEVED.replace("400 mm", "100 mm");
    let other = with(&block("hot", 407.0, OWN), &[(SLACK, &short)]);
    assert_eq!(verdict(&other), Some(Verdict::Fail));
}

#[test]
fn slack_that_bows_the_wrong_way_is_a_caution_which_a_sleeve_answers() {
    let bowed = with(&block("hot", 450.0, OWN), &[]);
    let finding = beside(&bowed).unwrap_or_else(|| panic!("nothing is said"));
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(finding.message.contains("slack bows"), "{}", finding.message);
    let sleeved = with(&block("hot", 450.0, OWN), &[(SLACK, SLEEVED)]);
    assert_eq!(verdict(&sleeved), Some(Verdict::Ok));
    assert_eq!(verdict(&with(&block("hot", 600.0, OWN), &[])), None);
}

#[test]
fn contact_fails_whatever_is_known() {
    for more in ["", OWN] {
        for change in [&[][..], &[(SLACK, SLEEVED)][..]] {
            let touching = with(&block("hot", 393.0, more), change);
            assert_eq!(verdict(&touching), Some(Verdict::Fail));
        }
    }
}

#[test]
fn without_a_figure_it_stays_open_and_says_how_near_the_nearest_line_is() {
    for kind in ["hot", "sharp", "moving", "control", "structure"] {
        let unknown = with(&block(kind, 450.0, ""), &[]);
        let of_keep_out = findings(&unknown).into_iter().find(|f| f.place == "K");
        let finding = of_keep_out.unwrap_or_else(|| panic!("nothing is said of {kind}"));
        assert_eq!(finding.verdict, Verdict::Open);
        assert!(finding.message.contains("F1 is the nearest line"), "{}", finding.message);
        assert!(finding.remedy.contains("set clearance"));
    }
}

#[test]
fn wiring_has_two_figures_and_they_are_written_for_what_burns() {
    // 6 in and 2 in: 152.4 mm and 50.8 mm from surface to surface.
    assert_eq!(verdict(&with(&block("wiring", 390.0 + 45.0, ""), &[])), Some(Verdict::Fail));
    assert_eq!(verdict(&with(&block("wiring", 390.0 + 70.0, ""), &[])), Some(Verdict::Caution));
    assert_eq!(verdict(&with(&block("wiring", 390.0 + 260.0, ""), &[])), None);
    let water = [("table = \"diesel\"\ngrade = \"en590\"", "table = \"water\""), (SLACK, TIGHT)];
    assert_eq!(verdict(&with(&block("wiring", 390.0 + 45.0, ""), &water)), None);
    assert_eq!(verdict(&with(&block("wiring", 393.0, ""), &water)), Some(Verdict::Fail));
    // The builder's own figure goes before the table.
    let own = with(&block("wiring", 390.0 + 70.0, "clearance = \"30 mm\""), &[(SLACK, TIGHT)]);
    assert_ne!(verdict(&own), Some(Verdict::Fail));
}

/// A ceiling at 500 mm: end A is the highest place of the line.
const CEILING: &str = "[[keep_out]]\nid = \"K\"\nkind = \"structure\"\nclearance = \"1 mm\"\nplane = { at = [0, 0, 500], faces = [0, 0, -1] }\n";

fn to_ceiling(keep_out: &str, changes: &[(&str, &str)]) -> f64 {
    let assessment = with(keep_out, changes);
    let facts = &assessment.facts.clearance;
    assert!(facts.failed.is_none() && facts.left_out.is_empty(), "{facts:?}");
    facts.keep_outs[0].places[0].distance_mm
}

#[test]
fn movements_and_tolerances_come_off_the_distance() {
    let near = |got: f64, wanted: f64| assert!((got - wanted).abs() < 1e-6, "{got}, not {wanted}");
    near(to_ceiling(CEILING, &[]), 94.0);
    let kind = "name = \"fuel tank\"";
    near(to_ceiling(CEILING, &[(kind, "name = \"fuel tank\"\nmoves = \"6 mm\"")]), 88.0);
    let faces = "faces = [33, 0, -2]";
    let vague = [(faces, "faces = [33, 0, -2]\ntolerance = \"3 mm\"")];
    near(to_ceiling(CEILING, &vague), 91.0);
    // Movement of the other end dies out at the last clip.
    near(
        to_ceiling(CEILING, &[("name = \"lift pump\"", "name = \"lift pump\"\nmoves = \"6 mm\"")]),
        94.0,
    );
    near(to_ceiling(&format!("{CEILING}moves = \"10 mm\"\n"), &[]), 84.0);
    near(to_ceiling(&format!("{CEILING}moves_by = [50, 50, 4]\n"), &[]), 90.0);
    let askew = CEILING.replace("[0, 0, -1]", "[0, 3, -4]");
    near(
        to_ceiling(&format!("{askew}moves_by = [0, 10, 5]\n"), &[]),
        to_ceiling(&askew, &[]) - 10.0,
    );
}

#[test]
fn a_keep_out_of_a_component_leaves_out_the_ends_of_its_lines() {
    // 2 outside diameters behind the fitting are left out: from there on the line has sunk a little.
    let own = to_ceiling(&format!("{CEILING}of = \"TANK\"\n"), &[]);
    assert!(own > 94.5 && own < 99.0, "{own}");
    let strange = to_ceiling(&format!("{CEILING}of = \"PUMP\"\n"), &[]);
    assert!((strange - 94.0).abs() < 1e-6, "{strange}");
}

#[test]
fn a_cylinder_moves_along_and_across() {
    let drum = |more: &str| {
        format!(
            "[[keep_out]]\nid = \"K\"\nkind = \"moving\"\nclearance = \"1 mm\"\ncylinder = {{ from = [-50, -80, 450], to = [-50, 80, 450], diameter = \"40 mm\" }}\n{more}\n"
        )
    };
    let still = to_ceiling(&drum(""), &[]);
    // 50 mm before and 50 mm over end A.
    assert!((still - (f64::sqrt(5000.0) - 26.0)).abs() < 1e-6, "{still}");
    let along = to_ceiling(&drum("moves_by = [0, 30, 0]"), &[]);
    assert!((along - still).abs() < 1e-6);
    let across = to_ceiling(&drum("moves_by = [3, 30, 4]"), &[]);
    assert!((across - (still - 5.0)).abs() < 1e-6, "{across}");
}

/// A second line between ports of its own, through the first leg of F1 or over it.
fn crossing(height: f64) -> String {
    let port = |id: &str, y: f64, faces: f64, kind: &str| {
        format!(
            "[[component]]\nid = \"{id}\"\nkind = \"{kind}\"\n[component.ports.P]\nat = [165, {y}, {height}]\nfaces = [0, {faces}, 0]\nend = {{ family = \"flare-37\", size = \"-6\", gender = \"male\", bore = \"7.5 mm\" }}\n"
        )
    };
    format!(
        "{}{}[[line]]\nid = \"F2\"\nsystem = \"fuel\"\nfluid = \"diesel\"\nservice = \"pressure\"\nfrom = \"CAN.P\"\nto = \"ENG.P\"\nhose = \"demo-oil-braid\"\nsize = \"-6\"\nend_a = \"demo-flare-straight\"\nend_b = \"demo-flare-straight\"\nslack = \"5 %\"\n",
        port("CAN", -200.0, 1.0, "other"),
        port("ENG", 200.0, -1.0, "other"),
    )
}

#[test]
fn two_lines_in_one_place_fail_and_lines_that_may_rub_are_a_caution() {
    let of = |height: f64| with(&crossing(height), &[]);
    let through = of(392.0);
    let first = findings(&through)[0];
    assert_eq!((first.verdict, first.place.as_str()), (Verdict::Fail, "F1, beside F2"));
    // 2 mm over the axis of F1 at (165, 0, 390), which leans by 20 in 330.
    let lean = (1.0_f64 + (20.0 / 330.0) * (20.0 / 330.0)).sqrt();
    let wanted = 2.0 / lean - THICK_MM;
    assert!((first.value.unwrap_or(f64::NAN) - wanted).abs() < 1e-6, "{first:?}");
    let bowed = of(450.0);
    let first = findings(&bowed)[0];
    assert_eq!((first.verdict, first.place.as_str()), (Verdict::Caution, "F1"));
    assert!(first.message.contains("F2"), "{}", first.message);
    let clear = of(700.0);
    let first = findings(&clear)[0];
    assert_eq!(first.verdict, Verdict::Ok);
    assert!(first.message.contains("no two of 2 lines touch"), "{}", first.message);
}

#[test]
fn the_numbers_are_in_the_json() {
    let value = json::check(&with(&block("hot", 407.0, OWN), &[]), None);
    let first = &value["clearances"][0];
    assert_eq!((first["a"].as_str(), first["b"].as_str()), (Some("F1"), Some("K")));
    assert_eq!(first["allowed_mm"].as_f64(), Some(25.0));
    assert!(first["distance_mm"].as_f64().is_some_and(|mm| mm > 5.0 && mm < 15.0));
    assert_eq!(first["at_mm"].as_array().map(Vec::len), Some(3));
    assert!(first["stretches_mm"][0][0].as_f64().is_some_and(|mm| mm > 20.0 && mm < 160.0));
}
