//! What a sequence's own solution decides and tolerances may change: ohms of filaments, sources behind reservoirs, the sides
//! that diodes stand on. Each is enclosed before bands are sought.

use std::collections::BTreeSet;

use crate::machine::model::{Current, SequenceId};

use super::diode::DiodeState;
use super::extremes::Works;
use super::graph::Asked;
use super::rectifier::Feed;
use super::results::Certainty;
use super::settle::Rest;
use super::shares::Share;
use super::solver::Solver;
use super::spans::{Doubts, SpanNets};
use super::values::Model;

/// Rounds in which the ohms of filaments are closed in on.
const FILAMENT_ROUNDS: usize = 6;

/// What is in one zone: no other zone acts on it.
struct Zone {
    /// By joint, and by rectified supply after them: whether it is a terminal of what follows.
    keep: Vec<bool>,
    has: Vec<bool>,
    lamps: Vec<usize>,
    diodes: Vec<usize>,
    rectified: Vec<usize>,
}

impl Solver<'_> {
    /// Spans of filaments and rectified supplies, and diodes that may change sides, as far as they can act on what is asked.
    pub(super) fn doubts(
        &self,
        sequence: SequenceId,
        rest: &Rest,
        asked: &[(Current, Asked)],
        works: &mut Works,
    ) -> Doubts {
        let count = self.circuit.elements.models.len();
        let mut doubts = Doubts { filaments: vec![None; count], diodes: vec![false; count], feeds: vec![None; count] };
        let circuit = &self.circuit;
        let asked = circuit.reach.zones_of(asked.iter().flat_map(|(_, ask)| [ask.red, ask.black]));
        let curved = circuit.lamps.iter().chain(&circuit.diodes).chain(&circuit.rectified);
        let curved: BTreeSet<usize> = curved.map(|&element| circuit.reach.of_element(element)).collect();
        for &name in asked.intersection(&curved) {
            let zone = self.zone(name);
            for _ in 0..2 {
                self.close_in(sequence, rest, &mut doubts, &zone, works);
                if !self.doubt_diodes(sequence, rest, &mut doubts, &zone, works) {
                    break;
                }
            }
        }
        doubts
    }

    fn zone(&self, name: usize) -> Zone {
        let circuit = &self.circuit;
        let has: Vec<bool> =
            (0..circuit.elements.models.len()).map(|element| circuit.reach.of_element(element) == name).collect();
        let inside = |all: &[usize]| -> Vec<usize> { all.iter().copied().filter(|&element| has[element]).collect() };
        let (lamps, diodes, rectified) = (inside(&circuit.lamps), inside(&circuit.diodes), inside(&circuit.rectified));
        let mut keep = vec![false; circuit.machine.joints.len() + circuit.rectified.len()];
        for &element in lamps.iter().chain(&diodes).chain(&rectified) {
            let (from, to) = self.ends(element);
            (keep[from.0], keep[to.0]) = (true, true);
        }
        keep[circuit.machine.joints.len()..].fill(true);
        Zone { keep, has, lamps, diodes, rectified }
    }

    /// Encloses the ohms of each filament and the source of each supply with a reservoir: from anything that could be, to
    /// what the volts and amperes so far allow.
    fn close_in(&self, sequence: SequenceId, rest: &Rest, doubts: &mut Doubts, zone: &Zone, works: &mut Works) {
        let circuit = &self.circuit;
        let most: f64 = circuit.sources.iter().map(|&source| circuit.elements.spans[source][0].high.abs()).sum();
        for &element in &zone.lamps {
            doubts.filaments[element] = Some((self.filament(element, 0.0, 2.0 * most), true));
        }
        for &element in &zone.rectified {
            doubts.feeds[element] = self.any_feed(sequence, rest, element);
        }
        if zone.lamps.is_empty() && zone.rectified.is_empty() {
            return;
        }
        // First only by what is proved, as far as that leads; then by what a search finds, where proof leaves it wide.
        for strict in [true, false] {
            for _ in 0..FILAMENT_ROUNDS {
                let nets = self.nets_of(sequence, rest, doubts, zone);
                let mut moved = false;
                for &element in &zone.rectified {
                    moved |= self.close_in_on_feed(sequence, element, (&nets, strict), doubts, works);
                }
                for &element in &zone.lamps {
                    moved |= self.close_in_on_filament((sequence, rest), element, (&nets, strict), doubts, works);
                }
                if !moved {
                    break;
                }
            }
        }
    }

    fn nets_of(&self, sequence: SequenceId, rest: &Rest, doubts: &Doubts, zone: &Zone) -> SpanNets {
        self.span_nets(sequence, rest, doubts, (|element| zone.has[element], &zone.keep))
    }

    /// Narrows the ohms of a filament by the volts that can heat it; whether by much.
    fn close_in_on_filament(
        &self,
        (sequence, rest): (SequenceId, &Rest),
        element: usize,
        (nets, strict): (&SpanNets, bool),
        doubts: &mut Doubts,
        works: &mut Works,
    ) -> bool {
        let Some((before, proved)) = doubts.filaments[element] else { return false };
        let volts = nets.heating(self.ends(element), works);
        let (form, form_is_proved) = self.worst_form((sequence, rest), element, doubts);
        let ohms = self.filament(element, volts.low, volts.high * form);
        // An enclosure stays one when it is cut by another.
        let ohms = [ohms[0].max(before[0]), ohms[1].min(before[1])];
        let certain = form_is_proved && volts.certainty == Certainty::Exact;
        let narrower = ohms[1] - ohms[0] < 0.99 * (before[1] - before[0]);
        if certain || (narrower && !strict) {
            doubts.filaments[element] = Some((ohms, proved && certain));
        }
        narrower && (certain || !strict)
    }

    /// RMS over average at a lamp behind rectified waves, and whether none is larger on any healthy machine; one without.
    ///
    /// With a reservoir the wave falls by no more than its period over the time constant of reservoir and load, d, below its
    /// top; a wave between 1 − d and 1 has an RMS of no more than √(1 + (d/2)²/(1 − d)²) times its average.
    fn worst_form(&self, (sequence, rest): (SequenceId, &Rest), element: usize, doubts: &Doubts) -> (f64, bool) {
        let point = &rest.point;
        let direct = point.direct.across(element).abs();
        let mut worst = (1.0_f64, point.inner.averages.is_empty());
        for Share { element: supply, field: alone, .. } in &point.waves {
            if alone.across(element) == 0.0 {
                continue;
            }
            let found = if direct == 0.0 { 1.0 } else { (point.heating_volts(element) / direct).max(1.0) };
            let feed = self.circuit.feed(*supply, &self.nominal(sequence));
            let (form, proved) = match (doubts.feeds[*supply], feed) {
                (Some(span), Some(feed)) => {
                    let least = Feed { reservoir: self.circuit.elements.span(*supply, 2).low, ..feed };
                    least.worst_form(span.loads[0]).map_or((found, false), |form| (form, span.proved))
                }
                _ => (found, false),
            };
            worst = (worst.0.max(form), worst.1 && proved);
        }
        worst
    }

    fn filament(&self, element: usize, low: f64, high: f64) -> [f64; 2] {
        let Model::Lamp(lamp) = &self.circuit.elements.models[element] else { return [1.0; 2] };
        let amperes = self.circuit.elements.spans[element][0];
        [lamp.ohms(amperes.high, low), lamp.ohms(amperes.low, high)]
    }

    /// Marks diodes whose state does not hold over the whole box; whether any is new.
    fn doubt_diodes(
        &self,
        sequence: SequenceId,
        rest: &Rest,
        doubts: &mut Doubts,
        zone: &Zone,
        works: &mut Works,
    ) -> bool {
        let circuit = &self.circuit;
        if zone.diodes.is_empty() {
            return false;
        }
        let nets = self.nets_of(sequence, rest, doubts, zone);
        let mut fresh = false;
        for &element in &zone.diodes {
            let Model::Diode(diode) = &circuit.elements.models[element] else { continue };
            let volts = nets.extremes(Current::Direct, self.ends(element), None, works);
            let breakdown = diode.zener.unwrap_or(f64::INFINITY);
            let sure = match rest.point.inner.diodes[element] {
                DiodeState::Blocks => volts.high < diode.drop && volts.low > -breakdown,
                DiodeState::Conducts => volts.low > diode.drop,
                DiodeState::BreaksDown => volts.high < -breakdown,
            };
            if !sure && !doubts.diodes[element] {
                doubts.diodes[element] = true;
                fresh = true;
            }
        }
        fresh
    }
}
