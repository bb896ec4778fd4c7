//! Pockets and crests of small networks that can be worked out by hand, and volumes of arcs.
#![expect(clippy::unwrap_used, reason = "the networks are written out here")]

use core::f64::consts::PI;

use hosewright::geometry::joined::{Joined, Pocket, Spot, Stretch};
use hosewright::geometry::{GeometryError, Path, Piece};
use nalgebra::{Point3, Vector3};

const UP: Vector3<f64> = Vector3::new(0.0, 0.0, 1.0);

fn straight(places: &[[f64; 3]], from: usize, to: usize) -> Stretch {
    let piece = Piece::Straight { from: places[from].into(), to: places[to].into() };
    let way = Path::new(vec![piece]).ok();
    Stretch { ends: [from, to], way, area_mm2: Some(50.0), passes: [true, true] }
}

fn network(places: &[[f64; 3]], legs: &[(usize, usize)]) -> Joined {
    let stretches = legs.iter().map(|(from, to)| straight(places, *from, *to)).collect();
    Joined::new(places.iter().map(|p| Point3::from(*p)).collect(), stretches).unwrap()
}

fn one(pockets: &[Pocket]) -> &Pocket {
    assert_eq!(pockets.len(), 1, "{pockets:?}");
    &pockets[0]
}

/// Two tanks on the ground, a crest between them, and a dip between two humps of it.
const HUMPS: [[f64; 3]; 5] = [
    [0.0, 0.0, 0.0],
    [100.0, 0.0, 300.0],
    [200.0, 0.0, 200.0],
    [300.0, 0.0, 400.0],
    [400.0, 0.0, 100.0],
];
const ROW: [(usize, usize); 4] = [(0, 1), (1, 2), (2, 3), (3, 4)];

#[test]
fn two_humps_are_one_hill_down_to_the_higher_tank_and_a_bleed_on_one_leaves_the_other() {
    let row = network(&HUMPS, &ROW);
    let all = row.pockets(&UP, &[Spot::Node(0), Spot::Node(4)]).unwrap();
    let hill = one(&all);
    assert_eq!(hill.peak.spot, Spot::Node(3));
    assert_eq!(hill.pass.map(|p| p.spot), Some(Spot::Node(4)));
    assert_eq!(hill.rise_mm(), Some(300.0));
    let bled = row.pockets(&UP, &[Spot::Node(0), Spot::Node(4), Spot::Node(3)]).unwrap();
    let rest = one(&bled);
    assert_eq!(rest.peak.spot, Spot::Node(1));
    assert_eq!(rest.pass.map(|p| p.spot), Some(Spot::Node(2)));
    assert_eq!(rest.rise_mm(), Some(100.0));
    // A third of the first leg, which is 316 mm long, and all 141 mm of the second.
    let expected = 50.0 * (100_000.0_f64.sqrt() / 3.0 + 20_000.0_f64.sqrt());
    assert!((rest.volume_mm3 - expected).abs() < 1e-9, "{}", rest.volume_mm3);
}

#[test]
fn upside_down_the_dip_holds_liquid_down_to_nothing_lower() {
    let row = network(&HUMPS, &ROW);
    let all = row.pockets(&-UP, &[Spot::Node(0), Spot::Node(4)]).unwrap();
    let dip = one(&all);
    assert_eq!(dip.peak.spot, Spot::Node(2));
    assert_eq!(dip.pass.map(|p| p.point.z), Some(300.0));
    assert_eq!(dip.rise_mm(), Some(100.0));
}

#[test]
fn without_an_outlet_everything_is_one_pocket_without_a_pass() {
    let row = network(&HUMPS, &ROW);
    let all = row.pockets(&UP, &[]).unwrap();
    let hill = one(&all);
    assert_eq!((hill.pass, hill.nodes.len(), hill.parts.len()), (None, 5, 4));
}

#[test]
fn an_outlet_in_the_middle_of_a_stretch_bleeds_down_to_its_own_height() {
    let row = network(&HUMPS, &ROW);
    let station_mm = 0.5 * 50_000.0_f64.sqrt();
    let bleed = Spot::Along { stretch: 2, station_mm };
    let all = row.pockets(&UP, &[bleed]).unwrap();
    let at_top = all.iter().find(|p| p.peak.spot == Spot::Node(3)).unwrap();
    assert!((at_top.rise_mm().unwrap() - 100.0).abs() < 1e-9);
    assert_eq!(at_top.pass.map(|p| p.spot), Some(bleed));
}

#[test]
fn gas_goes_through_a_one_way_stretch_its_way_only() {
    let legs: Vec<Stretch> = ROW
        .iter()
        .map(|(from, to)| {
            let one_way = [true, (*from, *to) != (2, 3)];
            Stretch { passes: one_way, ..straight(&HUMPS, *from, *to) }
        })
        .collect();
    let nodes: Vec<Point3<f64>> = HUMPS.iter().map(|p| Point3::from(*p)).collect();
    let row = Joined::new(nodes, legs).unwrap();
    // To the far tank it passes; back from the high hump it does not.
    let far = row.pockets(&UP, &[Spot::Node(4)]).unwrap();
    assert_eq!(one(&far).rise_mm(), Some(300.0));
    let near = row.pockets(&UP, &[Spot::Node(0)]).unwrap();
    let shut = near.iter().find(|p| p.pass.is_none()).unwrap();
    assert_eq!(shut.nodes, [3, 4]);
    assert_eq!(row.crest(&UP, 0, &[Spot::Node(4)]).unwrap().map(|c| c.height_mm), Some(400.0));
    assert_eq!(row.crest(&UP, 4, &[Spot::Node(0)]).unwrap(), None);
}

#[test]
fn liquid_takes_the_way_with_the_lowest_crest() {
    let mut places = HUMPS.to_vec();
    places.push([200.0, 300.0, 250.0]);
    let mut legs = ROW.to_vec();
    legs.extend([(0, 5), (5, 4)]);
    let ring = network(&places, &legs);
    let crest = ring.crest(&UP, 0, &[Spot::Node(4)]).unwrap().unwrap();
    assert_eq!((crest.spot, crest.height_mm), (Spot::Node(5), 250.0));
}

#[test]
fn a_level_top_peaks_in_its_middle_and_unknown_bores_are_named() {
    let places = [[0.0, 0.0, 0.0], [0.0, 0.0, 80.0], [200.0, 0.0, 80.0], [200.0, 0.0, 0.0]];
    let mut legs: Vec<Stretch> =
        [(0, 1), (1, 2), (2, 3)].map(|(a, b)| straight(&places, a, b)).into();
    legs[1].area_mm2 = None;
    let frame = Joined::new(places.iter().map(|p| Point3::from(*p)).collect(), legs).unwrap();
    let all = frame.pockets(&UP, &[Spot::Node(0)]).unwrap();
    let top = one(&all);
    assert_eq!(top.peak.spot, Spot::Along { stretch: 1, station_mm: 100.0 });
    assert_eq!(top.unmeasured, [1]);
    assert!((top.volume_mm3 - 50.0 * 160.0).abs() < 1e-9);
}

#[test]
fn of_two_level_runs_at_the_top_the_longer_is_the_peak_wherever_it_begins() {
    // Up 500, level for 60; then level for 300 to the other side of a dip, and down.
    let at = |x: f64, z: f64| Point3::new(x, 0.0, z);
    let way = |corners: &[Point3<f64>]| {
        let legs = corners.windows(2).map(|w| Piece::Straight { from: w[0], to: w[1] });
        Path::new(legs.collect()).ok()
    };
    let ways = [
        vec![at(0.0, 0.0), at(0.0, 500.0), at(60.0, 500.0)],
        vec![at(60.0, 500.0), at(80.0, 480.0), at(100.0, 500.0)],
        vec![at(100.0, 500.0), at(400.0, 500.0), at(400.0, 0.0)],
    ];
    let nodes = vec![ways[0][0], ways[0][2], ways[1][2], ways[2][2]];
    let stretches = (0..3).map(|leg| Stretch {
        ends: [leg, leg + 1],
        way: way(&ways[leg]),
        area_mm2: Some(50.0),
        passes: [true, true],
    });
    let row = Joined::new(nodes, stretches.collect()).unwrap();
    let pockets = row.pockets(&UP, &[Spot::Node(0), Spot::Node(3)]).unwrap();
    let peak = one(&pockets).peak;
    assert!((peak.point - at(250.0, 500.0)).norm() < 1e-9, "{peak:?}");
}

#[test]
fn places_that_are_not_there_and_numbers_that_are_none_are_refused() {
    let row = network(&HUMPS, &ROW);
    let missing = row.pockets(&UP, &[Spot::Node(9)]).unwrap_err();
    assert_eq!(missing.to_string(), "there is no node 9");
    let along = |station_mm| Spot::Along { stretch: 1, station_mm };
    assert!(matches!(row.pockets(&UP, &[along(500.0)]), Err(GeometryError::OffThePath { .. })));
    assert!(matches!(row.crest(&UP, 9, &[]), Err(GeometryError::NoSuchPlace { .. })));
    assert!(matches!(row.pockets(&(2.0 * UP), &[]), Err(GeometryError::NotUnit { .. })));
    let nodes = vec![Point3::new(f64::NAN, 0.0, 0.0)];
    assert!(matches!(Joined::new(nodes, Vec::new()), Err(GeometryError::NotFinite { .. })));
    let flat = Stretch { area_mm2: Some(0.0), ..straight(&HUMPS, 0, 1) };
    let nodes = HUMPS.iter().map(|p| Point3::from(*p)).collect();
    assert!(matches!(Joined::new(nodes, vec![flat]), Err(GeometryError::NotAboveZero { .. })));
}

/// Length of a path that stands over a height, by halving at every crossing of a fine sample.
fn length_over(path: &Path, up: &Vector3<f64>, height_mm: f64) -> f64 {
    let length_mm = path.length_mm();
    let steps = 20_000_u32;
    let station = |i: u32| length_mm * f64::from(i) / f64::from(steps);
    let over = |at: f64| path.point_at(at).unwrap().coords.dot(up) > height_mm;
    let mut sum = 0.0;
    for i in 0..steps {
        let (a, b) = (station(i), station(i + 1));
        if over(a) == over(b) {
            sum += if over(a) { b - a } else { 0.0 };
            continue;
        }
        let (mut low, mut high) = (a, b);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if over(middle) == over(a) { low = middle } else { high = middle }
        }
        sum += if over(a) { low - a } else { b - low };
    }
    sum
}

#[test]
fn the_volume_in_arcs_is_that_of_numerical_integration() {
    // A hoop on two legs, seen in attitudes that tilt it sideways as well; the lower foot is the outlet.
    let hoop = Piece::Arc {
        start: Point3::new(-60.0, 0.0, 90.0),
        centre: Point3::new(0.0, 0.0, 90.0),
        axis: Vector3::y(),
        radius_mm: 60.0,
        angle_rad: PI,
    };
    let top = hoop.end();
    let legs = [
        Piece::Straight { from: Point3::new(-60.0, 0.0, 0.0), to: hoop.start() },
        hoop,
        Piece::Straight { from: top, to: Point3::new(60.0, 0.0, 30.0) },
    ];
    let path = Path::new(legs.to_vec()).unwrap();
    let nodes = vec![legs[0].start(), legs[2].end()];
    let stretch =
        Stretch { ends: [0, 1], way: Some(path.clone()), area_mm2: Some(7.0), passes: [true; 2] };
    let joined = Joined::new(nodes, vec![stretch]).unwrap();
    for (nose, roll) in [(0.0, 0.0), (0.3, 0.0), (-0.5, 0.2), (0.9, -0.4), (-0.9, 0.7)] {
        let up = Vector3::new(
            libm::sin(nose),
            libm::cos(nose) * libm::sin(roll),
            libm::cos(nose) * libm::cos(roll),
        );
        // Bled half way up one leg: the hill reaches down to there.
        let bleed = Spot::Along { stretch: 0, station_mm: 70.0 };
        let all = joined.pockets(&up, &[bleed]).unwrap();
        let pocket = all.iter().max_by(|a, b| a.volume_mm3.total_cmp(&b.volume_mm3)).unwrap();
        let level = pocket.pass.unwrap().height_mm;
        let part = pocket.parts[0];
        let whole = length_over(&path, &up, level);
        let expected: f64 = 7.0 * whole;
        // Where the far leg also rises over the bleed it belongs to the same hill.
        let held: f64 = all.iter().map(|p| p.volume_mm3).sum();
        assert!(part.to_mm > part.from_mm);
        assert!((held - expected).abs() < 1e-6 * expected, "{nose} {roll}: {held}, {expected}");
    }
}
