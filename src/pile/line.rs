//! What each line of the plan wants a pipe to be.

use crate::identify::thread::{Side, ThreadForm};
use crate::plan::{Carrier, Line, Plan};
use crate::solve::{Facts, LineFacts};
use crate::table::end::Gender;
use crate::table::thread::ThreadSize;
use crate::units::Quantity;

/// Lengths and diameters of two lines closer than this, mm, are the same for a pipe.
const ALIKE_MM: f64 = 0.05;

/// The thread of an end.
#[derive(Clone, Debug, PartialEq)]
pub struct WantedThread {
    /// Its family.
    pub family: String,
    /// As printed.
    pub written: String,
    /// Its form.
    pub form: ThreadForm,
}

/// An end of a line.
#[derive(Clone, Debug, PartialEq)]
pub struct WantedEnd {
    /// Family and size, for messages.
    pub label: String,
    /// The thread; none where its family has no table.
    pub thread: Option<WantedThread>,
    /// Side.
    pub side: Option<Side>,
    /// Angle between joint and pipe, degrees.
    pub angle_deg: f64,
}

/// What a line wants.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// Its short name.
    pub id: String,
    /// What it is cut from.
    pub carrier: String,
    /// Route length, mm.
    pub path_mm: Option<f64>,
    /// Shortest and longest assembly, mm.
    pub window_mm: Option<(f64, f64)>,
    /// Bore, mm.
    pub bore_mm: Option<f64>,
    /// Outside diameter, mm.
    pub outside_mm: Option<f64>,
    /// Ends at A and B; none where it is pushed over a spigot.
    pub ends: [Option<WantedEnd>; 2],
    /// Whether the plan puts a sleeve over it.
    pub sleeved: bool,
    /// Class of its fluid.
    pub fluid_class: Option<String>,
}

/// What every line of a plan wants.
pub fn wanted(plan: &Plan, facts: &Facts, threads: &[ThreadSize]) -> Vec<Wanted> {
    plan.lines.iter().zip(&facts.lines).map(|(l, f)| of_line(plan, l, f, threads)).collect()
}

fn of_line(plan: &Plan, line: &Line, facts: &LineFacts, threads: &[ThreadSize]) -> Wanted {
    let makeup = facts.makeup.as_ref().ok();
    let window = makeup.map(|m| match line.carrier {
        Carrier::Hose(_) => (m.cut.shortest_mm, m.cut.longest_mm),
        // A rigid tube has no slack: it is as long as its route, to a step of the cut.
        Carrier::Tube(_) => {
            (m.cut.assembly_mm - plan.cut_step_mm, m.cut.assembly_mm + plan.cut_step_mm)
        }
    });
    let end = |i: usize| {
        let end = line.ends[i].as_ref()?;
        let of_size = |t: &&ThreadSize| t.family == end.family && t.size == end.size;
        Some(WantedEnd {
            label: format!("{} {}", end.family, end.size),
            thread: threads.iter().find(of_size).map(thread),
            side: end.gender.map(|g| match g {
                Gender::Male => Side::Male,
                Gender::Female => Side::Female,
            }),
            angle_deg: end.angle.si().to_degrees(),
        })
    };
    Wanted {
        id: line.id.clone(),
        carrier: facts.carrier.clone(),
        path_mm: facts.geometry.as_ref().ok().map(|g| g.route.length_mm),
        window_mm: window.filter(|(low, high)| low < high),
        bore_mm: facts.bore.as_ref().map(|b| b.value),
        outside_mm: facts.outside.as_ref().map(|o| o.value),
        ends: [end(0), end(1)],
        sleeved: !line.sleeves.is_empty(),
        fluid_class: plan.fluids[line.fluid].fluid.class.clone(),
    }
}

fn thread(size: &ThreadSize) -> WantedThread {
    WantedThread { family: size.family.clone(), written: size.thread.clone(), form: form(size) }
}

/// A tabulated thread as a form.
pub fn form(size: &ThreadSize) -> ThreadForm {
    ThreadForm {
        major_mm: size.major_mm,
        pitch_mm: size.pitch_mm,
        whitworth: size.whitworth,
        cone_deg: size.cone.as_ref().map(|c| c.value.si().to_degrees()),
    }
}

impl Wanted {
    /// Whether a pipe for the one is a pipe for the other.
    pub fn alike(&self, other: &Self) -> bool {
        let near = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() <= ALIKE_MM,
            (a, b) => a.is_none() && b.is_none(),
        };
        let [low, high] = [0, 1].map(|i| {
            let pick = |w: (f64, f64)| if i == 0 { w.0 } else { w.1 };
            near(self.window_mm.map(pick), other.window_mm.map(pick))
        });
        let [a, b] = &other.ends;
        low && high
            && self.carrier == other.carrier
            && self.sleeved == other.sleeved
            && self.fluid_class == other.fluid_class
            && near(self.bore_mm, other.bore_mm)
            && near(self.outside_mm, other.outside_mm)
            && (self.ends == other.ends || self.ends == [b.clone(), a.clone()])
    }
}
