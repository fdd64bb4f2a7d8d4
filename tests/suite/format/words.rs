//! Words of the format that other rooms own.

/// The words for kinds of fault are those of the fault room.
#[test]
fn fault_kinds_are_those_that_are_computed() {
    use benchleaf::faults::kinds::FaultKind;
    use benchleaf::spec::format::FaultWord;
    let words: Vec<&str> = FaultWord::ALL.iter().map(|word| word.word()).collect();
    let kinds: Vec<&str> = FaultKind::ALL.iter().map(|kind| kind.name()).collect();
    assert_eq!(words, kinds);
}
