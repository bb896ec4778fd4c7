//! Whole runs of the program against its `--help`, as ratios in one run.
#![expect(clippy::disallowed_macros, reason = "a bench is a program: it prints its table")]

mod row;

use std::process::{Command, Stdio};
use std::time::Instant;

/// Runs of each kind; the median is printed.
const RUNS: usize = 60;

/// Median wall time of one run, s.
fn median(arguments: &[&str]) -> f64 {
    let mut times: Vec<f64> = (0..RUNS).map(|_| seconds(arguments)).collect();
    times.sort_by(f64::total_cmp);
    times[RUNS / 2]
}

fn seconds(arguments: &[&str]) -> f64 {
    let started = Instant::now();
    let status = Command::new(env!("CARGO_BIN_EXE_hosewright"))
        .args(arguments)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    assert!(status.is_ok_and(|s| s.code().is_some_and(|c| c < 2)), "{arguments:?} did not run");
    started.elapsed().as_secs_f64()
}

fn main() {
    let help = median(&["--help"]);
    println!("{:40} {:>8} {:>8}", "whole process", "ms", "x help");
    println!("{:40} {:8.2} {:8.2}", "--help", help * 1e3, 1.0);
    for example in ["01-amphibian", "02-river-launch", "03-press"] {
        for command in ["check", "cut"] {
            let plan = format!("{}/examples/{example}/plan.toml", env!("CARGO_MANIFEST_DIR"));
            let time = median(&[command, &plan]);
            let name = format!("{command} {example}");
            println!("{name:40} {:8.2} {:8.2}", time * 1e3, time / help);
            row::row(&format!("whole process, {name}"), time, "`--help`", help);
        }
    }
}
