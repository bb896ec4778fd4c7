//! States of components and temperatures of fluids by name, as cases and the matrix write them.

use std::collections::BTreeMap;

use super::Names;
use super::component::Component;
use super::fluid::NamedFluid;
use crate::document::{Placed, Section, shorten};
use crate::units::{Quantity, Temperature};

/// What cases and the matrix refer to.
pub struct Choices<'k> {
    /// Names of the states of each component.
    states: Vec<Names<'k>>,
    ids: BTreeMap<&'k str, usize>,
    fluids: BTreeMap<&'k str, usize>,
    /// Whether a component or a fluid has no name that can be read.
    nameless: [bool; 2],
}

impl<'k> Choices<'k> {
    /// Gathers the names.
    pub fn new(
        root: &Section<'_>,
        components: &'k [Component],
        fluids: &'k [Placed<NamedFluid>],
    ) -> Self {
        let fluids = fluids.iter().map(|f| f.value.id.as_str());
        let ids = components.iter().map(|c| c.id.as_str());
        let states = |c: &'k Component| Names::new(c.states.iter().map(|s| s.name.as_str()));
        Self {
            states: components.iter().map(states).collect(),
            ids: ids.enumerate().map(|(i, id)| (id, i)).collect(),
            fluids: fluids.enumerate().map(|(i, id)| (id, i)).collect(),
            nameless: ["component", "fluid"].map(|list| root.has_nameless(list, "id")),
        }
    }

    /// Every component that has two states or more.
    pub fn varied(&self) -> Vec<usize> {
        let several = self.states.iter().enumerate().filter(|(_, s)| s.order.len() > 1);
        several.map(|(i, _)| i).collect()
    }

    /// A component by its id.
    pub fn component(&self, section: &Section<'_>, id: &Placed<String>) -> Option<usize> {
        let index = self.ids.get(id.value.as_str()).copied();
        if index.is_none() && !self.nameless[0] {
            section.unknown(id, "component", self.ids.keys().copied());
        }
        index
    }

    /// A component of which states can be told apart.
    pub fn with_states(&self, section: &Section<'_>, id: &Placed<String>) -> Option<usize> {
        let index = self.component(section, id)?;
        if !self.states[index].order.is_empty() {
            return Some(index);
        }
        section.reader().problem(
            &id.span,
            format!("component {} has no states", shorten(&id.value)),
            "no states",
            vec!["write each under the component: [[component.state]] name = \"off\"".into()],
        );
        None
    }

    /// Components and states by index.
    pub fn states(
        &self,
        section: &Section<'_>,
        written: &[(Placed<String>, Placed<String>)],
    ) -> Vec<(usize, usize)> {
        written.iter().filter_map(|(id, state)| self.state(section, id, state)).collect()
    }

    fn state(
        &self,
        section: &Section<'_>,
        id: &Placed<String>,
        state: &Placed<String>,
    ) -> Option<(usize, usize)> {
        let index = self.with_states(section, id)?;
        let states = &self.states[index];
        let found = states.find(&state.value);
        // A state whose own name cannot be read may be the one that is meant.
        if found.is_none() && !states.hide_one() {
            let (id, word) = (shorten(&id.value), shorten(&state.value));
            let message = format!("component {id} has no state \"{word}\"");
            section.no_such(state, message, states.known(), None);
        }
        Some((index, found?))
    }

    /// Temperatures of fluids by index, from the key `fluids`.
    pub fn temperatures(&self, section: &Section<'_>) -> Vec<(usize, Temperature)> {
        let mut found = Vec::new();
        for (id, temperature) in section.assign_quantities::<Temperature>("fluids") {
            let index = self.fluids.get(id.value.as_str()).copied();
            if index.is_none() && !self.nameless[1] {
                section.unknown(&id, "fluid", self.fluids.keys().copied());
            }
            if let Some(temperature) = above_zero(section, &id.value, &temperature) {
                found.extend(index.map(|i| (i, temperature)));
            }
        }
        found
    }
}

/// A temperature of something that exists.
fn above_zero(
    section: &Section<'_>,
    name: &str,
    written: &Placed<Temperature>,
) -> Option<Temperature> {
    if written.value.si() > 0.0 {
        return Some(written.value);
    }
    let message = format!("{} must be greater than zero", shorten(name));
    let help = vec!["absolute zero is never reached: for example \"38 degC\"".into()];
    section.reader().problem(&written.span, message, "not greater than zero", help);
    None
}
