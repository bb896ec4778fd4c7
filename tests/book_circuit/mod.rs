//! The drawings of circuits in the book.

mod drawing;
mod layout;
