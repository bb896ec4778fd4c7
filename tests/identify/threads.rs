//! Threads from a calliper and a pitch gauge, and the limits their crests lie in.

use hosewright::identify::thread::{Side, ThreadForm};
use serde_json::Value;

use crate::commands::Bench;

#[test]
fn crests_lie_within_the_limits_of_the_standard() {
    // ISO 965-2, M22x1.5 6g and 6H, and M12x1 (from memory), to the rounding of the tables.
    for (d, p, male, female) in [
        (22.0, 1.5, (21.732, 21.968), (20.376, 20.676)),
        (12.0, 1.0, (11.794, 11.974), (10.917, 11.153)),
    ] {
        let form = ThreadForm { major_mm: d, pitch_mm: p, whitworth: false, cone_deg: None };
        let (low, high) = form.crests(Side::Male).unwrap();
        assert!((low - male.0).abs() < 0.006 && high >= male.1, "{low}");
        let (low, high) = form.crests(Side::Female).unwrap();
        assert!((low - female.0).abs() < 0.002 && (high - female.1).abs() < 0.008, "{low} {high}");
    }
    // G 1/4: 11.445 to 11.890 mm (ISO 228-1, from memory).
    let g = ThreadForm { major_mm: 13.157, pitch_mm: 1.337, whitworth: true, cone_deg: None };
    let (low, high) = g.crests(Side::Female).unwrap();
    assert!((low - 11.445).abs() < 0.002 && (high - 11.890).abs() < 0.003, "{low} {high}");
}

fn quick(more: &[&str]) -> Value {
    let args = [&["quick", "thread", "--format", "json"][..], more].concat();
    let run = Bench::new().run_args(&args);
    assert_eq!(run.status, 0, "{more:?}: {}", run.err);
    run.json()
}

fn families(told: &Value) -> Vec<String> {
    let list = told["possible"].as_array().cloned().unwrap_or_default();
    list.iter().map(|p| format!("{} {}", p["thread"], p["family"]).replace('"', "")).collect()
}

#[test]
fn a_flare_thread_without_its_cone_cannot_be_told() {
    let asked = ["--outside", "19.0 mm", "--error", "0.1 mm", "--pitch", "16 tpi"];
    let told = quick(&asked);
    assert_eq!(families(&told), ["3/4-16 flare-37", "3/4-16 flare-45"]);
    assert!(told["says"].as_str().unwrap().contains("cannot tell from these readings"));
    assert!(told["next"].as_str().unwrap().contains("angle of the cone"));
    assert!(told["traps"][0].as_str().unwrap().contains("screw together and do not seal"));
    let with_cone = [&asked[..], &["--cone", "45 deg", "--cone-error", "2 deg"]].concat();
    assert_eq!(families(&quick(&with_cone)), ["3/4-16 flare-45"]);
    assert!(quick(&with_cone)["next"].is_null());
}

#[test]
fn a_metric_and_an_inch_thread_that_start_on_one_another_are_named() {
    let told = quick(&["--outside", "26.9 mm", "--error", "0.1 mm", "--gender", "male"]);
    assert!(families(&told).contains(&"M27x2 iso-6149".to_owned()), "{told:#}");
    assert!(families(&told).contains(&"1 1/16-12 flare-37".to_owned()), "{told:#}");
    let traps = told["traps"].to_string();
    assert!(
        traps.contains("1 1/16-12 of flare-37 and M27x2 of iso-6149 start on one another"),
        "{traps}"
    );
}

#[test]
fn what_fits_no_known_thread_is_said() {
    let told = quick(&["--outside", "150 mm", "--error", "0.1 mm"]);
    assert!(told["says"].as_str().unwrap().starts_with("no thread of"), "{told:#}");
}

#[test]
fn readings_that_are_none_are_refused() {
    for (more, said) in [
        (&[][..], "nothing was read"),
        (&["--outside", "19 mm"], "--error"),
        (&["--outside", "19 bar", "--error", "1 mm"], "--outside"),
        (&["--outside", "19 mm", "--error", "0 mm"], "greater than zero"),
        (&["--outside", "NaN mm", "--error", "1 mm"], "--outside"),
        (&["--pitch", "16 bar"], "not a pitch"),
        (&["--pitch", "0 tpi"], "not a pitch"),
        (&["--cone", "37 deg"], "--cone-error"),
        (&["--gender", "both", "--pitch", "16 tpi"], "--gender"),
    ] {
        let run = Bench::new().run_args(&[&["quick", "thread"][..], more].concat());
        assert_eq!(run.status, 2, "{more:?}: {}", run.out);
        assert!(run.err.contains(said), "{more:?}: {}", run.err);
    }
}
