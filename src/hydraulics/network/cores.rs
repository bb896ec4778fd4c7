//! When the work on a network is shared among the cores. What is worked out never depends on how many there are.

use rayon::prelude::*;

/// Links from which on sharing is worth it, and those that one core takes at a time.
const WORTH_SHARING: usize = 4000;
const STRETCH: usize = 2000;

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

/// Changes every link by what belongs to it.
pub(super) fn change_all<A: Send, B: Sync>(
    links: &mut [A],
    beside: &[B],
    work: impl Fn(&mut A, &B) + Sync + Send,
) {
    let whole = |links: &mut [A], beside: &[B]| {
        links.iter_mut().zip(beside).for_each(|(link, beside)| work(link, beside));
    };
    if worth_sharing(links.len()) {
        let stretches = links.par_chunks_mut(STRETCH).zip(beside.par_chunks(STRETCH));
        stretches.for_each(|(links, beside)| whole(links, beside));
    } else {
        whole(links, beside);
    }
}

/// Changes two things of every link by what belongs to it.
pub(super) fn change_both<A: Send, B: Send, C: Sync>(
    (links, more): (&mut [A], &mut [B]),
    beside: &[C],
    work: impl Fn(&mut A, &mut B, &C) + Sync + Send,
) {
    let whole = |links: &mut [A], more: &mut [B], beside: &[C]| {
        let links = links.iter_mut().zip(more).zip(beside);
        links.for_each(|((link, more), beside)| work(link, more, beside));
    };
    if worth_sharing(links.len()) {
        let stretches = links.par_chunks_mut(STRETCH).zip(more.par_chunks_mut(STRETCH));
        let stretches = stretches.zip(beside.par_chunks(STRETCH));
        stretches.for_each(|((links, more), beside)| whole(links, more, beside));
    } else {
        whole(links, more, beside);
    }
}

/// The largest size of a link, zero at least.
pub(super) fn largest<A: Sync>(links: &[A], size: impl Fn(&A) -> f64 + Sync + Send) -> f64 {
    let whole = |links: &[A]| links.iter().map(&size).fold(0.0, f64::max);
    if worth_sharing(links.len()) {
        links.par_chunks(STRETCH).map(whole).reduce(|| 0.0, f64::max)
    } else {
        whole(links)
    }
}
