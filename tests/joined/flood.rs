//! Random networks: against a flood by brute force over sampled points, and laws that must hold.
#![expect(clippy::unwrap_used, reason = "networks that were drawn here have what is asked of them")]

use core::f64::consts::PI;

use hosewright::geometry::joined::{Joined, Pocket, Spot, Stretch};
use hosewright::geometry::{Path, Piece};
use nalgebra::{Matrix3, Point3, Vector3};
use proptest::prelude::{ProptestConfig, TestCaseError, prop_assert, proptest};
use proptest::strategy::Strategy;

const UP: Vector3<f64> = Vector3::new(0.0, 0.0, 1.0);

/// A network to be built: places, legs with the turn of an arc where they are none, and outlets.
#[derive(Clone, Debug)]
struct Sketch {
    places: Vec<[f64; 3]>,
    legs: Vec<Leg>,
    outlets: Vec<usize>,
}

#[derive(Clone, Debug)]
struct Leg {
    ends: [usize; 2],
    /// Turn of the half circle about its chord; a straight if none.
    arc: Option<f64>,
    area: f64,
    passes: [bool; 2],
}

fn sketch(one_way: bool) -> impl Strategy<Value = Sketch> {
    let place = proptest::array::uniform3(0.0..400.0_f64);
    let passes = move |k: u8| match k {
        0 if one_way => [true, false],
        1 if one_way => [false, true],
        _ => [true, true],
    };
    let leg = (0..7_usize, 1..7_usize, proptest::option::of(0.0..6.2_f64), 1.0..9.0_f64, 0..8_u8);
    let legs = proptest::collection::vec(leg, 4..11);
    let outlets = proptest::collection::vec(0..7_usize, 1..3);
    (proptest::collection::vec(place, 7), legs, outlets).prop_map(move |(places, legs, outlets)| {
        let legs = legs.into_iter().map(|(from, step, arc, area, k)| Leg {
            ends: [from, (from + step) % 7],
            arc,
            area,
            passes: passes(k),
        });
        Sketch { places, legs: legs.collect(), outlets }
    })
}

fn way(from: Point3<f64>, to: Point3<f64>, arc: Option<f64>) -> Option<Path> {
    let Some(turn) = arc else { return Path::new(vec![Piece::Straight { from, to }]).ok() };
    let chord = to - from;
    let square = chord.cross(&Vector3::new(0.3, -0.7, 0.2)).normalize();
    let other = chord.normalize().cross(&square);
    let axis = square * libm::cos(turn) + other * libm::sin(turn);
    let centre = nalgebra::center(&from, &to);
    let piece =
        Piece::Arc { start: from, centre, axis, radius_mm: 0.5 * chord.norm(), angle_rad: PI };
    Path::new(vec![piece]).ok()
}

impl Sketch {
    fn build(&self) -> Option<Joined> {
        let nodes: Vec<Point3<f64>> = self.places.iter().map(|p| Point3::from(*p)).collect();
        let stretches = self.legs.iter().map(|leg| {
            let way = way(nodes[leg.ends[0]], nodes[leg.ends[1]], leg.arc)?;
            let area_mm2 = Some(leg.area);
            Some(Stretch { ends: leg.ends, way: Some(way), area_mm2, passes: leg.passes })
        });
        Joined::new(nodes.clone(), stretches.collect::<Option<Vec<_>>>()?).ok()
    }

    fn out(&self) -> Vec<Spot> {
        self.outlets.iter().map(|o| Spot::Node(*o)).collect()
    }
}

/// Steps into which brute force cuts every stretch.
const STEPS: u32 = 300;

/// The volume from which gas cannot leave: heights handed on from point to point until nothing changes.
fn by_force(joined: &Joined, outlets: &[usize]) -> (f64, f64) {
    let mut heights: Vec<f64> = joined.nodes().iter().map(|n| n.z).collect();
    let mut links: Vec<(usize, usize, [bool; 2], f64)> = Vec::new();
    for stretch in joined.stretches() {
        let path = stretch.way.as_ref().unwrap();
        let step_mm = path.length_mm() / f64::from(STEPS);
        let mut last = stretch.ends[0];
        for step in 1..STEPS {
            heights.push(path.point_at(step_mm * f64::from(step)).unwrap().z);
            let here = heights.len() - 1;
            // The valve sits at the end that it lets pass to.
            let passes = [step != 1 || stretch.passes[0], true];
            links.push((last, here, passes, stretch.area_mm2.unwrap() * step_mm));
            last = here;
        }
        let passes = [true, stretch.passes[1]];
        links.push((last, stretch.ends[1], passes, stretch.area_mm2.unwrap() * step_mm));
    }
    let mut out = vec![f64::NEG_INFINITY; heights.len()];
    for outlet in outlets {
        out[*outlet] = heights[*outlet];
    }
    let mut changed = true;
    while changed {
        changed = false;
        let mut hand = |from: usize, to: usize| {
            let over = heights[from].min(out[to]);
            if over > out[from] {
                out[from] = over;
                changed = true;
            }
        };
        for (a, b, passes, _) in &links {
            if passes[0] {
                hand(*a, *b);
            }
            if passes[1] {
                hand(*b, *a);
            }
        }
        for (a, b, passes, _) in links.iter().rev() {
            if passes[0] {
                hand(*a, *b);
            }
            if passes[1] {
                hand(*b, *a);
            }
        }
    }
    let stays = |v: usize| heights[v] > out[v] + 1e-6;
    let both: f64 = links.iter().filter(|l| stays(l.0) && stays(l.1)).map(|l| l.3).sum();
    let either: f64 = links.iter().filter(|l| stays(l.0) || stays(l.1)).map(|l| l.3).sum();
    (both, either)
}

fn held(pockets: &[Pocket]) -> f64 {
    pockets.iter().map(|p| p.volume_mm3).sum()
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-6 * (1.0 + a.abs().max(b.abs()))
}

fn turned(sketch: &Sketch, turn: &Matrix3<f64>) -> Option<Joined> {
    let straight = sketch.build()?;
    let nodes = straight.nodes().iter().map(|n| turn * n).collect();
    let stretches = straight.stretches().iter().map(|s| {
        let pieces = s.way.as_ref()?.pieces().iter().map(|piece| match *piece {
            Piece::Straight { from, to } => Piece::Straight { from: turn * from, to: turn * to },
            Piece::Arc { start, centre, axis, radius_mm, angle_rad } => Piece::Arc {
                start: turn * start,
                centre: turn * centre,
                axis: turn * axis,
                radius_mm,
                angle_rad,
            },
        });
        let way = Path::new(pieces.collect()).ok()?;
        Some(Stretch { way: Some(way), ..s.clone() })
    });
    Joined::new(nodes, stretches.collect::<Option<Vec<_>>>()?).ok()
}

fn rotation(a: f64, b: f64) -> Matrix3<f64> {
    let (sa, ca, sb, cb) = (libm::sin(a), libm::cos(a), libm::sin(b), libm::cos(b));
    Matrix3::new(ca, -sa, 0.0, sa, ca, 0.0, 0.0, 0.0, 1.0)
        * Matrix3::new(1.0, 0.0, 0.0, 0.0, cb, -sb, 0.0, sb, cb)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn pockets_are_those_of_a_flood_by_brute_force(sketch in sketch(true)) {
        let Some(joined) = sketch.build() else { return Ok(()) };
        let pockets = joined.pockets(&UP, &sketch.out()).unwrap();
        let (least, most) = by_force(&joined, &sketch.outlets);
        let held = held(&pockets);
        // A step beside each crossing may count or not; one way parts may stand on either side.
        let slip = 0.002 * most + 30.0;
        prop_assert!(held >= least - slip && held <= most + slip, "{least} {held} {most}");
    }

    #[test]
    fn a_pocket_lies_between_its_pass_and_its_peak(sketch in sketch(true)) {
        let Some(joined) = sketch.build() else { return Ok(()) };
        for pocket in joined.pockets(&UP, &sketch.out()).unwrap() {
            if let Some(pass) = pocket.pass {
                prop_assert!(pass.height_mm < pocket.peak.height_mm);
                prop_assert!((pass.point.z - pass.height_mm).abs() < 1e-6);
            }
            for part in &pocket.parts {
                let way = joined.stretches()[part.stretch].way.as_ref().unwrap();
                for share in [0.01, 0.3, 0.5, 0.7, 0.99] {
                    let at = part.from_mm + share * (part.to_mm - part.from_mm);
                    let z = way.point_at(at).unwrap().z;
                    prop_assert!(z <= pocket.peak.height_mm + 1e-6);
                    prop_assert!(pocket.pass.is_none_or(|p| z >= p.height_mm - 1e-6));
                }
            }
        }
    }

    #[test]
    fn one_more_outlet_never_holds_more_back(sketch in sketch(true), more in 0..7_usize) {
        let Some(joined) = sketch.build() else { return Ok(()) };
        let before = held(&joined.pockets(&UP, &sketch.out()).unwrap());
        let mut out = sketch.out();
        out.push(Spot::Node(more));
        let after = held(&joined.pockets(&UP, &out).unwrap());
        prop_assert!(after <= before + 1e-6 * (1.0 + before), "{before} {after}");
    }

    #[test]
    fn raising_a_vent_never_creates_a_pocket(sketch in sketch(false), rise in 1.0..300.0_f64) {
        // The vent ends a riser of its own; only the riser becomes longer.
        let with_riser = |height: f64| -> Result<f64, TestCaseError> {
            let mut taller = sketch.clone();
            let foot = taller.places[taller.outlets[0]];
            taller.places.push([foot[0], foot[1], foot[2] + height]);
            taller.legs.push(Leg { ends: [taller.outlets[0], 7], arc: None, area: 1.0, passes: [true; 2] });
            let Some(joined) = taller.build() else { return Ok(0.0) };
            Ok(held(&joined.pockets(&UP, &[Spot::Node(7)]).unwrap()))
        };
        let (low, high) = (with_riser(10.0)?, with_riser(10.0 + rise)?);
        prop_assert!(high <= low + 1e-6 * (1.0 + low), "{low} {high}");
    }

    #[test]
    fn turning_machine_and_up_together_changes_nothing(
        sketch in sketch(true), a in 0.0..6.2_f64, b in 0.0..6.2_f64,
    ) {
        let turn = rotation(a, b);
        let (Some(straight), Some(turned)) = (sketch.build(), turned(&sketch, &turn)) else {
            return Ok(());
        };
        let before = straight.pockets(&UP, &sketch.out()).unwrap();
        let after = turned.pockets(&(turn * UP), &sketch.out()).unwrap();
        prop_assert!(close(held(&before), held(&after)), "{before:?} {after:?}");
        prop_assert!(before.len() == after.len());
        for (x, y) in before.iter().zip(&after) {
            prop_assert!(close(x.rise_mm().unwrap_or(0.0), y.rise_mm().unwrap_or(0.0)));
        }
    }
}
