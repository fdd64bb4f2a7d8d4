//! Every order of checks, walked as a person would: step by step, on machines whose values lie anywhere in their bands.
//!
//! A walk puts one fault into one drawn machine, makes the check of a step, follows the answer that names what it shows,
//! and so on to the end. The end is right where it names the true place, alone or with look-alikes; it is honest where it
//! says that these checks do not find it; anything else is a wrong part in somebody's hands.

use benchleaf::circuit::{Effort, Solution, Solver};
use benchleaf::drill::{Showing, showings};
use benchleaf::fact;
use benchleaf::faults::dictionary::SequenceTable;
use benchleaf::faults::findings::SequenceFindings;
use benchleaf::faults::kinds::{Fault, Site};
use benchleaf::faults::order::{Answer, Bin, CheckKind, Next, Seen, Step};
use benchleaf::faults::search::symptom::Effect;
use benchleaf::faults::{Findings, analyse, describe};
use benchleaf::machine::model::{Current, Machine, SequenceId};
use benchleaf::words::{Fact, Words};

use super::random::random;

/// Where walks ended.
#[derive(Debug, Default)]
pub(crate) struct Walks {
    /// At the true place and no other.
    pub(crate) alone: usize,
    /// At the true place among others.
    pub(crate) among: usize,
    /// At "not found".
    pub(crate) lost: usize,
    /// At a wrong place: what happened.
    pub(crate) wrong: Vec<String>,
}

impl Walks {
    /// How many there were.
    pub(crate) fn count(&self) -> usize {
        self.alone + self.among + self.lost + self.wrong.len()
    }
}

/// Walks every `step`-th fault of every sequence on each of some drawn machines; the first is nominal.
pub(crate) fn walks(machine: &Machine, draws: usize, step: usize, seed: u64) -> Walks {
    let solver = Solver::new(machine).unwrap();
    let solution = solver.solve(Effort::Bands);
    let findings = analyse(machine, &solver, &solution);
    let mut random = random(seed);
    let mut walks = Walks::default();
    for draw in 0..draws {
        let shares: Vec<f64> = (0..solver.parameters()).map(|_| random.unit()).collect();
        let one = if draw == 0 { Solver::new(machine) } else { Solver::of_one(machine, &shares) };
        let one = one.unwrap();
        let state = one.solve(Effort::Nominal);
        for found in &findings.sequences {
            let suspects = found.order.iter().flat_map(|order| order.suspects.iter().copied());
            for fault in suspects.skip(draw % step).step_by(step) {
                let walk = Walk { machine, solution: &solution, drawn: (&one, &state), findings: &findings, fault };
                walk.count(found, &mut walks);
            }
        }
    }
    walks
}

struct Walk<'a> {
    machine: &'a Machine,
    solution: &'a Solution,
    drawn: (&'a Solver<'a>, &'a Solution),
    findings: &'a Findings,
    fault: usize,
}

impl Walk<'_> {
    fn truth(&self) -> &Fault {
        &self.findings.dictionary.faults[self.fault]
    }

    fn count(&self, found: &SequenceFindings, walks: &mut Walks) {
        let Some(search) = &found.search else { return };
        // Without steps there is nothing to follow.
        if search.steps.is_empty() || !self.stops(found.sequence) {
            return;
        }
        let mut log = Vec::new();
        match self.follow(found.sequence, &search.steps, &mut log) {
            None => walks.lost += 1,
            Some(places) if places.iter().any(|place| self.is_true(place)) => {
                let count = if places.len() > 1 { &mut walks.among } else { &mut walks.alone };
                *count += 1;
            }
            Some(places) => {
                let words = Words::of("en").unwrap();
                let places: Vec<String> = places.iter().map(|place| words.say(place)).collect();
                let truth = words.say(&self.truth().label(self.machine));
                let number = self.machine.sequences[found.sequence.0].number;
                walks.wrong.push(format!("sequence {number}, {truth}: ends at {places:?} by {}", log.join("; ")));
            }
        }
    }

    /// Whether the fault stops the sequence on this machine.
    fn stops(&self, sequence: SequenceId) -> bool {
        let tables = &self.findings.dictionary.sequences;
        let table = &tables[sequence.0];
        match table.effect(self.fault) {
            Effect::Fails => true,
            Effect::Works => false,
            Effect::Marginal => {
                let fault = std::slice::from_ref(self.truth());
                let table = SequenceTable::build(self.machine, self.drawn.0, self.drawn.1, sequence, fault);
                table.row(0).operates != table.healthy.operates
            }
        }
    }

    fn is_true(&self, place: &Fact) -> bool {
        let truth = self.truth();
        let of_bank = truth
            .element
            .filter(|_| matches!(truth.site, Site::Group(_)))
            .map(|element| fact!("faults.place.name", name = &self.machine.element(element).name));
        *place == truth.site.label(self.machine) || Some(place) == of_bank.as_ref()
    }

    /// The places at the end of the steps; none where they do not find it.
    fn follow(&self, sequence: SequenceId, steps: &[Step], log: &mut Vec<String>) -> Option<Vec<Fact>> {
        let mut at = 0;
        let mut next = Next::Step(1);
        loop {
            match next {
                Next::Found(places) => return Some(places),
                Next::NotFound => return None,
                Next::Step(number) => {
                    assert!(number > at, "steps lead forward");
                    at = number;
                    next = self.step(sequence, &steps[number - 1], log);
                }
            }
        }
    }

    fn step(&self, sequence: SequenceId, step: &Step, log: &mut Vec<String>) -> Next {
        for item in &step.list {
            let showing = self.shows(sequence, item.kind, log);
            let number = self.number(sequence, item.kind, showing);
            let bad = match item.seen {
                Seen::Reads(bin) => number.is_some_and(|number| holds(&bin, number)),
                Seen::Works => showing == Showing::Works,
                Seen::Fails => showing == Showing::Fails,
                _ => self.is_bad(item.kind, showing, item.good.as_ref()),
            };
            if bad {
                return Next::Found(item.convicts.clone());
            }
        }
        if !step.list.is_empty() {
            return step.answers[0].next.clone();
        }
        let showing = self.shows(sequence, step.kind, log);
        let number = self.number(sequence, step.kind, showing);
        let bad = self.is_bad(step.kind, showing, step.good.as_ref());
        let fits = |answer: &&Answer| match answer.seen {
            Seen::Reads(bin) => number.is_some_and(|number| holds(&bin, number)),
            Seen::Good => !bad,
            Seen::Bad => bad,
            Seen::Works => showing == Showing::Works,
            Seen::Fails => showing == Showing::Fails,
            Seen::NoneFound | Seen::AnythingElse => false,
        };
        let rest = |answer: &&Answer| answer.seen == Seen::AnythingElse;
        let answer = step.answers.iter().find(fits).or_else(|| step.answers.iter().find(rest));
        answer.map_or(Next::NotFound, |answer| answer.next.clone())
    }

    fn shows(&self, sequence: SequenceId, kind: CheckKind, log: &mut Vec<String>) -> Showing {
        let (solver, solution) = self.drawn;
        let checks = (&[self.fault][..], &[kind][..]);
        let shown = showings(self.machine, solver, solution, self.findings, sequence, checks)[0];
        let fact = describe::check(self.machine, self.solution, sequence, kind);
        let expected = self.expected(sequence, kind);
        log.push(format!("{} {shown:?} {expected}", Words::of("en").unwrap().say(&fact)));
        shown
    }

    /// What the order expects of the true fault, for a message.
    fn expected(&self, sequence: SequenceId, kind: CheckKind) -> String {
        let Some(order) = &self.findings.sequences[sequence.0].order else { return String::new() };
        let suspect = order.suspects.iter().position(|&one| one == self.fault);
        let offer = order.offers.iter().find(|offer| offer.kind == kind);
        let Some((suspect, offer)) = suspect.zip(offer) else { return String::new() };
        let results: Vec<usize> = (0..32).filter(|&result| offer.check.may(suspect, result)).collect();
        let bins: Vec<Bin> = offer.bins.iter().flat_map(|bins| (0..bins.count()).map(|bin| bins.get(bin))).collect();
        format!("(results {results:?} of {bins:?})")
    }

    /// What the meter shows on the range that is asked for.
    fn number(&self, sequence: SequenceId, kind: CheckKind, showing: Showing) -> Option<f64> {
        match showing {
            Showing::Volts(current, volts) => {
                let asked = describe::current_of(self.machine, self.solution, sequence, kind);
                let volts = if current == asked { volts } else { 0.0 };
                let unsigned = matches!(kind, CheckKind::Drop(_)) || asked == Current::Alternating;
                Some(if unsigned { volts.abs() } else { volts })
            }
            Showing::Amps(amps) => Some(amps),
            _ => None,
        }
    }

    /// Whether a place is bad, compared with what a good one measures.
    fn is_bad(&self, kind: CheckKind, showing: Showing, good: Option<&Bin>) -> bool {
        match (showing, good) {
            (Showing::NoContinuity, Some(good)) => good.high.is_finite(),
            (Showing::Wrong(_) | Showing::NoContinuity, _) => true,
            (Showing::Ohms(ohms), Some(good)) => !holds(good, ohms),
            // Where no span is known the fault itself tells whether this is its place.
            (Showing::Ohms(_), None) => {
                let truth = self.truth();
                kind == CheckKind::Usual(truth.site, truth.kind.usual_check())
            }
            _ => false,
        }
    }
}

fn holds(bin: &Bin, value: f64) -> bool {
    bin.low <= value && value <= bin.high
}
