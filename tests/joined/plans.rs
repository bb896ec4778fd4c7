//! Whole plans: crests through components, what counts as a way out, water that freezes, overflows, waterlines.
#![expect(clippy::panic, reason = "a test that cannot go on says why")]

use hosewright::assess::{Assessment, read_and_assess};
use hosewright::diagnostic::SourceText;
use hosewright::finding::{Finding, Verdict};
use hosewright::table::Tables;

/// A tank, a line that climbs all the way to a valve, and one that falls all the way to the engine.
const CREST: &str = r#"
[plan]
name        = "crest"
length_unit = "mm"
axes        = { x = "aft", y = "right", z = "up" }

[[fluid]]
id    = "fluid"
table = "diesel"
grade = "en590"

[[component]]
id      = "TANK"
kind    = "tank"
surface = [0, 0, 380]
ports.OUT = { at = [0, 0, 300], faces = [1, 0, 1], end = { family = "flare-37", size = "-6", gender = "male" } }

[[component]]
id   = "VALVE"
kind = "valve"
ports.IN  = { at = [300, 0, 600], faces = [-1, 0, -1], end = { family = "flare-37", size = "-6", gender = "male" } }
ports.OUT = { at = [350, 0, 600], faces = [1, 0, -1], end = { family = "flare-37", size = "-6", gender = "male" } }
path = [{ name = "through", from = "IN", to = "OUT", kv = "Kv 1" }]

[[component]]
id   = "ENGINE"
kind = "engine"
ports.IN = { at = [650, 0, 300], faces = [-1, 0, 1], end = { family = "flare-37", size = "-6", gender = "male" } }
need = { port = "IN", flow = "20 L/h", pressure = "0 bar" }

[[line]]
id      = "UP"
system  = "fuel"
fluid   = "fluid"
service = "gravity"
from    = "TANK.OUT"
to      = "VALVE.IN"
hose    = "demo-oil-braid"
size    = "-6"
end_a   = "demo-flare-straight"
end_b   = "demo-flare-straight"

[[line]]
id      = "DOWN"
system  = "fuel"
fluid   = "fluid"
service = "gravity"
from    = "VALVE.OUT"
to      = "ENGINE.IN"
hose    = "demo-oil-braid"
size    = "-6"
end_a   = "demo-flare-straight"
end_b   = "demo-flare-straight"

[[case]]
name     = "level"
altitude = "0 m"
air      = "20 degC"
fluids   = { fluid = "20 degC" }
"#;

/// The assessment of the plan with texts replaced, each of which must be there.
fn after(changes: &[(&str, &str)]) -> Assessment {
    let mut text = CREST.to_owned();
    for (before, behind) in changes {
        assert!(text.contains(before), "the plan has no {before}");
        text = text.replacen(before, behind, 1);
    }
    let file = SourceText::new("plan.toml", text);
    read_and_assess(&file, &Tables::builtin())
        .unwrap_or_else(|p| panic!("{:?}", p.iter().map(|d| &d.message).collect::<Vec<_>>()))
}

fn of<'a>(assessment: &'a Assessment, code: &str) -> Vec<&'a Finding> {
    assessment.findings.iter().filter(|f| f.code == code).collect()
}

/// The findings of a code that are not ok.
fn against<'a>(assessment: &'a Assessment, code: &str) -> Vec<&'a Finding> {
    let all = of(assessment, code);
    all.into_iter().filter(|f| f.verdict != Verdict::Ok).collect()
}

/// What the two hoses hold, ml.
fn hoses_ml(assessment: &Assessment) -> f64 {
    let bore = assessment.facts.lines[0].bore.as_ref().map_or(f64::NAN, |b| b.value);
    0.25 * core::f64::consts::PI * bore * bore * 2.0 * 300.0 * 2.0_f64.sqrt() / 1000.0
}

const THROUGH: &str = "kv = \"Kv 1\" }";

#[test]
fn two_lines_without_a_high_point_make_a_crest_at_the_valve_between_them() {
    let crest = after(&[]);
    let found = against(&crest, "connection.air-trap");
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(
        (found[0].place.as_str(), found[0].verdict),
        ("VALVE, path through", Verdict::Caution)
    );
    assert!((found[0].value.unwrap_or(0.0) - 300.0).abs() < 1e-6, "{found:?}");
    // Both hoses of 424 mm stand over the way out.
    let ml = hoses_ml(&crest);
    assert!(found[0].message.contains(&format!("{ml:.0} ml and what VALVE holds")), "{found:?}");
    assert!(found[0].message.contains("UP, DOWN and VALVE"), "{found:?}");
    assert!(found[0].remedy.contains("(325, 0, 600) mm on VALVE"), "{found:?}");
    // No line has a high point of its own, and each says where to look.
    let lines = of(&crest, "geometry.high-point");
    assert!(
        lines.iter().all(|f| f.verdict == Verdict::Ok && f.message.contains("air-trap")),
        "{lines:?}"
    );
}

#[test]
fn a_bleed_at_the_top_of_the_path_relieves_it_and_its_volume_is_known_when_given() {
    let bled = "kv = \"Kv 1\", top = [325, 0, 610], bleed = true }";
    let bled = after(&[(THROUGH, bled)]);
    let found = of(&bled, "connection.air-trap");
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].verdict, Verdict::Ok);
    assert!(found[0].message.contains("bled at VALVE, path through"), "{found:?}");
    assert_eq!(bled.facts.joined.bleed_order.len(), 1);
    let measured = after(&[(THROUGH, "kv = \"Kv 1\", volume = \"0.2 L\" }")]);
    let found = against(&measured, "connection.air-trap");
    let ml = 200.0 + hoses_ml(&measured);
    assert!(found[0].message.contains(&format!("{ml:.0} ml in UP")), "{found:?}");
}

#[test]
fn a_bleed_that_is_too_low_leaves_what_is_over_it() {
    let clip = "end_b   = \"demo-flare-straight\"\n\n[[line]]\nid      = \"DOWN\"";
    let low = format!("clips = [{{ at = [150, 0, 450], bleed = true }}]\n{clip}");
    let found = after(&[(clip, &low)]);
    let found = against(&found, "connection.air-trap");
    assert_eq!(found.len(), 1, "{found:?}");
    assert!((found[0].value.unwrap_or(0.0) - 150.0).abs() < 0.5, "{found:?}");
    assert!(found[0].message.contains("by UP, "), "{found:?}");
}

#[test]
fn a_check_valve_the_wrong_way_takes_a_way_out_and_a_relief_valve_is_none() {
    // The tank above the crest: air rises back to it, unless the valve lets nothing back.
    let high = [
        ("surface = [0, 0, 380]", "surface = [0, 0, 980]"),
        ("at = [0, 0, 300], faces = [1, 0, 1]", "at = [0, 0, 900], faces = [1, 0, -1]"),
        ("faces = [-1, 0, -1]", "faces = [-1, 0, 1]"),
    ];
    assert!(against(&after(&high), "connection.air-trap").is_empty());
    let check = [high.as_slice(), &[(THROUGH, "kv = \"Kv 1\", one_way = true }")]].concat();
    let found = after(&check);
    let found = against(&found, "connection.air-trap");
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].place, "VALVE.OUT");
    let relief = "kv = \"Kv 1\", one_way = true }, { name = \"relief\", from = \"OUT\", to = \"IN\", kv = \"Kv 1\", opens_at = \"1 bar\" }";
    let relief = [high.as_slice(), &[(THROUGH, relief)]].concat();
    assert_eq!(against(&after(&relief), "connection.air-trap").len(), 1);
    let free =
        relief.last().map(|(_, text)| text.replace(", opens_at = \"1 bar\"", ", one_way = true"));
    let free = [high.as_slice(), &[(THROUGH, free.as_deref().unwrap_or_default())]].concat();
    assert!(against(&after(&free), "connection.air-trap").is_empty());
}

#[test]
fn a_line_to_the_air_over_a_tank_stands_empty_and_is_no_trap() {
    // The far end leads into a tank over its liquid, and stands higher than the near one.
    let near = ("at = [0, 0, 300]", "at = [-100, 0, 200]");
    let tank = "id   = \"ENGINE\"\nkind = \"engine\"";
    let need = "need = { port = \"IN\", flow = \"20 L/h\", pressure = \"0 bar\" }\n";
    let dry =
        [(tank, "id   = \"ENGINE\"\nkind = \"tank\"\nsurface = [700, 0, 250]"), (need, ""), near];
    assert!(against(&after(&dry), "connection.air-trap").is_empty());
    // Under its liquid it is one again; the lower of two tanks does not help.
    let wet =
        [(tank, "id   = \"ENGINE\"\nkind = \"tank\"\nsurface = [700, 0, 350]"), (need, ""), near];
    assert_eq!(against(&after(&wet), "connection.air-trap").len(), 1);
}

#[test]
fn a_gauge_line_is_filled_by_what_it_compresses() {
    let gauge = [
        ("id   = \"ENGINE\"\nkind = \"engine\"", "id   = \"ENGINE\"\nkind = \"gauge\""),
        ("need = { port = \"IN\", flow = \"20 L/h\", pressure = \"0 bar\" }\n", ""),
        ("service = \"gravity\"", "service = \"gauge\""),
        ("service = \"gravity\"", "service = \"gauge\""),
    ];
    assert!(against(&after(&gauge), "connection.air-trap").is_empty());
}

/// The plan upside down: both lines hang to the valve.
const HANGING: [(&str, &str); 4] = [
    ("at = [300, 0, 600], faces = [-1, 0, -1]", "at = [300, 0, 0], faces = [-1, 0, 1]"),
    ("at = [350, 0, 600], faces = [1, 0, -1]", "at = [350, 0, 0], faces = [1, 0, 1]"),
    ("faces = [1, 0, 1]", "faces = [1, 0, -1]"),
    ("at = [650, 0, 300], faces = [-1, 0, 1]", "at = [650, 0, 300], faces = [-1, 0, -1]"),
];

#[test]
fn what_hangs_under_every_way_out_needs_a_drain_in_fuel() {
    let hanging = after(&HANGING);
    let found = against(&hanging, "connection.drain");
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].place, "VALVE, path through");
    assert!((found[0].value.unwrap_or(0.0) - 300.0).abs() < 1e-6, "{found:?}");
    assert!(against(&hanging, "connection.air-trap").is_empty());
    let drain = "kv = \"Kv 1\", bottom = [325, 0, -10], drain = true }";
    let drained = after(&[HANGING.as_slice(), &[(THROUGH, drain)]].concat());
    assert!(against(&drained, "connection.drain").is_empty());
    let drains = &drained.facts.joined.drains;
    assert_eq!((drains.len(), drains[0].lines.as_slice()), (1, [0, 1].as_slice()));
}

#[test]
fn water_needs_a_drain_only_where_the_plan_freezes() {
    let water = ("table = \"diesel\"\ngrade = \"en590\"", "table = \"water\"");
    let warm = after(&[HANGING.as_slice(), &[water]].concat());
    let found = of(&warm, "connection.drain");
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].message, "a low point does no harm in water");
    let cold = ("air      = \"20 degC\"", "air      = \"-5 degC\"");
    let cold = after(&[HANGING.as_slice(), &[water, cold]].concat());
    let found = against(&cold, "connection.drain");
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].message.contains("can freeze"), "{found:?}");
}

#[test]
fn from_which_angle_on_air_stays_is_told() {
    // The far line falls by 45 degrees to the engine; nose down by more it would rise.
    let tank = ("at = [0, 0, 300], faces = [1, 0, 1]", "at = [0, 0, 900], faces = [1, 0, -1]");
    let rest = [
        tank,
        ("surface = [0, 0, 380]", "surface = [0, 0, 980]"),
        ("faces = [-1, 0, -1]", "faces = [-1, 0, 1]"),
    ];
    let flown = ("altitude = \"0 m\"", "altitude = \"0 m\"\nnose_up = \"-60 deg\"");
    let found = after(&[rest.as_slice(), &[flown]].concat());
    let found = against(&found, "connection.air-trap");
    assert!(found.is_empty(), "{found:?}");
    let one_way = (THROUGH, "kv = \"Kv 1\" }");
    let level = ("altitude = \"0 m\"", "altitude = \"0 m\"\nnose_up = \"60 deg\"");
    let nose_up = after(&[rest.as_slice(), &[level, one_way]].concat());
    let found = against(&nose_up, "geometry.high-point");
    let at_ports = against(&nose_up, "connection.air-trap");
    assert!(found.is_empty() && at_ports.is_empty(), "{found:?} {at_ports:?}");
}

const OVERFLOW: [(&str, &str); 4] = [
    ("service = \"gravity\"", "service = \"overflow\""),
    ("service = \"gravity\"", "service = \"overflow\""),
    ("id   = \"ENGINE\"\nkind = \"engine\"", "id   = \"ENGINE\"\nkind = \"vent\""),
    ("need = { port = \"IN\", flow = \"20 L/h\", pressure = \"0 bar\" }\n", ""),
];

#[test]
fn an_overflow_has_to_rise_over_its_liquid_before_it_falls() {
    // The end of it 100 mm lower than the outlet of the tank.
    let end = ("at = [650, 0, 300]", "at = [850, 0, 100]");
    let high = after(&[OVERFLOW.as_slice(), &[end]].concat());
    let found = of(&high, "connection.siphon");
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found.iter().all(|f| f.verdict == Verdict::Ok), "{found:?}");
    assert!((found[0].value.unwrap_or(0.0) - 220.0).abs() < 1e-6, "{found:?}");
    let full = ("surface = [0, 0, 380]", "surface = [0, 0, 640]");
    let low = after(&[OVERFLOW.as_slice(), &[end, full]].concat());
    let found = against(&low, "connection.siphon");
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found[0].message.contains("40.0 mm under the surface in TANK"), "{found:?}");
}

#[test]
fn a_mouth_that_dips_into_the_water_needs_a_loop_over_it() {
    let water = |z: i32| format!("cut_step = \"1 mm\"\nwaterline = [325, 0, {z}]");
    let plan = |z: i32| {
        let water = water(z);
        let key = ("cut_step = \"1 mm\"", water.as_str());
        let axes = "axes        = { x = \"aft\", y = \"right\", z = \"up\" }";
        let step = format!("{axes}\ncut_step = \"1 mm\"");
        after(&[OVERFLOW.as_slice(), &[(axes, step.as_str()), key]].concat())
    };
    let judged = |z: i32| {
        let plan = plan(z);
        let found = of(&plan, "connection.siphon");
        let way = found.into_iter().find(|f| f.place == "ENGINE.IN to TANK.OUT");
        way.map(|f| (f.verdict, f.value.unwrap_or(f64::NAN)))
    };
    // Over the water nothing is to be said; the crest stands at 600.
    assert_eq!(judged(250), None);
    assert_eq!(judged(400), Some((Verdict::Ok, 200.0)));
    assert_eq!(judged(550), Some((Verdict::Caution, 50.0)));
    assert_eq!(judged(620), Some((Verdict::Fail, -20.0)));
}
