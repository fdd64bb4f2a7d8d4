//! Opening times, breaking capacities and replacements of fuses.

use super::*;
use benchleaf::spec::units::{Amperes, Seconds};

#[test]
fn opening_times() {
    // IEC 60127-2 sheet 3 (T, L), 125 mA to 6.3 A, as two makers print it.
    let gates = fuses::iec_gates("T", Some("L"), Amperes::new(2.0)).unwrap();
    let seconds = |value| Some(Seconds::new(value));
    let times: Vec<_> = gates.iter().map(|gate| (gate.multiple, gate.at_least, gate.at_most)).collect();
    assert_eq!(
        times,
        [
            (1.5, seconds(3600.0), None),
            (2.1, None, seconds(120.0)),
            (2.75, seconds(0.6), seconds(10.0)),
            (4.0, seconds(0.15), seconds(3.0)),
            (10.0, seconds(0.02), seconds(0.3)),
        ]
    );
    // Sheet 2 (F, L): half an hour of carrying from 8 A, 40 ms at ten times.
    let large = fuses::iec_gates("F", None, Amperes::new(8.0)).unwrap();
    assert_eq!((large[0].at_least, large[4].at_most), (seconds(1800.0), seconds(0.040)));
    // Sheet 1 (F, H) from 5 A: 3 s at 2.75 times; sheet 5 (T, H): 80 s.
    assert_eq!(fuses::iec_gates("F", Some("H"), Amperes::new(5.0)).unwrap()[2].at_most, seconds(3.0));
    assert_eq!(fuses::iec_gates("T", Some("H"), Amperes::new(2.0)).unwrap()[2].at_most, seconds(80.0));
    assert_eq!(fuses::iec_gates("M", None, Amperes::new(2.0)), None);
}

#[test]
fn breaking_capacities() {
    // Makers' data sheets: L is the greater of 35 A and ten times the rating.
    for (rated, letter, amps) in [
        (1.0, "L", 35.0),
        (4.0, "L", 40.0),
        (6.3, "L", 63.0),
        (10.0, "L", 100.0),
        (2.0, "E", 150.0),
        (2.0, "H", 1500.0),
    ] {
        assert_eq!(fuses::breaking_capacity(letter, Amperes::new(rated)), Some(Amperes::new(amps)));
    }
    // UL 248-14 at 250 V AC, a maker's guide.
    for (rated, amps) in [(1.0, 35.0), (3.5, 100.0), (10.0, 200.0), (15.0, 750.0), (30.0, 1500.0)] {
        assert_eq!(fuses::ul_interrupting(Amperes::new(rated)), Some(Amperes::new(amps)));
    }
    assert_eq!(fuses::ul_interrupting(Amperes::new(31.0)), None);
}

#[test]
fn carrying_and_opening() {
    // IEC 60127-2: a 2 A link must carry 3 A for an hour. UL 248-14: a 2 A link opens within the hour at 2.7 A.
    let iec = sum("fuse-load", "rated=2A current=1.2A");
    check_exact(&iec, "must carry for an hour or more", 3.0);
    assert_eq!(verdict(&iec), Verdict::Accepted);
    let ul = sum("fuse-load", "rated=2A current=1.6A standard=UL");
    check_exact(&ul, "sure to open in time from", 2.7);
    assert_eq!(verdict(&ul), Verdict::WithCare);
    assert_eq!(verdict(&sum("fuse-load", "rated=2A current=2.1A")), Verdict::Refused);
}

#[test]
fn replacements() {
    // Common practice, no source: 10 A or 20 A where 1.6 A or 3 A is called for.
    for (rated, offered, ratio) in [("1.6", "10", 6.25), ("3", "10", 3.3333), ("1.6", "20", 12.5), ("3", "20", 6.6667)]
    {
        let wrong = sum("fuse-replacement", &format!("rated={rated}A offered={offered}A"));
        check(&wrong, "ratio", ratio, 1e-3);
        assert_eq!(verdict(&wrong), Verdict::Refused);
    }
    for (words, expected) in [
        ("rated=2A offered=2A", Verdict::Accepted),
        ("rated=2A offered=1.6A", Verdict::WithCare),
        ("rated=2A speed=T offered=2A offered-speed=T", Verdict::Accepted),
        ("rated=2A speed=T offered=2A offered-speed=F", Verdict::WithCare),
        ("rated=2A speed=F offered=2A offered-speed=T", Verdict::Refused),
        ("rated=2A speed=F offered=2A", Verdict::WithCare),
        ("rated=2A breaking=H offered=2A offered-breaking=L", Verdict::Refused),
        ("rated=2A breaking=L offered=2A offered-breaking=H", Verdict::Accepted),
        ("rated=2A voltage=250V offered=2A offered-voltage=32V", Verdict::Refused),
        ("rated=2A body=5x20 offered=2A offered-body=3AG", Verdict::Refused),
        ("rated=2A body=6.3x32 offered=2A offered-body=3AG", Verdict::Accepted),
        ("rated=2A standard=UL offered=2A offered-standard=IEC", Verdict::WithCare),
        ("rated=2A standard=IEC offered=2A offered-standard=UL", Verdict::WithCare),
    ] {
        let judged = sum("fuse-replacement", words);
        assert_eq!(verdict(&judged), expected, "{judged:?}");
    }
}
