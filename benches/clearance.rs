//! Time of all clearances of a large machine, beside every piece against every piece, in one run.

mod row;

use hosewright::geometry::{Near, Swept, clearances};
use nalgebra::{Point3, Vector3};
use std::hint::black_box;
use std::io::Write as _;
use std::time::Instant;

const LINES: usize = 3_000;
const LEGS: usize = 50;
const WITHIN_MM: f64 = 25.0;
/// Every how many lines one is held against all lines behind it; the time is multiplied by the share of pairs.
const EVERY: usize = 150;
/// How much faster the tree has to be.
const LEAST_RATIO: f64 = 50.0;

fn main() {
    let lines = machine();
    let mut found = Vec::new();
    let times = (0..3).map(|_| {
        let start = Instant::now();
        found = black_box(all(&lines));
        start.elapsed().as_secs_f64()
    });
    let tree_s = times.fold(f64::INFINITY, f64::min);
    let (pairs, slow_s, slow) = every_pair(&lines);
    let all_pairs = LINES * (LINES - 1) / 2;
    let whole_s = slow_s * real(all_pairs) / real(pairs);
    let ratio = whole_s / tree_s;
    print_line(&format!(
        "{LINES} lines of {LEGS} straights, within {WITHIN_MM} mm: {} pairs near",
        found.len()
    ));
    print_line(&format!(
        "tree, on all cores: {:.1} ms, {:.1} us a line",
        tree_s * 1e3,
        tree_s * 1e6 / real(LINES)
    ));
    print_line(&format!(
        "every piece against every piece, on one core: {slow_s:.2} s for {pairs} of {all_pairs} pairs of lines, so {whole_s:.1} s for all"
    ));
    let what = format!("all clearances of {LINES} lines of {LEGS} pieces");
    row::row(&what, tree_s, "every piece against every piece", whole_s);
    let same = agree(&found, &slow);
    if !same || ratio < LEAST_RATIO {
        print_line(&format!(
            "wanted: the same answers ({same}) and a ratio of at least {LEAST_RATIO}"
        ));
        std::process::abort();
    }
}

fn all(lines: &[Swept]) -> Vec<Near> {
    clearances(lines, &[], WITHIN_MM).unwrap_or_else(|error| {
        print_line(&error.to_string());
        std::process::abort()
    })
}

/// Lines that wander through a room of 6 m by 2 m by 1.5 m, the same in every run.
fn machine() -> Vec<Swept> {
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    let mut share = move || {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(state >> 32).unwrap_or(0)) / f64::from(u32::MAX)
    };
    let mut line = || {
        let mut at = Point3::new(6e3 * share(), 2e3 * share(), 1.5e3 * share());
        let mut way = Vector3::new(1.0, 0.0, 0.0);
        let mut points = vec![at];
        for _ in 0..LEGS {
            let turn = Vector3::new(share() - 0.5, share() - 0.5, share() - 0.5);
            way = (way + turn).normalize();
            at += way * 20.0;
            points.push(at);
        }
        Swept::through(&points, 4.0 + 6.0 * share())
    };
    (0..LINES).map(|_| line()).collect()
}

/// Legs of a line as middle, direction and half length, with its radius.
type Legs = (Vec<(Point3<f64>, Vector3<f64>, f64)>, f64);

fn legs(line: &Swept) -> Legs {
    let leg = |piece: &hosewright::geometry::Piece| {
        let half = 0.5 * piece.length_mm();
        (piece.point_at(half), piece.tangent_at(0.0), half)
    };
    (line.pieces.iter().map(leg).collect(), line.radius_mm)
}

/// Number of pairs of lines looked at, the time, and what was near, without any box or tree.
fn every_pair(lines: &[Swept]) -> (usize, f64, Vec<(usize, usize, f64)>) {
    let legs: Vec<Legs> = lines.iter().map(legs).collect();
    let start = Instant::now();
    let (mut pairs, mut near) = (0, Vec::new());
    for a in (0..LINES).step_by(EVERY) {
        for b in a + 1..LINES {
            let mut least = f64::INFINITY;
            for x in &legs[a].0 {
                for y in &legs[b].0 {
                    least = least.min(apart_squared(x, y));
                }
            }
            pairs += 1;
            let distance = least.sqrt() - legs[a].1 - legs[b].1;
            if distance <= WITHIN_MM {
                near.push((a, b, distance));
            }
        }
    }
    (pairs, start.elapsed().as_secs_f64(), black_box(near))
}

/// Square of the distance of two straights: as short as it can be written.
fn apart_squared(
    (mid_a, way_a, half_a): &(Point3<f64>, Vector3<f64>, f64),
    (mid_b, way_b, half_b): &(Point3<f64>, Vector3<f64>, f64),
) -> f64 {
    let between = mid_a - mid_b;
    let (on_a, on_b, cos) = (between.dot(way_a), between.dot(way_b), way_a.dot(way_b));
    let square = (1.0 - cos * cos).max(1e-12);
    let along = ((on_b * cos - on_a) / square).clamp(-half_a, *half_a);
    let other = (on_b + along * cos).clamp(-half_b, *half_b);
    let along = (other * cos - on_a).clamp(-half_a, *half_a);
    (between + way_a * along - way_b * other).norm_squared()
}

/// Whether the tree found the same pairs at the same distances as far as both looked.
fn agree(found: &[Near], slow: &[(usize, usize, f64)]) -> bool {
    let of_tree: Vec<&Near> = found.iter().filter(|near| near.a % EVERY == 0).collect();
    let same = |(near, (a, b, mm)): (&&Near, &(usize, usize, f64))| {
        near.a == *a
            && near.b == hosewright::geometry::Body::Line(*b)
            && (near.distance_mm - mm).abs() < 1e-6
    };
    of_tree.len() == slow.len() && of_tree.iter().zip(slow).all(same)
}

fn real(count: usize) -> f64 {
    u32::try_from(count).map_or(f64::NAN, f64::from)
}

fn print_line(line: &str) {
    let _ = writeln!(std::io::stdout(), "{line}");
}
