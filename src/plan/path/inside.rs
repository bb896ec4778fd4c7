//! How a path of a component rises and falls between its ports, and where it is bled and drained.

use crate::document::Section;

/// The way inside a component, as far as the plan tells of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Inside {
    /// The highest point inside, mm, where air collects.
    pub top_mm: Option<[f64; 3]>,
    /// The lowest point inside, mm, where liquid collects.
    pub bottom_mm: Option<[f64; 3]>,
    /// Whether air can be let out at the top.
    pub bleed: bool,
    /// Whether fluid can be let out at the bottom.
    pub drain: bool,
}

/// Reads `top`, `bottom`, `bleed` and `drain` of a path.
pub fn inside(section: &Section<'_>, unit_mm: f64) -> Inside {
    let point = |key: &str| section.point(key).map(|p| p.value.map(|c| c * unit_mm));
    let flag = |key: &str, place: &str, thing: &str| {
        let flag = section.flag(key).unwrap_or(false);
        if flag && !section.has(place) {
            section.reader().problem(
                &section.place(key),
                format!("{key} needs the key \"{place}\": the point where the {thing} is"),
                "where?",
                vec![format!("for example {place} = [1500, 0, 430]")],
            );
        }
        flag
    };
    let bleed = flag("bleed", "top", "bleed");
    let drain = flag("drain", "bottom", "drain");
    Inside { top_mm: point("top"), bottom_mm: point("bottom"), bleed, drain }
}
