//! Words for a range of numbers that may have no upper end.

use core::fmt;

/// The range from `least` to `most`; the largest number there is stands for no upper end.
pub struct Bounds {
    /// Lowest number inside.
    pub least: f64,
    /// Highest number inside.
    pub most: f64,
}

impl fmt::Display for Bounds {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { least, most } = self;
        if *most >= f64::MAX {
            write!(f, "{least} or more")
        } else {
            write!(f, "from {least} to {most}")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Bounds;

    #[test]
    fn a_range_without_an_upper_end_names_none() {
        assert_eq!(Bounds { least: 1.0, most: 2.5 }.to_string(), "from 1 to 2.5");
        assert_eq!(Bounds { least: 1.0, most: f64::MAX }.to_string(), "1 or more");
        assert_eq!(Bounds { least: 0.0, most: f64::INFINITY }.to_string(), "0 or more");
    }
}
