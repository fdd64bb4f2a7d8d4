//! How long a piece of work takes.

use std::time::{Duration, Instant};

/// Time on the processor where the system tells it, so that other work does not count; time on the wall elsewhere.
pub(crate) struct Clock {
    wall: Instant,
    processor: Option<Duration>,
}

impl Clock {
    pub(crate) fn start() -> Self {
        Self { wall: Instant::now(), processor: Self::processor() }
    }

    pub(crate) fn elapsed(&self) -> Duration {
        match (Self::processor(), self.processor) {
            (Some(now), Some(then)) => now.saturating_sub(then),
            _ => self.wall.elapsed(),
        }
    }

    fn processor() -> Option<Duration> {
        let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
        text.split_whitespace().next()?.parse().ok().map(Duration::from_nanos)
    }
}
