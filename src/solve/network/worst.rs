//! The worst of a number over many cases, with the case that it belongs to.

/// Which way is worse.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Worse {
    /// A smaller number.
    Smaller,
    /// A larger number.
    Larger,
}

/// The worst number so far and the index of its case; of equal ones the first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extreme {
    worse: Worse,
    found: Option<(f64, usize)>,
}

impl Extreme {
    /// Nothing so far.
    pub const fn new(worse: Worse) -> Self {
        Self { worse, found: None }
    }

    /// Takes a number of a case into account. Numbers that differ in their last digits only count as equal,
    /// so that the first of them stays.
    pub fn take(&mut self, value: f64, case: usize) {
        let is_worse = |old: f64| {
            let step = 1e-9 * old.abs().max(1e-9);
            match self.worse {
                Worse::Smaller => value < old - step,
                Worse::Larger => value > old + step,
            }
        };
        if value.is_finite() && self.found.is_none_or(|(old, _)| is_worse(old)) {
            self.found = Some((value, case));
        }
    }

    /// Takes the extreme of a later list of cases into account.
    pub fn join(&mut self, later: &Self) {
        if let Some((value, case)) = later.found {
            self.take(value, case);
        }
    }

    /// The number and its case.
    pub fn found(&self) -> Option<(f64, usize)> {
        self.found
    }
}

#[cfg(test)]
mod tests {
    use super::{Extreme, Worse};

    #[test]
    fn the_first_of_equal_numbers_stays_and_no_number_is_no_extreme() {
        let mut least = Extreme::new(Worse::Smaller);
        for (case, value) in [f64::NAN, 2.0, 1.0, 1.0 - 1e-12, 3.0].into_iter().enumerate() {
            least.take(value, case);
        }
        assert_eq!(least.found(), Some((1.0, 2)));
    }
}
