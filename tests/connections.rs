//! What is connected with what: each rule is ok on a sound plan and speaks of one planted fault.
#![expect(clippy::panic, reason = "a test that cannot go on says why")]

use core::fmt::Write;

use hosewright::assess::{Assessment, read_and_assess};
use hosewright::diagnostic::SourceText;
use hosewright::finding::{Finding, Verdict};
use hosewright::table::Tables;

const TANKS: &str = include_str!("connections/two-tanks.toml");
const LOOP: &str = include_str!("connections/loop.toml");

/// The assessment of a plan with texts replaced, each of which must be there.
fn after(plan: &str, changes: &[(&str, &str)]) -> Assessment {
    let mut text = plan.to_owned();
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

/// The messages of a code with a verdict.
fn says(assessment: &Assessment, code: &str, verdict: Verdict) -> Vec<String> {
    let found = of(assessment, code).into_iter().filter(|f| f.verdict == verdict);
    found.map(|f| f.message.clone()).collect()
}

fn fails(plan: &str, changes: &[(&str, &str)], code: &str) -> Vec<String> {
    says(&after(plan, changes), code, Verdict::Fail)
}

/// A join of a plan as it is written.
fn join(a: &str, b: &str) -> String {
    format!("[[join]]\nports = [\"{a}\", \"{b}\"]\n")
}

#[test]
fn sound_plans_are_ok_in_every_rule() {
    let rules = [
        "connection.open-port",
        "connection.pump-source",
        "connection.direction",
        "connection.expansion",
        "connection.tank-balance",
    ];
    let of_tanks = [
        "connection.reachable-need",
        "connection.parallel-pumps",
        "connection.return",
        "connection.vent-low-point",
    ];
    let (tanks, circuit) = (after(TANKS, &[]), after(LOOP, &[]));
    let all = rules.iter().chain(&of_tanks).map(|code| (&tanks, code));
    for (assessment, code) in all.chain(rules.iter().map(|code| (&circuit, code))) {
        let found = of(assessment, code);
        assert!(!found.is_empty(), "{code} says nothing of {}", assessment.plan.name);
        assert!(found.iter().all(|f| f.verdict == Verdict::Ok), "{found:?}");
    }
}

#[test]
fn a_port_that_nothing_is_on_is_a_caution() {
    let open = after(TANKS, &[(&join("P2.OUT", "CV2.IN"), "")]);
    let found = says(&open, "connection.open-port", Verdict::Caution);
    assert_eq!(found, ["nothing is on port OUT of P2", "nothing is on port IN of CV2"]);
}

#[test]
fn a_pump_that_no_tank_leads_to_has_no_source() {
    let cut = fails(TANKS, &[(&join("TEE1.B", "P2.IN"), "")], "connection.pump-source");
    assert_eq!(cut, ["pump P2 has no source: no tank leads to its port IN"]);
    let alone = [join("TEE1.A", "P1.IN"), join("P1.OUT", "CV1.IN")];
    let alone = alone.each_ref().map(|j| (j.as_str(), ""));
    let cut = fails(TANKS, &alone, "connection.pump-source");
    assert_eq!(cut, ["pump P1 has no source: no tank leads to its port IN"]);
    let cut = fails(TANKS, &[(&join("FF.OUT", "TEE1.IN"), "")], "connection.pump-source");
    assert_eq!(cut.len(), 2, "{cut:?}");
    assert!(cut[0].contains("pump P1 has no source"), "{cut:?}");
    // A check valve in the suction line that points back to the tank.
    let valve = ("drop = \"2.5 kPa\", at_flow", "one_way = true, drop = \"2.5 kPa\", at_flow");
    let ends = ("from = \"IN\", to = \"OUT\", one_way", "from = \"OUT\", to = \"IN\", one_way");
    assert_eq!(fails(TANKS, &[valve, ends], "connection.pump-source").len(), 2);
    assert!(fails(TANKS, &[valve], "connection.pump-source").is_empty());
}

#[test]
fn pumps_side_by_side_need_a_one_way_path_each() {
    let with = "k = 2.0, bore = \"6.5 mm\", one_way = true";
    let without = (with, "k = 2.0, bore = \"6.5 mm\"");
    let found = fails(TANKS, &[without], "connection.parallel-pumps");
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("while P2 runs and P1 stands still"), "{found:?}");
    assert!(found[0].contains("by F5 and F4 back through P1"), "{found:?}");
    assert_eq!(fails(TANKS, &[without, without], "connection.parallel-pumps").len(), 2);
    // A check valve that is built into the pump does as well.
    let built_in = ("name = \"pump\",", "name = \"pump\", one_way = true,");
    assert!(fails(TANKS, &[without, built_in], "connection.parallel-pumps").is_empty());
}

#[test]
fn pumps_in_a_row_are_not_side_by_side() {
    let second = "path = [{ from = \"IN\", to = \"OUT\", drop = \"2 kPa\", at_flow = \"5 L/min\", law = \"square\", heat = \"1 kW\" }]";
    let pump = "path = [{ from = \"IN\", to = \"OUT\", pump = { rest = \"20 kPa\", rise = \"5 kPa\", at_flow = \"10 L/min\" } }]";
    let row = after(LOOP, &[(second, pump)]);
    assert!(of(&row, "connection.parallel-pumps").is_empty());
    assert_eq!(says(&row, "connection.pump-source", Verdict::Ok).len(), 2);
}

#[test]
fn a_line_that_points_against_a_component_is_reversed() {
    let ends = "from = \"CV1.OUT\"\nto = \"TEE2.A\"";
    let turned = "from = \"TEE2.A\"\nto = \"CV1.OUT\"";
    let found = fails(TANKS, &[(ends, turned)], "connection.direction");
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("F4 enters valve CV1 at OUT"), "{found:?}");
    let filter = ("from = \"IN\", to = \"OUT\", drop", "from = \"OUT\", to = \"IN\", drop");
    let found = fails(TANKS, &[filter], "connection.direction");
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("F3 enters filter FF at IN"), "{found:?}");
    let pump = ("from = \"P.OUT\"\nto = \"HEATER.IN\"", "from = \"HEATER.IN\"\nto = \"P.OUT\"");
    assert_eq!(fails(LOOP, &[pump], "connection.direction").len(), 1);
}

#[test]
fn a_relief_valve_around_a_pump_does_not_turn_it_round() {
    let relief = "path = [\n  { name = \"relief\", from = \"OUT\", to = \"IN\", free = true, opens_at = \"1 bar\" },\n  { from = \"IN\",   to = \"OUT\", pump";
    let with = after(LOOP, &[("path = [\n  { from = \"IN\",   to = \"OUT\", pump", relief)]);
    assert!(of(&with, "connection.direction").iter().all(|f| f.verdict == Verdict::Ok));
}

#[test]
fn a_closed_loop_that_warms_needs_room() {
    let line = LOOP.find("[[line]]\nid = \"W3\"").unwrap_or(0);
    let case = LOOP.find("[[case]]").unwrap_or(0);
    let found = fails(LOOP, &[(&LOOP[line..case], "")], "connection.expansion");
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("it warms at HEATER"), "{found:?}");
    let cold = after(LOOP, &[(&LOOP[line..case], ""), (", heat = \"1 kW\"", "")]);
    assert_eq!(says(&cold, "connection.expansion", Verdict::Caution).len(), 1);
}

#[test]
fn a_return_must_follow_the_supply() {
    let crossed = [
        ("from = \"SEL.RL\"\nto = \"TL.RET\"", "from = \"SEL.RL\"\nto = \"TR.RET\""),
        ("from = \"SEL.RR\"\nto = \"TR.RET\"", "from = \"SEL.RR\"\nto = \"TL.RET\""),
    ];
    let found = fails(TANKS, &crossed, "connection.return");
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found[0].contains("with SEL at \"left\", P1 and P2 are fed by TL"), "{found:?}");
    assert!(found[0].contains("return ends in TR"), "{found:?}");
}

#[test]
fn two_selectors_are_wrong_in_the_pairs_that_do_not_belong_together() {
    // The return gets a selector of its own: its two paths leave the first one.
    let paths = "  { name = \"return-left\",  from = \"RIN\", to = \"RL\",   free = true },\n  { name = \"return-right\", from = \"RIN\", to = \"RR\",   free = true },\n";
    let shut = [
        ("\"right\", \"return-right\"", "\"right\""),
        ("\"left\", \"return-left\"", "\"left\""),
        (", \"return-left\", \"return-right\"", ""),
    ];
    let ports = TANKS.find("ports.RL ").zip(TANKS.find("ports.FEED"));
    let (from, to) = ports.unwrap_or((0, 0));
    let moved = &TANKS[from..to];
    let inlet = TANKS.lines().find(|l| l.starts_with("ports.RIN")).unwrap_or_default();
    let own = format!(
        "[[component]]\nid = \"BACK\"\nkind = \"valve\"\n{moved}{inlet}\npath = [\n{paths}]\nstate = [{{ name = \"to left\", shut = [\"return-right\"] }}, {{ name = \"to right\", shut = [\"return-left\"] }}]\n\n[[component]]\nid   = \"FF\""
    );
    let mut changes = vec![(moved, ""), (inlet, ""), (paths, "")];
    changes.extend(shut);
    changes.push(("[[component]]\nid   = \"FF\"", &own));
    changes.extend([("SEL.RL", "BACK.RL"), ("SEL.RR", "BACK.RR"), ("SEL.RIN", "BACK.RIN")]);
    let found = fails(TANKS, &changes, "connection.return");
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found[0].contains("SEL at \"left\" and BACK at \"to right\""), "{found:?}");
    assert!(found[1].contains("SEL at \"right\" and BACK at \"to left\""), "{found:?}");
    // What the plan says cannot be set together is not held against it.
    let matrix = "[matrix]\naltitude = [\"0 m\"]\nwithout = [{ SEL = \"left\", BACK = \"to right\" }, { SEL = \"right\", BACK = \"to left\" }]\n\n[[case]]";
    changes.push(("[[case]]", matrix));
    assert!(fails(TANKS, &changes, "connection.return").is_empty());
}

#[test]
fn a_vent_that_hangs_down_closes_and_a_low_mouth_runs_out() {
    let line = "from = \"TL.VENT\"\nto = \"VL.IN\"";
    let hung = format!("{line}\nclips = [[-150, -40, 400], [-280, -40, 600]]");
    let found = after(TANKS, &[(line, &hung)]);
    let low = says(&found, "connection.vent-low-point", Verdict::Caution);
    assert_eq!(low.len(), 1, "{low:?}");
    assert!(low[0].contains("closes the vent of TL"), "{low:?}");
    // A low mouth does no harm while the way there climbs over the liquid first.
    let mouth = ("at = [-400, 40, 600]", "at = [-400, 40, 540]");
    let low = after(TANKS, &[mouth]);
    assert!(says(&low, "connection.vent-low-point", Verdict::Caution).is_empty());
    let low = after(TANKS, &[mouth, ("at = [0, 40, 600]", "at = [0, 40, 540]")]);
    let low = says(&low, "connection.vent-low-point", Verdict::Caution);
    assert_eq!(low.len(), 1, "{low:?}");
    assert!(low[0].contains("the whole way to VR lies below the liquid in TR"), "{low:?}");
    assert!(low[0].contains("by 10.0 mm"), "{low:?}");
}

#[test]
fn what_is_screwed_to_a_tank_counts_in_its_balance() {
    // The make-up line becomes a join: nothing passes, and that is known.
    let line = LOOP.find("[[line]]\nid = \"W3\"").unwrap_or(0);
    let case = LOOP.find("[[case]]").unwrap_or(0);
    let joined = after(LOOP, &[(&LOOP[line..case], &join("XT.BOT", "P.FILL"))]);
    let found = says(&joined, "connection.tank-balance", Verdict::Ok);
    assert_eq!(found, ["what flows in flows out"]);
}

#[test]
fn a_need_behind_a_valve_that_is_usually_shut_is_not_reached() {
    let off =
        "{ name = \"off\",   shut = [\"left\", \"right\", \"return-left\", \"return-right\"] },\n";
    let first = format!("state = [\n  {off}  {{ name = \"left\",");
    let changes = [(off, ""), ("state = [\n  { name = \"left\",", first.as_str())];
    let found = fails(TANKS, &changes, "connection.reachable-need");
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("TL and TR leads to ENG, but not while"), "{found:?}");
}

#[test]
fn minutes_until_a_tank_runs_over_or_empty_are_those_of_its_flows() {
    let sound = after(TANKS, &[]);
    let value = |a: &Assessment, tank: &str| {
        let found = of(a, "connection.tank-balance").into_iter().find(|f| f.place == tank);
        found.and_then(|f| f.value).unwrap_or(f64::NAN)
    };
    // 39 L can be drawn and 27 L/h are used: 86.7 minutes, whatever goes round.
    assert!((value(&sound, "TL") - 39.0 / 0.45).abs() < 1e-3, "{}", value(&sound, "TL"));
    let crossed = [
        ("from = \"SEL.RL\"\nto = \"TL.RET\"", "from = \"SEL.RL\"\nto = \"TR.RET\""),
        ("from = \"SEL.RR\"\nto = \"TR.RET\"", "from = \"SEL.RR\"\nto = \"TL.RET\""),
    ];
    let wrong = after(TANKS, &crossed);
    // One pump moves 2 L/min, less what slips: at most 0.1 L/min. What is not used fills 5 L in TR.
    let (empties, fills) = (39.0 / value(&wrong, "TL"), 5.0 / value(&wrong, "TR"));
    assert!((empties - fills - 0.45).abs() < 1e-4, "{empties} and {fills}");
    assert!((1.89..1.91).contains(&empties), "{empties}");
    let found = says(&wrong, "connection.tank-balance", Verdict::Fail);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("while TL still feeds it"), "{found:?}");
    // With little fuel on board the other tank is empty before this one is full.
    let little =
        [("volume = \"40 L\"", "volume = \"2 L\""), ("volume = \"40 L\"", "volume = \"2 L\"")];
    let both: Vec<_> = crossed.into_iter().chain(little).collect();
    assert!(fails(TANKS, &both, "connection.tank-balance").is_empty());
}

#[test]
fn returns_that_can_be_exchanged_are_told_with_a_size_that_cannot() {
    let found = after(TANKS, &[]);
    let swaps = of(&found, "connection.swap");
    let at = |place: &str| swaps.iter().find(|f| f.place == place).copied();
    let returns = at("SEL.RL and SEL.RR").unwrap_or_else(|| panic!("{swaps:?}"));
    assert_eq!(returns.verdict, Verdict::Caution);
    assert!(returns.message.contains("line F7 on SEL.RR and line F8 on SEL.RL"), "{returns:?}");
    assert!(returns.message.contains("return ends in TR"), "{returns:?}");
    assert!(returns.remedy.contains("demo-flare-straight -8"), "{returns:?}");
    assert!(returns.remedy.contains("only warns"), "{returns:?}");
    // The pump turned round: screwed on, it has no end from a table.
    let turned = at("P1.IN and P1.OUT").unwrap_or_else(|| panic!("{swaps:?}"));
    assert!(turned.remedy.contains("keyed coupling"), "{turned:?}");
    // A return on the vent of its tank.
    let vent = at("TL.RET and TL.VENT").unwrap_or_else(|| panic!("{swaps:?}"));
    assert!(vent.message.contains("petrol and air get into each other"), "{vent:?}");
    // Vents of two tanks with the same air do no harm.
    assert!(at("VL.IN and VR.IN").is_none());
}

#[test]
fn another_size_or_a_greater_distance_makes_an_exchange_impossible() {
    let place =
        |a: &Assessment, place: &str| of(a, "connection.swap").iter().any(|f| f.place == place);
    let size = "ports.RR = { at = [400, 40, 500], faces = [-1, 0, 0], end = { family = \"flare-37\", size = \"-6\"";
    let other = size.replace("\"-6\"", "\"-8\"");
    let keyed = after(TANKS, &[(size, &other)]);
    assert!(!place(&keyed, "SEL.RL and SEL.RR"));
    assert!(place(&keyed, "TL.RET and TR.RET"));
    let far = size.replace("[400, 40, 500]", "[400, 900, 500]");
    assert!(!place(&after(TANKS, &[(size, &far)]), "SEL.RL and SEL.RR"));
}

#[test]
fn a_pick_up_on_the_port_above_the_liquid_draws_air() {
    // Outlet and return of the left tank beside each other, the return over the liquid.
    let out = ("at = [0, -40, 300]", "at = [0, -40, 450]");
    let level = ("surface = [0, 0, 550]", "surface = [0, 0, 480]");
    let found = after(TANKS, &[out, level]);
    let told = of(&found, "connection.swap");
    let pair = told.iter().find(|f| f.message.contains("draws air"));
    let pair = pair.unwrap_or_else(|| panic!("{told:?}"));
    assert!(pair.message.contains("TL.RET stands over the liquid"), "{pair:?}");
}

#[test]
fn an_exchange_that_no_rule_of_direction_sees_is_solved() {
    let found = after(TANKS, &[]);
    let swaps = of(&found, "connection.swap");
    // The pump then delivers into the return, and nothing arrives.
    let past = swaps.iter().find(|f| f.place == "CV1.OUT and REG.OUT");
    let past = past.unwrap_or_else(|| panic!("{swaps:?}"));
    assert_eq!(past.verdict, Verdict::Caution);
    assert!(past.message.contains("ENG gets 0.00 of the 0.45 L/min"), "{past:?}");
    // What does not settle is open, and no harm is made up for it.
    let unknown = swaps.iter().filter(|f| f.message.contains("is not known"));
    assert!(unknown.clone().all(|f| f.verdict == Verdict::Open), "{swaps:?}");
    let counted = says(&found, "connection.swap", Verdict::Ok);
    let harmful = swaps.iter().filter(|f| f.verdict == Verdict::Caution).count();
    assert!(counted[0].contains(&format!("and {harmful} of the 36 looked at")), "{counted:?}");
}

#[test]
fn the_search_for_exchanges_is_capped_and_says_so() {
    // Forty gauges side by side on ports that are all alike: far more pairs than are looked at.
    let end =
        "end = { family = \"flare-37\", size = \"-6\", gender = \"male\", bore = \"6.5 mm\" }";
    let mut more = String::new();
    for n in 0..40 {
        let y = 5 * n;
        let _ = write!(
            more,
            "[[component]]\nid = \"G{n}\"\nkind = \"gauge\"\nports.IN = {{ at = [0, {y}, 900], faces = [1, 0, 0], {end} }}\n[[component]]\nid = \"T{n}\"\nkind = \"other\"\nports.OUT = {{ at = [400, {y}, 900], faces = [-1, 0, 0], {end} }}\n[[line]]\nid = \"L{n}\"\nsystem = \"gauges\"\nfluid = \"water\"\nservice = \"gauge\"\nfrom = \"T{n}.OUT\"\nto = \"G{n}.IN\"\nhose = \"demo-oil-braid\"\nsize = \"-6\"\nend_a = \"demo-flare-straight\"\nend_b = \"demo-flare-straight\"\nslack = \"8 %\"\n"
        );
    }
    let many = after(LOOP, &[("[[case]]", &format!("{more}\n[[case]]"))]);
    let open = says(&many, "connection.swap", Verdict::Open);
    assert!(open.iter().any(|m| m.contains("of the 300 looked at")), "{open:?}");
    assert!(open.iter().any(|m| m.contains("were not looked at")), "{open:?}");
}
