//! The network solver on random networks, on what has no answer, and against another solver.
#![expect(clippy::panic, reason = "a test that cannot go on says why")]

mod balances;
mod cores;
mod oracle;
mod random;
mod unsolvable;
mod valves;
