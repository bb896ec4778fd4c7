//! The flow test: how long a can may take, how long it should take, and what a measured time means.

use crate::check::network::need::chosen;
use crate::finding::Verdict;
use crate::hydraulics::flow_test::{Filling, MeasuredFlow, measured_flow};
use crate::plan::Plan;
use crate::solve::flow_test::{Explanation, FlowTest, FlowTests, Stand, explain, tests};
use crate::solve::{ask, network::machine::Machine};
use crate::source::{Cite, Sourced};
use crate::table::Tables;
use crate::units::{GaugePressure, Quantity, Temperature, Time, Volume};

/// What the builder asks for.
#[derive(Clone, Debug)]
pub struct Asked {
    /// Pitch to prop the machine to, rad; the steepest of the plan if absent.
    pub nose_up_rad: Option<f64>,
    /// Whether the line is opened at the measuring end; the pressure that the need must have is kept there
    /// otherwise.
    pub open: bool,
    /// Temperature of the fluid; the plan's if absent.
    pub temperature: Option<Temperature>,
    /// The cans; what was measured is a fill of the first.
    pub cans: Vec<Volume>,
    /// What was measured: the test by its pump or tank, and the time.
    pub measured: Vec<(String, Time)>,
    /// By how much each time may be wrong.
    pub error: Time,
}

impl Asked {
    /// Filling these cans in the usual stand, before anything was measured.
    pub fn with(cans: Vec<Volume>) -> Self {
        Self {
            nose_up_rad: None,
            open: false,
            temperature: None,
            cans,
            measured: Vec::new(),
            error: Time::from_si(0.0),
        }
    }
}

/// The flow test of a machine.
#[derive(Debug)]
pub struct FlowTrial {
    /// Pitch it is propped to, nose up positive, rad.
    pub nose_up_rad: f64,
    /// Whether the line is opened at the measuring end.
    pub open: bool,
    /// The cans.
    pub cans: Vec<Volume>,
    /// By how much each time may be wrong.
    pub error: Time,
    /// The tests.
    pub rows: Vec<Row>,
    /// Needs, and pumps, for which nothing can be computed, and why.
    pub not_computed: Vec<(usize, Option<usize>, String)>,
    /// Whether there were more ways to set the valves than were tried.
    pub cut_short: bool,
}

/// One flow test.
#[derive(Debug)]
pub struct Row {
    /// How it is made and what to expect.
    pub test: FlowTest,
    /// Flow that the need uses, m3/s.
    pub used_m3_s: f64,
    /// Whether the plan chose a yardstick for it; what is used counts once otherwise.
    pub yardstick_chosen: bool,
    /// Flows that must come, m3/s, the largest first, as multiples of what is used.
    pub yardsticks: Vec<Sourced<f64>>,
    /// What was measured, if anything was.
    pub result: Option<TestResult>,
}

/// What was measured in a flow test.
#[derive(Debug)]
pub struct TestResult {
    /// The time.
    pub time: Time,
    /// The flow, with the band of its error.
    pub flow: MeasuredFlow,
    /// The verdict against each yardstick.
    pub verdicts: Vec<Verdict>,
    /// What explains a flow below the expected one; why nothing does.
    pub explanation: Option<Result<Explanation, String>>,
}

impl Row {
    /// The greatest flow that must come, m3/s.
    pub fn wanted_m3_s(&self) -> f64 {
        self.yardsticks.iter().map(|y| y.value * self.used_m3_s).fold(0.0, f64::max)
    }
}

impl FlowTrial {
    /// The worst verdict on what was measured.
    pub fn worst(&self) -> Verdict {
        let results = self.rows.iter().filter_map(|r| r.result.as_ref());
        results.flat_map(|r| r.verdicts.iter().copied()).max().unwrap_or(Verdict::Ok)
    }
}

/// Plans the flow tests of a machine and judges what was measured.
///
/// # Errors
/// In words: a time of no test, or of several; a can, a time or an error that cannot be.
pub fn flow(plan: &Plan, tables: &Tables, asked: &Asked) -> Result<FlowTrial, String> {
    let mut plan = plan.clone();
    if asked.open {
        for need in plan.components.iter_mut().filter_map(|c| c.need.as_mut()) {
            need.pressure = GaugePressure::from_si(0.0);
        }
    }
    let nose_up_rad = asked.nose_up_rad.unwrap_or_else(|| steepest_rad(&plan));
    let stand = Stand { nose_up_rad, temperature: asked.temperature };
    ask(&plan, tables, |machine| {
        let FlowTests { tests, not_computed, cut_short } = tests(machine, &stand);
        let mut rows: Vec<Row> = tests.into_iter().map(|t| row(&plan, tables, t)).collect();
        for (name, time) in &asked.measured {
            judge(machine, &mut rows, asked, name, *time)?;
        }
        Ok(FlowTrial {
            nose_up_rad,
            open: asked.open,
            cans: asked.cans.clone(),
            error: asked.error,
            rows,
            not_computed,
            cut_short,
        })
    })
}

/// The steepest nose-up pitch of all cases, rad; level where none is nose up.
fn steepest_rad(plan: &Plan) -> f64 {
    let named = plan.cases.iter().map(|c| c.nose_up_rad);
    let combined = plan.matrix.iter().flat_map(|m| m.nose_up_rad.iter().copied());
    named.chain(combined).fold(0.0, f64::max)
}

fn row(plan: &Plan, tables: &Tables, test: FlowTest) -> Row {
    let used_m3_s = plan.components[test.need].need.as_ref().map_or(0.0, |n| n.flow.si());
    let mut yardsticks = chosen(plan, tables, test.pump.is_some());
    let yardstick_chosen = !yardsticks.is_empty();
    if !yardstick_chosen {
        yardsticks.push(Sourced::new(1.0, Cite::plan("need")));
    }
    yardsticks.sort_by(|a, b| b.value.total_cmp(&a.value));
    Row { test, used_m3_s, yardstick_chosen, yardsticks, result: None }
}

/// Ids that name a test: its need, its pump, its tanks.
fn ids<'p>(plan: &'p Plan, test: &FlowTest) -> Vec<&'p str> {
    let all = [test.need].into_iter().chain(test.pump).chain(test.tanks.iter().copied());
    all.map(|c| plan.components[c].id.as_str()).collect()
}

/// The one test that a text names by ids of its need, its pump or its tanks.
///
/// # Errors
/// In words: it names no test, or several.
pub fn named(plan: &Plan, rows: &[Row], name: &str) -> Result<usize, String> {
    let words: Vec<&str> = name.split_whitespace().collect();
    let meant = |row: &Row| {
        let ids = ids(plan, &row.test);
        !words.is_empty() && words.iter().all(|w| ids.contains(w))
    };
    let known: Vec<String> = rows.iter().map(|r| test_name(plan, &r.test)).collect();
    let known = known.join("; ");
    let mut found = rows.iter().enumerate().filter(|(_, row)| meant(row));
    let (first, other) = (found.next(), found.next());
    let (index, _) =
        first.ok_or_else(|| format!("no flow test is named \"{name}\"; there are: {known}"))?;
    if other.is_some() {
        return Err(format!("\"{name}\" names several flow tests; there are: {known}"));
    }
    Ok(index)
}

fn judge(
    machine: &Machine<'_>,
    rows: &mut [Row],
    asked: &Asked,
    name: &str,
    time: Time,
) -> Result<(), String> {
    let index = named(machine.plan, rows, name)?;
    let row = rows.get_mut(index).ok_or("there is no such flow test")?;
    let can = asked.cans.first().ok_or("no can is given")?;
    let filling = Filling {
        volume_m3: can.si(),
        volume_error_m3: 0.0,
        time_s: time.si(),
        time_error_s: asked.error.si(),
    };
    let flow = measured_flow(&filling).map_err(|e| e.to_string())?;
    let below = flow.high_m3_s < row.test.predicted_m3_s;
    row.result = Some(TestResult {
        time,
        verdicts: row.yardsticks.iter().map(|y| verdict(&flow, y.value * row.used_m3_s)).collect(),
        explanation: below.then(|| explain(machine, &row.test, &flow)),
        flow,
    });
    Ok(())
}

/// Enough even at the bad end of the error is ok, too little even at its good end fails; between them the watch
/// does not tell.
fn verdict(flow: &MeasuredFlow, wanted_m3_s: f64) -> Verdict {
    if flow.low_m3_s >= wanted_m3_s {
        Verdict::Ok
    } else if flow.high_m3_s < wanted_m3_s {
        Verdict::Fail
    } else {
        Verdict::Caution
    }
}

/// The name of a test: the pump alone, or nothing but gravity, and the tanks.
pub fn test_name(plan: &Plan, test: &FlowTest) -> String {
    let id = |c: &usize| plan.components[*c].id.as_str();
    let tanks: Vec<&str> = test.tanks.iter().map(id).collect();
    let from = tanks.join(" and ");
    match &test.pump {
        Some(pump) => format!("{} only, from {from}", id(pump)),
        None => format!("by height, from {from}"),
    }
}
