//! Loops over many numbers with registers as wide as the processor has.
//!
//! Every number goes through the same additions and products in the same order whatever the width, and a product is
//! never drawn together with the sum after it, so the answer is the same on every machine.

use pulp::Arch;
pub(crate) use pulp::NullaryFnOnce as Work;

/// Does the work with the widest registers there are. Only what is inlined into [`Work::call`] gains by it.
pub(crate) fn widest<W: Work>(work: W) -> W::Output {
    Arch::new().dispatch(work)
}
