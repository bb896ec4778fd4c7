//! Bending rigid tube by hand: springback, marks, walls, and what the bender leaves room for.

pub mod collision;
pub mod marks;
pub mod springback;
pub mod wall;
