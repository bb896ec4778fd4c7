//! The plan of the machine: as written in TOML, checked, and as understood.
//!
//! Reading resolves every name: a fluid, hose, end or material that is in no table, a port that does
//! not exist, a quantity in the wrong unit are all problems of the file, reported together. Nothing
//! is calculated here and no engineering value is filled in.

mod axes;
mod bender;
mod case;
mod choice;
mod component;
mod fluid;
mod head;
mod join;
mod keep_out;
mod line;
mod matrix;
mod measured;
mod own;
mod path;
pub mod schema;
pub mod shape;
pub mod starter;
mod stock;
mod strap;
mod tank;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

pub use axes::Axes;
pub use bender::{Bench, Bender, Mark, Room};
pub use case::{Ambient, Case};
pub use component::{Component, Port, PortEnd};
pub use head::Tolerances;
pub use keep_out::{KeepOut, KeptBody};
pub use line::{
    Anchor, Carrier, Clip, Duty, Line, Loss, LossLaw, PortRef, Resized, Service, Sleeve, Tube,
    Zone, clip_name,
};
pub use matrix::{Matrix, Weather};
pub use measured::{Datum, Tape};
pub use path::{
    Exchanger, ExchangerSide, Holds, Inside, Join, Need, Path, PathLaw, State, Tank, Thermostat,
};
pub use stock::{Order, Piece, Stock};
pub use strap::{Ends, Round, Strap, StripBend, StripHole};
pub use tank::{Poured, Stick, TankEnds, TankForm, TankShape};

use crate::diagnostic::{Diagnostic, SourceText};
use crate::document::{Placed, Reader, Section, shorten, with_unit};
pub use crate::document::{Shifts, Uncertain};
use crate::table::Tables;
use crate::table::fluid::Fluid;
use crate::units::{Quantity, Ratio};

/// A plan is written by hand, or made by a program for a hundred thousand lines; a text beyond this size is not one.
pub const LARGEST_BYTES: usize = 96 * 1024 * 1024;

/// A fluid of the plan.
#[derive(Clone, Debug)]
pub struct PlanFluid {
    /// What the lines call it.
    pub id: String,
    /// Its law and figures.
    pub fluid: Fluid,
}

/// The plan as understood.
#[derive(Clone, Debug)]
pub struct Plan {
    /// What the machine is called.
    pub name: String,
    /// Edition of the plan.
    pub revision: Option<String>,
    /// Anything worth telling.
    pub note: Option<String>,
    /// Where the axes point.
    pub axes: Axes,
    /// Cut lengths are rounded up to this, mm.
    pub cut_step_mm: f64,
    /// How far lengths and places may be off.
    pub tolerances: Tolerances,
    /// A point of the surface of the water outside, about which a boat heels and trims, mm.
    pub waterline_mm: Option<[f64; 3]>,
    /// Chosen yardsticks.
    pub rules: Vec<String>,
    /// Rules on the life of hose, by row of limit/hose-life.
    pub hose_life: Vec<String>,
    /// The torque tables that joints are tightened by; no family is covered by two of them.
    pub torque: Vec<String>,
    /// The fluids.
    pub fluids: Vec<PlanFluid>,
    /// Known points that ports and clips are taped from.
    pub datums: Vec<Datum>,
    /// The components.
    pub components: Vec<Component>,
    /// The lines.
    pub lines: Vec<Line>,
    /// What the lines keep clear of.
    pub keep_outs: Vec<KeepOut>,
    /// The operating cases.
    pub cases: Vec<Case>,
    /// What lines are cut from.
    pub stock: Option<Stock>,
    /// How to order.
    pub order: Order,
    /// Benders for rigid tube.
    pub benders: Vec<Bender>,
    /// Straps of sheet.
    pub straps: Vec<Strap>,
    /// Ports screwed together without a line.
    pub joins: Vec<Join>,
    /// Operating cases made by combination.
    pub matrix: Option<Matrix>,
    /// Quantities that are known within an amount only, in the order of the text.
    pub uncertain: Vec<Uncertain>,
}

impl Plan {
    /// Reads a plan.
    ///
    /// # Errors
    /// All problems of the file, in its order.
    ///
    /// ```
    /// use hosewright::{diagnostic::SourceText, plan::Plan, table::Tables};
    /// let file = SourceText::new("plan.toml", "[plan]\nname = \"Heron\"\n");
    /// let problems = Plan::read(&file, &Tables::builtin()).unwrap_err();
    /// assert!(problems[0].message.contains("length_unit"));
    /// ```
    pub fn read(file: &Arc<SourceText>, tables: &Tables) -> Result<Self, Vec<Diagnostic>> {
        Self::read_with(file, tables, Reader::new(Arc::clone(file)))
    }

    /// Reads a plan of which some uncertain quantities are moved: the value that begins at a byte by
    /// so many times its amount. Bytes where no uncertain quantity begins change nothing.
    ///
    /// # Errors
    /// As [`Plan::read`]; a value that has been moved beyond what it can be is a problem of the file.
    ///
    /// ```
    /// use std::collections::BTreeMap;
    /// use hosewright::{diagnostic::SourceText, plan::Plan, table::Tables};
    /// let text = hosewright::plan::starter::STARTER.replace("\"90 L/h\"", "\"90 L/h ± 10 %\"");
    /// let file = SourceText::new("plan.toml", text);
    /// let tables = Tables::builtin();
    /// let flow = &Plan::read(&file, &tables).unwrap().uncertain[0];
    /// let more = BTreeMap::from([(flow.span.start, 1.0)]);
    /// let plan = Plan::read_shifted(&file, &tables, &more).unwrap();
    /// assert_eq!(plan.lines[0].duties[0].flow.to_string(), "1.65 L/min");
    /// ```
    pub fn read_shifted(
        file: &Arc<SourceText>,
        tables: &Tables,
        shifts: &Shifts,
    ) -> Result<Self, Vec<Diagnostic>> {
        Self::read_with(file, tables, Reader::shifted(Arc::clone(file), shifts.clone()))
    }

    fn read_with(
        file: &Arc<SourceText>,
        tables: &Tables,
        reader: Reader,
    ) -> Result<Self, Vec<Diagnostic>> {
        if file.text.len() > LARGEST_BYTES {
            let message = format!("the file has {} bytes; a plan is smaller", file.text.len());
            reader.problem(&(0..0), message, "", vec!["is this the right file?".into()]);
            return Err(reader.into_diagnostics());
        }
        let root = reader.parse(&file.text);
        // What the whole plan lacks is said at its beginning.
        let section = Section::new(&reader, &shape::ROOT, root.get_ref(), 0..0);
        let plan = understand(&section, tables);
        match plan {
            Some(plan) if reader.is_clean() => Ok(plan),
            _ => Err(reader.into_diagnostics()),
        }
    }

    /// For each component the first of those that it is screwed together with: they stand and move as one.
    pub fn places(&self) -> Vec<usize> {
        let mut places: Vec<usize> = (0..self.components.len()).collect();
        for join in &self.joins {
            let [a, b] = join.ports.map(|port| places[port.component]);
            let (low, high) = (a.min(b), a.max(b));
            places.iter_mut().filter(|place| **place == high).for_each(|place| *place = low);
        }
        places
    }

    /// Whether the two ends of a line stand and move as one.
    pub fn ends_move_as_one(&self, line: &Line) -> bool {
        let places = self.places();
        places[line.from.component] == places[line.to.component]
    }

    /// How well the place of a port is known, mm.
    pub fn port_tolerance_mm(&self, port: &Port) -> Option<f64> {
        port.tolerance.map(|t| t.si() * 1e3).or(self.tolerances.port_mm)
    }

    /// The name of a port: `COMPONENT.PORT`.
    pub fn port_name(&self, reference: &PortRef) -> String {
        let (component, port) = self.port(reference);
        format!("{}.{}", component.id, port.name)
    }

    /// The port a reference leads to.
    pub fn port(&self, reference: &PortRef) -> (&Component, &Port) {
        let component = &self.components[reference.component];
        (component, &component.ports[reference.port])
    }
}

fn understand(root: &Section<'_>, tables: &Tables) -> Option<Plan> {
    let head = root.section("plan", &shape::PLAN);
    // A plan without a unit is refused; the rest of it is read all the same, for its other faults.
    let unit = head.as_ref().and_then(head::length_unit_mm).unwrap_or(1.0);
    let head = head.and_then(|h| head::Head::read(&h, tables, unit));

    let fluids = fluid::read(root, tables);
    let hoses = own::read_hoses(root);
    let ends = own::read_ends(root);
    let benders = bender::read(root);
    let datums = measured::read_datums(root, unit);
    let taped = measured::Datums::new(root, &datums);
    let components = component::read(root, &taped, unit);
    let choices = choice::Choices::new(root, &components, &fluids);
    let cases = case::read(root, &choices);
    let matrix = matrix::read(root, &choices);
    let known = line::Known::new(
        root,
        tables,
        &line::Named { fluids: &fluids, hoses: &hoses, ends: &ends, benders: &benders },
        &components,
        &cases,
        &taped,
        unit,
    );
    let mut used = line::Used::new();
    let lines = line::read(root, &known, &mut used);
    let joins = join::read(root, &known, &mut used);
    let keep_outs = keep_out::read(root, tables, &components, unit);
    let straps = strap::read(root);
    let stock = root.section("stock", &shape::STOCK).and_then(|s| stock::read(&s));
    let order = root.section("order", &shape::ORDER).map(|s| stock::read_order(&s));
    let head = head?;
    Some(Plan {
        name: head.name,
        revision: head.revision,
        note: head.note,
        axes: head.axes,
        cut_step_mm: head.cut_step_mm,
        tolerances: head.tolerances,
        waterline_mm: head.waterline_mm,
        rules: head.rules,
        hose_life: head.hose_life,
        torque: head.torque,
        fluids: fluids.into_iter().map(plan_fluid).collect(),
        datums,
        components,
        lines,
        keep_outs,
        cases,
        stock,
        order: order.unwrap_or_default(),
        benders,
        straps,
        joins,
        matrix,
        uncertain: root.reader().uncertain(),
    })
}

fn plan_fluid(named: Placed<fluid::NamedFluid>) -> PlanFluid {
    PlanFluid { id: named.value.id, fluid: named.value.fluid }
}

/// A quantity that must be greater than zero.
fn positive<Q: Quantity>(section: &Section<'_>, key: &str) -> Option<Placed<Q>> {
    let read = section.quantity::<Q>(key)?;
    if read.value.si() > 0.0 {
        return Some(read);
    }
    section.reader().problem(
        &read.span,
        format!("{key} must be greater than zero"),
        "not greater than zero",
        vec![format!("for example {key} = \"{}\"", with_unit::<Q>("2"))],
    );
    None
}

/// A quantity that must not be negative.
fn not_negative<Q: Quantity>(section: &Section<'_>, key: &str) -> Option<Placed<Q>> {
    let read = section.quantity::<Q>(key)?;
    if read.value.si() >= 0.0 {
        return Some(read);
    }
    let message = format!("{key} must not be negative");
    section.reader().problem(&read.span, message, "negative", vec!["write 0 or more".into()]);
    None
}

/// Where a ratio must lie, and how that is said.
struct Bounds {
    from: f64,
    to: f64,
    /// Whether the ends belong to it.
    ends: [bool; 2],
    words: &'static str,
}

impl Bounds {
    const ABOVE_0_TO_1: Self =
        Self { from: 0.0, to: 1.0, ends: [false, true], words: "more than 0 % and at most 100 %" };
    const ABOVE_0_TO_2: Self =
        Self { from: 0.0, to: 2.0, ends: [false, true], words: "more than 0 % and at most 200 %" };
    const FROM_0_TO_1: Self =
        Self { from: 0.0, to: 1.0, ends: [true, true], words: "between 0 % and 100 %" };
    const FROM_0_BELOW_1: Self =
        Self { from: 0.0, to: 1.0, ends: [true, false], words: "at least 0 % and less than 100 %" };

    fn hold(&self, value: f64) -> bool {
        let [first, last] = self.ends;
        let above = if first { value >= self.from } else { value > self.from };
        let below = if last { value <= self.to } else { value < self.to };
        above && below
    }
}

/// A ratio within bounds.
fn ratio(section: &Section<'_>, key: &str, bounds: &Bounds) -> Option<Placed<Ratio>> {
    let read = section.quantity::<Ratio>(key)?;
    if bounds.hold(read.value.si()) {
        return Some(read);
    }
    let message = format!("{key} must be {}", bounds.words);
    let help = vec![format!("for example {key} = \"60 %\"")];
    section.reader().problem(&read.span, message, "out of range", help);
    None
}

/// Names in a list, in its order, and where each stands.
struct Names<'n> {
    order: Vec<&'n str>,
    index: BTreeMap<&'n str, usize>,
}

impl<'n> Names<'n> {
    fn new(names: impl Iterator<Item = &'n str>) -> Self {
        let order: Vec<&str> = names.collect();
        let mut index = BTreeMap::new();
        for (at, name) in order.iter().enumerate() {
            index.entry(*name).or_insert(at);
        }
        Self { order, index }
    }

    fn find(&self, name: &str) -> Option<usize> {
        self.index.get(name).copied()
    }

    /// Whether one of them could not be read, so that it may be the one that is not found.
    fn hide_one(&self) -> bool {
        self.index.contains_key("")
    }

    fn known(&self) -> impl Iterator<Item = &'n str> + Clone {
        self.order.iter().copied()
    }
}

/// The names given so far, to report a second use.
struct Given {
    what: &'static str,
    names: BTreeSet<String>,
}

impl Given {
    fn new(what: &'static str) -> Self {
        Self { what, names: BTreeSet::new() }
    }

    /// Whether the name is a new one; a second use is reported.
    fn is_new(&mut self, section: &Section<'_>, name: &Placed<String>) -> bool {
        let fresh = self.names.insert(name.value.clone());
        if !fresh {
            let what = self.what;
            section.reader().problem(
                &name.span,
                format!("{what} \"{}\" stands twice", shorten(&name.value)),
                "again",
                vec![format!("give each {what} its own name")],
            );
        }
        fresh
    }
}
