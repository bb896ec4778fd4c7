//! High regions in which gas stays, and low ones in which liquid stays, over lines that are joined.

mod flood;
mod pocket;
mod profile;
mod run_off;

use nalgebra::{Point3, Vector3};

use super::direction::unit;
use super::path::Path;
use super::{GeometryError, above_zero, finite};
use flood::flood;
use profile::Profile;
pub use run_off::RunOff;

/// Something that leads from one node to another: a line, or the way through a component.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// The nodes at its two ends.
    pub ends: [usize; 2],
    /// Its centre line from the first end to the second; none where the two stand on one point.
    pub way: Option<Path>,
    /// Area of its passage; none where it is not known.
    pub area_mm2: Option<f64>,
    /// Whether it lets pass from the first end to the second, and back; a valve sits at the end that it lets
    /// pass to.
    pub passes: [bool; 2],
}

/// A place in joined lines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spot {
    /// A node, by its index.
    Node(usize),
    /// A place along a stretch.
    Along {
        /// The stretch, by its index.
        stretch: usize,
        /// Distance from its first end.
        station_mm: f64,
    },
}

/// A place at a height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// The place.
    pub spot: Spot,
    /// The point itself.
    pub point: Point3<f64>,
    /// Its height along up.
    pub height_mm: f64,
}

/// A stretch as far as it lies in a pocket.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// The stretch, by its index.
    pub stretch: usize,
    /// Where the part begins, from the first end of the stretch.
    pub from_mm: f64,
    /// Where it ends.
    pub to_mm: f64,
}

/// A connected region from which gas cannot rise to an outlet.
#[derive(Debug, Clone, PartialEq)]
pub struct Pocket {
    /// Its highest place; the middle of a level run.
    pub peak: Level,
    /// The highest place over which gas gets out once the pocket is full; none where no way leads to an
    /// outlet.
    pub pass: Option<Level>,
    /// The stretches in it, in their order.
    pub parts: Vec<Part>,
    /// The nodes in it.
    pub nodes: Vec<usize>,
    /// Volume of those of its parts whose area is known.
    pub volume_mm3: f64,
    /// Stretches in it of which no area is known.
    pub unmeasured: Vec<usize>,
}

impl Pocket {
    /// Height of the peak over the pass: how far gas fills it downwards.
    #[must_use]
    pub fn rise_mm(&self) -> Option<f64> {
        self.pass.map(|pass| self.peak.height_mm - pass.height_mm)
    }
}

/// Lines and components as nodes and the stretches between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Joined {
    nodes: Vec<Point3<f64>>,
    stretches: Vec<Stretch>,
}

impl Joined {
    /// Takes nodes and stretches. The way of a stretch may begin and end beside its nodes, as that of an
    /// angled end does: what lies between has no volume.
    ///
    /// # Errors
    ///
    /// [`GeometryError::NoSuchPlace`] for an end that is no node, [`GeometryError::NotFinite`] for a node,
    /// [`GeometryError::NotAboveZero`] for an area.
    pub fn new(nodes: Vec<Point3<f64>>, stretches: Vec<Stretch>) -> Result<Self, GeometryError> {
        for node in &nodes {
            finite("a node", node.coords.norm())?;
        }
        for stretch in &stretches {
            for end in stretch.ends {
                nodes.get(end).ok_or(GeometryError::NoSuchPlace { what: "node", index: end })?;
            }
            if let Some(area) = stretch.area_mm2 {
                above_zero("area of a stretch", area)?;
            }
        }
        Ok(Self { nodes, stretches })
    }

    /// The nodes.
    #[must_use]
    pub fn nodes(&self) -> &[Point3<f64>] {
        &self.nodes
    }

    /// The stretches.
    #[must_use]
    pub fn stretches(&self) -> &[Stretch] {
        &self.stretches
    }

    /// The point of a place.
    ///
    /// # Errors
    ///
    /// [`GeometryError::NoSuchPlace`], [`GeometryError::OffThePath`] or [`GeometryError::NotFinite`].
    pub fn point(&self, spot: Spot) -> Result<Point3<f64>, GeometryError> {
        match spot {
            Spot::Node(index) => {
                let node = self.nodes.get(index).copied();
                node.ok_or(GeometryError::NoSuchPlace { what: "node", index })
            }
            Spot::Along { stretch: index, station_mm } => {
                let missing = GeometryError::NoSuchPlace { what: "stretch with a way", index };
                let way = self.stretches.get(index).and_then(|s| s.way.as_ref());
                way.ok_or(missing)?.point_at(station_mm)
            }
        }
    }

    /// # What it gives
    ///
    /// The pockets: every connected region from which gas cannot rise to one of the outlets, each with its
    /// highest place, the pass over which gas gets out of it, and what it holds.
    ///
    /// # Formula
    ///
    /// From a place gas gets out at the height `e = max over all ways to an outlet of (min height on the
    /// way)`. Where the place stands over `e`, gas stays: it fills the hill down to `e` and no further. A
    /// pocket is what hangs together of such places; its volume is that of its stretches over `e`, each
    /// its area times its length there. A straight crosses `e` by proportion, an arc of height
    /// `h0 + r cos(t - t0)` at `t = t0 ± acos((e - h0) / r)`.
    ///
    /// # Valid for
    ///
    /// `up` of length 1. For liquid that cannot run to a drain, `-up`: the peak is then the lowest place,
    /// and heights are depths.
    ///
    /// # Source
    ///
    /// The flooding of depressions in terrain models, turned upside down: Barnes, Lehman and Mulla,
    /// Priority-Flood, Computers and Geosciences 62 (2014), from memory; crossings derived here.
    ///
    /// # Notes
    ///
    /// Gas and liquid at rest; a flow that is fast enough takes gas along over a pass. The surface of the
    /// liquid crosses a pipe at the height of its centre line: that a nearly level pipe is filled in part is
    /// left out. Where a stretch lets pass one way only, its valve sits at the end that it lets pass to.
    ///
    /// # Errors
    ///
    /// [`GeometryError::NotUnit`], and those of [`Joined::point`] for an outlet.
    ///
    /// # Example
    ///
    /// ```
    /// use hosewright::geometry::joined::{Joined, Spot, Stretch};
    /// use hosewright::geometry::{Path, Piece};
    /// use nalgebra::{Point3, Vector3};
    ///
    /// // Two rises of 40 mm that meet at the top; the tank is at the far end, 10 mm higher than the near one.
    /// let places = [[0.0, 0.0, 0.0], [30.0, 0.0, 40.0], [60.0, 0.0, 10.0]].map(Point3::from);
    /// let leg = |from: usize, to: usize| {
    ///     let way = Path::new(vec![Piece::Straight { from: places[from], to: places[to] }]).ok();
    ///     Stretch { ends: [from, to], way, area_mm2: Some(100.0), passes: [true, true] }
    /// };
    /// let joined = Joined::new(places.to_vec(), vec![leg(0, 1), leg(1, 2)])?;
    /// let pockets = joined.pockets(&Vector3::z(), &[Spot::Node(2)])?;
    /// assert_eq!(pockets.len(), 1);
    /// assert_eq!(pockets[0].peak.spot, Spot::Node(1));
    /// assert_eq!(pockets[0].rise_mm(), Some(30.0));
    /// // 37.5 mm of the first leg and all 42.4 mm of the second stand over the pass.
    /// assert!((pockets[0].volume_mm3 - 100.0 * (37.5 + 1800.0_f64.sqrt())).abs() < 1e-9);
    /// # Ok::<(), hosewright::geometry::GeometryError>(())
    /// ```
    pub fn pockets(
        &self,
        up: &Vector3<f64>,
        outlets: &[Spot],
    ) -> Result<Vec<Pocket>, GeometryError> {
        let up = unit("up", up)?;
        let (profile, out) = Profile::new(self, &up, outlets)?;
        let flood = flood(&profile, &out);
        Ok(pocket::pockets(&profile, &flood))
    }

    /// # What it gives
    ///
    /// The crest of the way by which liquid gets from one node to one of several places: the highest place
    /// that it cannot avoid. `None` where no way leads there.
    ///
    /// # Formula
    ///
    /// `min over all ways of (max height on the way)`
    ///
    /// # Valid for
    ///
    /// `up` of length 1.
    ///
    /// # Source
    ///
    /// Derived here; the same flood as that of [`Joined::pockets`], upside down.
    ///
    /// # Notes
    ///
    /// Liquid passes stretches only in the directions that they let pass.
    ///
    /// # Errors
    ///
    /// [`GeometryError::NotUnit`], and those of [`Joined::point`] for a place.
    ///
    /// # Example
    ///
    /// ```
    /// use hosewright::geometry::joined::{Joined, Spot, Stretch};
    /// use hosewright::geometry::{Path, Piece};
    /// use nalgebra::{Point3, Vector3};
    ///
    /// let places = [[0.0, 0.0, 0.0], [30.0, 0.0, 40.0], [60.0, 0.0, 10.0]].map(Point3::from);
    /// let leg = |from: usize, to: usize| {
    ///     let way = Path::new(vec![Piece::Straight { from: places[from], to: places[to] }]).ok();
    ///     Stretch { ends: [from, to], way, area_mm2: None, passes: [true, true] }
    /// };
    /// let joined = Joined::new(places.to_vec(), vec![leg(0, 1), leg(1, 2)])?;
    /// let crest = joined.crest(&Vector3::z(), 0, &[Spot::Node(2)])?;
    /// assert_eq!(crest.map(|c| c.height_mm), Some(40.0));
    /// # Ok::<(), hosewright::geometry::GeometryError>(())
    /// ```
    pub fn crest(
        &self,
        up: &Vector3<f64>,
        from: usize,
        to: &[Spot],
    ) -> Result<Option<Level>, GeometryError> {
        self.point(Spot::Node(from))?;
        let down = -unit("up", up)?;
        let (profile, out) = Profile::new(self, &down, to)?;
        let flood = flood(&profile, &out);
        let crest = flood.pass_of(from).map(|pass| profile.level(pass));
        Ok(crest.map(|c| Level { height_mm: -c.height_mm, ..c }))
    }
}
