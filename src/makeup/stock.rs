//! Sharing out stock: which pieces to saw from which bar or roll, so that few are begun.

use super::{MakeupError, above_zero, not_below_zero};
use fill::{Bin, Problem};
use stages::Solved;

mod bound;
mod covering;
mod fill;
mod knapsack;
mod minimum;
mod search;
mod spare;
mod stages;

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

/// The longest further piece that comes out without another bar or a longer one.
#[derive(Debug, Clone, PartialEq)]
pub struct Spare {
    /// Its length, mm; sawing it off is paid for.
    pub length_mm: f64,
    /// No piece longer than this comes out, mm: the same length where that is certain.
    pub at_most_mm: f64,
    /// What has to be bought more for one that is longer: bars and their length, mm. None where no stock gives
    /// one, or where it is not certain.
    pub longer_costs: Option<(usize, f64)>,
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
    /// No plan for the pieces that are cut can do with fewer bars than this, from the shelf or bought.
    pub least_bars: usize,
    /// Bars to be bought.
    pub bought: usize,
    /// No plan that cuts as many pieces buys fewer bars than this.
    pub least_bought: usize,
    /// True where no plan leaves fewer pieces out, none that cuts as many buys fewer bars, and none that buys as
    /// many buys less length.
    pub proven: bool,
    /// The longest piece that still comes out; none where there is no room for one.
    pub spare: Option<Spare>,
}

/// # What it gives
///
/// The cutting plan that leaves the fewest pieces out, then buys the fewest bars, then the least length, then
/// keeps the longest single left-over, then begins the least length of the shelf; and the longest piece that still
/// comes out of it.
///
/// # Formula
///
/// `n` pieces fit a bar if `sum + (n - 1) kerf <= length - squaring`. The lower bound is a worth for each
/// piece such that no bar can hold more worth than it costs: all pieces together then cost at least their worth. A
/// linear programme finds the worth, and whole numbers show that it holds; so rounding cannot make a bound too
/// high. Packings are searched that lose no more worth than the bound and whole bars leave to lose.
///
/// # Valid for
///
/// Lengths above 0 and up to 10 km, kerf and squaring loss from 0, up to 1000 pieces. Pieces, kerf
/// and squaring loss are rounded up, stock down, to a tenth of a millimetre.
///
/// # Source
///
/// The relaxed problem over patterns: P. C. Gilmore and R. E. Gomory, A linear programming approach to the
/// cutting-stock problem, Operations Research 9 (1961) (from-memory). First-fit and best-fit decreasing and the
/// bound on the number of bars: S. Martello and P. Toth, Knapsack Problems, 1990, chapter 8 (from-memory). Filling
/// one bar at a time: J. N. D. Gupta and J. C. Ho, 1999; K. Fleszar and K. S. Hindi, 2002 (from-memory).
///
/// # Notes
///
/// Every limit is a number of steps, never a time, so that each run on each machine gives the same plan. Where the
/// steps do not suffice, `proven` is false and `least_bought` tells how much better a plan could be. A spare is
/// sawn off like any piece and leaves the raw end of its bar behind: it is a kerf shorter than what is left.
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
    let solved = stages::solve(&problem);
    let mut bars: Vec<Bar> =
        solved.bins.iter().filter_map(|bin| bar(input, &amounts, bin)).collect();
    let to_buy = |stock: usize| input.stock.get(stock).is_none_or(|stock| stock.count.is_none());
    bars.sort_by_key(|bar| (to_buy(bar.stock), bar.stock));
    Ok(CuttingPlan {
        bought: bars.iter().filter(|bar| to_buy(bar.stock)).count(),
        spare: spare(input, &amounts, &solved, &bars),
        bars,
        too_long,
        not_placed: sorted(solved.left_out),
        least_bars: solved.least_bars,
        least_bought: solved.least_bought,
        proven: solved.proven,
    })
}

/// The room for a spare in millimetres, less the cut behind it, and what a longer one adds to what is bought.
fn spare(
    input: &StockInput<'_>,
    amounts: &Amounts,
    solved: &Solved,
    bars: &[Bar],
) -> Option<Spare> {
    let found = solved.spare?;
    let length = |size: u64| size.saturating_sub(2 * amounts.kerf);
    let bought_mm = |stock: usize| {
        let stock = input.stock.get(stock).filter(|stock| stock.count.is_none());
        stock.map_or(0.0, |stock| stock.length_mm)
    };
    let now_mm: f64 = bars.iter().map(|bar| bought_mm(bar.stock)).sum();
    let now = bars.iter().filter(|bar| bought_mm(bar.stock) > 0.0).count();
    let longer_costs = solved.with_longer.as_ref().map(|bought| {
        let count: usize = bought.iter().map(|(_, count)| count).sum();
        let each = bought.iter().flat_map(|(stock, n)| std::iter::repeat_n(bought_mm(*stock), *n));
        (count.saturating_sub(now), each.sum::<f64>() - now_mm)
    });
    (length(found.size) > 0).then(|| Spare {
        length_mm: mm(length(found.size)),
        at_most_mm: mm(length(found.at_most)),
        longer_costs,
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
