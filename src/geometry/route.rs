//! The centre line of a hose or tube from port to port through its clips, with a radius at each corner.

use nalgebra::{Point3, Vector3};

use super::direction::angle_between;
use super::end::{EndPlacement, RouteEnd};
use super::fillet::{self, Corner, Leg, Rounded};
use super::lead_out::{self, Lead};
use super::path::Path;
use super::place::{Place, WhichEnd};
use super::{GeometryError, above_zero, finite, within};

/// A next point this little off the axis of an end counts as straight ahead.
const AHEAD_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;
/// Shortages below this are rounding.
const NOTICED_MM: f64 = 1e-4;

/// What the centre line is made from.
#[derive(Debug, Clone, Copy)]
pub struct RouteInput<'a> {
    /// The end the line is counted from.
    pub a: RouteEnd,
    /// The end the line is counted to.
    pub b: RouteEnd,
    /// Points the line is led through, in order from end a.
    pub clips: &'a [Point3<f64>],
    /// Wanted radius of the centre line at every bend.
    pub bend_radius_mm: f64,
    /// Wanted straight of hose beyond each fitting before it bends.
    pub straight_after_end_mm: f64,
}

/// A bend of the route.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bend {
    /// Where it belongs: a clip, or the way out of an end.
    pub place: Place,
    /// The corner, where the straights on both sides would meet.
    pub at: Point3<f64>,
    /// The clip it is at, counted from 0; `None` for the bend out of an end.
    pub clip: Option<usize>,
    /// Angle turned through.
    pub angle_rad: f64,
    /// Radius of the centre line as drawn: the wanted one, or what fits if that is less.
    pub radius_mm: f64,
    /// Radius asked for.
    pub wanted_radius_mm: f64,
    /// Largest radius for which there is room beside the neighbouring bends.
    pub fits_radius_mm: f64,
    /// Distance from the corner back to where the bend begins.
    pub setback_mm: f64,
    /// Distance along the path to the middle of the bend.
    pub station_mm: f64,
}

/// Where the route cannot have what was asked for, and by how much.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Shortfall {
    /// A straight between two corners cannot hold the fitting and the bends at both its sides.
    LegTooShort {
        /// The leg, counted from 0 at end a.
        leg: usize,
        /// Where it begins.
        from: Place,
        /// Where it ends.
        to: Place,
        /// Length the fitting and the wanted bends take.
        needed_mm: f64,
        /// Length it has.
        has_mm: f64,
    },
    /// A bend had to be drawn tighter than wanted.
    BendTooTight {
        /// The bend, counted from 0 at end a.
        bend: usize,
        /// Where it is.
        place: Place,
        /// Radius asked for.
        wanted_radius_mm: f64,
        /// Largest radius that fits.
        fits_radius_mm: f64,
    },
    /// The hose bends sooner after a fitting than wanted.
    StraightTooShort {
        /// The end.
        end: WhichEnd,
        /// Straight asked for.
        wanted_mm: f64,
        /// Straight there is; below zero where the bend would begin inside the fitting.
        has_mm: f64,
    },
    /// Nothing decides which way an elbow points; a fixed direction was taken.
    ElbowDirectionOpen {
        /// The end.
        end: WhichEnd,
    },
}

/// The centre line and what was found while laying it.
#[derive(Debug, Clone, PartialEq)]
pub struct Route {
    /// The centre line from measuring point to measuring point.
    pub path: Path,
    /// Length of the centre line.
    pub length_mm: f64,
    /// The bends from end a to end b; a clip the line passes straight has none.
    pub bends: Vec<Bend>,
    /// Straight hose beyond the fitting at end a; below zero where the bend begins inside the fitting.
    pub straight_a_mm: f64,
    /// Straight hose beyond the fitting at end b; below zero where the bend begins inside the fitting.
    pub straight_b_mm: f64,
    /// Direction in which the hose leaves the fitting at end a.
    pub hose_dir_a: Vector3<f64>,
    /// Direction in which the hose leaves the fitting at end b.
    pub hose_dir_b: Vector3<f64>,
    /// Where lengths count from at end a.
    pub measuring_a: Point3<f64>,
    /// Where lengths count from at end b.
    pub measuring_b: Point3<f64>,
    /// Steps it took the bends out of the two ends to agree; `None` where they did not depend on each other.
    pub settled_in: Option<u32>,
    /// What could not be had; empty when all is as asked.
    pub shortfalls: Vec<Shortfall>,
}

/// # What it gives
///
/// The centre line of a line: out of each fitting along its axis, through the clips, with an arc at
/// every corner; its length, its bends, and every place where a wanted radius or straight has no room.
///
/// # Formula
///
/// Setback of a bend `radius tan(angle / 2)`, its length `radius angle`. A leg holds the fitting and the
/// setbacks at both its sides; where it cannot, its bends give up the same share of their radius. An
/// end that does not face its next point within half a degree gets a bend out of the end: with the
/// target `x` ahead and `y` aside of where the bend begins, its setback is
/// `y r / (x + sqrt(x^2 + y^2 - 2 y r))`. With no clips the bends out of the two ends look at each
/// other's corner and are settled together.
///
/// # Valid for
///
/// Corners up to 175 degrees; lengths in millimetres, `bend_radius_mm` above 0,
/// `straight_after_end_mm` from 0.
///
/// # Source
///
/// Tangent geometry, derived here. Counting the length of elbow ends to the centre line of the outlet:
/// MIL-DTL-83796/5, figure 2 (read).
///
/// # Notes
///
/// Where a bend out of an end has no room, the straight is given up first, then the radius. A free hose
/// takes a softer shape than straights and arcs; this is the shape to cut by, not a picture of the hose.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range, points that coincide, corners over 175 degrees
/// ([`GeometryError::TurnsBack`]) and ends between which no bend can be laid
/// ([`GeometryError::NoWayBetweenEnds`]).
///
/// # Example
///
/// ```
/// use hosewright::geometry::{RouteEnd, RouteInput, route};
/// use nalgebra::{Point3, Vector3};
///
/// let straight_end = |seat, faces| RouteEnd {
///     seat,
///     faces,
///     angle_rad: 0.0,
///     drop_mm: 0.0,
///     cut_off_mm: 24.0,
///     aim: None,
/// };
/// let laid = route(&RouteInput {
///     a: straight_end(Point3::origin(), Vector3::x()),
///     b: straight_end(Point3::new(300.0, 300.0, 0.0), -Vector3::y()),
///     clips: &[Point3::new(300.0, 0.0, 0.0)],
///     bend_radius_mm: 100.0,
///     straight_after_end_mm: 20.0,
/// })?;
/// assert!((laid.length_mm - (400.0 + 50.0 * std::f64::consts::PI)).abs() < 1e-9);
/// assert!(laid.shortfalls.is_empty());
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn route(input: &RouteInput<'_>) -> Result<Route, GeometryError> {
    above_zero("bend_radius_mm", input.bend_radius_mm)?;
    within("straight_after_end_mm", input.straight_after_end_mm, 0.0, f64::MAX)?;
    for clip in input.clips {
        finite("a clip", clip.coords.norm())?;
    }
    let (corner_a, corner_b) = (input.a.corner()?, input.b.corner()?);
    let placed_a = input.a.placed(input.clips.first().unwrap_or(&corner_b))?;
    let placed_b = input.b.placed(input.clips.last().unwrap_or(&corner_a))?;
    let outs = leads_out(input, &placed_a, &placed_b)?;

    let corners = corners(input, &placed_a, &placed_b, &outs);
    let mut legs = fillet::legs(&corners, input.a.stiff_mm(), input.b.stiff_mm())?;
    let rounded = fillet::rounded(&corners, &mut legs)?;
    let path = fillet::path_through(&corners, &legs, &rounded)?;
    let bends = bends(input, &corners, &legs, &rounded);
    let length_mm = path.length_mm();
    let (straight_a_mm, straight_b_mm) = straights(input, &bends, length_mm);
    let mut laid = Route {
        path,
        length_mm,
        bends,
        straight_a_mm,
        straight_b_mm,
        hose_dir_a: placed_a.hose_dir,
        hose_dir_b: placed_b.hose_dir,
        measuring_a: placed_a.measuring,
        measuring_b: placed_b.measuring,
        settled_in: outs.steps,
        shortfalls: Vec::new(),
    };
    laid.shortfalls = shortfalls(input, &corners, &legs, &laid);
    for (end, placed) in [(WhichEnd::A, &placed_a), (WhichEnd::B, &placed_b)] {
        if placed.direction_open {
            laid.shortfalls.push(Shortfall::ElbowDirectionOpen { end });
        }
    }
    Ok(laid)
}

/// A corner out of an end and the radius there is room for.
#[derive(Debug, Clone, Copy)]
struct OutCorner {
    at: Point3<f64>,
    radius_mm: f64,
}

#[derive(Debug, Clone, Copy, Default)]
struct Outs {
    a: Option<OutCorner>,
    b: Option<OutCorner>,
    steps: Option<u32>,
}

fn leads_out(
    input: &RouteInput<'_>,
    a: &EndPlacement,
    b: &EndPlacement,
) -> Result<Outs, GeometryError> {
    let ahead = |placed: &EndPlacement, target: &Point3<f64>| {
        angle_between(&placed.hose_dir, &(target - placed.measuring)) <= AHEAD_RAD
    };
    if let (Some(first), Some(last)) = (input.clips.first(), input.clips.last()) {
        let out = |end: &RouteEnd, placed: &EndPlacement, target: &Point3<f64>, which| {
            if ahead(placed, target) {
                return Ok(None);
            }
            out_to_clip(input, end, placed, target)
                .ok_or_else(|| turns_back(which, placed, target))
                .map(Some)
        };
        return Ok(Outs {
            a: out(&input.a, a, first, WhichEnd::A)?,
            b: out(&input.b, b, last, WhichEnd::B)?,
            steps: None,
        });
    }
    if ahead(a, &b.measuring) && ahead(b, &a.measuring) {
        return Ok(Outs::default());
    }
    outs_between_ends(input, a, b).ok_or(GeometryError::NoWayBetweenEnds)
}

fn turns_back(end: WhichEnd, placed: &EndPlacement, target: &Point3<f64>) -> GeometryError {
    let turn_rad = angle_between(&placed.hose_dir, &(target - placed.measuring));
    GeometryError::TurnsBack { at: Place::End(end), angle_deg: turn_rad.to_degrees() }
}

/// Where the bend out of an end may begin, with `share` of the wanted straight kept.
fn lead(input: &RouteInput<'_>, end: &RouteEnd, placed: &EndPlacement, share: f64) -> Lead {
    let straight_mm = end.stiff_mm() + share * input.straight_after_end_mm;
    Lead { start: placed.measuring + placed.hose_dir * straight_mm, direction: placed.hose_dir }
}

/// Gives up the straight before the radius: the tighter bend does the hose more harm.
fn radius_and_share(input: &RouteInput<'_>, fits: impl Fn(f64, f64) -> bool) -> Option<(f64, f64)> {
    let wanted_mm = input.bend_radius_mm;
    if fits(wanted_mm, 1.0) {
        return Some((wanted_mm, 1.0));
    }
    let radius_mm = lead_out::largest(wanted_mm, |radius_mm| fits(radius_mm, 0.0));
    if radius_mm <= 0.0 {
        return None;
    }
    Some((radius_mm, lead_out::largest(1.0, |share| fits(radius_mm, share))))
}

fn out_to_clip(
    input: &RouteInput<'_>,
    end: &RouteEnd,
    placed: &EndPlacement,
    target: &Point3<f64>,
) -> Option<OutCorner> {
    let setback = |radius_mm: f64, share: f64| {
        lead_out::setback_to(&lead(input, end, placed, share), target, radius_mm)
    };
    let (radius_mm, share) =
        radius_and_share(input, |radius_mm, share| setback(radius_mm, share).is_some())?;
    let at = lead(input, end, placed, share).corner(setback(radius_mm, share)?);
    Some(OutCorner { at, radius_mm })
}

fn outs_between_ends(input: &RouteInput<'_>, a: &EndPlacement, b: &EndPlacement) -> Option<Outs> {
    let leads = |share: f64| (lead(input, &input.a, a, share), lead(input, &input.b, b, share));
    let pair = |radius_mm: f64, share: f64| {
        let (lead_a, lead_b) = leads(share);
        lead_out::pair_of_setbacks(&lead_a, &lead_b, radius_mm)
    };
    let (radius_mm, share) =
        radius_and_share(input, |radius_mm, share| pair(radius_mm, share).is_some())?;
    let (lead_a, lead_b) = leads(share);
    let found = pair(radius_mm, share)?;
    let out = |at| Some(OutCorner { at, radius_mm });
    Some(Outs {
        a: out(lead_a.corner(found.a_mm)),
        b: out(lead_b.corner(found.b_mm)),
        steps: Some(found.steps),
    })
}

fn corners(input: &RouteInput<'_>, a: &EndPlacement, b: &EndPlacement, outs: &Outs) -> Vec<Corner> {
    let end = |placed: &EndPlacement, which| Corner {
        place: Place::End(which),
        at: placed.measuring,
        radius_mm: 0.0,
    };
    let out = |corner: OutCorner, which| Corner {
        place: Place::LeadOut(which),
        at: corner.at,
        radius_mm: corner.radius_mm,
    };
    let clips = input.clips.iter().enumerate().map(|(index, at)| Corner {
        place: Place::Clip(index),
        at: *at,
        radius_mm: input.bend_radius_mm,
    });
    std::iter::once(end(a, WhichEnd::A))
        .chain(outs.a.map(|corner| out(corner, WhichEnd::A)))
        .chain(clips)
        .chain(outs.b.map(|corner| out(corner, WhichEnd::B)))
        .chain(std::iter::once(end(b, WhichEnd::B)))
        .collect()
}

fn bends(
    input: &RouteInput<'_>,
    corners: &[Corner],
    legs: &[Leg],
    rounded: &[Rounded],
) -> Vec<Bend> {
    let wanted_radius_mm = input.bend_radius_mm;
    let mut station_mm = 0.0;
    let mut last_setback_mm = 0.0;
    let mut bends = Vec::new();
    for ((corner, leg), bend) in corners.iter().skip(1).zip(legs).zip(rounded) {
        let (radius_mm, setback_mm) = (bend.radius_mm(), bend.setback_mm());
        let half_arc_mm = 0.5 * radius_mm * bend.turn_rad;
        station_mm += leg.length_mm - last_setback_mm - setback_mm + half_arc_mm;
        let cut_down = bend.wanted_mm < wanted_radius_mm;
        bends.push(Bend {
            place: corner.place,
            at: corner.at,
            clip: match corner.place {
                Place::Clip(index) => Some(index),
                Place::End(_) | Place::LeadOut(_) => None,
            },
            angle_rad: bend.turn_rad,
            radius_mm,
            wanted_radius_mm,
            fits_radius_mm: if cut_down { radius_mm } else { bend.fits_mm },
            setback_mm,
            station_mm,
        });
        station_mm += half_arc_mm;
        last_setback_mm = setback_mm;
    }
    bends.retain(|bend| bend.angle_rad >= fillet::NO_TURN_RAD);
    bends
}

/// Straight hose between each fitting and the bend nearest to it.
fn straights(input: &RouteInput<'_>, bends: &[Bend], length_mm: f64) -> (f64, f64) {
    let half_arc_mm = |bend: &Bend| 0.5 * bend.radius_mm * bend.angle_rad;
    let (stiff_a_mm, stiff_b_mm) = (input.a.stiff_mm(), input.b.stiff_mm());
    let bare_mm = length_mm - stiff_a_mm - stiff_b_mm;
    bends.first().zip(bends.last()).map_or((bare_mm, bare_mm), |(first, last)| {
        let begins_mm = first.station_mm - half_arc_mm(first);
        let ends_mm = last.station_mm + half_arc_mm(last);
        (begins_mm - stiff_a_mm, length_mm - ends_mm - stiff_b_mm)
    })
}

fn shortfalls(
    input: &RouteInput<'_>,
    corners: &[Corner],
    legs: &[Leg],
    laid: &Route,
) -> Vec<Shortfall> {
    let sides = corners.iter().zip(corners.iter().skip(1));
    let short_legs = legs.iter().zip(sides).enumerate();
    let short_legs = short_legs.filter(|(_, (leg, _))| leg.overfull());
    let short_legs = short_legs.map(|(index, (leg, (from, to)))| Shortfall::LegTooShort {
        leg: index,
        from: from.place,
        to: to.place,
        needed_mm: leg.needed_mm,
        has_mm: leg.length_mm,
    });
    let tight = laid.bends.iter().enumerate();
    let tight = tight.filter(|(_, bend)| bend.wanted_radius_mm - bend.radius_mm > NOTICED_MM);
    let tight = tight.map(|(index, bend)| Shortfall::BendTooTight {
        bend: index,
        place: bend.place,
        wanted_radius_mm: bend.wanted_radius_mm,
        fits_radius_mm: bend.fits_radius_mm,
    });
    let wanted_mm = input.straight_after_end_mm;
    let straights = [(WhichEnd::A, laid.straight_a_mm), (WhichEnd::B, laid.straight_b_mm)];
    let straights = straights
        .into_iter()
        .filter(|(_, has_mm)| wanted_mm - has_mm > NOTICED_MM)
        .map(|(end, has_mm)| Shortfall::StraightTooShort { end, wanted_mm, has_mm });
    short_legs.chain(tight).chain(straights).collect()
}
