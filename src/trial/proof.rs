//! The proof test: the pressure for each line and why, what it takes and does as it warms, and what a reading means.

mod asked;
mod result;
mod step;

use crate::check::deferred::{Deferred, deferred};
use crate::check::rating::{Highest, highest_of};
use crate::finding::Verdict;
use crate::hydraulics::leak::gas_energy_j;
use crate::hydraulics::leak::liquid::{Filled, pressure_per_kelvin_pa, pumped_m3, stored_j};
use crate::plan::{Carrier, Line, Plan, Service};
use crate::solve::closed::{ClosedFacts, air, closed, growth, test_liquid};
use crate::solve::fluid::state;
use crate::solve::{Facts, LineFacts};
use crate::source::{Cite, Sourced};
use crate::table::fluid::Fluid;
use crate::table::{Tables, limit};
use crate::units::{GaugePressure, Quantity, Temperature, Time, Volume};

use super::reading::{Instruments, Reading};
pub use asked::asked;
pub use result::{ProofResult, Stiffness};
pub use step::steps;

/// What was pumped into lines, and what the pressure did.
#[derive(Clone, Debug)]
pub struct Pumped {
    /// Ids of the lines.
    pub lines: Vec<String>,
    /// What went in.
    pub volume: Volume,
    /// From this pressure.
    pub from: GaugePressure,
    /// To this one.
    pub to: GaugePressure,
}

/// What the builder chooses instead of what the tables say.
#[derive(Clone, Debug, Default)]
pub struct Rules {
    /// Row of limit/design-factor for hoses.
    pub hose: Option<String>,
    /// Row of limit/design-factor for rigid tubes.
    pub tube: Option<String>,
    /// The liquid, as table and grade; see [`test_liquid`].
    pub liquid: Option<String>,
}

/// What the builder asks for.
#[derive(Clone, Debug)]
pub struct Asked {
    /// What is not by the tables.
    pub rules: Rules,
    /// How long to hold; the table's if absent.
    pub hold: Option<Time>,
    /// Temperature of the test.
    pub temperature: Temperature,
    /// Instruments and their errors.
    pub instruments: Instruments,
    /// What was pumped in.
    pub pumped: Vec<Pumped>,
    /// What was read.
    pub measured: Vec<Reading>,
}

impl Asked {
    /// By the rules of the tables, before anything was measured.
    pub fn by_tables(temperature: Temperature, instruments: Instruments) -> Self {
        Self {
            rules: Rules::default(),
            hold: None,
            temperature,
            instruments,
            pumped: Vec::new(),
            measured: Vec::new(),
        }
    }
}

/// The proof tests of a machine.
#[derive(Debug)]
pub struct ProofTrial {
    /// Every line, in the order of the plan.
    pub rows: Vec<ProofRow>,
    /// How long to hold.
    pub hold: Sourced<Time>,
    /// Range of the gauge at most, over the test pressure.
    pub gauge_range: Option<Sourced<f64>>,
    /// How long a test counts until the hose is fitted.
    pub valid: Option<Sourced<Time>>,
    /// Temperature of the test.
    pub temperature: Temperature,
    /// What was read, judged.
    pub results: Vec<ProofResult>,
}

/// A line and its proof test.
#[derive(Debug)]
pub struct ProofRow {
    /// Index of the line.
    pub line: usize,
    /// The test.
    pub test: ProofPlan,
}

/// Whether and how a line is proof tested.
#[derive(Debug)]
pub enum ProofPlan {
    /// It is.
    Test(Box<ProofTest>),
    /// Left to others.
    Deferred(Vec<Deferred>),
    /// No test is made of it.
    None(String),
    /// It cannot be planned: what is missing.
    Open(String),
}

/// A proof test.
#[derive(Debug)]
pub struct ProofTest {
    /// Highest pressure of all cases, Pa gauge, and its case.
    pub operating: (f64, usize),
    /// Cases in which it may be higher.
    pub unknown: Vec<usize>,
    /// Whether the finished line is tested by itself, plugged, on the bench; else where it sits.
    pub bench: bool,
    /// The test pressure, Pa gauge.
    pub pressure: Sourced<f64>,
    /// What it follows from, in words.
    pub by: String,
    /// What the line stands without harm, Pa gauge.
    pub stands: Option<Sourced<f64>>,
    /// Whether it may be tested so.
    pub verdict: Verdict,
    /// The liquid.
    pub liquid: String,
    /// What the closed line does; why that is not known.
    pub closed: Result<ClosedTest, String>,
}

/// What a closed line full of liquid does.
#[derive(Debug)]
pub struct ClosedTest {
    /// Room in it, m3.
    pub volume_m3: f64,
    /// Whether the wall was counted; else it gives more than is said.
    pub wall_counted: bool,
    /// To be pumped in without air, m3; of a hose more.
    pub pumped_m3: f64,
    /// Change of pressure for each kelvin, Pa; of a hose at most.
    pub per_kelvin_pa: f64,
    /// Energy stored, J; of a hose more.
    pub stored_j: f64,
    /// Energy that air at the same pressure would hold, J.
    pub gas_j: f64,
}

impl ProofTrial {
    /// The worst verdict of tests and readings.
    pub fn worst(&self) -> Verdict {
        let rows = self.rows.iter().map(ProofRow::verdict);
        rows.chain(self.results.iter().map(|r| r.verdict)).max().unwrap_or(Verdict::Ok)
    }
}

impl ProofRow {
    /// Whether the line may be tested as planned; a line that is left to others fails.
    pub fn verdict(&self) -> Verdict {
        match &self.test {
            ProofPlan::Test(test) => test.verdict,
            ProofPlan::Deferred(_) => Verdict::Fail,
            ProofPlan::None(_) => Verdict::Ok,
            ProofPlan::Open(_) => Verdict::Open,
        }
    }
}

/// Plans the proof tests of a machine and judges what was read.
///
/// # Errors
/// In words: a rule, a liquid or a line that is not there; readings that cannot be.
pub fn proof(
    plan: &Plan,
    facts: &Facts,
    tables: &Tables,
    asked: &Asked,
) -> Result<ProofTrial, String> {
    for rule in [&asked.rules.hose, &asked.rules.tube].into_iter().flatten() {
        factor(tables, rule)?;
    }
    let hold = match asked.hold {
        Some(hold) => Sourced::new(hold, Cite::plan("as asked")),
        None => hold(tables)?,
    };
    let stops = deferred(plan, facts, tables);
    let rows = plan.lines.iter().zip(&facts.lines).enumerate().map(|(index, (line, own))| {
        let mine: Vec<Deferred> = stops.iter().filter(|d| d.line == index).cloned().collect();
        let test = if mine.is_empty() {
            Planner { plan, facts, tables, rules: &asked.rules, line, own }.plan(asked)?
        } else {
            ProofPlan::Deferred(mine)
        };
        Ok(ProofRow { line: index, test })
    });
    let mut trial = ProofTrial {
        rows: rows.collect::<Result<_, String>>()?,
        hold,
        gauge_range: limit::test_number(tables, "gauge-range"),
        valid: limit::test(tables, "tag-valid"),
        temperature: asked.temperature,
        results: Vec::new(),
    };
    for reading in &asked.measured {
        let result = result::judge(plan, facts, tables, asked, &trial, reading)?;
        trial.results.push(result);
    }
    Ok(trial)
}

/// How long a proof pressure is held by the tables.
fn hold(tables: &Tables) -> Result<Sourced<Time>, String> {
    limit::test(tables, "hold-proof").ok_or_else(|| "limit/test has no rule hold-proof".into())
}

/// The proof factor of a rule.
fn factor(tables: &Tables, rule: &str) -> Result<Sourced<f64>, String> {
    let found = limit::design_factor(tables, rule).and_then(|f| f.proof);
    found.ok_or_else(|| {
        let rows = tables.get("limit", "design-factor").map(|t| t.rows.as_slice());
        let with = rows.unwrap_or_default().iter().filter(|r| r.cells.get("proof").is_some());
        let known: Vec<String> =
            with.filter_map(|r| Some(r.cells.get("what")?.to_text())).collect();
        format!(
            "limit/design-factor has no proof factor \"{rule}\"; there are: {}",
            known.join(", ")
        )
    })
}

struct Planner<'p> {
    plan: &'p Plan,
    facts: &'p Facts,
    tables: &'p Tables,
    rules: &'p Rules,
    line: &'p Line,
    own: &'p LineFacts,
}

/// What a line is tested at, before anything is known of the day and the instruments.
struct Wanted {
    highest: Highest,
    bench: bool,
    pressure: Sourced<f64>,
    by: String,
    stands: Option<Sourced<f64>>,
    verdict: Verdict,
    liquid: Fluid,
    room: Result<ClosedFacts, String>,
}

impl Planner<'_> {
    fn plan(&self, asked: &Asked) -> Result<ProofPlan, String> {
        let wanted = match self.wanted()? {
            Ok(wanted) => wanted,
            Err(plan) => return Ok(plan),
        };
        let pressure_pa = wanted.pressure.value;
        let closed = wanted
            .room
            .and_then(|room| closed_test(self.tables, &room, &wanted.liquid, asked, pressure_pa));
        Ok(ProofPlan::Test(Box::new(ProofTest {
            operating: (wanted.highest.pa, wanted.highest.case),
            unknown: wanted.highest.unknown,
            bench: wanted.bench,
            pressure: wanted.pressure,
            by: wanted.by,
            stands: wanted.stands,
            verdict: wanted.verdict,
            liquid: wanted.liquid.label.clone(),
            closed,
        })))
    }

    /// What the line is tested at, or why it is not.
    fn wanted(&self) -> Result<Result<Wanted, ProofPlan>, String> {
        let service = self.line.service;
        if matches!(service, Service::Vent | Service::Drain | Service::Overflow | Service::Fill) {
            return Ok(Err(ProofPlan::None(format!(
                "a {} line is open to the air; see test leak",
                service.word()
            ))));
        }
        let Some(highest) = highest_of(self.own, self.facts) else {
            let why = "no pressure is known in any case: add pressure_from, pressure_to or pressure_max to a duty";
            return Ok(Err(ProofPlan::Open(why.into())));
        };
        let bench = self.line.ends.iter().all(Option::is_some);
        let (pressure, by) = match self.pressure(highest.pa, bench)? {
            Ok(found) => found,
            Err(why) => return Ok(Err(ProofPlan::None(why))),
        };
        let room = closed(self.tables, self.line, self.own);
        let stands = match &self.line.carrier {
            Carrier::Hose(_) => self.own.rating.proof_pa.clone(),
            Carrier::Tube(_) => room.as_ref().ok().and_then(|c| c.yield_pa.clone()),
        };
        let verdict = match &stands {
            None => Verdict::Open,
            Some(stands) if pressure.value > stands.value * (1.0 + 1e-9) => Verdict::Fail,
            Some(_) if !highest.unknown.is_empty() => Verdict::Open,
            Some(_) => Verdict::Ok,
        };
        let liquid = test_liquid(self.plan, self.tables, self.line, self.rules.liquid.as_deref())?;
        Ok(Ok(Wanted { highest, bench, pressure, by, stands, verdict, liquid, room }))
    }

    /// The test pressure and what it follows from; why there is none.
    fn pressure(
        &self,
        operating_pa: f64,
        bench: bool,
    ) -> Result<Result<(Sourced<f64>, String), String>, String> {
        let (hose, chosen) = match self.line.carrier {
            Carrier::Hose(_) => (true, &self.rules.hose),
            Carrier::Tube(_) => (false, &self.rules.tube),
        };
        let printed = self.own.rating.proof_pa.as_ref().filter(|_| hose && bench);
        if let (Some(printed), None) = (printed, chosen) {
            return Ok(Ok((printed.clone(), "the printed proof pressure of the hose".into())));
        }
        if operating_pa <= 0.0 && (hose || !bench || chosen.is_some()) {
            return Ok(Err("it never works above the pressure of the air; see test leak".into()));
        }
        let (factor, name) = match chosen {
            Some(rule) => (factor(self.tables, rule)?, rule.as_str()),
            None if !bench => {
                let found = limit::test_number(self.tables, "in-place-proof");
                (found.ok_or("limit/test has no rule in-place-proof")?, "in-place-proof")
            }
            None => {
                let rule = if hose { "aeroplane-hose" } else { "shop-made-tube" };
                (factor(self.tables, rule)?, rule)
            }
        };
        if !hose
            && bench
            && chosen.is_none()
            && let Some(low) = self.low_tube(operating_pa)
        {
            return Ok(Ok((low, "the least for rigid tube that works at low pressure".into())));
        }
        let by = format!("{} x its highest pressure ({name})", factor.value);
        Ok(Ok((factor.map(|f| f * operating_pa), by)))
    }

    /// The least proof pressure of a tube that works at low pressure.
    fn low_tube(&self, operating_pa: f64) -> Option<Sourced<f64>> {
        let below = limit::test::<GaugePressure>(self.tables, "tube-low-below")?;
        let least = limit::test::<GaugePressure>(self.tables, "tube-low-proof")?;
        (operating_pa < below.value.si()).then(|| least.map(Quantity::si))
    }
}

/// What liquid and wall give, in 1/Pa; without the wall where it is not known.
fn give_per_pa(room: &ClosedFacts, fluid: &Fluid, kelvin: f64) -> Result<f64, String> {
    let bulk = state(fluid, Temperature::from_si(kelvin))?.bulk_modulus_pa;
    let bulk = bulk.ok_or_else(|| format!("no bulk modulus of {} is known", fluid.label))?;
    Ok(1.0 / bulk + room.swelling_per_pa.unwrap_or(0.0))
}

fn closed_test(
    tables: &Tables,
    room: &ClosedFacts,
    fluid: &Fluid,
    asked: &Asked,
    gauge_pa: f64,
) -> Result<ClosedTest, String> {
    let kelvin = asked.temperature.si();
    let outside_pa = asked.instruments.air.si();
    let filled = Filled {
        volume_m3: room.volume_m3,
        give_per_pa: give_per_pa(room, fluid, kelvin)?,
        air_m3: 0.0,
        outside_pa,
    };
    // Half a kelvin to either side; at the end of the figures to one side alone.
    let around = growth(fluid, kelvin - 0.5, kelvin + 0.5);
    let around = around.or_else(|_| growth(fluid, kelvin, kelvin + 1.0))?;
    let expansion = around - room.growth_per_k.unwrap_or(0.0);
    let (start, test) = (outside_pa, outside_pa + gauge_pa);
    let text = |e: crate::hydraulics::HydraulicsError| e.to_string();
    let gas = air(tables, kelvin)?;
    Ok(ClosedTest {
        volume_m3: room.volume_m3,
        wall_counted: room.swelling_per_pa.is_some(),
        pumped_m3: pumped_m3(&filled, start, test).map_err(text)?,
        per_kelvin_pa: pressure_per_kelvin_pa(&filled, expansion, test).map_err(text)?,
        stored_j: stored_j(&filled, gauge_pa).map_err(text)?,
        gas_j: gas_energy_j(test, outside_pa, room.volume_m3, gas.heat_ratio).map_err(text)?,
    })
}
