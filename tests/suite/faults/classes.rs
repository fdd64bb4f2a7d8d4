//! The fault dictionary as classes, on the ladder circuit. Class half-width: 2 %, at least 0.05 V, 0.005 A or 1 Ω.
//! Worked answers computed by an independent program; the entropy index is that of Starzyk and others (2004).

use benchleaf::faults::search::classes::{Span, alike_sets, codes, entropy_index, greedy_points, minimum_points};

use super::ladder::Ladder;

/// Classes of all seven columns over healthy and the 13 faults: TP1 to TP5, fuse current, coil ohms (lifted).
pub(super) fn table() -> Vec<Vec<usize>> {
    let circuits: Vec<Ladder> = std::iter::once(Ladder::HEALTHY).chain(Ladder::faults()).collect();
    let readings: Vec<[f64; 6]> = circuits.iter().map(Ladder::readings).collect();
    let mut columns: Vec<Vec<f64>> = (0..6).map(|column| readings.iter().map(|row| row[column]).collect()).collect();
    columns.push(circuits.iter().map(|circuit| circuit.coil.min(1e9)).collect());
    let floors = [0.05, 0.05, 0.05, 0.05, 0.05, 0.005, 1.0];
    columns
        .iter()
        .zip(floors)
        .map(|(column, floor)| {
            let spans: Vec<Span> =
                column.iter().map(|&value| Span::around(value, (0.02 * value.abs()).max(floor))).collect();
            codes(&spans)
        })
        .collect()
}

#[test]
fn classes_of_every_fault() {
    let expected = [
        "1333061", "0111031", "1000001", "1222041", "1300021", "1322051", "1330021", "1332051", "1333022", "1333221",
        "1333151", "1333070", "1333011", "1333061",
    ];
    let table = table();
    for (fault, expected) in expected.iter().enumerate() {
        let found: String = table.iter().map(|column| column[fault].to_string()).collect();
        assert_eq!(&found, expected, "fault {fault}");
    }
}

#[test]
fn voltages_alone_leave_ten_sets() {
    let sets = alike_sets(&table()[..5]);
    assert_eq!(sets.len(), 10);
    assert!(sets.contains(&vec![0, 8, 11, 12, 13]));
}

#[test]
fn only_the_missing_diode_is_invisible() {
    let sets = alike_sets(&table());
    assert_eq!(sets.len(), 13);
    assert_eq!(sets.iter().filter(|set| set.len() > 1).collect::<Vec<_>>(), [&vec![0, 13]]);
}

#[test]
fn four_points_are_enough() {
    // Columns: 0 to 4 are TP1 to TP5, 5 the fuse current, 6 the coil ohms.
    let expected = vec![vec![2, 3, 4, 5], vec![2, 3, 5, 6], vec![2, 4, 5, 6]];
    assert_eq!(minimum_points(&table()).unwrap(), expected);
    let steps = greedy_points(&table(), &[1.0, 2.0, 2.0, 2.0, 3.0, 4.0, 6.0]);
    assert_eq!(steps, [(5, 8), (3, 10), (2, 12), (4, 13)]);
}

#[test]
fn entropy_index_of_each_point() {
    let expected = [33.3443, 26.3768, 22.5476, 20.2130, 29.8189, 10.2273];
    for (column, expected) in table().iter().zip(expected) {
        assert!((entropy_index(column) - expected).abs() < 6e-5);
    }
}

#[test]
fn overlap_is_passed_on() {
    let spans = [Span::around(1.0, 0.3), Span::around(2.0, 0.3), Span::around(1.5, 0.3), Span::around(4.0, 0.3)];
    assert_eq!(codes(&spans), [0, 0, 0, 1]);
    assert!(codes(&[]).is_empty());
}

#[test]
fn too_many_points_are_not_tried_one_by_one() {
    assert_eq!(minimum_points(&vec![vec![0, 1]; 21]), None);
    assert_eq!(minimum_points(&[vec![0, 0]]), Some(vec![vec![]]));
}
