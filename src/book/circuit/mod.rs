//! The circuits as drawings.

pub mod layout;
