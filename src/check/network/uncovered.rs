//! `network.uncovered`: a tank that is drawn from at a port the liquid does not cover.

use super::governed;
use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "network.uncovered",
    looks_at: "ports of tanks that fluid leaves by, in every level and attitude of the cases",
    why: "a pickup that the liquid does not cover draws air, nose down or leaning first",
    number: "depth of the port under the surface in mm, at the worst case",
    limit_from: "geometry: the surface through the point the plan gives, square to the pull that the fluid feels",
    open_when: "never: a tank without a surface keeps its circuit from being solved",
    remedy: "a lower or more central pickup, a sump or flapper, or more unusable fluid",
};

/// Names every port that draws uncovered; one finding that all is well where none does.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let network = &whole.facts.network;
    let cite = Cite::plan("surface of the tank");
    let tanks = whole
        .plan
        .components
        .iter()
        .enumerate()
        .filter(|(index, component)| component.kind == "tank" && network.tanks.contains(index));
    tanks
        .flat_map(|(index, tank)| {
            let ports: Vec<Finding> = network
                .uncovered
                .iter()
                .filter(|u| u.port.component == index)
                .map(|u| {
                    let place = format!("{}, port {}", tank.id, whole.plan.port(&u.port).1.name);
                    let depth = u.worst.value * 1e3;
                    governed(whole.draft(&ABOUT, &place), &u.worst)
                        .value(depth, "mm")
                        .least(0.0, &cite)
                        .fail(
                            format!("it stands {:.0} mm out of the liquid and draws air", -depth),
                            ABOUT.remedy,
                        )
                })
                .collect();
            if ports.is_empty() {
                let ok = whole.draft(&ABOUT, &tank.id).source(&cite);
                vec![ok.ok("every port that fluid leaves by is covered in every solved case")]
            } else {
                ports
            }
        })
        .collect()
}
