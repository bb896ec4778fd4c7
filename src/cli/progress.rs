//! A line on standard error for whoever waits at a terminal: not into a pipe, and not for what is done at once.

use std::io::{IsTerminal, Write};
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

use crate::solve::progress::so_far;

/// What takes less is done before anybody has read a word.
const QUIET: Duration = Duration::from_millis(500);
/// From one figure to the next.
const BETWEEN: Duration = Duration::from_millis(150);
/// Room for the words; they are taken away with blanks, so that nothing but a return is asked of the terminal.
const WIDTH: usize = 60;

/// Tells how far the work is until it is dropped.
pub struct Progress(Option<(Sender<()>, JoinHandle<()>)>);

impl Progress {
    /// Begins to wait; tells nothing where nobody looks.
    pub fn begin() -> Self {
        if !std::io::stderr().is_terminal() {
            return Self(None);
        }
        let (done, waiting) = channel::<()>();
        let teller = std::thread::spawn(move || {
            let mut told = false;
            let mut wait = QUIET;
            while waiting.recv_timeout(wait) == Err(RecvTimeoutError::Timeout) {
                if let Some(words) = words(so_far()) {
                    say(&words);
                    told = true;
                }
                wait = BETWEEN;
            }
            if told {
                say("");
            }
        });
        Self(Some((done, teller)))
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some((done, teller)) = self.0.take() {
            drop(done);
            let _ = teller.join();
        }
    }
}

/// Nothing before cases are asked for, as while a plan is typed in.
fn words([solved, expected]: [usize; 2]) -> Option<String> {
    (expected > 0).then(|| format!("solved {solved} of {expected} cases"))
}

/// Writes words over those before, and goes back to the beginning of the line.
fn say(words: &str) {
    let mut err = std::io::stderr().lock();
    let _ = write!(err, "\r{words:WIDTH$}\r");
    let _ = err.flush();
}

#[cfg(test)]
mod tests {
    use super::words;

    #[test]
    fn what_is_counted_is_told() {
        assert_eq!(words([0, 0]), None);
        assert_eq!(words([12, 4800]).as_deref(), Some("solved 12 of 4800 cases"));
    }
}
