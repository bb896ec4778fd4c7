//! What the entries of a record say in numbers: of each thing what was read last.

use std::collections::BTreeMap;

use crate::diagnostic::visible;
use crate::plan::{Plan, clip_name};
use crate::record::{Entry, Kind};
use crate::units::{Angle, Length, Quantity, Time, Torque, Volume, read_uncertain};

/// Something that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading<T> {
    /// What was read.
    pub value: T,
    /// By how much it may be off, where that was said.
    pub error: Option<f64>,
    /// Number of its entry.
    pub entry: u64,
}

/// What was read of a line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LineReadings {
    /// The bare piece, mm.
    pub cut: Option<Reading<f64>>,
    /// Seat to seat, mm.
    pub assembly: Option<Reading<f64>>,
    /// Clock angle, rad.
    pub clock: Option<Reading<f64>>,
}

/// A can that was timed.
#[derive(Clone, Debug, PartialEq)]
pub struct Timed {
    /// The can, m3.
    pub can_m3: f64,
    /// The time, s.
    pub time: Reading<f64>,
}

/// All that was read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readings {
    /// Lengths and angles, by line.
    pub lines: BTreeMap<String, LineReadings>,
    /// Places, mm, by port, as `COMPONENT.PORT`, and by clip, as `LINE, clip 2`.
    pub places: BTreeMap<String, Reading<[f64; 3]>>,
    /// Torques, N m, by port.
    pub torques: BTreeMap<String, Reading<f64>>,
    /// What was poured in, m3, by component.
    pub poured: BTreeMap<String, Reading<f64>>,
    /// Flow tests, by component.
    pub timed: BTreeMap<String, Timed>,
    /// What could not be used, by entry, and why.
    pub not_used: Vec<(u64, String)>,
}

impl Readings {
    /// The readings of entries, in their order.
    pub fn of(entries: &[Entry], plan: &Plan) -> Self {
        let mut all = Self::default();
        for entry in entries {
            all.misplaced(entry);
            all.line(entry, plan);
            all.clip(entry, plan);
            all.joint(entry, plan);
            all.component(entry, plan);
        }
        all
    }

    /// Values that are read of something else than what their entry is of.
    fn misplaced(&mut self, entry: &Entry) {
        for name in entry.values.keys() {
            let (fits, of) = match name.as_str() {
                "cut" | "assembly" | "clock" => {
                    (entry.whole_line().is_some(), "a line, such as F1")
                }
                "torque" => (entry.joint.is_some(), "an end of a line or a port, such as F1.A"),
                "x" | "y" | "z" => (
                    entry.joint.is_some() || entry.clip.is_some(),
                    "an end, a port or a clip, such as \"F1 clip 2\"",
                ),
                "poured" | "can" | "time" => (entry.component.is_some(), "a component"),
                _ => continue,
            };
            if !fits {
                let why = format!("{name} is used where the entry is of {of}");
                self.not_used.push((entry.number, why));
            }
        }
    }

    fn line(&mut self, entry: &Entry, plan: &Plan) {
        let Some(id) = entry.whole_line() else { return };
        if matches!(entry.what, Kind::Made | Kind::Replaced) {
            // A new piece: what was read of the old one and of its joints says nothing of it.
            self.lines.remove(id);
            for line in plan.lines.iter().filter(|l| l.id == id) {
                for end in [line.from, line.to] {
                    self.torques.remove(&plan.port_name(&end));
                }
            }
        }
        let cut = self.number::<Length>(entry, "cut", 1e3);
        let assembly = self.number::<Length>(entry, "assembly", 1e3);
        let clock = self.number::<Angle>(entry, "clock", 1.0);
        if cut.is_none() && assembly.is_none() && clock.is_none() {
            return;
        }
        if !plan.lines.iter().any(|l| l.id == id) {
            let why = format!("the plan has no line {}", visible(id));
            return self.not_used.push((entry.number, why));
        }
        let line = self.lines.entry(id.to_owned()).or_default();
        line.cut = cut.or(line.cut.take());
        line.assembly = assembly.or(line.assembly.take());
        line.clock = clock.or(line.clock.take());
    }

    fn clip(&mut self, entry: &Entry, plan: &Plan) {
        let (Some(id), Some(number)) = (&entry.line, entry.clip) else { return };
        let number = number as usize;
        let name = clip_name(id, number);
        let Some(place) = self.place(entry, &name) else { return };
        let line = plan.lines.iter().find(|l| l.id == *id);
        if line.is_some_and(|l| number <= l.clips.len()) {
            self.places.insert(name, place);
        } else {
            let why = format!("the plan has no {}", visible(&name));
            self.not_used.push((entry.number, why));
        }
    }

    fn joint(&mut self, entry: &Entry, plan: &Plan) {
        let Some(port) = &entry.joint else { return };
        let torque = self.number::<Torque>(entry, "torque", 1.0);
        let place = self.place(entry, port);
        let known = plan
            .components
            .iter()
            .any(|c| c.ports.iter().any(|p| format!("{}.{}", c.id, p.name) == *port));
        if !known && (place.is_some() || torque.is_some()) {
            let why = format!("the plan has no port {}", visible(port));
            return self.not_used.push((entry.number, why));
        }
        if let Some(place) = place {
            self.places.insert(port.clone(), place);
        }
        if let Some(torque) = torque {
            self.torques.insert(port.clone(), torque);
        }
    }

    /// The place that an entry gives, mm.
    fn place(&mut self, entry: &Entry, of: &str) -> Option<Reading<[f64; 3]>> {
        let axes = ["x", "y", "z"].map(|axis| self.number::<Length>(entry, axis, 1e3));
        let given = axes.iter().flatten().count();
        if given > 0 && given < 3 {
            let why = format!("{}: x, y and z belong together in one entry", visible(of));
            self.not_used.push((entry.number, why));
        }
        let [Some(x), Some(y), Some(z)] = axes else { return None };
        let errors = [x.error, y.error, z.error];
        // All three or none: a place is as good as its worst coordinate.
        let error = errors.into_iter().collect::<Option<Vec<f64>>>();
        let error = error.map(|e| e.into_iter().fold(0.0, f64::max));
        Some(Reading { value: [x.value, y.value, z.value], error, entry: entry.number })
    }

    fn component(&mut self, entry: &Entry, plan: &Plan) {
        let Some(id) = &entry.component else { return };
        let poured = self.number::<Volume>(entry, "poured", 1.0);
        let time = self.number::<Time>(entry, "time", 1.0);
        let can = self.number::<Volume>(entry, "can", 1.0);
        if poured.is_none() && time.is_none() {
            return;
        }
        if !plan.components.iter().any(|c| c.id == *id) {
            let why = format!("the plan has no component {}", visible(id));
            return self.not_used.push((entry.number, why));
        }
        if let Some(poured) = poured {
            self.poured.insert(id.clone(), poured);
        }
        match (time, can) {
            (Some(time), Some(can)) => {
                self.timed.insert(id.clone(), Timed { can_m3: can.value, time });
            }
            (Some(_), None) => {
                let why = format!("{}: a time without its can says nothing", visible(id));
                self.not_used.push((entry.number, why));
            }
            (None, _) => {}
        }
    }

    /// A value of an entry, in its SI unit times a factor.
    fn number<Q: Quantity>(
        &mut self,
        entry: &Entry,
        name: &str,
        factor: f64,
    ) -> Option<Reading<f64>> {
        let text = entry.values.get(name)?;
        match read_uncertain::<Q>(text) {
            Ok((value, error)) => Some(Reading {
                value: value.si() * factor,
                error: error.map(|e| e.si() * factor),
                entry: entry.number,
            }),
            Err(error) => {
                let why = format!("{name} \"{}\": {}", visible(text), visible(&error.message));
                self.not_used.push((entry.number, why));
                None
            }
        }
    }
}
