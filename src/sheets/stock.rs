//! Sizes that a parts drawer may hold: what the substitution sheet offers and judges.

/// Rated currents of IEC 60127 fuses, the R10 steps that are sold, in amperes.
pub(super) const FUSE_STEPS: [f64; 23] = [
    0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0,
    12.5, 16.0,
];
/// Rated currents of UL 248-14 fuses that are sold, in amperes; from memory.
pub(super) const UL_STEPS: [f64; 20] =
    [0.1, 0.125, 0.2, 0.25, 0.3, 0.375, 0.5, 0.6, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.25, 7.0, 10.0];
/// Nominal impedances of loudspeakers that are sold, in ohms.
pub(super) const SPEAKER_STEPS: [f64; 6] = [3.2, 4.0, 8.0, 15.0, 16.0, 32.0];
/// Small lamps that are sold, volts and amperes; the 6.3 V ones from lamp charts, the others from memory.
pub(super) const LAMPS: [(f64, f64); 14] = [
    (6.3, 0.15),
    (6.3, 0.2),
    (6.3, 0.25),
    (6.5, 0.15),
    (8.0, 0.25),
    (12.0, 0.1),
    (12.0, 0.17),
    (14.0, 0.1),
    (14.0, 0.24),
    (24.0, 0.05),
    (24.0, 0.085),
    (24.0, 0.17),
    (28.0, 0.04),
    (28.0, 0.17),
];
/// Registered silicon rectifiers by reverse volts and forward amperes; from memory.
pub(super) const RECTIFIERS: [(&str, f64, f64); 8] = [
    ("1N4002", 100.0, 1.0),
    ("1N4003", 200.0, 1.0),
    ("1N4004", 400.0, 1.0),
    ("1N4007", 1000.0, 1.0),
    ("1N5401", 100.0, 3.0),
    ("1N5402", 200.0, 3.0),
    ("1N5404", 400.0, 3.0),
    ("1N5408", 1000.0, 3.0),
];
