//! Progress of long work, told to whoever listens; the library itself never prints.

use std::time::Duration;

/// Hears how far the work has come.
pub trait Listener: Sync {
    /// A piece of work begins or ends: `done` of `total` pieces, and what the current one is.
    fn progress(&self, done: usize, total: usize, what: &str);
}

/// Hears nothing.
#[derive(Debug, Clone, Copy, Default)]
pub struct Silence;

impl Listener for Silence {
    fn progress(&self, _: usize, _: usize, _: &str) {}
}

/// No guess is made before work has gone on for this long: the first pieces say little.
const PATIENCE: Duration = Duration::from_secs(10);

/// Guesses how long work will still take. It asks no clock: the time since the start comes in.
#[derive(Debug, Clone, Copy, Default)]
pub struct Pace {
    total: usize,
    done: usize,
    /// When this stretch of work began, and how much of it was done by then.
    began: (Duration, usize),
}

impl Pace {
    /// Takes in how far the work has come at `now`, and gives the time that is left if the rest goes on as
    /// fast as it went until now. Nothing in the first ten seconds, nor before a piece is done.
    ///
    /// Other pieces (another total, or fewer done than before) are other work, which is guessed anew.
    pub fn left(&mut self, now: Duration, done: usize, total: usize) -> Option<Duration> {
        if total != self.total || done < self.done {
            self.total = total;
            self.began = (now, done);
        }
        self.done = done;
        let (since, first) = self.began;
        let took = now.checked_sub(since)?;
        let pieces = done.checked_sub(first).filter(|&n| n > 0)?;
        if took < PATIENCE {
            return None;
        }
        let rest = total.saturating_sub(done) as f64;
        Duration::try_from_secs_f64(took.as_secs_f64() / pieces as f64 * rest).ok()
    }
}

/// The guess in words, no finer than it can be: “about 3 minutes left”.
pub fn left_words(left: Duration) -> String {
    let seconds = left.as_secs();
    let about = |n: u64, one: &str, many: &str| match n {
        1 => format!("about {one} left"),
        n => format!("about {n} {many} left"),
    };
    match seconds {
        0..45 => "less than a minute left".to_owned(),
        45..5400 => about((seconds + 30) / 60, "a minute", "minutes"),
        _ => about((seconds + 1800) / 3600, "an hour", "hours"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn s(seconds: u64) -> Duration {
        Duration::from_secs(seconds)
    }

    #[test]
    fn even_work_is_guessed_exactly() {
        let mut pace = Pace::default();
        assert_eq!(pace.left(s(5), 0, 10), None);
        assert_eq!(pace.left(s(14), 1, 10), None, "nine seconds say little");
        // Two pieces in twenty seconds: eight are left, ten seconds each.
        assert_eq!(pace.left(s(25), 2, 10), Some(s(80)));
        assert_eq!(pace.left(s(105), 10, 10), Some(s(0)));
    }

    #[test]
    fn other_work_is_guessed_anew() {
        let mut pace = Pace::default();
        pace.left(s(0), 0, 4);
        assert_eq!(pace.left(s(40), 2, 4), Some(s(40)));
        assert_eq!(pace.left(s(41), 0, 100), None);
        assert_eq!(pace.left(s(61), 20, 100), Some(s(80)));
        assert_eq!(pace.left(s(62), 3, 100), None, "fewer done than before");
    }

    #[test]
    fn pieces_that_were_there_before_do_not_count() {
        // 90 of 100 came from a store at once; two more took forty seconds.
        let mut pace = Pace::default();
        assert_eq!(pace.left(s(0), 90, 100), None);
        assert_eq!(pace.left(s(40), 92, 100), Some(s(160)));
    }

    #[test]
    fn clocks_that_run_backwards_and_no_work_give_no_guess() {
        let mut pace = Pace::default();
        assert_eq!(pace.left(s(50), 0, 10), None);
        assert_eq!(pace.left(s(20), 1, 10), None);
        assert_eq!(Pace::default().left(s(99), 0, 0), None);
    }

    #[test]
    fn words_are_no_finer_than_the_guess() {
        assert_eq!(left_words(s(10)), "less than a minute left");
        assert_eq!(left_words(s(62)), "about a minute left");
        assert_eq!(left_words(s(89)), "about a minute left");
        assert_eq!(left_words(s(200)), "about 3 minutes left");
        assert_eq!(left_words(s(5400)), "about 2 hours left");
    }
}
