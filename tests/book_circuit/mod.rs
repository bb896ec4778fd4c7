//! The drawings of circuits in the book.
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "these tests read examples and drawings, may fail, and tell level strokes by the very figures that were written"
)]

mod drawing;
mod layout;
