//! Many lines at once: the tree finds what every pair alone gives, and always in the same bytes.

use hosewright::geometry::{Body, Near, Piece, Shape, Solid, Swept, SweptEnd, clearances};
use nalgebra::{Point3, Vector3};

use super::{only, straight};

const WITHIN_MM: f64 = 25.0;

/// A row of random numbers from 0 to 1 that is the same everywhere.
struct Row(u64);

impl Row {
    fn share(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.0 >> 32).unwrap_or(0)) / f64::from(u32::MAX)
    }

    fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    fn direction(&mut self) -> Vector3<f64> {
        loop {
            let [x, y, z] = [(); 3].map(|()| self.within(-1.0, 1.0));
            let way = Vector3::new(x, y, z);
            if way.norm() > 0.2 {
                return way.normalize();
            }
        }
    }

    fn point(&mut self, room: f64) -> Point3<f64> {
        Point3::from([(); 3].map(|()| self.within(0.0, room)))
    }

    /// A line of straights and smooth bends, with or without an allowance.
    fn line(&mut self, room: f64) -> Swept {
        let mut at = self.point(room);
        let mut way = self.direction();
        let mut pieces = Vec::new();
        for _ in 0..5 {
            let to = at + way * self.within(5.0, 90.0);
            pieces.push(Piece::Straight { from: at, to });
            let axis = way.cross(&self.direction());
            if axis.norm() > 0.1 {
                let (axis, radius_mm) = (axis.normalize(), self.within(20.0, 70.0));
                let centre = to + axis.cross(&way) * radius_mm;
                let angle_rad = self.within(0.2, 2.8);
                let arc = Piece::Arc { start: to, centre, axis, radius_mm, angle_rad };
                (at, way) = (arc.end(), arc.tangent_at(arc.length_mm()).normalize());
                pieces.push(arc);
            } else {
                at = to;
            }
        }
        let grow = if self.share() < 0.4 { vec![(0.0, 6.0), (80.0, 0.0)] } else { Vec::new() };
        Swept { pieces, radius_mm: self.within(2.0, 10.0), grow, ends: [None, None] }
    }

    fn shape(&mut self, room: f64) -> Shape {
        let from = self.point(room);
        let solid = match self.share() {
            x if x < 0.4 => {
                let first = self.direction();
                let second = first.cross(&self.direction()).normalize();
                let axes = [first, second, first.cross(&second)];
                let half_mm = [(); 3].map(|()| self.within(5.0, 40.0));
                Solid::Box { centre: from, axes, half_mm }
            }
            x if x < 0.8 => {
                let to = from + self.direction() * self.within(20.0, 150.0);
                Solid::Cylinder { from, to, radius_mm: self.within(5.0, 40.0) }
            }
            _ => Solid::HalfSpace { at: Point3::origin(), faces: self.direction() },
        };
        Shape { solid, grow_mm: self.within(0.0, 8.0), place: None }
    }
}

fn found(lines: &[Swept], shapes: &[Shape]) -> Vec<Near> {
    clearances(lines, shapes, WITHIN_MM).unwrap_or_else(|e| panic!("{e}"))
}

/// Every pair alone, in the order that is promised.
fn pair_by_pair(lines: &[Swept], shapes: &[Shape]) -> Vec<Near> {
    let mut all = Vec::new();
    for (a, line) in lines.iter().enumerate() {
        for (b, other) in lines.iter().enumerate().skip(a + 1) {
            let near = only(&[line.clone(), other.clone()], &[]);
            all.push(Near { a, b: Body::Line(b), ..near });
        }
        for (b, shape) in shapes.iter().enumerate() {
            let near = only(std::slice::from_ref(line), std::slice::from_ref(shape));
            all.push(Near { a, b: Body::Shape(b), ..near });
        }
    }
    all.retain(|near| near.distance_mm <= WITHIN_MM);
    all
}

#[test]
fn the_tree_finds_what_every_pair_alone_gives() {
    let mut pairs = 0;
    for start in 0..4 {
        let mut row = Row(start);
        let lines: Vec<Swept> = (0..24).map(|_| row.line(420.0)).collect();
        let shapes: Vec<Shape> = (0..8).map(|_| row.shape(420.0)).collect();
        let (tree, alone) = (found(&lines, &shapes), pair_by_pair(&lines, &shapes));
        pairs += alone.len();
        assert_eq!(tree.len(), alone.len());
        for (x, y) in tree.iter().zip(&alone) {
            assert_eq!((x.a, x.b), (y.a, y.b));
            assert!((x.distance_mm - y.distance_mm).abs() < 1.1e-7, "{x:?}\n{y:?}");
        }
    }
    assert!(pairs > 200, "only {pairs} pairs came near: the scenes are too thin");
}

#[test]
fn the_same_bytes_on_one_core_and_on_many() {
    let mut row = Row(11);
    let lines: Vec<Swept> = (0..60).map(|_| row.line(420.0)).collect();
    let shapes: Vec<Shape> = (0..8).map(|_| row.shape(420.0)).collect();
    let on = |cores: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(cores).build();
        pool.unwrap_or_else(|e| panic!("{e}")).install(|| format!("{:?}", found(&lines, &shapes)))
    };
    assert_eq!(on(1), on(4));
}

#[test]
fn lines_that_meet_at_a_component_leave_out_their_ends_there_and_nowhere_else() {
    let end = |place| Some(SweptEnd { place, leave_out_mm: 50.0 });
    let mut a = straight([0.0, 0.0, 0.0], [400.0, 0.0, 0.0], 5.0);
    let mut b = straight([0.0, 20.0, 0.0], [400.0, 220.0, 0.0], 5.0);
    let c = straight([0.0, 12.0, 0.0], [0.0, 12.0, 90.0], 1.0);
    (a.ends, b.ends) = ([end(3), None], [end(3), end(4)]);
    let near = found(&[a.clone(), b.clone(), c.clone()], &[]);
    let pairs: Vec<(usize, Body)> = near.iter().map(|n| (n.a, n.b)).collect();
    // A third line that does not end there sees both of them whole.
    assert_eq!(pairs, [(0, Body::Line(2)), (1, Body::Line(2))]);
    let wide = clearances(&[a.clone(), b.clone()], &[], 100.0).unwrap_or_else(|e| panic!("{e}"));
    let stations = wide[0].on_a.station_mm.zip(wide[0].on_b.station_mm);
    // Of b what lies 50 mm from its end counts; the foot of that place is within a.
    let (on_a, on_b) = stations.unwrap_or_else(|| panic!("two lines"));
    assert!(on_a >= 50.0 - 1e-9 && on_b >= 50.0 - 1e-9, "{on_a} {on_b}");
    assert!(wide[0].distance_mm > 30.0 && wide[0].distance_mm < 40.0, "{wide:?}");
    // The same two without a place in the way they were typed are 10 mm apart.
    (a.ends, b.ends) = ([None, None], [None, None]);
    assert!((found(&[a, b], &[])[0].distance_mm - 10.0).abs() < 1e-9);
}

#[test]
fn a_shape_of_a_place_leaves_out_the_ends_of_its_own_lines() {
    let mut line = straight([0.0, 0.0, 0.0], [400.0, 0.0, 0.0], 5.0);
    line.ends[0] = Some(SweptEnd { place: 1, leave_out_mm: 60.0 });
    let from_to = (Point3::new(0.0, 0.0, -50.0), Point3::new(0.0, 0.0, 50.0));
    let solid = Solid::Cylinder { from: from_to.0, to: from_to.1, radius_mm: 40.0 };
    let own = Shape { solid, grow_mm: 0.0, place: Some(1) };
    assert!(
        (only(std::slice::from_ref(&line), std::slice::from_ref(&own)).distance_mm - 15.0).abs()
            < 1e-9
    );
    let strange = Shape { place: Some(2), ..own };
    assert!(only(&[line], &[strange]).distance_mm < 0.0);
}

#[test]
fn a_line_that_is_left_out_whole_is_near_to_nothing() {
    let mut a = straight([0.0, 0.0, 0.0], [40.0, 0.0, 0.0], 5.0);
    let mut b = straight([0.0, 1.0, 0.0], [40.0, 1.0, 0.0], 5.0);
    a.ends[0] = Some(SweptEnd { place: 0, leave_out_mm: 50.0 });
    b.ends[1] = Some(SweptEnd { place: 0, leave_out_mm: 5.0 });
    assert_eq!(found(&[a, b], &[]), []);
}
