//! The six words of the plane, written a second time and each carried forward to see whether it arrives.

use super::Drawn;
use hosewright::geometry::{Pose, shortest};
use nalgebra::{Point3, Vector3};
use std::f64::consts::{PI, TAU};

/// A turn to the left, to the right, or none.
type Word = [f64; 3];

const LEFT: f64 = 1.0;
const RIGHT: f64 = -1.0;
const STRAIGHT: f64 = 0.0;
const WORDS: [Word; 6] = [
    [LEFT, STRAIGHT, LEFT],
    [RIGHT, STRAIGHT, RIGHT],
    [LEFT, STRAIGHT, RIGHT],
    [RIGHT, STRAIGHT, LEFT],
    [RIGHT, LEFT, RIGHT],
    [LEFT, RIGHT, LEFT],
];

fn turn(angle: f64) -> f64 {
    let rest = angle.rem_euclid(TAU);
    if TAU - rest < 1e-9 { 0.0 } else { rest }
}

/// Where the pieces lead from the origin, facing along x.
fn carried(word: Word, runs: [f64; 3]) -> (f64, f64, f64) {
    let (mut x, mut y, mut heading) = (0.0, 0.0, 0.0);
    for (side, run) in word.into_iter().zip(runs) {
        if side == STRAIGHT {
            x += run * libm::cos(heading);
            y += run * libm::sin(heading);
        } else {
            let next = heading + side * run;
            x += side * (libm::sin(next) - libm::sin(heading));
            y -= side * (libm::cos(next) - libm::cos(heading));
            heading = next;
        }
    }
    (x, y, heading)
}

/// Runs of a word to (x, y, heading), by Dubins's formulas with the chord as the axis.
#[expect(clippy::many_single_char_names, reason = "the letters of the formulas as they are known")]
fn runs(word: Word, x: f64, y: f64, heading: f64) -> Vec<[f64; 3]> {
    let chord = (x * x + y * y).sqrt();
    let along = libm::atan2(y, x);
    let (a, b) = (turn(-along), turn(heading - along));
    let (sa, ca, sb, cb) = (libm::sin(a), libm::cos(a), libm::sin(b), libm::cos(b));
    let both = 2.0 * libm::cos(a - b);
    let square = chord * chord;
    let tan = libm::atan2;
    let straight = |p: f64, t: f64, first: f64, last: f64| {
        if p < 0.0 { vec![] } else { vec![[turn(first * (t - a)), p.sqrt(), turn(last * (b - t))]] }
    };
    match word {
        [LEFT, STRAIGHT, LEFT] => {
            let p = 2.0 + square - both + 2.0 * chord * (sa - sb);
            straight(p, tan(cb - ca, chord + sa - sb), 1.0, 1.0)
        }
        [RIGHT, STRAIGHT, RIGHT] => {
            let p = 2.0 + square - both + 2.0 * chord * (sb - sa);
            straight(p, tan(ca - cb, chord - sa + sb), -1.0, -1.0)
        }
        [LEFT, STRAIGHT, RIGHT] => {
            let p = square - 2.0 + both + 2.0 * chord * (sa + sb);
            let t = tan(-ca - cb, chord + sa + sb) - tan(-2.0, p.max(0.0).sqrt());
            straight(p, t, 1.0, -1.0)
        }
        [RIGHT, STRAIGHT, LEFT] => {
            let p = square - 2.0 + both - 2.0 * chord * (sa + sb);
            let t = tan(ca + cb, chord - sa - sb) - tan(2.0, p.max(0.0).sqrt());
            straight(p, t, -1.0, 1.0)
        }
        _ => {
            let side = word[0];
            let cos = (6.0 - square + both - 2.0 * side * chord * (sa - sb)) / 8.0;
            if cos.abs() > 1.0 {
                return vec![];
            }
            let axis = tan(-side * (ca - cb), chord + side * (sa - sb));
            let middles = [TAU - libm::acos(cos), libm::acos(cos)];
            middles
                .into_iter()
                .map(|p| {
                    let first = turn(side * (axis - a) + 0.5 * p);
                    [first, p, turn(side * (b - a) - first + p)]
                })
                .collect()
        }
    }
}

/// The shortest word that arrives: its length, and whether both arcs beside a straight are half a turn at most.
fn planar(x: f64, y: f64, heading: f64) -> (f64, bool) {
    let arrives = |word: Word, runs: [f64; 3]| {
        let reached = carried(word, runs);
        (reached.0 - x).abs().max((reached.1 - y).abs()) < 1e-8
            && libm::cos(reached.2 - heading) > 1.0 - 1e-14
    };
    let all = WORDS
        .iter()
        .flat_map(|word| runs(*word, x, y, heading).into_iter().map(move |r| (*word, r)));
    all.filter(|(word, runs)| arrives(*word, *runs))
        .map(|(word, r)| (r.iter().sum(), word[1] == STRAIGHT && r[0] <= PI && r[2] <= PI))
        .min_by(|a: &(f64, bool), b| a.0.total_cmp(&b.0))
        .unwrap()
}

fn flat(x: f64, y: f64, heading: f64) -> Pose {
    let direction = Vector3::new(libm::cos(heading), libm::sin(heading), 0.0);
    Pose { at: Point3::new(x, y, 0.0), direction }
}

#[test]
fn in_a_plane_the_six_words_are_met_or_beaten_by_leaving_the_plane() {
    let mut drawn = Drawn(4);
    let (mut met, mut beaten, mut three_arcs) = (0, 0, 0);
    for turn in 0..3000 {
        let reach = [2.0, 4.0, 8.0][turn % 3];
        let (x, y) = (drawn.between(-reach, reach), drawn.between(-reach, reach));
        let heading = drawn.between(-PI, PI);
        let (known, gentle) = planar(x, y, heading);
        let found = shortest(&flat(0.0, 0.0, 0.0), &flat(x, y, heading), 1.0).unwrap();
        let over = found.length_mm / known - 1.0;
        assert!(over < 1e-9, "{x} {y} {heading}: {} against {known}", found.length_mm);
        assert!(!gentle || over > -1e-9, "{x} {y} {heading}: {} below {known}", found.length_mm);
        met += u32::from(over > -1e-9);
        beaten += u32::from(over < -1e-6);
        let middle = found.path.pieces().len() == 3 && found.path.pieces()[1].length_mm() > PI;
        three_arcs += u32::from(middle);
    }
    assert!(met > 2000 && beaten > 0 && three_arcs > 50, "{met} {beaten} {three_arcs}");
}
