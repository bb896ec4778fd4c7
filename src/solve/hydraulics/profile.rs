//! Pressure along a line, and where it is lowest.

use super::resistance::is_tank;
use super::{Known, Losses, Pressures, Setting};
use crate::hydraulics::darcy_weisbach::Liquid;
use crate::hydraulics::run::RunLoss;
use crate::solve::geometry::port;

/// Stations nearer than this are one, mm.
const STATION_MM: f64 = 1e-6;

/// Where the lowest pressure is.
enum Place {
    End,
    EndBore(&'static str),
    Station(f64),
}

impl Place {
    fn words(&self) -> String {
        match self {
            Self::End => "an end".to_owned(),
            Self::EndBore(end) => format!("the narrow bore of end {end}"),
            Self::Station(mm) => format!("{mm:.0} mm from end A"),
        }
    }
}

/// A place on the path, and the pressure there before and after the loss of a bend.
struct Station {
    at_mm: f64,
    before_pa: f64,
    after_pa: f64,
}

impl Setting<'_> {
    /// Height of a share of the path over end A, m.
    pub(super) fn rise_m(&self, share: f64) -> Result<f64, String> {
        let route = &self.of.geometry.ok_or("there is no route")?.route;
        let (a, b) = (port(self.of.plan, self.of.line, 0), port(self.of.plan, self.of.line, 1));
        let end = if share >= 1.0 {
            b.at_mm
        } else {
            let p = route.path.point_at(route.length_mm * share).map_err(|e| e.to_string())?;
            [p.x, p.y, p.z]
        };
        let up = self.case.up;
        Ok((0..3).map(|i| (end[i] - a.at_mm[i]) * up[i]).sum::<f64>() * 1e-3)
    }

    pub(super) fn pressures(
        &self,
        losses: &Losses,
        lost: &RunLoss,
        liquid: &Liquid,
    ) -> Result<Option<Pressures>, String> {
        // Backwards, what is lost from B to A is gained from A to B.
        let backwards = lost.velocity_m_s < 0.0;
        let sign = if backwards { -1.0 } else { 1.0 };
        let all_pa = sign * losses.drop_pa() + losses.motion_pa + losses.lift_pa;
        let still = [0, 1].map(|end| is_tank(self.of.plan, self.of.line, end));
        let from_pa = match self.demand.known {
            Known::From(p) => p,
            Known::To(p) => p + all_pa,
            Known::FromAtRest(p) if still[0] => p,
            Known::FromAtRest(p) => p - lost.motion_pa,
            Known::Nothing => return Ok(None),
        };
        let to_pa = from_pa - all_pa;
        // A stream that ends in a tank has the tank's pressure already in the bore before it; one that
        // begins there has paid for the entrance and for its motion.
        let begun_pa = lost.tank_pa + losses.motion_pa.abs();
        let inside_a_pa = from_pa - if still[0] && !backwards { begun_pa } else { 0.0 };
        let inside_b_pa = to_pa - if still[1] && backwards { begun_pa } else { 0.0 };
        let passed_a_pa = inside_a_pa - sign * (lost.ends[0].loss_pa + lost.extras_pa[0]);
        let passed_b_pa = inside_b_pa + sign * (lost.ends[1].loss_pa + lost.extras_pa[1]);
        let throats = [
            (inside_a_pa.min(passed_a_pa) - lost.ends[0].throat_dip_pa, Place::EndBore("A")),
            (inside_b_pa.min(passed_b_pa) - lost.ends[1].throat_dip_pa, Place::EndBore("B")),
        ];
        let mut lowest = (from_pa.min(to_pa), Place::End);
        let mut highest_pa = from_pa.max(to_pa);
        let mut look = |pressure: f64, place: Place| {
            // The last bit must not move the place.
            if pressure < lowest.0 - 1e-9 {
                lowest = (pressure, place);
            }
        };
        for (pressure, place) in throats {
            look(pressure, place);
        }
        for station in self.along(passed_a_pa, sign, lost, liquid)? {
            look(station.before_pa.min(station.after_pa), Place::Station(station.at_mm));
            highest_pa = highest_pa.max(station.before_pa.max(station.after_pa));
        }
        let (lowest_pa, place) = lowest;
        Ok(Some(Pressures { from_pa, to_pa, lowest_pa, lowest_at: place.words(), highest_pa }))
    }

    /// Pressure along the path behind everything that sits at end A.
    fn along(
        &self,
        first_pa: f64,
        sign: f64,
        lost: &RunLoss,
        liquid: &Liquid,
    ) -> Result<Vec<Station>, String> {
        let Some(geometry) = self.of.geometry else { return Ok(Vec::new()) };
        let mut list = Vec::new();
        for share in self.shares() {
            let at_mm = share * geometry.route.length_mm;
            let lift_pa = liquid.density_kg_m3 * self.case.gravity_m_s2 * self.rise_m(share)?;
            let straight_pa = first_pa - sign * lost.wall_pa * share - lift_pa;
            let bent = |passed: &dyn Fn(f64) -> bool| -> f64 {
                let bends = geometry.bends.iter().zip(&lost.bends_pa);
                sign * bends.filter(|(b, _)| passed(b.station_mm)).map(|(_, pa)| pa).sum::<f64>()
            };
            list.push(Station {
                at_mm,
                before_pa: straight_pa - bent(&|bend| bend < at_mm - STATION_MM),
                after_pa: straight_pa - bent(&|bend| bend <= at_mm + STATION_MM),
            });
        }
        Ok(list)
    }

    /// Shares of the path where the pressure is looked at. Along a straight it changes evenly, so
    /// that its lowest place is an end of a piece, the middle of a bend, or a turning point of height.
    fn shares(&self) -> Vec<f64> {
        let Some(geometry) = self.of.geometry else { return Vec::new() };
        let stations = geometry.route.path.stations().map(|(begins_mm, _)| begins_mm);
        let bends = geometry.bends.iter().map(|b| b.station_mm);
        let extremes = geometry.extremes.iter().map(|e| e.station_mm);
        let all = stations.chain(bends).chain(extremes);
        all.map(|mm| mm / geometry.route.length_mm).filter(|s| *s < 1.0).collect()
    }
}
