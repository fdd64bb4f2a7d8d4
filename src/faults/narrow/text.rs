//! An answer for the terminal.

use std::fmt::Write as _;

use crate::machine::model::Machine;
use crate::spec::units::{Minutes, Ohms, Volts};

use super::answer::{Doubt, NarrowSuspect, Narrowing};
use super::evidence::Evidence;

impl Narrowing {
    /// The answer in words.
    #[must_use]
    pub fn to_text(&self, machine: &Machine, evidence: &Evidence) -> String {
        let mut text = String::new();
        if let Some(sequence) = evidence.sequence {
            let sequence = &machine.sequences[sequence.0];
            let _ = writeln!(text, "Sequence {}, {}. One fault is assumed.", sequence.number, sequence.title);
        } else {
            let _ = writeln!(text, "One fault is assumed.");
        }
        for doubt in &self.doubts {
            let _ = writeln!(text, "{}", doubt_text(doubt, evidence));
        }
        if self.unexplained {
            let _ = writeln!(text, "No single fault explains these readings: look for two, or for a wrong test point.");
        }
        if self.sequences_disagree {
            let _ = writeln!(text, "No single fault stops just these sequences: look for two, or try them again.");
        }
        let _ = writeln!(text, "\n  share  suspect");
        for suspect in &self.suspects {
            let _ = writeln!(text, "{:>6} %  {}", percent(suspect.share), suspect_text(suspect));
        }
        if self.no_fault > 0.003 {
            let _ = writeln!(text, "{:>6} %  no fault that is known here", percent(self.no_fault));
        }
        if self.undecided {
            let _ = writeln!(text, "\nThe first two are too close to decide between them.");
        }
        match &self.next {
            Some(next) => {
                let _ = writeln!(
                    text,
                    "\nNext: {} ({}; about {} until it is found).",
                    next.text,
                    Minutes::new(next.minutes),
                    Minutes::new(next.expected_minutes)
                );
            }
            None => {
                let _ = writeln!(text, "\nNo check on offer tells more.");
            }
        }
        text
    }
}

fn percent(share: f64) -> String {
    format!("{:.1}", 100.0 * share)
}

fn suspect_text(suspect: &NarrowSuspect) -> String {
    let mut text = if suspect.fault.starts_with(&suspect.place) {
        suspect.fault.clone()
    } else {
        format!("{}: {}", suspect.place, suspect.fault)
    };
    if let Some(added) = suspect.added {
        let _ = write!(text, " ({} to {})", Ohms::new(added.low), Ohms::new(added.high));
    }
    if let Some(location) = &suspect.location {
        let _ = write!(text, "; {location}");
    }
    text
}

fn doubt_text(doubt: &Doubt, evidence: &Evidence) -> String {
    let is_ohms = evidence.ohms.iter().any(|read| read.name == doubt.at);
    let say = |value: f64| if is_ohms { Ohms::new(value).to_string() } else { Volts::new(value).to_string() };
    let reads = doubt.reads.map_or_else(|| "no continuity".into(), say);
    let expected = if is_ohms && doubt.expected > 1e6 { "no continuity".into() } else { say(doubt.expected) };
    format!("{} = {reads} does not fit the other readings, which want about {expected} there: take it again.", doubt.at)
}
