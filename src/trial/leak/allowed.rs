//! What a sure leak loses in service, held against what may leak.

use super::result::{Bench, Hole, InService, Through};
use crate::finding::Verdict;
use crate::source::{Cite, Sourced};
use crate::table::{Tables, limit};
use crate::units::{Quantity, Volume};

/// What may leak.
#[derive(Clone, Debug)]
pub enum Allowed {
    /// Nothing: it is fuel.
    Nothing,
    /// As the plan says, m3/s.
    Planned(Sourced<f64>),
    /// As a table says where the plan says nothing, m3/s.
    Tabled(Sourced<f64>),
}

/// What a leak loses at the highest pressure of its line, by the way through that lets out more.
#[derive(Clone, Debug)]
pub struct Loss {
    /// Liquid out, m3/s; nothing where it only lets air in.
    pub out_m3_s: f64,
    /// The most that the errors of the readings allow, m3/s.
    pub most_m3_s: f64,
    /// What may leak; none where neither plan nor table says.
    pub allowed: Option<Allowed>,
    /// Volume of a drop, m3.
    pub drop_m3: Option<Sourced<f64>>,
}

impl Loss {
    /// The verdict on a leak that is sure; `drawn` where it lets in air that is no longer small.
    pub(super) fn verdict(&self, drawn: bool) -> Verdict {
        let most = match &self.allowed {
            Some(Allowed::Planned(most) | Allowed::Tabled(most)) if !drawn => most.value,
            _ => return Verdict::Fail,
        };
        let planned = matches!(self.allowed, Some(Allowed::Planned(_)));
        match (self.most_m3_s <= most, self.out_m3_s <= most) {
            (true, _) if planned => Verdict::Ok,
            (_, true) => Verdict::Caution,
            _ => Verdict::Fail,
        }
    }

    /// Drops an hour.
    pub fn drops_an_hour(&self) -> Option<f64> {
        Some(3600.0 * self.out_m3_s / self.drop_m3.as_ref()?.value)
    }
}

impl Bench<'_> {
    /// What a sure leak loses; none where nothing is known of what comes through it in service.
    pub(super) fn loss(
        &self,
        tables: &Tables,
        service: &[InService],
        at_most: Option<&Hole>,
    ) -> Option<Loss> {
        if service.is_empty() {
            return None;
        }
        let drop_m3 = limit::test::<Volume>(tables, "drop").map(|d| d.map(Quantity::si));
        let most = at_most.map(|hole| self.service(hole)).unwrap_or_default();
        let out_m3_s = out_m3_s(service);
        Some(Loss {
            out_m3_s,
            most_m3_s: out_m3_s.max(self::out_m3_s(&most)),
            allowed: self.allowed(tables, drop_m3.as_ref()),
            drop_m3,
        })
    }

    /// The least that may leak of any of the lines: nobody knows which one it is.
    fn allowed(&self, tables: &Tables, drop_m3: Option<&Sourced<f64>>) -> Option<Allowed> {
        let lines = || self.lines.iter().map(|l| &self.plan.lines[*l]);
        if lines().any(|l| self.plan.fluids[l.fluid].fluid.is_fuel()) {
            return Some(Allowed::Nothing);
        }
        let planned: Option<Vec<f64>> = lines().map(|l| l.leak_allowed.map(Quantity::si)).collect();
        if let Some(least) = planned.and_then(|p| p.into_iter().reduce(f64::min)) {
            return Some(Allowed::Planned(Sourced::new(least, Cite::plan("leak_allowed"))));
        }
        let drops = limit::test_number(tables, "leak-static")?;
        let drop_m3 = drop_m3?;
        let cite = drops.cite.and(&drop_m3.cite);
        Some(Allowed::Tabled(Sourced::new(drops.value * drop_m3.value / 3600.0, cite)))
    }
}

/// The most liquid that comes out of any line by any way.
fn out_m3_s(service: &[InService]) -> f64 {
    let out = service.iter().filter_map(|s| match s.through {
        Through::Liquid([jet, passage], _) => Some(jet.max(passage)),
        Through::Air(_) => None,
    });
    out.fold(0.0, f64::max)
}
