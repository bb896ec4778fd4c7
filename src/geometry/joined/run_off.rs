//! What runs off out of joined lines when they are opened at the top: what stands over a surface and finds a way.

use nalgebra::Vector3;

use super::profile::Profile;
use super::{Joined, Part, Spot};
use crate::geometry::direction::unit;
use crate::geometry::{GeometryError, finite};

/// A part shorter than this is rounding.
const SLIVER_MM: f64 = 1e-6;

/// What stands over a surface.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RunOff {
    /// What runs off to an outlet.
    pub runs: Vec<Part>,
    /// What stays: behind a valve, in a dip, or without a way to an outlet.
    pub stays: Vec<Part>,
}

impl Joined {
    /// # What it gives
    ///
    /// Of the liquid that stands over a surface, the parts of the stretches that run off to one of the outlets,
    /// and those that stay.
    ///
    /// # Formula
    ///
    /// Liquid gets out from a place at the height `e = min over all ways to an outlet of (max height on the
    /// way)`; it stays where the place lies below `e`. What stands over the surface and does not stay runs off.
    ///
    /// # Valid for
    ///
    /// `up` of length 1, a finite height of the surface; everything filled before, and air that can get in at
    /// every top.
    ///
    /// # Source
    ///
    /// Communicating vessels; the flood of [`Joined::pockets`] upside down, derived here.
    ///
    /// # Notes
    ///
    /// The most that can run off: a line that is tight at its top holds its liquid like a straw. The surface
    /// stays where it is.
    ///
    /// # Errors
    ///
    /// [`GeometryError::NotUnit`], [`GeometryError::NotFinite`], and those of [`Joined::point`] for an outlet.
    ///
    /// # Example
    ///
    /// ```
    /// use hosewright::geometry::joined::{Joined, Spot, Stretch};
    /// use hosewright::geometry::{Path, Piece};
    /// use nalgebra::{Point3, Vector3};
    ///
    /// // From a tank up to 40 mm and down again to 10 mm, where the way ends.
    /// let places = [[0.0, 0.0, 0.0], [0.0, 0.0, 40.0], [0.0, 30.0, 10.0]].map(Point3::from);
    /// let leg = |from: usize, to: usize| {
    ///     let way = Path::new(vec![Piece::Straight { from: places[from], to: places[to] }]).ok();
    ///     Stretch { ends: [from, to], way, area_mm2: Some(100.0), passes: [true, true] }
    /// };
    /// let joined = Joined::new(places.to_vec(), vec![leg(0, 1), leg(1, 2)])?;
    /// let found = joined.run_off(&Vector3::z(), 5.0, &[Spot::Node(0)])?;
    /// // All of the first leg over the surface; the far leg lies behind the crest.
    /// assert_eq!((found.runs[0].from_mm, found.runs[0].to_mm), (5.0, 40.0));
    /// assert_eq!(found.stays[0].stretch, 1);
    /// # Ok::<(), hosewright::geometry::GeometryError>(())
    /// ```
    pub fn run_off(
        &self,
        up: &Vector3<f64>,
        surface_mm: f64,
        outlets: &[Spot],
    ) -> Result<RunOff, GeometryError> {
        let up = unit("up", up)?;
        finite("surface_mm", surface_mm)?;
        let (profile, _) = Profile::new(self, &up, outlets)?;
        let pockets = self.pockets(&-up, outlets)?;
        let held: Vec<Part> = pockets.iter().flat_map(|p| p.parts.iter().copied()).collect();
        let mut found = RunOff::default();
        for edge in &profile.edges {
            let Some([from_mm, to_mm]) = profile.over(edge, surface_mm) else { continue };
            let over = Part { stretch: edge.stretch, from_mm, to_mm };
            let (runs, stays) = divided(over, &held);
            found.runs.extend(runs);
            found.stays.extend(stays);
        }
        Ok(found)
    }
}

/// A part without those that are held, and what it has in common with them.
fn divided(part: Part, held: &[Part]) -> (Vec<Part>, Vec<Part>) {
    let clipped = |h: &Part| Part {
        from_mm: h.from_mm.max(part.from_mm),
        to_mm: h.to_mm.min(part.to_mm),
        ..part
    };
    let is_some = |p: &Part| p.to_mm - p.from_mm > SLIVER_MM;
    let own = held.iter().filter(|h| h.stretch == part.stretch);
    let mut stays: Vec<Part> = own.map(clipped).filter(is_some).collect();
    stays.sort_by(|a, b| a.from_mm.total_cmp(&b.from_mm));
    let mut runs = Vec::new();
    let mut at_mm = part.from_mm;
    for stay in &stays {
        runs.push(Part { from_mm: at_mm, to_mm: stay.from_mm, ..part });
        at_mm = at_mm.max(stay.to_mm);
    }
    runs.push(Part { from_mm: at_mm, ..part });
    runs.retain(is_some);
    (runs, stays)
}
