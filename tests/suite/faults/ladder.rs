//! The test circuit of several modules, solved here by plain elimination and nothing of the program: 24 V behind 0.5 Ω,
//! fuse, two contacts, a 120 Ω coil and a pin in series, a 96 Ω lamp from behind the fuse to the return. Each voltage is
//! read alone with a 10 MΩ meter.

/// The parts of the circuit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ladder {
    pub(super) supply: f64,
    pub(super) source: f64,
    pub(super) fuse: f64,
    pub(super) first: f64,
    pub(super) second: f64,
    pub(super) coil: f64,
    pub(super) pin: f64,
    pub(super) lamp: f64,
}

/// What a contact that is open has.
pub(super) const OPEN: f64 = f64::INFINITY;

impl Ladder {
    pub(super) const HEALTHY: Self =
        Self { supply: 24.0, source: 0.5, fuse: 0.08, first: 0.05, second: 0.05, coil: 120.0, pin: 0.03, lamp: 96.0 };

    /// The 13 faults in their usual order; the missing diode changes nothing.
    pub(super) fn faults() -> [Self; 13] {
        let healthy = Self::HEALTHY;
        [
            Self { supply: 18.0, ..healthy },
            Self { fuse: OPEN, ..healthy },
            Self { fuse: 10.08, ..healthy },
            Self { first: OPEN, ..healthy },
            Self { first: 20.05, ..healthy },
            Self { second: OPEN, ..healthy },
            Self { second: 20.05, ..healthy },
            Self { coil: OPEN, ..healthy },
            Self { pin: OPEN, ..healthy },
            Self { pin: 20.03, ..healthy },
            Self { coil: 60.0, ..healthy },
            Self { lamp: OPEN, ..healthy },
            healthy,
        ]
    }

    /// Five voltages, each read alone, then the current of the fuse.
    pub(super) fn readings(&self) -> [f64; 6] {
        let mut readings = [0.0; 6];
        for (point, reading) in readings.iter_mut().take(5).enumerate() {
            *reading = self.voltages(Some(point))[point];
        }
        let alone = self.voltages(None);
        readings[5] = if self.fuse.is_finite() { (alone[0] - alone[1]) / self.fuse } else { 0.0 };
        readings
    }

    fn voltages(&self, meter: Option<usize>) -> [f64; 5] {
        let mut matrix = [[0.0; 6]; 5];
        let mut add = |a: Option<usize>, b: Option<usize>, ohms: f64| {
            let conductance = 1.0 / ohms;
            for (row, other) in [(a, b), (b, a)] {
                if let Some(row) = row {
                    matrix[row][row] += conductance;
                    if let Some(other) = other {
                        matrix[row][other] -= conductance;
                    }
                }
            }
        };
        add(Some(0), None, self.source);
        for (point, ohms) in [self.fuse, self.first, self.second, self.coil].into_iter().enumerate() {
            add(Some(point), Some(point + 1), ohms);
        }
        add(Some(4), None, self.pin);
        add(Some(1), None, self.lamp);
        for point in 0..5 {
            add(Some(point), None, 1e12);
        }
        if let Some(point) = meter {
            add(Some(point), None, 1e7);
        }
        matrix[0][5] = self.supply / self.source;
        eliminate(matrix)
    }
}

fn eliminate(mut matrix: [[f64; 6]; 5]) -> [f64; 5] {
    for pivot in 0..5 {
        let row = matrix[pivot];
        for (index, other) in matrix.iter_mut().enumerate() {
            if index != pivot {
                let factor = other[pivot] / row[pivot];
                for (value, above) in other.iter_mut().zip(row) {
                    *value -= factor * above;
                }
            }
        }
    }
    std::array::from_fn(|row| matrix[row][5] / matrix[row][row])
}

#[test]
fn the_circuit_reads_as_worked_out() {
    let healthy = Ladder::HEALTHY.readings();
    let expected = [23.7775, 23.7419, 23.7320, 23.7222, 0.0059, 0.4449];
    for (found, expected) in healthy.iter().zip(expected) {
        assert!((found - expected).abs() < 6e-5, "{found} {expected}");
    }
    let pin_open = Ladder::faults()[8].readings();
    assert!((pin_open[4] - 23.8556).abs() < 6e-5);
}
