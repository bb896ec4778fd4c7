//! Chances of pairs: summed over all ways of sharing out, or by messages where those are too many.

use super::IdentifyError;

/// Change of a message below which it has come to rest.
const REST: f64 = 1e-12;
/// Rounds of messages; they close in on rest by a share each round.
const MOST_ROUNDS: usize = 100_000;

/// The chance of every pair, by pipe and place, from weights against nowhere.
///
/// `first[set]` sums the ways in which the pipes before one fill exactly the places of a set, and
/// `last[set]` those in which the pipes behind it fill places outside of it.
pub fn exact(ratios: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let places = ratios.first().map_or(0, Vec::len);
    let sets = 1usize << places;
    let mut first = vec![0.0; sets];
    first[0] = 1.0;
    let mut before = Vec::with_capacity(ratios.len());
    for row in ratios {
        let after = scaled(added(&first, row));
        before.push(std::mem::replace(&mut first, after));
    }
    let mut last = vec![1.0; sets];
    let mut chances = vec![Vec::new(); ratios.len()];
    for (pipe, row) in ratios.iter().enumerate().rev() {
        chances[pipe] = of_pipe(row, &before[pipe], &last);
        last = scaled(free(&last, row));
    }
    chances
}

/// Ways with one pipe more, by the set of places that are filled.
fn added(ways: &[f64], row: &[f64]) -> Vec<f64> {
    let mut next = ways.to_vec();
    for (place, ratio) in row.iter().enumerate().filter(|(_, r)| **r > 0.0) {
        let bit = 1 << place;
        for set in (0..ways.len()).filter(|set| set & bit != 0) {
            next[set] += ratio * ways[set ^ bit];
        }
    }
    next
}

/// Ways with one pipe more before those behind, by the set of places that are filled already.
fn free(ways: &[f64], row: &[f64]) -> Vec<f64> {
    let mut next = ways.to_vec();
    for (place, ratio) in row.iter().enumerate().filter(|(_, r)| **r > 0.0) {
        let bit = 1 << place;
        for set in (0..ways.len()).filter(|set| set & bit == 0) {
            next[set] += ratio * ways[set | bit];
        }
    }
    next
}

/// The chances of one pipe from the ways of those before and behind it.
fn of_pipe(row: &[f64], before: &[f64], behind: &[f64]) -> Vec<f64> {
    let nowhere: f64 = before.iter().zip(behind).map(|(b, l)| b * l).sum();
    let at = |(place, ratio): (usize, &f64)| {
        let bit = 1usize << place;
        let open = (0..before.len()).filter(|set| set & bit == 0);
        ratio * open.map(|set| before[set] * behind[set | bit]).sum::<f64>()
    };
    let ways: Vec<f64> = row.iter().enumerate().map(at).collect();
    let all = nowhere + ways.iter().sum::<f64>();
    ways.into_iter().map(|w| w / all).collect()
}

/// The same ways with the largest as one: only their shares count.
fn scaled(mut ways: Vec<f64>) -> Vec<f64> {
    let largest = ways.iter().copied().fold(0.0, f64::max);
    for way in &mut ways {
        *way /= largest;
    }
    ways
}

/// The chance of every pair by sum-product messages between pipes and places.
pub fn by_messages(ratios: &[Vec<f64>]) -> Result<Vec<Vec<f64>>, IdentifyError> {
    let places = ratios.first().map_or(0, Vec::len);
    let mut from_places = vec![vec![1.0; places]; ratios.len()];
    let mut change = f64::INFINITY;
    for _ in 0..MOST_ROUNDS {
        let from_pipes = pipe_messages(ratios, &from_places);
        change = place_messages(&from_pipes, &mut from_places);
        if change < REST {
            break;
        }
    }
    if change >= REST {
        return Err(IdentifyError::NotConverged { change, rounds: MOST_ROUNDS });
    }
    let chances = ratios.iter().zip(&from_places).map(|(row, messages)| {
        let ways: Vec<f64> = row.iter().zip(messages).map(|(r, m)| r * m).collect();
        let all = 1.0 + ways.iter().sum::<f64>();
        ways.into_iter().map(|w| w / all).collect()
    });
    Ok(chances.collect())
}

fn pipe_messages(ratios: &[Vec<f64>], from_places: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let one = |(row, messages): (&Vec<f64>, &Vec<f64>)| {
        let ways: Vec<f64> = row.iter().zip(messages).map(|(r, m)| r * m).collect();
        let all = 1.0 + ways.iter().sum::<f64>();
        row.iter().zip(&ways).map(|(r, w)| r / (all - w).max(1.0)).collect()
    };
    ratios.iter().zip(from_places).map(one).collect()
}

/// Renews the messages of the places and gives the largest change.
fn place_messages(from_pipes: &[Vec<f64>], from_places: &mut [Vec<f64>]) -> f64 {
    let places = from_places.first().map_or(0, Vec::len);
    let mut change: f64 = 0.0;
    for place in 0..places {
        let all: f64 = 1.0 + from_pipes.iter().map(|row| row[place]).sum::<f64>();
        for (messages, row) in from_places.iter_mut().zip(from_pipes) {
            let renewed = 1.0 / (all - row[place]).max(1.0);
            change = change.max((renewed - messages[place]).abs());
            messages[place] = renewed;
        }
    }
    change
}
