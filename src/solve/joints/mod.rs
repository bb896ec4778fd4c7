//! Every joint of the machine: how far it is tightened, with what on the thread, by which spanner, in which order.

mod end;
mod join;
mod value;

use std::collections::{BTreeMap, BTreeSet};

use super::fitting::Joint as Fit;
use super::measured::as_built;
use super::network::wiring::Wiring;
use crate::makeup::walk::{Walk, walk};
use crate::plan::{Component, Plan, PortRef};
use crate::rating::mating::Mating;
use crate::source::Sourced;
use crate::table::joint::{Made, Rule, rules, spanner};
use crate::table::limit::{Purpose, second_person};
use crate::table::{Tables, end as threads};
use crate::units::{Length, Quantity};
use join::Around;
use value::{Fastened, turning};
pub use value::{Setting, Turning};

/// What the rule of the second person is about.
const SECOND_SIGNATURE: &str = "second signature";
/// Both sides of a joint come with a cap.
const CAPS: usize = 2;

/// All joints of a plan.
#[derive(Debug)]
pub struct JointsFacts {
    /// The joints, in the order of the walk: the first is J1.
    pub joints: Vec<JointMade>,
    /// The torque tables that the plan chooses.
    pub chosen: Vec<String>,
    /// The walk, or why there is none.
    pub walk: Result<Walk, String>,
    /// Ports that nothing is joined to: their caps stay on.
    pub capped_ports: Vec<String>,
    /// Joins of families without a thread, which are no joints of this list: `A on B (family)`.
    pub unthreaded: Vec<String>,
}

/// Where a joint is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JointPlace {
    /// End A (0) or B (1) of a line.
    End {
        /// The line.
        line: usize,
        /// Its end.
        end: usize,
    },
    /// Two ports screwed together.
    Join(usize),
}

/// What a joint is closed with.
#[derive(Clone, Debug, PartialEq)]
pub enum Tool {
    /// An open spanner on the nut, across the flats.
    Spanner(Sourced<Length>),
    /// Whatever closes the clip of a hose.
    Clip,
    /// A spanner that no table gives, for this family and size.
    Unknown(String),
}

/// What is done at one joint.
#[derive(Clone, Debug)]
pub struct JointMade {
    /// Its number: J1 is the first of the walk.
    pub number: usize,
    /// Where it is.
    pub place: JointPlace,
    /// In words: `F1 A at TANK.OUT`, or `TEE.A on P1.IN`.
    pub name: String,
    /// The seat, mm.
    pub at_mm: [f64; 3],
    /// Thread and seat family, or `spigot`.
    pub family: String,
    /// Size as the family counts it; of a spigot its outside.
    pub size: String,
    /// The thread, where its table has it.
    pub thread: Option<Sourced<String>>,
    /// How far it is tightened.
    pub turning: Turning,
    /// What it is closed with.
    pub tool: Tool,
    /// Caps that come off before it is closed.
    pub caps: usize,
    /// The rules that hold for it.
    pub rules: Vec<Rule>,
}

impl JointMade {
    /// The rules about one thing, such as `lubricant`.
    pub fn about<'a>(&'a self, part: &'a str) -> impl Iterator<Item = &'a Rule> {
        self.rules.iter().filter(move |r| r.part == part)
    }

    /// Whether a port, as `COMPONENT.PORT`, is at this joint.
    pub fn is_at(&self, plan: &Plan, port: &str) -> bool {
        let is_it = |at: &PortRef| plan.port_name(at) == port;
        match self.place {
            JointPlace::End { line, end } => {
                let line = &plan.lines[line];
                is_it(if end == 0 { &line.from } else { &line.to })
            }
            JointPlace::Join(join) => plan.joins[join].ports.iter().any(is_it),
        }
    }

    /// Whether a second person signs.
    pub fn signed_twice(&self) -> bool {
        self.about(SECOND_SIGNATURE).next().is_some()
    }
}

/// Every joint of lines, and every join with a thread, for the machine as built.
pub fn solve(plan: &Plan, tables: &Tables) -> JointsFacts {
    let built = as_built(plan);
    let plan = &*built.plan;
    let around = Around::new(plan);
    let ends = (0..plan.lines.len()).flat_map(|line| [(line, 0), (line, 1)]);
    let mut found: Vec<Found<'_>> =
        ends.map(|(line, end)| end::at(plan, tables, line, end)).collect();
    let mut unthreaded = Vec::new();
    for join in 0..plan.joins.len() {
        match join::at(plan, tables, &around, join) {
            Ok(joint) => found.push(joint),
            Err(name) => unthreaded.push(name),
        }
    }
    let mut joints = found.iter().map(|f| f.made(plan, tables)).collect::<Vec<_>>();
    let walk = in_order(&mut joints);
    JointsFacts {
        joints,
        chosen: plan.torque.clone(),
        walk,
        capped_ports: capped(plan),
        unthreaded,
    }
}

/// Ports that nothing is joined to.
fn capped(plan: &Plan) -> Vec<String> {
    let of = |(component, open): (&Component, Vec<usize>)| {
        open.into_iter()
            .map(|p| format!("{}.{}", component.id, component.ports[p].name))
            .collect::<Vec<_>>()
    };
    plan.components.iter().zip(Wiring::planned(plan).open_ports(plan)).flat_map(of).collect()
}

/// A joint as it was found in the plan.
struct Found<'p> {
    place: JointPlace,
    name: String,
    at_mm: [f64; 3],
    family: String,
    size: String,
    fit: Fit,
    held: Fastened<'p>,
    /// Whether all its fittings are of steel.
    steel: bool,
    /// The metals that its nut and its seat are made of.
    metals: Vec<&'p str>,
    uses: Vec<&'p str>,
    services: Vec<&'p str>,
    systems: Vec<&'p str>,
}

impl Found<'_> {
    fn made(&self, plan: &Plan, tables: &Tables) -> JointMade {
        let (family, size) = (&self.family, &self.size);
        let purpose =
            Purpose { uses: &self.uses, services: &self.services, systems: &self.systems };
        let signature = second_person(tables, purpose).map(second_signature);
        let asked = Made {
            seal: seal(tables, family),
            carrier: self.held.word(),
            uses: &self.uses,
            materials: weakest(&self.metals),
        };
        let by_table = || turning(plan, tables, (family, size), self.held, self.steel);
        JointMade {
            number: 0,
            place: self.place,
            name: self.name.clone(),
            at_mm: self.at_mm,
            thread: threads::thread(tables, family, size),
            turning: refused(&self.fit).unwrap_or_else(by_table),
            tool: tool(tables, family, size),
            caps: CAPS,
            rules: rules(tables, asked).into_iter().chain(signature).collect(),
            family: self.family.clone(),
            size: self.size.clone(),
        }
    }
}

/// Puts the joints in the order of the walk and numbers them.
fn in_order(joints: &mut [JointMade]) -> Result<Walk, String> {
    let places: Vec<[f64; 3]> = joints.iter().map(|j| j.at_mm).collect();
    let keys: Vec<ToolKey<'_>> = joints.iter().map(|j| tool_key(&j.tool)).collect();
    let kinds: BTreeSet<ToolKey<'_>> = keys.iter().copied().collect();
    let kinds: BTreeMap<ToolKey<'_>, usize> = kinds.into_iter().zip(0..).collect();
    let tools: Vec<usize> = keys.iter().filter_map(|key| kinds.get(key).copied()).collect();
    let walk = walk(&places, &tools).map_err(|e| e.to_string());
    if let Ok(walk) = &walk {
        let mut turn = vec![0; joints.len()];
        walk.order.iter().enumerate().for_each(|(at, joint)| turn[*joint] = at);
        joints.iter_mut().zip(turn).for_each(|(joint, at)| joint.number = at + 1);
        joints.sort_by_key(|j| j.number);
    } else {
        joints.iter_mut().enumerate().for_each(|(at, joint)| joint.number = at + 1);
    }
    walk
}

/// Tools alike have keys alike; spanners by their width.
type ToolKey<'t> = (u8, u64, &'t str);

fn tool_key(tool: &Tool) -> ToolKey<'_> {
    match tool {
        // A length above zero keeps its order as bits.
        Tool::Spanner(hex) => (0, hex.value.si().to_bits(), ""),
        Tool::Clip => (1, 0, ""),
        Tool::Unknown(what) => (2, 0, what),
    }
}

/// What a second person does, as a rule of the joint.
fn second_signature(what: Sourced<String>) -> Rule {
    let text = what.map(|what| {
        format!(
            "{what}: a second person looks and signs; national rules decide which joints need it"
        )
    });
    Rule { rule: "second-person".into(), part: SECOND_SIGNATURE.into(), text }
}

/// What seals a family: its table says whether by a cone or a ring.
fn seal(tables: &Tables, family: &str) -> &'static str {
    if family == "spigot" {
        return "spigot";
    }
    let Some(table) = tables.get("thread", family) else { return "" };
    let ring = table.fact_words("seat").is_some_and(|s| s.value.contains("O-ring"));
    match (table.facts.contains_key("cone"), ring) {
        (true, _) => "cone",
        (false, true) => "ring",
        (false, false) => "thread",
    }
}

/// Aluminium alone where there is any: what steel would bear must not be done to it.
fn weakest<'a>(metals: &'a [&'a str]) -> &'a [&'a str] {
    let at = metals.iter().position(|m| *m == "aluminium");
    at.map_or(metals, |at| &metals[at..=at])
}

fn tool(tables: &Tables, family: &str, size: &str) -> Tool {
    if family == "spigot" {
        return Tool::Clip;
    }
    let hex = spanner(tables, family, size);
    hex.map_or_else(|| Tool::Unknown(format!("{family} {size}")), Tool::Spanner)
}

/// What must not be tightened at all.
fn refused(fit: &Fit) -> Option<Turning> {
    let why = match fit {
        Fit::Threaded(Mating::Mates) | Fit::Spigot(_) | Fit::Unknown(_) => return None,
        Fit::Threaded(Mating::SameThreadOtherSeat) => "it screws together and does not seal",
        Fit::Threaded(_) => "the two ends do not mate",
        Fit::TubeOnSpigot => "a rigid tube does not go over a spigot",
    };
    Some(Turning::Never(why.to_owned()))
}
