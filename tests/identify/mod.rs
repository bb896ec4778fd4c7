//! Pipes and threads from readings: the kernel against enumeration and integration, and piles that are not.

mod kernel;
mod piles;
mod threads;
