//! Sharing out stock: which pieces to saw from which bar or roll, so that few are begun.

use std::collections::BTreeSet;

use super::stock_fill::{self, Bin, Problem};
use super::{MakeupError, above_zero, not_below_zero};

/// Lengths are shared out in whole tenths of a millimetre.
const TENTHS: f64 = 10.0;
/// Ten kilometres: longer stock is a slip of the pen, and the sums stay far inside whole numbers.
const LONGEST_MM: f64 = 1e7;
/// More pieces than any machine has; beyond it a list is a slip of the pen.
const MOST_PIECES: usize = 1_000;

/// A piece wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct WantedPiece {
    /// Length to saw, mm.
    pub length_mm: f64,
    /// What it is for.
    pub label: String,
}

/// Stock of one length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StockLength {
    /// Length of each, mm.
    pub length_mm: f64,
    /// How many there are; `None` where more can be bought.
    pub count: Option<u32>,
}

/// What is to be shared out.
#[derive(Debug, Clone, Copy)]
pub struct StockInput<'a> {
    /// The pieces.
    pub pieces: &'a [WantedPiece],
    /// The lengths they come from; those with a count are on the shelf and are used first.
    pub stock: &'a [StockLength],
    /// Width of a saw cut, mm.
    pub kerf_mm: f64,
    /// Length lost from each bar for squaring its end, mm.
    pub squaring_mm: f64,
}

/// A piece on its bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Its place in the list of pieces wanted, counted from 0.
    pub piece: usize,
    /// What it is for.
    pub label: String,
    /// Its length, mm.
    pub length_mm: f64,
}

/// A bar and what is sawn from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Its place in the list of stock lengths, counted from 0.
    pub stock: usize,
    /// Its length, mm.
    pub length_mm: f64,
    /// The pieces, longest first.
    pub cuts: Vec<Cut>,
    /// What is left after the last cut, mm.
    pub left_mm: f64,
}

/// Which piece comes from which bar.
#[derive(Debug, Clone, PartialEq)]
pub struct CuttingPlan {
    /// The bars begun: those from the shelf first.
    pub bars: Vec<Bar>,
    /// Pieces longer than any stock, by their place in the list.
    pub too_long: Vec<usize>,
    /// Pieces for which the shelf was too short and nothing can be bought, by their place in the list.
    pub not_placed: Vec<usize>,
    /// No plan for the pieces that fit the stock can do with fewer bars than this.
    pub least_bars: usize,
    /// True where no plan with fewer bars exists: the bound or a full search says so.
    pub proven: bool,
}

/// # What it gives
///
/// A cutting plan: every piece on a bar, no bar overfull, with few bars begun.
///
/// # Formula
///
/// `n` pieces fit a bar if `sum + (n - 1) kerf <= length - squaring`. Several rules are tried (longest
/// piece first into the first or the fullest bar that takes it, and filling one bar after the other as
/// full as can be), then up to 20 pieces are searched through; the plan that leaves the least out,
/// then buys the least, then begins the fewest bars, then keeps the longest single left-over wins.
///
/// # Valid for
///
/// Lengths above 0 and up to 10 km, kerf and squaring loss from 0, up to 1000 pieces. Pieces, kerf
/// and squaring loss are rounded up, stock down, to a tenth of a millimetre.
///
/// # Source
///
/// First-fit and best-fit decreasing and the lower bound on the number of bars: S. Martello and P. Toth,
/// Knapsack Problems, 1990, chapter 8 (from-memory). Filling one bar at a time: J. N. D. Gupta and
/// J. C. Ho, 1999; K. Fleszar and K. S. Hindi, 2002 (from-memory).
///
/// # Notes
///
/// The plan is not always the best there is; `proven` tells. A published list of 219 pieces in 13 lengths
/// that fits 73 bars gets 75 here. With several lengths of stock the bound takes every bar to be as long
/// as the longest.
///
/// # Errors
///
/// Refuses numbers that are not finite or out of range. Pieces that fit no stock are no error: they are
/// listed.
///
/// # Example
///
/// ```
/// use hosewright::makeup::stock::{StockInput, StockLength, WantedPiece, cutting_plan};
///
/// let piece = |length_mm| WantedPiece { length_mm, label: format!("{length_mm}") };
/// let plan = cutting_plan(&StockInput {
///     pieces: &[piece(600.0), piece(450.0), piece(390.0), piece(540.0)],
///     stock: &[StockLength { length_mm: 1000.0, count: None }],
///     kerf_mm: 3.0,
///     squaring_mm: 5.0,
/// })?;
/// assert_eq!(plan.bars.len(), 2);
/// assert!(plan.proven);
/// # Ok::<(), hosewright::makeup::MakeupError>(())
/// ```
pub fn cutting_plan(input: &StockInput<'_>) -> Result<CuttingPlan, MakeupError> {
    let amounts = amounts(input)?;
    let there = input.stock.iter().zip(&amounts.capacities);
    let there = there.filter(|(stock, _)| stock.count != Some(0));
    let longest = there.map(|(_, capacity)| *capacity).max().unwrap_or(0);
    let too_long: Vec<usize> = (0..amounts.sizes.len())
        .filter(|piece| amounts.sizes.get(*piece).is_some_and(|size| *size > longest))
        .collect();
    let problem = problem(input, &amounts, longest);
    let solved = stock_fill::solve(&problem);
    let placed: BTreeSet<usize> = solved.bins.iter().flat_map(|bin| &bin.items).copied().collect();
    let not_placed: Vec<usize> = problem
        .items
        .iter()
        .map(|(piece, _)| *piece)
        .filter(|piece| !placed.contains(piece))
        .collect();
    let mut bars: Vec<Bar> =
        solved.bins.iter().filter_map(|bin| bar(input, &amounts, bin)).collect();
    bars.sort_by_key(|bar| {
        (input.stock.get(bar.stock).is_none_or(|stock| stock.count.is_none()), bar.stock)
    });
    Ok(CuttingPlan {
        proven: not_placed.is_empty() && (solved.searched || bars.len() == solved.least_bars),
        bars,
        too_long,
        not_placed: sorted(not_placed),
        least_bars: solved.least_bars,
    })
}

fn sorted(mut pieces: Vec<usize>) -> Vec<usize> {
    pieces.sort_unstable();
    pieces
}

/// Lengths in tenths; every size and every capacity has one kerf added, so that `n` pieces with
/// `n - 1` cuts between them fit exactly when their sizes do.
struct Amounts {
    sizes: Vec<u64>,
    capacities: Vec<u64>,
    kerf: u64,
}

fn amounts(input: &StockInput<'_>) -> Result<Amounts, MakeupError> {
    if input.pieces.len() > MOST_PIECES {
        return Err(MakeupError::TooMany {
            what: "pieces to saw",
            has: input.pieces.len(),
            most: MOST_PIECES,
        });
    }
    let kerf = tenths_up(not_below_zero("kerf_mm", input.kerf_mm)?)?;
    let squaring = tenths_up(not_below_zero("squaring_mm", input.squaring_mm)?)?;
    let sizes = input.pieces.iter().map(|piece| {
        above_zero("length of a piece", piece.length_mm)?;
        Ok(tenths_up(piece.length_mm)? + kerf)
    });
    let capacities = input.stock.iter().map(|stock| {
        above_zero("length of stock", stock.length_mm)?;
        let usable = tenths_down(stock.length_mm)?.saturating_sub(squaring);
        Ok(if usable == 0 { 0 } else { usable + kerf })
    });
    Ok(Amounts {
        sizes: sizes.collect::<Result<_, MakeupError>>()?,
        capacities: capacities.collect::<Result<_, MakeupError>>()?,
        kerf,
    })
}

/// A thousandth of a tenth over or under a whole tenth is rounding of the number, not length.
const NOISE: f64 = 1e-3;

fn tenths_up(length_mm: f64) -> Result<u64, MakeupError> {
    whole((length_mm * TENTHS - NOISE).ceil().max(0.0))
}

fn tenths_down(length_mm: f64) -> Result<u64, MakeupError> {
    whole((length_mm * TENTHS + NOISE).floor())
}

fn whole(tenths: f64) -> Result<u64, MakeupError> {
    super::within("a length in the cutting plan, mm", tenths / TENTHS, 0.0, LONGEST_MM)?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole, not below zero and under 1e8, checked above"
    )]
    Ok(tenths as u64)
}

/// Whole tenths back to millimetres.
fn mm(tenths: u64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "under 1e8 tenths, far inside 2^53")]
    let tenths = tenths as f64;
    tenths / TENTHS
}

fn problem(input: &StockInput<'_>, amounts: &Amounts, longest: u64) -> Problem {
    let mut items: Vec<(usize, u64)> = amounts.sizes.iter().copied().enumerate().collect();
    items.retain(|(_, size)| *size <= longest);
    items.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut shelf = Vec::new();
    let mut endless = Vec::new();
    for (stock, (length, capacity)) in input.stock.iter().zip(&amounts.capacities).enumerate() {
        match length.count {
            None => endless.push((stock, *capacity)),
            Some(count) => {
                let useful = usize::try_from(count).unwrap_or(usize::MAX).min(items.len());
                shelf.extend(std::iter::repeat_n((stock, *capacity), useful));
            }
        }
    }
    shelf.sort_by_key(|(stock, capacity)| (*capacity, *stock));
    endless.sort_by_key(|(stock, capacity)| (*capacity, *stock));
    Problem { items, shelf, endless }
}

fn bar(input: &StockInput<'_>, amounts: &Amounts, bin: &Bin) -> Option<Bar> {
    let mut cuts = Vec::new();
    for piece in &bin.items {
        let wanted = input.pieces.get(*piece)?;
        cuts.push(Cut { piece: *piece, label: wanted.label.clone(), length_mm: wanted.length_mm });
    }
    cuts.sort_by(|a, b| b.length_mm.total_cmp(&a.length_mm).then(a.piece.cmp(&b.piece)));
    // The capacity carries one kerf that no cut uses; sawing off the rest takes it.
    let left = bin.capacity.saturating_sub(bin.used).saturating_sub(amounts.kerf);
    Some(Bar {
        stock: bin.stock,
        length_mm: input.stock.get(bin.stock)?.length_mm,
        cuts,
        left_mm: mm(left),
    })
}
