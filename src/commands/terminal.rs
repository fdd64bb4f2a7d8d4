//! The terminal as commands see it: whether there is one, colours, progress. The only place that writes while a command
//! runs; everything else is printed when it ends.

use std::io::{IsTerminal, Write};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// What the standard error is connected to.
#[derive(Debug, Clone, Copy)]
pub struct Terminal {
    /// Whether somebody watches.
    attended: bool,
    /// Whether messages are coloured.
    pub colour: bool,
}

impl Terminal {
    /// The terminal of this process. `NO_COLOR` is respected.
    #[must_use]
    pub fn of_process() -> Self {
        let attended = std::io::stderr().is_terminal();
        let colour = attended && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty());
        Self { attended, colour }
    }

    /// Nobody watches.
    #[must_use]
    pub fn unattended() -> Self {
        Self { attended: false, colour: false }
    }

    /// A progress bar over so many steps; hidden unless somebody watches and there is something to wait for.
    #[must_use]
    pub fn progress(self, steps: usize) -> ProgressBar {
        let steps = u64::try_from(steps).unwrap_or(u64::MAX);
        if !self.attended || steps < 2 {
            return ProgressBar::hidden();
        }
        let bar = ProgressBar::with_draw_target(Some(steps), ProgressDrawTarget::stderr());
        if let Ok(style) = ProgressStyle::with_template("{bar:24} {pos}/{len} {msg}") {
            bar.set_style(style);
        }
        bar
    }

    /// A message while the command goes on, as watching needs it. A terminal that is gone is no reason to stop.
    pub fn say(self, message: &str) {
        let mut error = std::io::stderr().lock();
        let _ = writeln!(error, "{}", message.trim_end());
    }
}
