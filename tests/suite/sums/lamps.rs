//! Filament lamps.

use super::*;

#[test]
fn away_from_rated_volts() {
    // Lamp re-rating laws worked out: 6.3 V, 0.15 A at 5.0 V draws 0.1321 A and has 37.85 Ω.
    let dim = sum("lamp", "rated=6.3V current=0.15A at=5V");
    check(&dim, "current", 0.1321, 5e-5);
    check(&dim, "ohms when lit", 37.85, 5e-3);
    // The same laws at nine tenths of rated volts: current 0.944, light 0.70, life 3.5.
    let nine = sum("lamp", "rated=10V current=1A at=9V");
    check(&nine, "current", 0.944, 5e-4);
    check(&nine, "light", 70.0, 0.5);
    check(&nine, "life", 3.5, 0.05);
    assert!(
        sum("lamp", "rated=10V current=1A at=3V").cautions.iter().any(|caution| english(caution).contains("rough"))
    );
}

#[test]
fn cold_ohms() {
    // Cold tungsten has a tenth to a fifteenth of its hot ohms: a 6.3 V, 0.25 A lamp 1.7 to 2.5 Ω, 0.15 A 2.8 to 4.2 Ω.
    for (current, cold) in [("0.25A", "1.68 Ω to 2.52 Ω"), ("0.15A", "2.8 Ω to 4.2 Ω")] {
        let lamp = sum("lamp", &format!("rated=6.3V current={current} at=6.3V"));
        assert_eq!(text(&lamp, "ohms when cold, about"), cold);
    }
}

#[test]
fn replacements() {
    // Lamp charts: 6.3 V at 0.15 A (47), 0.25 A (44), 0.20 A (86).
    let same = sum("lamp-replacement", "rated=6.3V current=0.15A offered=6.3V offered-current=0.15A");
    assert_eq!(verdict(&same), Verdict::Accepted);
    let hotter = sum("lamp-replacement", "rated=6.3V current=0.15A offered=6.3V offered-current=0.25A");
    assert_eq!(verdict(&hotter), Verdict::Refused);
    let cooler = sum("lamp-replacement", "rated=6.3V current=0.25A offered=6.3V offered-current=0.15A");
    assert_eq!(verdict(&cooler), Verdict::WithCare);
    // One rule for both ways round: a fifth less power is no fit, whichever lamp was there first.
    let fifth = sum("lamp-replacement", "rated=6.3V current=0.25A offered=6.3V offered-current=0.2A");
    assert_eq!(verdict(&fifth), Verdict::WithCare);
    // An 8 V lamp at 6.3 V gives 0.7875^3.4 = 44 % of its own light, itself 8/6.3 of the other's: 56 % (lamp re-rating law).
    let dim = sum("lamp-replacement", "rated=6.3V current=0.25A offered=8V offered-current=0.25A");
    assert_eq!(verdict(&dim), Verdict::WithCare);
    let reasons = &dim.judgement.as_ref().expect("a judgement").reasons;
    assert!(reasons.iter().any(|reason| english(&reason.what).contains("56 % of the light")), "{reasons:?}");
    let low = sum("lamp-replacement", "rated=12V current=0.1A offered=6.3V offered-current=0.1A");
    assert_eq!(verdict(&low), Verdict::Refused);
}
