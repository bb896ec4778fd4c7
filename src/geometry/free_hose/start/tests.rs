//! Beginnings keep the ends, close roughly and are spread: each by itself, since a search mends a bad one.

use std::f64::consts::PI;
use std::rc::Rc;

use nalgebra::Vector3;

use super::super::chain::Chain;
use super::super::clamped::Clamped;
use super::{
    Bulge, any_lean, between, bulges, finer, joints, more_bulges, places, rates, rough_tangent,
    shape, sides,
};
use crate::geometry::tests::direction;

/// A hose with its ends in drawn directions and length to spare.
fn any(index: u32, spare: f64, weight: f64) -> Clamped {
    let chord = direction(index, 0) * (1.0 - spare);
    Clamped::new(direction(index, 2), direction(index, 4), chord, Vector3::z() * weight)
}

#[test]
fn places_rise_from_none_to_one_and_crowd_where_the_ends_bend() {
    for (spare, weight) in [(0.3, 0.0), (0.05, 5.0), (0.1, 900.0), (0.01, 0.0)] {
        for index in 1..50 {
            let clamped = any(index, spare, weight);
            let found = places(&clamped, 20);
            assert_eq!((found.len(), found[0], found[20]), (21, 0.0, 1.0));
            assert!(found.windows(2).all(|pair| pair[0] < pair[1]), "{index}: {found:?}");
            // The same from either end.
            assert!((0..=20).all(|at| (found[at] + found[20 - at] - 1.0).abs() < 1e-9), "{index}");
            let bend = clamped.bend_share();
            if bend > 0.12 {
                assert!((found[1] - 0.05).abs() < 1e-12);
            } else {
                // Half of all places are spread evenly, a quarter lies in the bends of either end.
                let inner = found.iter().filter(|place| **place < 4.0 * bend).count();
                assert!(inner >= 5, "{index}: {inner} within {bend}");
                let crowd = |s: f64| {
                    s + 1.0 - libm::exp(-0.5 * s / bend) + libm::exp(-0.5 * (1.0 - s) / bend)
                        - libm::exp(-0.5 / bend)
                };
                for at in 1..20_u32 {
                    let share = crowd(found[usize::try_from(at).unwrap()]) / crowd(1.0);
                    assert!((share - 0.05 * f64::from(at)).abs() < 1e-9, "{index}: {at}");
                }
            }
        }
    }
}

#[test]
fn a_direction_between_two_turns_evenly_from_one_to_the_other() {
    for index in 1..100 {
        let (one, other) = (direction(index, 0), direction(index, 2));
        let whole = crate::geometry::angle_between(&one, &other);
        for share in [0.0, 0.25, 0.5, 1.0] {
            let found = between(&one, &other, share);
            assert!((found.norm() - 1.0).abs() < 1e-12);
            let [from, to] = [&one, &other].map(|v| crate::geometry::angle_between(v, &found));
            assert!(
                (from - share * whole).abs() < 1e-7 && (to - (1.0 - share) * whole).abs() < 1e-7
            );
        }
    }
}

#[test]
fn a_rough_curve_leaves_and_arrives_right_and_ends_where_it_should() {
    for index in 1..50 {
        let clamped = any(index, 0.4, 0.0);
        let at = |s: f64| rough_tangent(&clamped, s, clamped.bend_share());
        assert!((at(0.0) - clamped.leaves).norm() < 1e-12);
        assert!((at(1.0) - clamped.arrives).norm() < 1e-12);
        // Simpson's rule is exact for its parabola.
        let end = (at(0.0) + at(0.5) * 4.0 + at(1.0)) / 6.0;
        assert!((end - clamped.chord).norm() < 1e-12, "{index}");
        // Taut, it runs along the chord but for the ends.
        let taut = any(index, 0.003, 0.0);
        let bend = taut.bend_share();
        let middle = rough_tangent(&taut, 0.5, bend).normalize();
        assert!(
            (middle - taut.chord.normalize()).norm() < 1e-9 + 7.0 * libm::exp(-0.5 / bend),
            "{index}"
        );
        assert!(
            (rough_tangent(&taut, 0.0, bend) - taut.leaves).norm()
                < 1e-9 + 4.0 * libm::exp(-1.0 / bend)
        );
        assert!(
            (rough_tangent(&taut, 1.0, bend) - taut.arrives).norm()
                < 1e-9 + 4.0 * libm::exp(-1.0 / bend)
        );
    }
}

#[test]
fn a_shape_keeps_its_ends_bulges_as_told_and_leans_out_of_its_plane() {
    for index in 1..50 {
        let clamped = any(index, 0.4, 0.0);
        let places: Rc<[f64]> = (0..=16).map(|node| f64::from(node) / 16.0).collect();
        let aside = direction(index, 1) * 0.5;
        let plain = Bulge { aside: Vector3::zeros(), waves: 2.0 };
        let [flat, wave, lean] = [(plain, 0.0), (Bulge { aside, waves: 2.0 }, 0.0), (plain, 0.1)]
            .map(|(bulge, lean)| shape(&clamped, &places, &bulge, lean));
        for chain in [&flat, &wave, &lean] {
            assert_eq!((chain.tangents[0], chain.tangents[16]), (clamped.leaves, clamped.arrives));
            assert!(chain.tangents.iter().all(|tangent| (tangent.norm() - 1.0).abs() < 1e-12));
        }
        for (node, s) in places.iter().enumerate().take(16).skip(1) {
            let rough = rough_tangent(&clamped, *s, clamped.bend_share());
            let expected = |off: Vector3<f64>| (rough + off).normalize();
            let swung = expected(aside * libm::sin(2.0 * PI * s));
            assert!((wave.tangents[node] - swung).norm() < 1e-12, "{index}: {node}");
            let leant = expected(any_lean(&clamped) * (0.1 * libm::sin(PI * s)));
            assert!((lean.tangents[node] - leant).norm() < 1e-12, "{index}: {node}");
        }
    }
    // In a plane, the lean is square to it.
    let flat =
        Clamped::new(Vector3::x(), Vector3::y(), Vector3::new(0.4, 0.4, 0.0), Vector3::zeros());
    assert!((any_lean(&flat).z.abs() - 1.0).abs() < 1e-12);
}

#[test]
fn bulges_begin_where_the_hose_would_bulge_and_leave_out_mirror_images() {
    for index in 1..50 {
        let clamped = any(index, 0.2, 0.0);
        let found = bulges(&clamped, 0.0);
        // Four quarters and none, of which no two are alike.
        assert_eq!(found.len(), 5, "{index}");
        let square = sides(&clamped);
        assert!((square.first.dot(&square.second)).abs() < 1e-12);
        assert!(square.first.dot(&clamped.bulge()) > 0.0);
        assert!(square.first.dot(&clamped.line()).abs() < 1e-9);
        for bulge in found.iter().filter(|bulge| bulge.aside.norm() > 0.0) {
            assert!((bulge.aside.norm() - 2.0 * 0.2_f64.sqrt()).abs() < 1e-9);
        }
        let sum: Vector3<f64> = found.iter().map(|bulge| bulge.aside).sum();
        assert!(sum.norm() < 1e-9 && found[0].aside.dot(&square.first) > 0.8, "{index}");
        let turned = bulges(&clamped, 0.3);
        assert!(
            (turned[0].aside.normalize().dot(&found[0].aside.normalize()) - libm::cos(0.3)).abs()
                < 1e-9
        );
        assert_eq!(more_bulges(&clamped).len(), 5 + 4 * 8 * 3);
    }
    let plane =
        Clamped::new(Vector3::x(), Vector3::y(), Vector3::new(0.6, 0.5, 0.0), Vector3::zeros());
    assert_eq!(bulges(&plane, 0.0).len(), 4);
    let one_line = Clamped::new(Vector3::x(), Vector3::x(), Vector3::x() * 0.7, Vector3::zeros());
    assert_eq!(bulges(&one_line, 0.0).len(), 1);
}

/// Tangents along a circle, at uneven places.
fn circle(turn: f64, nodes: u32) -> Chain {
    let places: Vec<f64> = (0..=nodes)
        .map(|node| f64::from(node) / f64::from(nodes))
        .map(|s| s + 0.1 * libm::sin(2.0 * PI * s) / PI)
        .collect();
    let tangents =
        places.iter().map(|s| Vector3::new(libm::cos(turn * s), libm::sin(turn * s), 0.0));
    Chain {
        tangents: tangents.collect(),
        places: places.into(),
        force: Vector3::new(0.0, 3.0, 1.0),
    }
}

#[test]
fn rates_of_an_even_bend_are_even_and_square_to_the_tangents() {
    let chain = circle(1.2, 24);
    for (rate, tangent) in rates(&chain).iter().zip(&chain.tangents) {
        assert!(rate.dot(tangent).abs() < 1e-12);
        assert!((rate - Vector3::z().cross(tangent) * 1.2).norm() < 3e-3, "{rate}");
    }
}

#[test]
fn joints_stand_where_the_bending_is_shared_evenly() {
    let clamped =
        Clamped::new(Vector3::x(), direction(3, 0), Vector3::new(0.5, 0.3, 0.1), Vector3::zeros());
    let chain = Chain { force: Vector3::zeros(), ..circle(6.0, 48) };
    let found = joints(&clamped, &chain, 0.5).unwrap();
    // An even bend of six radians in reaches of half a radian: twelve stretches alike, or one more for rounding.
    let last = found.places.len() - 1;
    assert!((12..=13).contains(&last), "{last}");
    for (at, place) in found.places.iter().enumerate() {
        let even = f64::from(u32::try_from(at).unwrap()) / f64::from(u32::try_from(last).unwrap());
        assert!((place - even).abs() < 4e-3, "{at}: {place} {even}");
        assert!(found.rates[at].dot(&found.tangents[at]).abs() < 1e-9 || at == last);
        assert!((found.tangents[at].norm() - 1.0).abs() < 1e-12);
    }
    for at in 1..last {
        let s = found.places[at];
        let tangent = Vector3::new(libm::cos(6.0 * s), libm::sin(6.0 * s), 0.0);
        assert!((found.tangents[at] - tangent).norm() < 4e-3, "{at}");
        assert!((found.rates[at].norm() - 6.0).abs() < 0.05, "{at}");
    }
    // A pull asks for more: the root of 400 is 20 a length, 40 stretches.
    let pulled = Chain { force: Vector3::new(0.0, 0.0, 400.0), ..circle(6.0, 48) };
    assert!((40..=41).contains(&(joints(&clamped, &pulled, 0.5).unwrap().places.len() - 1)));
    assert!(joints(&clamped, &pulled, 1e-3).is_none());
    // Hardly bent, it takes four.
    let slight = Chain { force: Vector3::zeros(), ..circle(0.1, 48) };
    assert_eq!(joints(&clamped, &slight, 0.8).unwrap().places.len(), 5);
}

#[test]
fn a_finer_chain_has_a_node_between_every_two() {
    let (chain, fine) = (circle(1.2, 10), finer(&circle(1.2, 10)));
    assert_eq!((fine.places.len(), fine.force), (21, chain.force));
    for at in 0..=20 {
        let s = if at % 2 == 0 {
            chain.places[at / 2]
        } else {
            0.5 * (chain.places[at / 2] + chain.places[at / 2 + 1])
        };
        let tangent = Vector3::new(libm::cos(1.2 * s), libm::sin(1.2 * s), 0.0);
        assert!(
            (fine.places[at] - s).abs() < 1e-15 && (fine.tangents[at] - tangent).norm() < 1e-12
        );
    }
}
