//! Shortest paths against lengths from a general root solver, row by row.

use hosewright::geometry::{Pose, ShortestKind, shortest};
use nalgebra::{Point3, Vector3};

#[test]
fn shortest_paths_agree_with_a_general_root_solver() {
    let text = include_str!("../../oracle/shortest.csv");
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    let mut rows = 0;
    for line in lines {
        let row: Vec<f64> = line.split(',').map(|cell| cell.parse().expect("a number")).collect();
        let pose = |at: usize| Pose {
            at: Point3::new(row[at], row[at + 1], row[at + 2]),
            direction: Vector3::new(row[at + 3], row[at + 4], row[at + 5]).normalize(),
        };
        let found = shortest(&pose(0), &pose(6), row[12]).expect("a path");
        assert!((found.length_mm - row[13]).abs() <= 1e-9 * row[13], "{line}: {}", found.length_mm);
        assert!(found.proven && found.kind == ShortestKind::ArcStraightArc, "{line}");
        rows += 1;
    }
    assert_eq!(rows, 200);
}
