//! Time of cutting plans with their proof; beside the integer solver of `SciPy` on request.
//!
//! `cargo bench --bench stock -- PATH` runs `tests/oracle/stock_speed.py` on the same lists with the Python
//! interpreter at PATH, which needs `SciPy`, and prints both side by side. Without PATH there are only our own times.

mod beside;
mod row;

use hosewright::makeup::stock::{CuttingPlan, StockInput, StockLength, WantedPiece, cutting_plan};
use std::fmt::Write as _;
use std::hint::black_box;
use std::io::Write as _;
use std::time::Instant;

/// A list of pieces to cut, mm.
struct List {
    name: &'static str,
    stock_mm: u32,
    kerf_mm: u32,
    lengths_mm: Vec<u32>,
}

fn main() {
    let python = beside::python();
    print_line(&format!(
        "{:<34}{:>8}{:>8}{:>8}{:>10}{:>12}{:>10}",
        "pieces", "bars", "bound", "proven", "ms", "HiGHS ms", "ratio"
    ));
    for list in lists() {
        let (ms, plan) = shortest_ms(&list);
        let (bars, bound) = (plan.bars.len(), plan.least_bought);
        let mut line = format!("{:<34}{bars:>8}{bound:>8}{:>8}{ms:>10.3}", list.name, plan.proven);
        if let Some(python) = &python {
            match theirs(python, &list) {
                Some((theirs, number)) => {
                    let _ = write!(line, "{theirs:>12.2}{:>10.1}", theirs / ms);
                    let what = format!("cutting plan with proof, {}", list.name);
                    row::row(&what, ms / 1e3, "HiGHS by SciPy", theirs / 1e3);
                    if number != bars {
                        let _ = write!(line, "  HiGHS needs {number}");
                    }
                }
                None => line.push_str("  HiGHS gave no answer"),
            }
        }
        print_line(&line);
    }
}

/// The published list of 219 rolls, hoses of one machine, and 60 pieces in 16 and in 60 lengths.
fn lists() -> Vec<List> {
    let widths = [1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200];
    let counts = [22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20];
    let rolls = widths.into_iter().zip(counts);
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    let mut share = move |below: u32| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        u32::try_from((state >> 33) % u64::from(below)).unwrap_or(0)
    };
    let kinds: Vec<u32> = (0..16).map(|_| 700 + share(2200)).collect();
    let of_kinds = (0..60).map(|_| kinds.get(share(16) as usize).copied().unwrap_or(700)).collect();
    let all_different = (0..60).map(|_| 200 + share(1300)).collect();
    vec![
        List {
            name: "219 published, 13 lengths",
            stock_mm: 5600,
            kerf_mm: 0,
            lengths_mm: rolls.flat_map(|(w, n)| std::iter::repeat_n(w, n)).collect(),
        },
        List {
            name: "11 of one machine",
            stock_mm: 3000,
            kerf_mm: 3,
            lengths_mm: vec![960, 520, 960, 960, 1065, 585, 330, 585, 735, 255, 1755],
        },
        List { name: "60 in 16 lengths", stock_mm: 6000, kerf_mm: 3, lengths_mm: of_kinds },
        List { name: "60, all different", stock_mm: 3000, kerf_mm: 3, lengths_mm: all_different },
    ]
}

fn solved(list: &List) -> CuttingPlan {
    let each = list.lengths_mm.iter();
    let pieces: Vec<WantedPiece> =
        each.map(|mm| WantedPiece { length_mm: f64::from(*mm), label: String::new() }).collect();
    let stock = [StockLength { length_mm: f64::from(list.stock_mm), count: None }];
    let kerf_mm = f64::from(list.kerf_mm);
    let input = StockInput { pieces: &pieces, stock: &stock, kerf_mm, squaring_mm: 0.0 };
    cutting_plan(&input).unwrap_or_else(|error| {
        print_line(&error.to_string());
        std::process::abort()
    })
}

/// Shortest time in milliseconds, which other work on the machine disturbs least, and the answer.
fn shortest_ms(list: &List) -> (f64, CuttingPlan) {
    let plan = solved(list);
    let times = (0..10).map(|_| {
        let start = Instant::now();
        black_box(solved(list));
        start.elapsed().as_secs_f64() * 1e3
    });
    (times.fold(f64::INFINITY, f64::min), plan)
}

/// Time of the other solver in milliseconds, and how many bars it takes.
fn theirs(python: &str, list: &List) -> Option<(f64, usize)> {
    let mut text = format!("{} {}", list.stock_mm, list.kerf_mm);
    for length in &list.lengths_mm {
        let _ = write!(text, " {length}");
    }
    let answer = beside::answer(python, "stock_speed.py", &text)?;
    let mut words = answer.split_whitespace();
    Some((words.next()?.parse().ok()?, words.next()?.parse().ok()?))
}

fn print_line(line: &str) {
    let _ = writeln!(std::io::stdout(), "{line}");
}
