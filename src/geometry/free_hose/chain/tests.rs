//! Chains round a corner whose beginnings all lead to the same rest.

use nalgebra::Vector3;

use super::super::clamped::Clamped;
use super::super::start::{Bulge, OUT_OF_PLANE, places, shape};
use super::{Chain, MOST_STEPS, Rested, rest};

fn clamped() -> Clamped {
    let chord = Vector3::new(0.6, 0.55, 0.1);
    Clamped::new(Vector3::x(), Vector3::y(), chord, Vector3::zeros())
}

/// Ten pieces with two half waves across the chord, and a little out of their plane.
fn begun(aside: f64) -> Chain {
    let clamped = clamped();
    let bulge = Bulge { aside: Vector3::y() * aside, waves: 2.0 };
    shape(&clamped, &places(&clamped, 10), &bulge, OUT_OF_PLANE)
}

fn rested(aside: f64, found: &[Rested]) -> Option<Rested> {
    rest(begun(aside), &clamped(), MOST_STEPS, found)
}

#[test]
fn a_chain_at_rest_closes_and_a_turn_of_it_costs_energy() {
    let rested = rested(0.2, &[]).unwrap();
    let chain = &rested.chain;
    let held = chain.held(&clamped());
    assert!(held.open.norm() < 1e-4 && (held.energy - rested.energy).abs() < 1e-12);
    // Two neighbours turned against each other leave the chain closed to first order.
    for node in 2..8 {
        let mut turned = chain.clone();
        for (at, by) in [(node, 0.02), (node + 1, -0.02)] {
            let tangent = turned.tangents[at];
            turned.tangents[at] = (tangent + Vector3::z() * by).normalize();
        }
        let cost = turned.held(&clamped());
        assert!(cost.energy > held.energy && cost.open.norm() < 1e-2);
    }
}

#[test]
fn a_chain_on_its_way_to_one_that_was_found_is_given_up() {
    let found = [rested(0.2, &[]).unwrap()];
    let mut given_up = Vec::new();
    for tenths in -12..=12 {
        let aside = 0.1 * f64::from(tenths);
        let alone = rested(aside, &[]).unwrap();
        if let Some(rested) = rested(aside, &found) {
            assert_eq!(rested.chain.tangents, alone.chain.tangents);
        } else {
            assert!((alone.energy - found[0].energy).abs() < 1e-5 * alone.energy, "{aside}");
            given_up.push(aside);
        }
    }
    assert!(!given_up.is_empty());
    let (aside, again) = (given_up[0], rested(0.2, &[]).unwrap());
    // A chain far from all of its shape is brought to rest.
    let mut far = found;
    for tangent in &mut far[0].chain.tangents {
        *tangent = -*tangent;
    }
    assert!(rested(aside, &far).is_some());
    // All tangents must be close, not one.
    far[0].chain.tangents = again.chain.tangents.clone();
    far[0].chain.tangents[5] = Vector3::z();
    assert!(rested(aside, &far).is_some());
}
