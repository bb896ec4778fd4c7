//! Changes against the same stretch begun a little otherwise.

use nalgebra::Vector3;

use super::super::series::tests::joints;
use super::super::series::{Series, State};
use super::super::shooting::Joints;
use super::{Change, FINE, FORCE, Lanes, NONE, ROUGH, Reckoning};
use crate::geometry::free_hose::clamped::{Clamped, Square};

const STEP: f64 = 1e-6;

/// Joints with the beginning of a stretch changed along one direction: turned, bent otherwise, or pulled.
fn moved(joints: &Joints, (at, lane): (usize, usize), by: f64) -> Joints {
    let mut moved = joints.clone();
    let (tangent, rate) = (joints.tangents[at], joints.rates[at]);
    let square = Square::to(&tangent);
    let sides = [square.first, square.second];
    match lane {
        0 | 1 => {
            let turned = (tangent + sides[lane] * by).normalize();
            moved.tangents[at] = turned;
            moved.rates[at] = rate - turned * rate.dot(&turned);
        }
        2 | 3 => moved.rates[at] = rate + sides[lane - 2] * by,
        _ => moved.force[lane - FORCE] += by,
    }
    moved
}

/// The changes at the beginning that [`moved`] makes.
fn begun(joints: &Joints, at: usize) -> (Lanes, Lanes) {
    let (mut turn, mut bend) = (NONE, NONE);
    let (tangent, rate) = (joints.tangents[at], joints.rates[at]);
    let square = Square::to(&tangent);
    for (lane, side) in [square.first, square.second].into_iter().enumerate() {
        for axis in 0..3 {
            turn[axis][lane] = side[axis];
            bend[axis][lane] = -tangent[axis] * rate.dot(&side);
            bend[axis][lane + 2] = side[axis];
        }
    }
    (turn, bend)
}

fn changes(clamped: &Clamped, joints: &Joints, at: usize, order: usize) -> Change {
    let (tangent, rate) = begun(joints, at);
    let series = Series::all(clamped, joints)[at];
    let pull = clamped.pull(joints.places[at], &joints.force);
    let weight = clamped.weight;
    Reckoning { series: &series, pull, weight, tangent, rate, order }.change()
}

/// How far the changes are from differences of the end, at most.
fn off(clamped: &Clamped, joints: &Joints, at: usize, order: usize) -> f64 {
    let change = changes(clamped, joints, at, order);
    let end = |lane: usize, by: f64| -> State {
        Series::all(clamped, &moved(joints, (at, lane), by))[at].at(1.0)
    };
    let lane_of = |lanes: &Lanes, lane: usize| Vector3::from_fn(|axis, _| lanes[axis][lane]);
    let mut most: f64 = 0.0;
    for lane in 0..7 {
        let (more, less) = (end(lane, STEP), end(lane, -STEP));
        let slope = |more: Vector3<f64>, less: Vector3<f64>| (more - less) / (2.0 * STEP);
        let gaps = [
            slope(more.tangent, less.tangent) - lane_of(&change.tangent, lane),
            slope(more.rate, less.rate) - lane_of(&change.rate, lane),
            slope(more.way, less.way) - lane_of(&change.way, lane),
        ];
        most = gaps.iter().map(Vector3::norm).fold(most, f64::max);
    }
    most
}

#[test]
fn an_end_moves_as_its_changes_say() {
    for index in 0..12 {
        let (clamped, joints) = joints(index, 24);
        for at in [0, 7, 23] {
            let [rough, fine] = [ROUGH, FINE].map(|order| off(&clamped, &joints, at, order));
            assert!(fine < 1e-7, "{index} {at}: {fine}");
            assert!(rough < 1e-3 && rough >= 0.1 * fine, "{index} {at}: {rough} {fine}");
        }
    }
}

#[test]
fn the_spare_lane_stays_empty() {
    let (clamped, joints) = joints(3, 24);
    let change = changes(&clamped, &joints, 2, FINE);
    let lanes = [change.tangent, change.rate, change.way];
    assert!(lanes.iter().flatten().all(|lane| lane[7] == 0.0));
}
