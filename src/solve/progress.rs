//! How far a matrix of cases is solved: counted for whoever waits, and read by nothing that is calculated.

use core::sync::atomic::{AtomicUsize, Ordering::Relaxed};

static SOLVED: AtomicUsize = AtomicUsize::new(0);
static EXPECTED: AtomicUsize = AtomicUsize::new(0);

/// So many more cases are to be solved.
pub(super) fn expect(cases: usize) {
    EXPECTED.fetch_add(cases, Relaxed);
}

/// So many more cases are solved.
pub(super) fn add(cases: usize) {
    SOLVED.fetch_add(cases, Relaxed);
}

/// Cases that were solved since the process began, and those that are known to be asked for.
pub fn so_far() -> [usize; 2] {
    [SOLVED.load(Relaxed), EXPECTED.load(Relaxed)]
}
