//! Points, directions and the centre lines of hoses and tubes: numbers only, no plan and no tables.
//!
//! Lengths are millimetres, angles radians, points and directions are given in the machine's axes.

pub mod attitude;
pub mod bend_table;
pub mod bow;
pub mod centroid;
pub mod clearance;
pub mod clock;
pub mod direction;
pub mod elevation;
pub mod end;
mod fillet;
pub mod free_hose;
pub mod joined;
mod lead_out;
pub mod path;
pub mod place;
pub mod pose;
pub mod route;
pub mod shortest;
pub mod simplify;
pub mod stiffness;
#[cfg(test)]
pub(crate) mod tests;
pub mod trilateration;
pub mod vessel;

pub use attitude::Attitude;
pub use bend_table::{BendTable, MirrorImage, TubeBend};
pub use bow::bow_of_slack;
pub use clearance::{
    Beside, Body, Near, Shape, Solid, Spot, Stretch, Swept, SweptEnd, clearances, stretches,
};
pub use direction::angle_between;
pub use elevation::{Extreme, ExtremeKind};
pub use end::{EndPlacement, RouteEnd};
pub use path::{Path, Piece};
pub use place::{Place, WhichEnd};
pub use pose::Pose;
pub use route::{Bend, Route, RouteInput, Shortfall, route};
pub use shortest::{Shortest, ShortestKind, shortest, shortest_with_straights};

/// Why a length, an angle or a centre line could not be worked out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum GeometryError {
    /// A number is infinite or not a number.
    #[error("{what} is not a finite number")]
    NotFinite {
        /// The argument at fault.
        what: &'static str,
    },
    /// A number that must be above zero is not.
    #[error("{what} must be above zero, but is {value}")]
    NotAboveZero {
        /// The argument at fault.
        what: &'static str,
        /// What was given.
        value: f64,
    },
    /// A number lies outside the range the formula holds for.
    #[error("{what} must be {}, but is {value}", crate::bounds::Bounds { least: *least, most: *most })]
    OutOfRange {
        /// The argument at fault.
        what: &'static str,
        /// What was given.
        value: f64,
        /// Lowest value accepted.
        least: f64,
        /// Highest value accepted.
        most: f64,
    },
    /// A direction does not have length 1.
    #[error("{what} must be a direction of length 1, but has length {length}")]
    NotUnit {
        /// The argument at fault.
        what: &'static str,
        /// The length it has.
        length: f64,
    },
    /// Three axes are not square to each other, or are left-handed.
    #[error(
        "forward, right and up must be square to each other, with forward x right pointing down"
    )]
    AxesNotSquare,
    /// Two points that follow each other are one and the same.
    #[error("{first} and {second} stand on the same point")]
    SamePoint {
        /// The earlier point.
        first: Place,
        /// The later point.
        second: Place,
    },
    /// The line would have to turn back on itself.
    #[error("the line turns back on itself at {at} ({angle_deg:.1} degrees)")]
    TurnsBack {
        /// Where.
        at: Place,
        /// The angle it would have to turn through.
        angle_deg: f64,
    },
    /// The free curve between two ends could not be settled.
    #[error("no bend leads out of the ends; put a clip between them to guide the line")]
    NoWayBetweenEnds,
    /// A direction lies along the axis about which its angle is asked for.
    #[error("the outlet of {what} lies along the hose, so it has no clock angle")]
    NoAngle {
        /// The end at fault.
        what: &'static str,
    },
    /// A corner of a tube turns back on itself.
    #[error("corner {corner} of the tube turns back on itself ({angle_deg:.1} degrees)")]
    CornerTurnsBack {
        /// The corner, counted from 0 at the first point.
        corner: usize,
        /// The angle it would have to turn through.
        angle_deg: f64,
    },
    /// A leg of a tube cannot hold the bends at its ends.
    #[error(
        "the leg from point {from} of the tube is {has_mm:.1} mm long and its bends take {needed_mm:.1} mm"
    )]
    BendsOverlap {
        /// The point at which the leg begins, counted from 0.
        from: usize,
        /// Length that the bends take.
        needed_mm: f64,
        /// Length there is.
        has_mm: f64,
    },
    /// A path was asked for without pieces.
    #[error("a path needs at least one piece")]
    EmptyPath,
    /// A piece of a path does not begin where the piece before it ends.
    #[error("piece {piece} begins {gap_mm} mm away from the end of the piece before it")]
    BrokenPath {
        /// Index of the later piece, from 0.
        piece: usize,
        /// Size of the gap.
        gap_mm: f64,
    },
    /// A station is not on the path.
    #[error("station {station_mm} mm is not on the path of {length_mm} mm")]
    OffThePath {
        /// What was asked for.
        station_mm: f64,
        /// How long the path is.
        length_mm: f64,
    },
    /// A body that must lie inside another does not.
    #[error("{what} does not lie wholly inside the vessel")]
    Outside {
        /// The body at fault.
        what: &'static str,
    },
    /// A list that must climb does not.
    #[error("{what} must climb from one to the next")]
    NotAscending {
        /// The list at fault.
        what: &'static str,
    },
    /// A search did not come to its end.
    #[error("{what} could not be settled")]
    NotSettled {
        /// What was looked for.
        what: &'static str,
    },
    /// A place that is named is not there.
    #[error("there is no {what} {index}")]
    NoSuchPlace {
        /// What is named.
        what: &'static str,
        /// Its index.
        index: usize,
    },
    /// A sampling step would give more points than can be handled.
    #[error("a step of {step_mm} mm gives more than {most} points")]
    StepTooFine {
        /// The step asked for.
        step_mm: f64,
        /// The highest number of points.
        most: usize,
    },
}

/// Refuses a number that is infinite or not a number.
pub(crate) fn finite(what: &'static str, value: f64) -> Result<f64, GeometryError> {
    if value.is_finite() { Ok(value) } else { Err(GeometryError::NotFinite { what }) }
}

/// Refuses a number that is not finite and above zero.
pub(crate) fn above_zero(what: &'static str, value: f64) -> Result<f64, GeometryError> {
    if finite(what, value)? > 0.0 {
        Ok(value)
    } else {
        Err(GeometryError::NotAboveZero { what, value })
    }
}

/// Refuses a number outside `least ..= most`.
pub(crate) fn within(
    what: &'static str,
    value: f64,
    least: f64,
    most: f64,
) -> Result<f64, GeometryError> {
    if finite(what, value)? >= least && value <= most {
        Ok(value)
    } else {
        Err(GeometryError::OutOfRange { what, value, least, most })
    }
}
