//! How a hose lies by itself between its supports, and the shortest hose that could join its ports.

use std::f64::consts::FRAC_PI_4;

use nalgebra::Vector3;

use super::geometry::{GeometryFacts, up};
use super::{GRAVITY_M_S2, LineFacts, fluid};
use crate::geometry::free_hose::{FreeHose, FreeHoseInput, HoseWeight, free_hose, free_hose_near};
use crate::geometry::stiffness::{Overhang, Reading, stiffness};
use crate::geometry::{Pose, shortest_with_straights};
use crate::makeup::cut_length::CutLength;
use crate::plan::{Carrier, Line, Plan};
use crate::units::{Quantity, Temperature};

/// Points are not asked for.
const SEGMENTS: usize = 1;
/// Stretches shorter than this do not bend, mm.
const SHORTEST_SPAN_MM: f64 = 1e-3;
/// The longest hose is found when it is this close: a share of its slack, or of the square of the bend.
const CLOSE: f64 = 1e-3;
/// Radii closer than this, as a share, are alike.
const ALIKE: f64 = 1e-9;
/// A bend keeps the least radius when the square of its curvature is over by no more than rounding.
const KEEPS: f64 = 1e-7;

/// The natural shape of one stretch between two supports.
#[derive(Clone, Debug)]
pub struct SpanShape {
    /// Where it begins, along the hose from end A, mm.
    pub from_mm: f64,
    /// Where it ends, mm.
    pub to_mm: f64,
    /// Path between its ends, mm.
    pub path_mm: f64,
    /// Smallest radius of its centre line, mm; infinite where it is straight.
    pub tightest_mm: f64,
    /// Where that is, along the hose from end A, mm.
    pub tightest_at_mm: f64,
    /// How far it bows from the straight between its ends, mm.
    pub bow_mm: f64,
    /// How far it hangs below its lower end, mm; only where stiffness and mass of the hose are known.
    pub sag_mm: Option<f64>,
    /// Whether its ends are in line, so that it bows to whichever side it likes.
    pub buckled: bool,
}

/// The shortest hose that could join two ports.
#[derive(Clone, Copy, Debug)]
pub struct LeastPossible {
    /// A length that no hose with this bend radius goes below, mm.
    pub length_mm: f64,
    /// Whether a hose of that length exists, as far as its own shape goes.
    pub proven: bool,
    /// The shortest that was found, mm.
    pub found_mm: f64,
}

/// The shape of a hose.
#[derive(Clone, Debug)]
pub struct ShapeFacts {
    /// Each stretch at the chosen length, or why there is no shape.
    pub spans: Result<Vec<SpanShape>, String>,
    /// The longest assembly whose bends all keep the least radius, mm; none where that is not the
    /// limit, or where the chosen one does not keep it.
    pub longest_mm: Option<f64>,
    /// The shortest hose that could join the ports; none where the search did not end.
    pub least_possible: Option<LeastPossible>,
}

impl ShapeFacts {
    /// The stretch that bends tightest; of several that bend alike, the first from end A.
    pub fn tightest(&self) -> Option<&SpanShape> {
        let tighter = |best: &SpanShape, span: &SpanShape| {
            span.tightest_mm * (1.0 + ALIKE) < best.tightest_mm
        };
        let spans = self.spans.as_ref().ok()?.iter();
        spans.reduce(|best, span| if tighter(best, span) { span } else { best })
    }
}

/// The shape of a hose; none for a tube and where there is no route or no length.
pub fn solve(plan: &Plan, line: &Line, facts: &LineFacts) -> Option<ShapeFacts> {
    let geometry = facts.geometry.as_ref().ok()?;
    let makeup = facts.makeup.as_ref().ok()?;
    makeup.reach.as_ref()?;
    let held = Held { geometry, weight: weight(plan, line, facts) };
    let lying = held.lying(makeup.cut.assembly_mm, None);
    let longest_mm = lying.as_ref().ok().and_then(|chosen| held.longest_mm(&makeup.cut, chosen));
    let spans = lying.map(|spans| spans.into_iter().map(|lies| lies.span).collect());
    Some(ShapeFacts { spans, longest_mm, least_possible: least_possible(geometry) })
}

/// Weight and stiffness of the hose, full of what flows in it in its first case, with the machine level; none where the plan
/// holds no droop test.
fn weight(plan: &Plan, line: &Line, facts: &LineFacts) -> Option<HoseWeight> {
    let Carrier::Hose(hose) = &line.carrier else { return None };
    let test = hose.droop_test?;
    let mass_kg_m = hose.mass.as_ref()?.value.si();
    let piece = Overhang {
        length_m: test.overhang.si(),
        per_length_n_m: mass_kg_m * GRAVITY_M_S2,
        tip_n: 0.0,
    };
    let measured = stiffness(&piece, Reading::Droop { droop_m: test.droop.si() }).ok()?;
    let warm = Temperature::from_si(facts.duties.first()?.temperature_k);
    let density = fluid::state(&plan.fluids[line.fluid].fluid, warm).ok()?.density_kg_m3;
    let bore_m = facts.bore.as_ref()?.value * 1e-3;
    let full_kg_m = mass_kg_m + density * FRAC_PI_4 * bore_m * bore_m;
    let [x, y, z] = up(&plan.axes, 0.0, 0.0)?;
    Some(HoseWeight {
        per_length_n_m: full_kg_m * GRAVITY_M_S2,
        stiffness_n_m2: measured.stiffness_n_m2,
        up: Vector3::new(x, y, z),
    })
}

/// A stretch as it lies.
struct Lies {
    span: SpanShape,
    hose: FreeHose,
}

/// A hose on its route, held at its ends and clips.
struct Held<'g> {
    geometry: &'g GeometryFacts,
    weight: Option<HoseWeight>,
}

impl Held<'_> {
    /// The natural shape of each stretch of an assembly. The slack is left where it bends the hose least: a
    /// clamped stretch of length `l` with the slack `d` bends to `l^1.5 / (4 pi sqrt(d))`, so stretches bend
    /// alike when each has slack in proportion to the cube of its length.
    ///
    /// Shapes known for another length are passed into this one.
    fn lying(&self, assembly_mm: f64, known: Option<&[Lies]>) -> Result<Vec<Lies>, String> {
        let route = &self.geometry.route;
        let [a, b] = &self.geometry.laid.ends;
        let (first, last) = (a.stiff_mm(), route.length_mm - b.stiff_mm());
        let inside =
            self.geometry.support.stations_mm.iter().copied().filter(|s| *s > first && *s < last);
        let mut stations: Vec<f64> = std::iter::once(first).chain(inside).collect();
        stations.push(last);
        let long =
            stations.windows(2).map(|w| [w[0], w[1]]).filter(|[f, t]| t - f > SHORTEST_SPAN_MM);
        let long: Vec<[f64; 2]> = long.collect();
        let cube = |[from, to]: [f64; 2]| (to - from) * (to - from) * (to - from);
        let cubes: f64 = long.iter().map(|span| cube(*span)).sum();
        let slack_mm = assembly_mm - route.length_mm;
        let mut along_mm = first;
        let mut all = Vec::with_capacity(long.len());
        for (at, ends) in long.into_iter().enumerate() {
            let path_mm = ends[1] - ends[0];
            let length_mm = path_mm + slack_mm * cube(ends) / cubes;
            let input = self.input(ends, length_mm)?;
            let hose = match known.and_then(|known| known.get(at)) {
                Some(lies) => free_hose_near(&lies.hose, &input),
                None => free_hose(&input),
            };
            let hose = hose.map_err(|e| e.to_string())?;
            let span = SpanShape {
                from_mm: along_mm,
                to_mm: along_mm + length_mm,
                path_mm,
                tightest_mm: hose.tightest_radius_mm,
                tightest_at_mm: along_mm + hose.tightest_station_mm,
                bow_mm: hose.bow_mm,
                sag_mm: hose.sag_mm,
                buckled: hose.buckled,
            };
            all.push(Lies { span, hose });
            along_mm += length_mm;
        }
        Ok(all)
    }

    fn input(&self, [from_mm, to_mm]: [f64; 2], length_mm: f64) -> Result<FreeHoseInput, String> {
        let path = &self.geometry.route.path;
        let point = |station| path.point_at(station).map_err(|e| e.to_string());
        let tangent = |station| path.tangent_at(station).map_err(|e| e.to_string());
        Ok(FreeHoseInput {
            from: point(from_mm)?,
            leaves: tangent(from_mm)?,
            to: point(to_mm)?,
            arrives: tangent(to_mm)?,
            length_mm,
            weight: self.weight,
            segments: SEGMENTS,
        })
    }

    /// Between the chosen length and the longest by the rule: the longest that keeps the least radius.
    ///
    /// The square of the bend that a stretch has by its slack grows nearly evenly with the slack, so a chord between a
    /// length that keeps the radius and one that does not comes close at once.
    fn longest_mm(&self, cut: &CutLength, chosen: &[Lies]) -> Option<f64> {
        let least_mm = self.geometry.allowed.as_ref()?.least_mm;
        let over = |lying: &[Lies]| {
            let tightest_mm =
                lying.iter().map(|lies| lies.span.tightest_mm).fold(f64::INFINITY, f64::min);
            least_mm * least_mm / (tightest_mm * tightest_mm) - 1.0
        };
        // A length that gives no shape counts as one that bends twice as tight.
        let over_at = |assembly_mm: f64| {
            self.lying(assembly_mm, Some(chosen)).map_or(3.0, |lying| over(&lying))
        };
        let (mut good, mut spare) = (cut.assembly_mm, over(chosen));
        if cut.longest_mm <= good || spare > KEEPS {
            return None;
        }
        let (mut bad, mut beyond) = (cut.longest_mm, over_at(cut.longest_mm));
        if beyond <= KEEPS {
            return None;
        }
        let close_mm = CLOSE * (bad - good);
        let mut step = 0;
        while bad - good > close_mm && spare < -CLOSE {
            step += 1;
            // Aimed a little inside; halved every third time, since one end of a chord can stand still.
            let chord = (spare + 0.5 * CLOSE) / (spare - beyond);
            let share = if step % 3 == 0 { 0.5 } else { chord.clamp(0.02, 0.98) };
            let middle = good + (bad - good) * share;
            let found = over_at(middle);
            if found <= KEEPS {
                (good, spare) = (middle, found);
            } else {
                (bad, beyond) = (middle, found);
            }
        }
        Some(good)
    }
}

/// The shortest hose between the two ports: straight out of each fitting as long as it should be.
fn least_possible(geometry: &GeometryFacts) -> Option<LeastPossible> {
    let route = &geometry.route;
    let [a, b] = &geometry.laid.ends;
    let straight_mm = geometry.laid.straight_after_end_mm;
    let from = Pose { at: route.measuring_a, direction: route.hose_dir_a };
    let to = Pose { at: route.measuring_b, direction: -route.hose_dir_b };
    let radius_mm = geometry.allowed.as_ref()?.least_mm;
    let stubs = [a, b].map(|end| end.stiff_mm() + straight_mm);
    let found = shortest_with_straights(&from, &to, radius_mm, stubs[0], stubs[1]).ok()?;
    Some(LeastPossible {
        length_mm: found.least_possible_mm,
        proven: found.proven,
        found_mm: found.length_mm,
    })
}
