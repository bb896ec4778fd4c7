//! Pressure along a line, and where it is lowest.

use super::resistance::EndLoss;
use super::{GRAVITY_M_S2, Losses, Pressures, Setting};
use crate::hydraulics::darcy_weisbach::Liquid;
use crate::plan::Anchor;
use crate::solve::geometry::port;
use crate::units::Quantity;

/// Where the lowest pressure is.
enum LowestAt {
    End,
    EndBore(&'static str),
    Station(f64),
}

impl LowestAt {
    fn words(&self) -> String {
        match self {
            Self::End => "an end".to_owned(),
            Self::EndBore(end) => format!("the narrow bore of end {end}"),
            Self::Station(mm) => format!("{mm:.0} mm from end A"),
        }
    }
}

impl Setting<'_> {
    /// Height of a share of the path over end A, m.
    pub(super) fn rise_m(&self, share: f64) -> Result<f64, String> {
        let route = &self.geometry.ok_or("there is no route")?.route;
        let (a, b) = (port(self.plan, self.line, 0), port(self.plan, self.line, 1));
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
        liquid: &Liquid,
        ends: &[EndLoss; 2],
        head_pa: f64,
    ) -> Result<Option<Pressures>, String> {
        let all_pa = losses.drop_pa() + losses.motion_pa + losses.lift_pa;
        let from_pa = match self.duty.anchor {
            Anchor::From(p) => p.si() + self.case.ambient_pa,
            Anchor::To(p) => p.si() + self.case.ambient_pa + all_pa,
            Anchor::None => return Ok(None),
        };
        // The velocity head that is lost into a tank is not missing inside the line.
        let exit_pa = if self.is_tank(1) { head_pa } else { 0.0 };
        let to_pa = from_pa - all_pa;
        let inside_pa = from_pa - (losses.tank_pa - exit_pa) - losses.motion_pa;
        let first_pa = inside_pa - ends[0].loss_pa - self.other_pa(liquid, Some(false))?;
        let last_pa = to_pa + ends[1].loss_pa;
        let throats = [
            (inside_pa - ends[0].throat_dip_pa - ends[0].loss_pa, LowestAt::EndBore("A")),
            (last_pa - ends[1].throat_dip_pa - ends[1].loss_pa, LowestAt::EndBore("B")),
        ];
        let mut lowest = (from_pa.min(to_pa), LowestAt::End);
        let along = self.along(first_pa, losses, liquid)?;
        for (pressure, place) in throats.into_iter().chain(along) {
            // The last bit must not move the place.
            if pressure < lowest.0 - 1e-9 {
                lowest = (pressure, place);
            }
        }
        let (lowest_pa, place) = lowest;
        Ok(Some(Pressures { from_pa, to_pa, lowest_pa, lowest_at: place.words() }))
    }

    /// Pressure, Pa, along the path behind everything that sits at end A.
    fn along(
        &self,
        first_pa: f64,
        losses: &Losses,
        liquid: &Liquid,
    ) -> Result<Vec<(f64, LowestAt)>, String> {
        let length_mm = self.geometry.map_or(0.0, |g| g.route.length_mm);
        let mut list = Vec::new();
        for share in self.shares() {
            let lost = (losses.wall_pa + losses.bends_pa) * share;
            let lift = liquid.density_kg_m3 * GRAVITY_M_S2 * self.rise_m(share)?;
            list.push((first_pa - lost - lift, LowestAt::Station(share * length_mm)));
        }
        Ok(list)
    }

    /// Shares of the path where the pressure is looked at. Along a straight it changes evenly, so
    /// that its lowest place is an end of a piece, the middle of a bend, or a turning point of height.
    fn shares(&self) -> Vec<f64> {
        let Some(geometry) = self.geometry else { return Vec::new() };
        let stations = geometry.route.path.stations().map(|(begins_mm, _)| begins_mm);
        let bends = geometry.bends.iter().map(|b| b.station_mm);
        let extremes = geometry.extremes.iter().map(|e| e.station_mm);
        let all = stations.chain(bends).chain(extremes);
        all.map(|mm| mm / geometry.route.length_mm).filter(|s| *s < 1.0).collect()
    }
}
