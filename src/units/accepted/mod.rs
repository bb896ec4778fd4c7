//! The accepted units of every kind of quantity, grouped by what a builder measures.

pub(super) mod fluid;
pub(super) mod heat;
pub(super) mod mechanics;
pub(super) mod pressure;
pub(super) mod size;
