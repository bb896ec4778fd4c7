//! Operating cases made by combining whatever can vary in a group of circuits.

use std::collections::BTreeSet;

use super::machine::{Group, Machine};
use crate::plan::{Matrix, Weather};
use crate::solve::case::air_pa;
use crate::solve::{CaseFacts, GRAVITY_M_S2, geometry};
use crate::units::Quantity;

/// More combinations than this of one group are not worked through.
const MOST_CASES: usize = 20_000;

/// The combinations of a group: blocks of cases that differ in states only.
#[derive(Debug, Default)]
pub struct Combinations {
    /// The blocks.
    pub blocks: Vec<Vec<CaseFacts>>,
    /// How many there are with those that are not allowed.
    pub there_are: usize,
    /// How many the plan does not allow.
    pub not_allowed: usize,
}

/// Air, attitude and temperatures of a block.
struct Surroundings {
    words: Vec<String>,
    ambient_pa: f64,
    up: [f64; 3],
    attitude_rad: [f64; 2],
    air_k: Option<f64>,
    weather: Option<Weather>,
}

impl Machine<'_> {
    /// The combinations of a group.
    ///
    /// # Errors
    /// In words: there are too many.
    pub fn combinations(&self, matrix: &Matrix, group: &Group) -> Result<Combinations, String> {
        let varying = self.varying(matrix, group);
        let states: usize = varying
            .iter()
            .map(|c| self.plan.components[*c].states.len())
            .try_fold(1_usize, usize::checked_mul)
            .unwrap_or(usize::MAX);
        let surroundings = self.surroundings(matrix);
        let there_are = states.saturating_mul(surroundings.len());
        if there_are > MOST_CASES {
            return Err(format!(
                "there are {there_are} combinations, and {MOST_CASES} are worked through at most: name \
                 fewer components in vary"
            ));
        }
        let mut found = Combinations { there_are, ..Combinations::default() };
        for around in &surroundings {
            let mut block = Vec::with_capacity(states);
            for number in 0..states {
                let chosen = self.chosen(&varying, number);
                if self.is_allowed(matrix, group, &chosen) {
                    block.push(self.case(around, &chosen));
                } else {
                    found.not_allowed += 1;
                }
            }
            found.blocks.push(block);
        }
        Ok(found)
    }

    /// Components of a group whose states are combined.
    fn varying(&self, matrix: &Matrix, group: &Group) -> Vec<usize> {
        let inside: BTreeSet<usize> = self.components(group).collect();
        let several = |c: &usize| self.plan.components[*c].states.len() > 1;
        let named = |c: &usize| matrix.vary.contains(c);
        inside.into_iter().filter(several).filter(named).collect()
    }

    fn surroundings(&self, matrix: &Matrix) -> Vec<Surroundings> {
        let or_zero = |list: &[f64]| if list.is_empty() { vec![0.0] } else { list.to_vec() };
        let weathers: Vec<Option<Weather>> = if matrix.weather.is_empty() {
            vec![None]
        } else {
            matrix.weather.iter().cloned().map(Some).collect()
        };
        let mut all = Vec::new();
        for weather in &weathers {
            for altitude in or_zero(&matrix.altitudes_m) {
                for roll in or_zero(&matrix.roll_right_rad) {
                    for nose in or_zero(&matrix.nose_up_rad) {
                        let Some(up) = geometry::up(&self.plan.axes, nose, roll) else { continue };
                        let Some(ambient_pa) = air_pa(altitude) else { continue };
                        let mut words: Vec<String> =
                            weather.iter().map(|w| w.name.clone()).collect();
                        words.push(format!("{altitude:.0} m"));
                        words.extend(angle_words(nose, ["nose up", "nose down"]));
                        words.extend(angle_words(roll, ["right side down", "left side down"]));
                        let air_k = weather.as_ref().and_then(|w| w.air).map(Quantity::si);
                        let weather = weather.clone();
                        all.push(Surroundings {
                            words,
                            ambient_pa,
                            up,
                            attitude_rad: [nose, roll],
                            air_k,
                            weather,
                        });
                    }
                }
            }
        }
        all
    }

    /// The states that belong to a number: the last component changes first.
    fn chosen(&self, varying: &[usize], mut number: usize) -> Vec<(usize, usize)> {
        let mut chosen: Vec<(usize, usize)> = Vec::with_capacity(varying.len());
        for component in varying.iter().rev() {
            let count = self.plan.components[*component].states.len();
            chosen.push((*component, number % count));
            number /= count;
        }
        chosen.reverse();
        chosen
    }

    /// Whether the plan allows these states; what it says of components elsewhere does not count here.
    fn is_allowed(&self, matrix: &Matrix, group: &Group, chosen: &[(usize, usize)]) -> bool {
        let inside: BTreeSet<usize> = self.components(group).collect();
        let holds = |pair: &(usize, usize)| {
            let state = chosen.iter().find(|c| c.0 == pair.0).map_or(0, |c| c.1);
            state == pair.1 && inside.contains(&pair.0)
        };
        !matrix.without.iter().any(|w| !w.is_empty() && w.iter().all(holds))
    }

    fn case(&self, around: &Surroundings, chosen: &[(usize, usize)]) -> CaseFacts {
        let mut words: Vec<String> = Vec::new();
        let mut states = vec![0; self.plan.components.len()];
        for (component, state) in chosen {
            states[*component] = *state;
            let component = &self.plan.components[*component];
            words.push(format!("{} {}", component.id, component.states[*state].name));
        }
        words.extend(around.words.iter().cloned());
        let mut fluids_k = vec![None; self.plan.fluids.len()];
        for (fluid, temperature) in around.weather.iter().flat_map(|w| &w.fluids) {
            fluids_k[*fluid] = Some(temperature.si());
        }
        CaseFacts {
            name: words.join(", "),
            ambient_pa: around.ambient_pa,
            up: around.up,
            attitude_rad: around.attitude_rad,
            gravity_m_s2: GRAVITY_M_S2,
            air_k: around.air_k,
            fluids_k,
            states,
            warm: around.weather.as_ref().is_none_or(|w| w.warm),
            combined: true,
        }
    }
}

/// An angle of pitch or roll in words; none where it is level.
pub fn angle_words(rad: f64, [positive, negative]: [&str; 2]) -> Option<String> {
    let degrees = rad.to_degrees();
    let side = if degrees > 0.0 { positive } else { negative };
    (degrees.abs() > 1e-9).then(|| format!("{side} {:.0} deg", degrees.abs()))
}
