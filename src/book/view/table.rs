//! The lines of a view in a table: where they go, their highest and lowest places, their clips.

use core::f64::consts::PI;

use maud::{Markup, html};

use super::scene::{Attitude, Scene};
use crate::geometry::{Path, Piece};
use crate::plan::Line;
use crate::report::units::Column;
use crate::units::System;

/// A place on a line: how high over the zero of the plan, and how far from end A, mm.
pub type Height = [f64; 2];

/// The table of a scene in an attitude.
pub fn table(scene: &Scene<'_>, attitude: &Attitude, level: bool) -> Markup {
    let system = scene.book.look.system;
    let head = |name: &str| Column::Length.head(name, system);
    html! {
        details {
            summary { "The same in words" }
            div .scroll tabindex="0" {
                table {
                    caption { (scene.system) ", " (attitude.words) }
                    tr {
                        th { "line" }
                        th { "from" }
                        th { "to" }
                        th { (head("highest")) ", from A" }
                        th { (head("lowest")) ", from A" }
                        @if level { th { (head("clips")) } }
                        @if level { th { (head("sleeves")) } }
                    }
                    @for (_, line, path) in scene.routed() {
                        @let [high, low] = heights(path, attitude.up);
                        tr {
                            th { (line.id) }
                            td { (scene.plan.port_name(&line.from)) }
                            td { (scene.plan.port_name(&line.to)) }
                            td { (height(high, system)) }
                            td { (height(low, system)) }
                            @if level { td { (clips(line, system)) } }
                            @if level { td { (sleeves(line, system)) } }
                        }
                    }
                }
            }
        }
    }
}

fn height([over, station]: Height, system: System) -> String {
    let number = |mm: f64| Column::Length.number(mm.round(), system);
    format!("{}, {}", number(over), number(station))
}

fn clips(line: &Line, system: System) -> String {
    let number = |mm: f64| Column::Length.number(mm, system);
    let clip =
        |(index, at): (usize, [f64; 3])| format!("{}: {}", index + 1, at.map(number).join(", "));
    let all = line.clips.iter().map(|c| c.at_mm).enumerate().map(clip);
    all.collect::<Vec<_>>().join("; ")
}

fn sleeves(line: &Line, system: System) -> String {
    let number = |mm: f64| Column::Length.number(mm, system);
    let sleeve = |s: &crate::plan::Sleeve| {
        format!("{}: {} to {}", s.kind, number(s.start_mm), number(s.end_mm))
    };
    line.sleeves.iter().map(sleeve).collect::<Vec<_>>().join("; ")
}

/// The highest and the lowest place of a centre line, where a direction points up.
pub fn heights(path: &Path, up: [f64; 3]) -> [Height; 2] {
    let over =
        |point: nalgebra::Point3<f64>| point.coords.iter().zip(up).map(|(c, u)| c * u).sum::<f64>();
    let mut places: Vec<Height> = Vec::new();
    for (begins_mm, piece) in path.stations() {
        let length = piece.length_mm();
        let ends = [0.0, length].into_iter();
        for along in ends.chain(turning(piece, up)) {
            places.push([over(piece.point_at(along)), begins_mm + along]);
        }
    }
    let by = |a: &Height, b: &Height| a[0].total_cmp(&b[0]).then(b[1].total_cmp(&a[1]));
    let high = places.iter().copied().max_by(by).unwrap_or_default();
    let low = places.iter().copied().min_by(by).unwrap_or_default();
    [high, low]
}

/// Where an arc is level, mm from its beginning.
fn turning(piece: &Piece, up: [f64; 3]) -> Vec<f64> {
    let Piece::Arc { start, centre, axis, radius_mm, angle_rad } = piece else { return Vec::new() };
    let spoke = start - centre;
    let up = nalgebra::Vector3::from(up);
    // The height over the centre is a cos + b sin of the turn.
    let (a, b) = (spoke.dot(&up), axis.cross(&spoke).dot(&up));
    let top = libm::atan2(b, a);
    let turns = [top - PI, top, top + PI].into_iter();
    turns.filter(|t| *t > 0.0 && t < angle_rad).map(|t| t * radius_mm).collect()
}
