//! Which check speaks of a region where air or liquid stays, so that one place has one finding, and the words
//! that all of them use.

use core::fmt::Write;

use super::connection::list;
use super::{Draft, Whole};
use crate::plan::{Plan, Service};
use crate::solve::joined::{At, Place, PocketFacts};
use crate::table::limit;
use crate::units::{Length, Quantity};

/// Places that a remedy names at the most.
const MOST_NAMED: usize = 4;

/// The check that speaks of a pocket.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Speaker {
    /// The check of high or low points, since the place lies inside a line.
    Line(usize),
    /// The check of vents, of this line.
    Vent(usize),
    /// The check of joined lines, since the place lies at a component.
    Joined,
}

/// Who speaks of a pocket.
pub fn speaker(plan: &Plan, pocket: &PocketFacts) -> Speaker {
    let vent = |line: &usize| plan.lines[*line].service == Service::Vent;
    let own = pocket.inside_line();
    let first_vent = || pocket.lines.iter().copied().find(vent);
    match own {
        Some(line) if !pocket.air && vent(&line) => Speaker::Vent(line),
        Some(line) => Speaker::Line(line),
        None if pocket.air => Speaker::Joined,
        None => first_vent().map_or(Speaker::Joined, Speaker::Vent),
    }
}

impl<'w> Whole<'w> {
    /// The pockets that nothing relieves and that a check speaks of, the worst of each place.
    pub fn pockets(&self, air: bool, by: Speaker) -> Vec<&'w PocketFacts> {
        let joined = &self.facts.joined;
        let wanted = |p: &&PocketFacts| p.air == air && speaker(self.plan, p) == by;
        match by {
            Speaker::Line(line) | Speaker::Vent(line) => {
                joined.worst_of(line).filter(wanted).collect()
            }
            Speaker::Joined => {
                joined.worst.iter().map(|index| &joined.pockets[*index]).filter(wanted).collect()
            }
        }
    }

    /// Name of the attitude of a pocket.
    pub fn attitude(&self, pocket: &PocketFacts) -> &'w str {
        self.facts.joined.attitudes.get(pocket.attitude).map_or("", |a| a.name.as_str())
    }

    /// The finding of a pocket to be said: attitude, and how deep it is.
    pub fn pocket(&self, draft: &Draft, pocket: &PocketFacts) -> Draft {
        let draft = draft.clone().case(self.attitude(pocket));
        let least = limit::installation::<Length>(self.tables, "trap-least-rise");
        match (pocket.rise_mm, least) {
            (Some(rise), Some(least)) => {
                draft.value(rise, "mm").most(least.value.si() * 1e3, &least.cite)
            }
            (Some(rise), None) => draft.value(rise, "mm"),
            (None, Some(least)) => draft.source(&least.cite),
            (None, None) => draft,
        }
    }

    /// From which attitude on a pocket is there, and how high the corner of its clip then stands.
    pub fn since(&self, pocket: &PocketFacts) -> String {
        let attitude = self.facts.joined.attitudes.get(pocket.attitude);
        let Some((share, attitude)) = pocket.from_share.zip(attitude) else {
            return String::new();
        };
        let mut words = String::new();
        let sides = [["nose up", "nose down"], ["right side down", "left side down"]];
        for (angle, [positive, negative]) in attitude.attitude_rad.into_iter().zip(sides) {
            let degrees = angle.to_degrees();
            if degrees.abs() > 1e-9 {
                let side = if degrees > 0.0 { positive } else { negative };
                let from = share * degrees.abs();
                let _ = write!(words, "; {side} it is one from {from:.1} degrees on");
            }
        }
        if let Some(clip) = pocket.clip {
            let (number, over) = (clip.number, clip.over_a_mm);
            let _ =
                write!(words, "; the corner at clip {number} then stands {over:+.1} mm over end A");
        }
        words
    }

    /// What a pocket holds, as far as that is known.
    pub fn holds(&self, pocket: &PocketFacts) -> String {
        let ml = pocket.volume_m3 * 1e6;
        let unknown = pocket.unmeasured.iter().map(|at| match at {
            At::Line(line, _) => self.plan.lines[*line].id.as_str(),
            At::Path(component, _) | At::Centre(component) => {
                self.plan.components[*component].id.as_str()
            }
            At::Port(port) => self.plan.components[port.component].id.as_str(),
        });
        let mut unknown: Vec<&str> = unknown.collect();
        unknown.dedup();
        let verb = if unknown.len() > 1 { "hold" } else { "holds" };
        let digits = usize::from(ml < 10.0);
        if unknown.is_empty() {
            format!("{ml:.digits$} ml")
        } else if ml > 0.0 {
            format!("{ml:.digits$} ml and what {} {verb}", list(&unknown))
        } else {
            format!("what {} {verb}", list(&unknown))
        }
    }

    /// The lines and components of a pocket.
    pub fn extent(&self, pocket: &PocketFacts) -> String {
        let mut words: Vec<&str> =
            pocket.lines.iter().map(|l| self.plan.lines[*l].id.as_str()).collect();
        let ids = pocket.components.iter().map(|c| self.plan.components[*c].id.as_str());
        words.extend(ids);
        list(&words)
    }

    /// A place with its point, as a builder finds it.
    pub fn found_at(&self, place: &Place) -> String {
        let [x, y, z] = place.point_mm;
        format!("({x:.0}, {y:.0}, {z:.0}) mm on {}", place.at.words(self.plan))
    }

    /// Where something has to be fitted.
    pub fn wanted(&self, pocket: &PocketFacts) -> String {
        let named = pocket.wanted.iter().take(MOST_NAMED).map(|place| self.found_at(place));
        let mut words = named.collect::<Vec<_>>().join(" and at ");
        if pocket.wanted.len() > MOST_NAMED {
            let more = pocket.wanted.len() - MOST_NAMED;
            let _ = write!(words, " and at {more} more places");
        }
        words
    }
}
