//! The commented plan that `hosewright new` writes.

/// A small plan that checks clean: one fuel line from a tank to a pump.
pub const STARTER: &str = include_str!("starter.toml");
