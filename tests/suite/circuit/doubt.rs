//! Bands where a diode, a relay or a meter's range may stand otherwise on a healthy machine; relays that race.

use benchleaf::circuit::results::{Certainty, Remark, Settling};
use benchleaf::circuit::{Effort, Solution, Solver};
use benchleaf::machine::model::{Meter, SequenceId};
use benchleaf::spec::units::{Ohms, Volts};

use super::build::{Bench, exactly};
use super::{Random, near};

fn solved(bench: &Bench) -> Solution {
    Solver::new(&bench.machine).unwrap().solve(Effort::Bands)
}

#[test]
fn a_zener_diode_that_conducts_at_one_end_of_the_supply_caps_the_band() {
    // 12 V ± 10 % behind 0.5 Ω and 100 Ω ± 5 % onto a Zener diode of 12.1 V and 1 Ω: 10.8 V without any current, and
    // 12.1 V + 1 Ω · (13.2 V − 12.1 V)/(0.5 Ω + 95 Ω + 1 Ω) at the other end. An open diode (13.2 V) lies outside.
    let mut bench = Bench::new("COM");
    bench.dc("PS1", (10.8, 12.0, 13.2), exactly(0.5), "P", "COM");
    bench.resistor("R1", (95.0, 100.0, 105.0), "P", "TP1");
    bench.diode("D1", 0.7, 1.0, Some(12.1), "COM", "TP1");
    bench.point("TP1");
    bench.sequence(&[], None);
    let band = solved(&bench).sequences[0].readings[0].band;
    near(band.low, 10.8, 2e-5);
    near(band.high, 12.1 + 1.1 / 96.5, 2e-5);
    assert_eq!(band.certainty, Certainty::Searched);
}

#[test]
fn searched_bands_hold_all_random_machines_with_diodes_in_doubt() {
    let mut bench = Bench::new("COM");
    bench.dc("PS1", (15.0, 18.0, 21.0), (0.4, 0.5, 0.6), "P", "COM");
    bench.dc("PS2", (13.0, 15.0, 17.0), (0.4, 0.5, 0.6), "Q", "COM");
    bench.resistor("R1", (90.0, 100.0, 110.0), "P", "A");
    bench.diode("D1", 0.7, 0.1, None, "A", "B");
    bench.diode("D2", 0.7, 0.1, None, "Q", "B");
    bench.diode("D3", 0.7, 2.0, Some(12.0), "COM", "B");
    bench.resistor("R2", (180.0, 330.0, 480.0), "B", "C");
    bench.resistor("R3", (50.0, 100.0, 150.0), "C", "COM");
    for point in ["A", "B", "C"] {
        bench.point(point);
    }
    bench.sequence(&[], None);
    let solver = Solver::new(&bench.machine).unwrap();
    let solution = solver.solve(Effort::Bands);
    let mut random = Random::new(4);
    let mut most = vec![(f64::INFINITY, f64::NEG_INFINITY); 3];
    for _ in 0..3000 {
        let share = |random: &mut Random| if random.below(3) == 0 { random.share() } else { random.share().round() };
        let shares: Vec<f64> = (0..solver.parameters()).map(|_| share(&mut random)).collect();
        let read = solver.readings_with(SequenceId(0), &shares).unwrap();
        for ((reading, read), most) in solution.sequences[0].readings.iter().zip(read).zip(&mut most) {
            let band = reading.band;
            assert!(band.low - 1e-3 <= read.direct && read.direct <= band.high + 1e-3, "{band:?}: {}", read.direct);
            *most = (most.0.min(read.direct), most.1.max(read.direct));
        }
    }
    // Nor are they wider than these machines by much.
    for (reading, (low, high)) in solution.sequences[0].readings.iter().zip(most) {
        assert!(
            reading.band.high - high < 0.3 && low - reading.band.low < 0.3,
            "{:?} for {low} to {high}",
            reading.band
        );
    }
}

/// 24 V ± 15 % behind 0.5 Ω; a relay of 200 Ω that needs 21.6 V, and its contact to 100 Ω.
fn doubtful() -> Bench {
    let mut bench = Bench::new("COM");
    bench.dc("PS1", (20.4, 24.0, 27.6), exactly(0.5), "P", "COM");
    let relay = bench.relay("K1", Bench::winding(exactly(200.0), 24.0, 21.6, 2.4), "P", "COM");
    bench.contact(relay, true, 0.0, "P", "TP1");
    bench.resistor("R1", exactly(100.0), "TP1", "COM");
    bench.point("TP1");
    bench.sequence(&[], None);
    bench
}

#[test]
fn a_relay_that_may_stay_out_joins_both_stands() {
    // In: 27.6 V · (200 ∥ 100)/(200 ∥ 100 + 0.5) at most; out: nothing.
    let bench = doubtful();
    let solution = solved(&bench);
    let band = solution.sequences[0].readings[0].band;
    let load = 200.0 * 100.0 / 300.0;
    near(band.high, 27.6 * load / (load + 0.5), 1e-5);
    assert!(band.low.abs() < 1e-9 && band.certainty == Certainty::Searched, "{band:?}");
    let part = bench.machine.part_named("K1").unwrap();
    assert!(solution.sequences[0].remarks.contains(&Remark::RelayInDoubt(part)));
}

#[test]
fn a_later_sequence_starts_from_every_stand() {
    // K1 holds itself through its own contact: once in it stays, else it never comes in.
    let mut bench = Bench::new("COM");
    bench.dc("PS1", (20.4, 24.0, 27.6), exactly(0.5), "P", "COM");
    let button = bench.switch("S1", exactly(0.01), "P", "A");
    let relay = bench.relay("K1", Bench::winding(exactly(200.0), 24.0, 21.6, 2.4), "A", "COM");
    bench.contact(relay, true, 0.01, "P", "A");
    bench.point("A");
    let first = bench.sequence(&[button], None);
    bench.sequence(&[], Some(first));
    let solution = solved(&bench);
    let later = &solution.sequences[1].readings[0];
    assert!(later.nominal > 23.0 && later.band.low.abs() < 1e-9 && later.band.high > 27.0, "{later:?}");
    assert_eq!(later.band.certainty, Certainty::Searched);
}

/// Every relay of a drawn machine settles by itself, through all earlier sequences, so that some hold and some do not.
#[test]
fn drawn_machines_that_settle_stay_inside_the_joined_bands() {
    let mut holding = Bench::new("COM");
    holding.dc("PS1", (20.4, 24.0, 27.6), (0.2, 0.5, 0.8), "P", "COM");
    let button = holding.switch("S1", (0.01, 0.05, 0.2), "P", "A");
    let relay = holding.relay("K1", Bench::winding((180.0, 200.0, 220.0), 24.0, 21.6, 2.4), "A", "COM");
    holding.contact(relay, true, 0.01, "P", "A");
    holding.resistor("R1", (9.0, 10.0, 11.0), "A", "B");
    let second = holding.relay("K2", Bench::winding((90.0, 100.0, 110.0), 24.0, 19.5, 2.4), "B", "COM");
    holding.contact(second, true, 0.01, "P", "C");
    holding.resistor("R2", (270.0, 300.0, 330.0), "C", "COM");
    for point in ["A", "B", "C"] {
        holding.point(point);
    }
    let first = holding.sequence(&[button], None);
    holding.sequence(&[], Some(first));
    for bench in [doubtful(), holding] {
        let solver = Solver::new(&bench.machine).unwrap();
        let solution = solver.solve(Effort::Bands);
        let mut random = Random::new(9);
        let (mut low, mut high) = ([[f64::INFINITY; 3]; 2], [[f64::NEG_INFINITY; 3]; 2]);
        for draw in 0..4_000 {
            let pick = |share: f64| if draw % 2 == 0 { share.round() } else { share };
            let shares: Vec<f64> = (0..solver.parameters()).map(|_| pick(random.share())).collect();
            for (index, solved) in solution.sequences.iter().enumerate() {
                let read = solver.readings_with(SequenceId(index), &shares).unwrap();
                for (place, reading) in solved.readings.iter().enumerate() {
                    let (volts, band) = (read[place].direct, reading.band);
                    assert!(band.low - 1e-9 <= volts && volts <= band.high + 1e-9, "{volts} outside {band:?}");
                    assert_eq!(band.certainty, Certainty::Searched);
                    low[index][place] = low[index][place].min(volts);
                    high[index][place] = high[index][place].max(volts);
                }
            }
        }
        // Both stands did occur.
        let last = bench.machine.test_points.len() - 1;
        assert!(low[0][last] < 0.01 && high[0][last] > 20.0, "{low:?} {high:?}");
    }
}

#[test]
fn two_relays_that_lock_each_other_race_and_do_not_chatter() {
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(0.5), "P", "COM");
    let coil = || Bench::winding(exactly(200.0), 24.0, 18.0, 2.4);
    let one = bench.relay("K1", coil(), "A", "COM");
    let two = bench.relay("K2", coil(), "B", "COM");
    bench.contact(one, false, 0.01, "P", "B");
    bench.contact(two, false, 0.01, "P", "A");
    for point in ["P", "A", "B"] {
        bench.point(point);
    }
    bench.sequence(&[], None);
    let solution = solved(&bench);
    let Settling::Races { outcomes } = &solution.sequences[0].settling else {
        panic!("{:?}", solution.sequences[0].settling)
    };
    assert_eq!(*outcomes, vec![[one].into(), [two].into()]);
    // One coil is fed: 24 V · 200/200.5. The other reads nothing, and nobody knows which.
    let volts = 24.0 * 200.01 / 200.51;
    near(solution.sequences[0].readings[0].nominal, volts, 1e-4);
    // Whoever reads the point sees one of both, in the order of the outcomes.
    assert!(solution.sequences[0].readings[0].outcomes.is_empty());
    for (reading, outcomes) in solution.sequences[0].readings[1..].iter().zip([[volts, 0.0], [0.0, volts]]) {
        assert!(
            reading.outcomes.iter().zip(outcomes).all(|(found, wanted)| (found - wanted).abs() < 0.01),
            "{reading:?}"
        );
    }
    for reading in &solution.sequences[0].readings[1..] {
        assert!(reading.band.low < 0.01 && (reading.band.high - volts).abs() < 0.01, "{reading:?}");
    }
}

#[test]
fn a_race_that_every_order_ends_alike_is_settled() {
    // K1 pulls in K2 by its contact while K2's break contact feeds K1's coil, but K2 holds itself: whoever is quicker, K2 ends in.
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(0.1), "P", "COM");
    let coil = || Bench::winding(exactly(200.0), 24.0, 18.0, 2.4);
    let one = bench.relay("K1", coil(), "A", "COM");
    let two = bench.relay("K2", coil(), "B", "COM");
    bench.contact(two, false, 0.01, "P", "A");
    bench.contact(one, true, 0.01, "P", "B");
    bench.contact(two, true, 0.01, "P", "B");
    bench.point("B");
    bench.sequence(&[], None);
    let solution = solved(&bench);
    assert!(solution.sequences[0].settling.is_settled());
    assert_eq!(solution.sequences[0].energised, [two].into());
}

#[test]
fn a_band_across_the_end_of_a_range_holds_both_ranges() {
    // 14.5 V ± 10 % behind 10 kΩ, 2 kΩ per volt: 20 kΩ on the 10 V range (8.7 to 10.0 V), from there on 100 kΩ on the 50 V
    // range, at most 15.95 V · 100/110.
    let mut bench = Bench::new("COM");
    bench.machine.meter = Meter::Analogue {
        ohms_per_volt: Ohms::new(2e3),
        ohms_per_volt_ac: Ohms::new(2e3),
        ranges: vec![Volts::new(10.0), Volts::new(50.0)],
    };
    bench.dc("PS1", (13.05, 14.5, 15.95), exactly(1e4), "TP1", "COM");
    bench.point("TP1");
    bench.sequence(&[], None);
    let band = solved(&bench).sequences[0].readings[0].band;
    near(band.low, 13.05 * 2.0 / 3.0, 1e-6);
    near(band.high, 15.95 / 1.1, 1e-6);
    assert_eq!(band.certainty, Certainty::Searched);
}
