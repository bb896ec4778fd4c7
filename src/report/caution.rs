//! The cautions that end every report, and those that a plan adds by what runs in its lines.

use crate::plan::Plan;
use crate::solve::Facts;

/// Stands at the end of every report.
pub const ALWAYS: &str = "A planning aid. Its figures depend on what was typed in. Inspect and test \
every line before use; local codes and licensed practice decide, and nothing here is an approval.";

/// Goes before a flow test.
pub const FLOW_TEST: &str = "Before a flow test: prop the machine so that it can neither roll nor tip, with nobody \
under it; the engine cold, every end that is opened led into a can that stands firm; one person at the switch, ready to \
stop it.";

/// Goes before a proof test.
pub const PROOF_TEST: &str = "Before a proof test: liquid, never gas. Bleed all air out; plug, tie down and cover the line, \
and stand aside of its ends with eyes and face covered; pump by hand, in steps, and touch nothing while the pressure is on. \
Let it off before a joint is tightened. Fuel is taken out first, water dried out after.";

/// Goes before a leak test.
pub const LEAK_TEST: &str = "Before a leak test: this is not a test of strength, which is made with liquid before. Gas that is let \
go throws what it was held by, so stand aside and keep to the pressure printed here. Nothing that burns is left in the \
lines; purge them, no flame, no spark. Take carburettors, gauges and tanks that stand less off first.";

/// Goes with dip marks.
pub const DIP: &str = "A dip stick is a cross-check. Prove its marks by pouring known volumes before they are relied on, \
with the machine standing as it will when it is read; never cut a margin of fuel to what a stick shows. Open fuel: no \
flame, battery off, outdoors, can and tank earthed.";

/// Goes with filling.
pub const FILLING: &str = "Filling: everything cold. Never open the cap of a system that is hot or under pressure: it \
boils over at once and scalds; let it cool until a hand can stay on it, then turn the cap to its first stop. Fill slowly, \
keep clear of belts and fans while it runs, catch what runs over; coolant is poison to people and animals, oil and fuel \
burn.";

/// Goes with masses.
pub const WEIGHING: &str = "A planning aid: weighing decides. These masses are those of lines, fittings, components and \
what is in them, as far as the plan tells; they never replace the weighing of the finished machine or its approved \
limits.";

/// Goes before bending.
pub const BENDING: &str = "Before bending: eye protection, and gloves for the sawn ends; the bender bolted or \
clamped down, nobody within the swing of the tube; a first bend of each kind on scrap. A tube with a wrinkle, a \
kink or a scratch in a bend is scrap: it is not dressed, not heated and not bent twice.";

/// Goes before work on sheet.
pub const SHEET: &str = "Before cutting: sheet has edges like knives, so gloves to carry it and none at the drill; eye \
protection; the strip clamped down before it is drilled. A strip with a crack or a fold in a bend is scrap: it is not \
bent back. What the strap must hold in a crash or a rollover is not computed here.";

/// Goes before the list of joints.
pub const JOINTS: &str = "Before a joint is made or opened: no pressure in the line, everything cold, the power off, \
and what runs out caught. A value holds for the parts, the threads and the lubricant that its table names; where the \
maker of a part states another, that one counts. Two people sign where one mistake could stop an engine, start a fire \
or take away brake or steering; national rules decide which joints those are and who may sign.";

/// Goes before the steps of a line.
pub const STEPS: &str = "Before cutting and blowing through: eye protection; air at low pressure, never towards anybody, \
and nothing that burns near it. A step that is not done is not ticked: one number measured is worth more than ten looked \
at. Where the maker of hose or fitting writes it otherwise, his instructions count.";

const FUEL: &str = "Fuel: work outdoors, no flame, battery off, an extinguisher at hand, cans and \
funnels earthed; never test flow on a hot engine.";
const HIGH_PRESSURE: &str = "High pressure: a fine jet goes through the skin and is an emergency even \
if it does not hurt. Let the pressure off before loosening anything, look for leaks with a piece of \
card and never with a hand, guard hoses near people, test with liquid and never with gas.";
const HOT: &str = "Hot fluid: let it cool before a cap or a joint is opened; a line that comes off \
scalds.";
const STORED: &str = "Stored energy: a raised load or a charged accumulator keeps the pressure up \
when the pump stands still. Lower it, lock it, and see the gauge at zero.";

/// Pressure, Pa gauge, from which a jet can break the skin (about 7 bar; training texts on injection).
const INJECTION_PA: f64 = 7.0e5;
/// Temperature, K, from which a liquid scalds at once (60 degC; common practice).
const SCALD_K: f64 = 333.15;

/// The cautions for a plan.
pub fn cautions(plan: &Plan, facts: &Facts) -> Vec<&'static str> {
    let duties = || facts.lines.iter().flat_map(|l| &l.duties);
    let fuel = plan.fluids.iter().any(|f| f.fluid.is_fuel());
    let pressed = |p: f64| duties().any(|d| d.highest_gauge_pa().is_some_and(|h| h >= p));
    let hot = duties().any(|d| d.temperature_k >= SCALD_K);
    let cylinder = plan.components.iter().any(|c| c.kind == "cylinder");
    let mut list = Vec::new();
    list.extend(fuel.then_some(FUEL));
    list.extend(pressed(INJECTION_PA).then_some(HIGH_PRESSURE));
    list.extend(hot.then_some(HOT));
    list.extend(cylinder.then_some(STORED));
    list.push(ALWAYS);
    list
}
