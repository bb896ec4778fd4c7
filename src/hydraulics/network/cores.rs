//! When the work on a network is shared among the cores. What is worked out never depends on how many there are.

/// Links from which on sharing is worth it.
const WORTH_SHARING: usize = 4000;

/// Whether the work on so many links is shared.
pub(super) fn worth_sharing(links: usize) -> bool {
    links >= WORTH_SHARING
}

/// Does the work on so many links. If it is to be shared, it is done where sharing it need not wake a sleeping core each
/// time.
pub(super) fn awake<T: Send>(links: usize, work: impl FnOnce() -> T + Send) -> T {
    if worth_sharing(links) { rayon::scope(|_| work()) } else { work() }
}

/// Does two things, side by side if that is worth it for so many links.
pub(super) fn both<A: Send, B: Send>(
    links: usize,
    one: impl FnOnce() -> A + Send,
    other: impl FnOnce() -> B + Send,
) -> (A, B) {
    if worth_sharing(links) { rayon::join(one, other) } else { (one(), other()) }
}
