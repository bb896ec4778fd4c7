//! Verdicts on the starter plan after one change: nothing unknown may pass as ok.

use hosewright::plan::starter::STARTER;
use serde_json::Value;

use super::Bench;

/// The answer on the starter with texts replaced, each of which must be there.
fn after(changes: &[(&str, &str)]) -> Value {
    let mut text = STARTER.to_owned();
    for (before, behind) in changes {
        assert!(text.contains(before), "the starter has no {before}");
        text = text.replace(before, behind);
    }
    let bench = Bench::new();
    bench.write("plan.toml", &text);
    let run = bench.run("check plan.toml --format json");
    assert!(run.status < 2, "{}{}", run.out, run.err);
    run.json()
}

/// The verdicts of a check, worst word for word, in order.
fn verdicts(answer: &Value, code: &str) -> Vec<String> {
    let findings = answer["findings"].as_array().cloned().unwrap_or_default();
    let of_code = findings.iter().filter(|f| f["code"] == code);
    of_code.filter_map(|f| f["verdict"].as_str().map(str::to_owned)).collect()
}

const FLUID: &str = "table = \"diesel\"\ngrade = \"en590\"";
const PRESSURE: &str = "pressure_from = \"0 bar\" ";

/// An own fluid in place of the diesel.
fn fluid(keys: &str, point: &str) -> String {
    format!(
        "use = \"hydraulic oil\"\nflammable = true\nsource = \"a test\"\n{keys}\npoints = [{{ temperature = \"20 degC\", {point} }}, {{ temperature = \"60 degC\", {point} }}]"
    )
}

#[test]
fn oil_that_does_not_boil_may_still_give_off_its_air() {
    let oil = fluid("", "density = \"870 kg/m3\", viscosity = \"20 cP\", vapour = \"1 Pa abs\"");
    let low = after(&[(FLUID, &oil), (PRESSURE, "pressure_from = \"-0.3 bar\" ")]);
    assert_eq!(verdicts(&low, "hydraulics.suction"), ["fail"]);
    let high = after(&[(FLUID, &oil)]);
    assert_eq!(verdicts(&high, "hydraulics.suction"), ["ok"]);
}

#[test]
fn a_case_without_a_pressure_leaves_the_highest_pressure_open() {
    let second = "[[line.duty]]\ncase = \"hot\"\nflow = \"90 L/h\"\ntemperature = \"40 degC\"\n\n[[case]]\nname = \"hot\"\naltitude = \"0 m\"\n\n# --- cases";
    let open = after(&[("# --- cases", second)]);
    assert_eq!(verdicts(&open, "rating.working-pressure"), ["open"]);
    let stated = second.replace("\"40 degC\"", "\"40 degC\"\npressure_max = \"1 bar\"");
    let known = after(&[("# --- cases", &stated)]);
    assert_eq!(verdicts(&known, "rating.working-pressure"), ["ok"]);
}

#[test]
fn a_derating_curve_that_begins_too_warm_says_so_in_degrees() {
    let hose = "[[hose]]\nid = \"own\"\nbore = \"8 mm\"\nworking = \"20 bar\"\nsource = \"a test\"\nderate = [[\"40 degC\", \"100 %\"], [\"120 degC\", \"70 %\"]]\n\n# --- lines";
    let answer = after(&[
        ("# --- lines", hose),
        ("hose    = \"demo-oil-braid\" ", "hose    = \"own\" "),
        ("size    = \"-6\"\n", ""),
        ("\"demo-flare-straight\"", "\"demo-flare-straight -6\""),
    ]);
    let finding = answer["findings"].as_array().and_then(|all| {
        all.iter().find(|f| f["code"] == "rating.working-pressure").map(ToString::to_string)
    });
    let finding = finding.unwrap_or_default();
    let says = "the derating curve runs from 40 degC to 120 degC, and not to 30 degC";
    assert!(finding.contains(says) && finding.contains("\"open\""), "{finding}");
}

#[test]
fn a_valve_without_a_closing_time_leaves_the_surge_open() {
    let valve = ("kind = \"pump\"", "kind = \"valve\"");
    assert_eq!(verdicts(&after(&[valve]), "rating.surge"), ["open"]);
    let timed = ("zone    = \"open\"", "zone    = \"open\"\nclosing_time = \"1 s\"");
    assert_eq!(verdicts(&after(&[valve, timed]), "rating.surge"), ["ok"]);
}

#[test]
fn a_bleed_helps_near_its_trap_only() {
    let clips = "[[330, 0, 380], [650, -80, 320]]";
    let hump = "[[200, 0, 400], [200, 0, 600], [500, 0, 600], [500, -80, 320], [650, -80, 320]]";
    let at = |bleed: &str| {
        let marked = hump.replace(bleed, &format!("{{ at = {bleed}, bleed = true }}"));
        verdicts(&after(&[(clips, &marked)]), "geometry.high-point")
    };
    assert_eq!(at("[200, 0, 600]"), ["ok"]);
    assert_eq!(at("[650, -80, 320]"), ["caution"]);
}

#[test]
fn the_density_of_a_gas_follows_its_pressure() {
    let point = "density = \"1.2 kg/m3\", viscosity = \"0.018 cP\"";
    let unknown = after(&[(FLUID, &fluid("gas = true", point))]);
    assert_eq!(verdicts(&unknown, "hydraulics.velocity"), ["open"]);
    let reynolds = |pressure: &str| {
        let keys = format!("gas = true\npressure = \"{pressure}\"");
        let answer = after(&[(FLUID, &fluid(&keys, point))]);
        let findings = answer["findings"].as_array().cloned().unwrap_or_default();
        let regime = findings.into_iter().find(|f| f["code"] == "hydraulics.regime");
        regime.and_then(|f| f["value"].as_f64()).unwrap_or(f64::NAN)
    };
    let ratio = reynolds("0.5 bar abs") / reynolds("1 bar abs");
    assert!((ratio - 2.0).abs() < 1e-9, "{ratio}");
}

#[test]
fn an_unknown_end_bore_leaves_a_limited_drop_open_and_keeps_the_elbow() {
    let limit = ("zone    = \"open\"", "zone    = \"open\"\ndrop_limit = \"50 kPa\"");
    let bore = (", bore = \"7.5 mm\"", "");
    let hose = ("hose    = \"demo-oil-braid\"", "hose    = \"braid\"");
    let end = "[[hose]]\nid = \"braid\"\nbore = \"8.7 mm\"\noutside = \"14 mm\"\nbend_radius = \"45 mm\"\nbend_to = \"centre-line\"\nsurface = \"drawn tube\"\nsource = \"a test\"\n\n[[end]]\nid = \"mine\"\nfamily = \"flare-37\"\nsize = \"-6\"\ngender = \"female\"\nangle = \"45 deg\"\ndrop = \"20 mm\"\ncut_off = \"20 mm\"\nwetted = \"steel\"\nsource = \"a test\"\n\n# --- lines";
    let mine = ("end_b   = \"demo-flare-straight\"", "end_b   = \"mine\"");
    let open = after(&[("# --- lines", end), mine, hose, bore, limit]);
    assert_eq!(verdicts(&open, "hydraulics.pressure-drop"), ["open"]);
    let straight = end.replace("45 deg", "0 deg").replace("drop = \"20 mm\"\n", "");
    let drop = |end: &str| {
        let answer = after(&[("# --- lines", end), mine, hose, bore]);
        let findings = answer["findings"].as_array().cloned().unwrap_or_default();
        let found = findings.iter().find(|f| f["code"] == "hydraulics.pressure-drop");
        let text = found.and_then(|f| f["message"].as_str()).unwrap_or_default().to_owned();
        let ends = text.split("ends ").nth(1).and_then(|t| t.split(' ').next());
        ends.and_then(|t| t.parse::<f64>().ok()).unwrap_or(f64::NAN)
    };
    assert!(drop(end) > drop(&straight), "{} and {}", drop(end), drop(&straight));
}
