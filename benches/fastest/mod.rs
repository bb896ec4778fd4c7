//! The time of what is run several times: other work on the machine disturbs the shortest run least.

use std::hint::black_box;
use std::time::Instant;

/// Seconds of the shortest of some runs, of one at least, and what it made.
pub fn fastest<T>(runs: usize, mut run: impl FnMut() -> T) -> (f64, T) {
    let mut timed = || {
        let start = Instant::now();
        let made = black_box(run());
        (start.elapsed().as_secs_f64(), made)
    };
    let mut best = timed();
    for _ in 1..runs {
        let next = timed();
        if next.0 < best.0 {
            best = next;
        }
    }
    best
}
