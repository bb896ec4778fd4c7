//! A vessel of any shape by what was measured on it level: volumes by dip, or areas by depth.

use super::super::{GeometryError, within};

/// Dips with the volume below each; between two of them the volume grows evenly, or with an even growth of the area.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    dips_mm: Vec<f64>,
    volumes_mm3: Vec<f64>,
    areas_mm2: Option<Vec<f64>>,
}

fn ascending(what: &'static str, list: &[f64], strictly: bool) -> Result<(), GeometryError> {
    if list.iter().any(|v| !v.is_finite()) {
        return Err(GeometryError::NotFinite { what });
    }
    let climbs = |pair: &[f64]| pair[0] < pair[1] || (!strictly && pair[0] <= pair[1]);
    if list.len() >= 2 && list.windows(2).all(climbs) && list[0] >= 0.0 {
        Ok(())
    } else {
        Err(GeometryError::NotAscending { what })
    }
}

impl Profile {
    /// From dips with the volumes that were poured up to them, both climbing.
    ///
    /// # Errors
    /// [`GeometryError::NotAscending`] with fewer than two points, with one that does not climb or lies below zero.
    pub fn of_volumes(points: &[(f64, f64)]) -> Result<Self, GeometryError> {
        let (dips_mm, volumes_mm3): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
        ascending("the dips", &dips_mm, true)?;
        ascending("the volumes", &volumes_mm3, true)?;
        Ok(Self { dips_mm, volumes_mm3, areas_mm2: None })
    }

    /// From depths with the area of the surface at each, the first at the bottom; the area changes evenly between two
    /// depths, so that the volume is a parabola there.
    ///
    /// # Errors
    /// [`GeometryError::NotAscending`] where depths do not climb from zero; [`GeometryError::NotAboveZero`] for an area
    /// that is not above zero.
    pub fn of_areas(points: &[(f64, f64)]) -> Result<Self, GeometryError> {
        let (dips_mm, areas): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
        ascending("the depths", &dips_mm, true)?;
        if dips_mm[0] != 0.0 {
            return Err(GeometryError::OutOfRange {
                what: "the first depth",
                value: dips_mm[0],
                least: 0.0,
                most: 0.0,
            });
        }
        for area in &areas {
            super::above_zero("the area of the surface", *area)?;
        }
        let mut volumes_mm3 = vec![0.0];
        for i in 1..dips_mm.len() {
            let layer = 0.5 * (areas[i] + areas[i - 1]) * (dips_mm[i] - dips_mm[i - 1]);
            volumes_mm3.push(volumes_mm3[i - 1] + layer);
        }
        Ok(Self { dips_mm, volumes_mm3, areas_mm2: Some(areas) })
    }

    /// The largest volume that was measured.
    pub fn full_mm3(&self) -> f64 {
        self.volumes_mm3.last().copied().unwrap_or_default()
    }

    /// The smallest volume that was measured.
    pub fn least_mm3(&self) -> f64 {
        self.volumes_mm3.first().copied().unwrap_or_default()
    }

    /// Lowest and highest dip.
    pub fn dips_mm(&self) -> (f64, f64) {
        let last = self.dips_mm.last().copied().unwrap_or_default();
        (self.dips_mm.first().copied().unwrap_or_default(), last)
    }

    /// The volume at a dip.
    ///
    /// # Errors
    /// [`GeometryError::OutOfRange`] beyond what was measured.
    ///
    /// ```
    /// use hosewright::geometry::vessel::profile::Profile;
    /// let can = Profile::of_volumes(&[(0.0, 0.0), (50.0, 1e6), (80.0, 2e6)])?;
    /// assert!((can.volume_mm3(65.0)? - 1.5e6).abs() < 1e-6);
    /// assert!((can.dip_mm(1.5e6)? - 65.0).abs() < 1e-9);
    /// # Ok::<(), hosewright::geometry::GeometryError>(())
    /// ```
    pub fn volume_mm3(&self, dip_mm: f64) -> Result<f64, GeometryError> {
        let (least, most) = self.dips_mm();
        within("the dip", dip_mm, least, most)?;
        let i = self.dips_mm.partition_point(|d| *d <= dip_mm).clamp(1, self.dips_mm.len() - 1);
        let width = self.dips_mm[i] - self.dips_mm[i - 1];
        let share = (dip_mm - self.dips_mm[i - 1]) / width;
        let (from, to) = (self.volumes_mm3[i - 1], self.volumes_mm3[i]);
        Ok(match &self.areas_mm2 {
            None => from + share * (to - from),
            Some(areas) => {
                let (a, b) = (areas[i - 1], areas[i]);
                from + width * share * (a + 0.5 * share * (b - a))
            }
        })
    }

    /// The dip for a volume.
    ///
    /// # Errors
    /// [`GeometryError::OutOfRange`] beyond what was measured.
    pub fn dip_mm(&self, volume_mm3: f64) -> Result<f64, GeometryError> {
        within("the volume", volume_mm3, self.least_mm3(), self.full_mm3())?;
        let below = self.volumes_mm3.partition_point(|v| *v <= volume_mm3);
        let i = below.clamp(1, self.dips_mm.len() - 1);
        let width = self.dips_mm[i] - self.dips_mm[i - 1];
        let more = volume_mm3 - self.volumes_mm3[i - 1];
        let share = match &self.areas_mm2 {
            None => more / (self.volumes_mm3[i] - self.volumes_mm3[i - 1]),
            Some(areas) => {
                // The root that keeps its digits where the area hardly changes.
                let (a, b) = (areas[i - 1], areas[i]);
                let layer = more / width;
                2.0 * layer / (a + (a * a + 2.0 * (b - a) * layer).max(0.0).sqrt())
            }
        };
        Ok(self.dips_mm[i - 1] + width * share.clamp(0.0, 1.0))
    }
}
