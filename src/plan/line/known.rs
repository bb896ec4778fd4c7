//! What the lines of a plan may refer to, by name.

use std::collections::{BTreeMap, BTreeSet};

use super::PortRef;
use crate::document::{Placed, Section};
use crate::plan::component::Component;
use crate::plan::fluid::NamedFluid;
use crate::plan::measured::Datums;
use crate::plan::{Bender, Case};
use crate::table::Tables;
use crate::table::end::End;
use crate::table::hose::Hose;

/// What the plan names besides components and cases.
pub struct Named<'k> {
    /// Fluids of the plan.
    pub fluids: &'k [Placed<NamedFluid>],
    /// Own hoses.
    pub hoses: &'k [Hose],
    /// Own ends.
    pub ends: &'k [(String, End)],
    /// Benders.
    pub benders: &'k [Bender],
}

/// What the lines may refer to.
pub struct Known<'k> {
    /// All tables.
    pub tables: &'k Tables,
    /// Components, in the order of the plan.
    pub components: &'k [Component],
    /// Index of each fluid.
    pub fluids: BTreeMap<&'k str, usize>,
    /// Own hoses.
    pub hoses: BTreeMap<&'k str, &'k Hose>,
    /// Own ends.
    pub ends: BTreeMap<&'k str, &'k End>,
    /// Benders, in the order of the plan.
    pub benders: &'k [Bender],
    /// Ids of the components.
    pub ids: BTreeSet<&'k str>,
    /// Every port by component and name.
    pub ports: BTreeMap<(&'k str, &'k str), PortRef>,
    /// Index of each case.
    pub cases: BTreeMap<&'k str, usize>,
    /// Known points that clips may be taped from.
    pub datums: &'k Datums<'k>,
    /// Kinds of section of which one has no name that can be read.
    nameless: Vec<&'static str>,
    /// Millimetres in the plan's length unit.
    pub unit_mm: f64,
}

impl<'k> Known<'k> {
    /// Gathers the names; with `unit_mm` millimetres in the plan's length unit.
    pub fn new(
        root: &Section<'_>,
        tables: &'k Tables,
        named: &Named<'k>,
        components: &'k [Component],
        cases: &'k [Case],
        datums: &'k Datums<'k>,
        unit_mm: f64,
    ) -> Self {
        let fluids = named.fluids.iter().map(|f| f.value.id.as_str());
        let lists = [
            ("fluid", "id"),
            ("hose", "id"),
            ("end", "id"),
            ("bender", "id"),
            ("component", "id"),
            ("case", "name"),
        ];
        Self {
            tables,
            components,
            fluids: fluids.enumerate().map(|(i, id)| (id, i)).collect(),
            hoses: named.hoses.iter().map(|h| (h.label.as_str(), h)).collect(),
            ends: named.ends.iter().map(|(id, end)| (id.as_str(), end)).collect(),
            benders: named.benders,
            ids: components.iter().map(|c| c.id.as_str()).collect(),
            ports: all_ports(components),
            cases: cases.iter().enumerate().map(|(i, c)| (c.name.as_str(), i)).collect(),
            datums,
            nameless: lists
                .into_iter()
                .filter(|(list, key)| root.has_nameless(list, key))
                .map(|(list, _)| list)
                .collect(),
            unit_mm,
        }
    }

    /// Whether an unknown name may be that of a section whose own name cannot be read.
    pub fn may_name(&self, list: &str) -> bool {
        self.nameless.contains(&list)
    }
}

fn all_ports(components: &[Component]) -> BTreeMap<(&str, &str), PortRef> {
    let mut all = BTreeMap::new();
    for (component, c) in components.iter().enumerate() {
        for (port, p) in c.ports.iter().enumerate() {
            all.insert((c.id.as_str(), p.name.as_str()), PortRef { component, port });
        }
    }
    all
}
