//! The booklet: numbered cells in shuffled order, each with one result, and for each exercise the cell of each check.
//!
//! A cell may serve several exercises, but within one exercise no two checks share a cell: else equal numbers would tell
//! equal readings without a look. The order of the cells depends on the seed alone, not on what stands in them.

use std::collections::BTreeMap;

use super::chance::Chance;
use super::exercise::Set;
use super::showing::Showing;

/// The stream of chance for cells, apart from those of the exercises.
const CELLS: u64 = 1 << 40;

/// Cells of some exercises.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Booklet {
    /// Text of each cell; cell `n` is at index `n - 1`.
    pub cells: Vec<String>,
    /// For each exercise, each stage and each check the number of its cell.
    pub numbers: Vec<Vec<Vec<usize>>>,
    /// For each exercise the cell that is looked up when the first of two faults has been named; none for one fault.
    pub second: Vec<Option<usize>>,
}

/// The booklet of the exercises at these places of a set (all of them, or one). `say` gives the text of a result, and
/// `symptom` what a second fault does once the first is repaired.
#[must_use]
pub fn booklet(
    set: &Set,
    exercises: &[usize],
    say: &dyn Fn(Showing) -> String,
    symptom: &dyn Fn(usize) -> String,
) -> Booklet {
    let texts: Vec<Vec<String>> = exercises.iter().map(|&index| texts(set, index, say, symptom)).collect();
    let mut slots: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    let mut count = 0;
    for all in &texts {
        let mut needed: BTreeMap<&str, usize> = BTreeMap::new();
        for text in all {
            *needed.entry(text).or_default() += 1;
        }
        for (text, needed) in needed {
            let have = slots.entry(text).or_default();
            while have.len() < needed {
                have.push(count);
                count += 1;
            }
        }
    }
    let mut chance = Chance::new(set.request.seed, CELLS + exercises.first().map_or(0, |&first| first as u64));
    let mut number: Vec<usize> = (1..=count).collect();
    chance.shuffle(&mut number);
    let mut cells = vec![String::new(); count];
    for (text, places) in &slots {
        for &place in places {
            cells[number[place] - 1] = (*text).to_string();
        }
    }
    let drawn: Vec<Vec<usize>> = texts.iter().map(|all| draw(all, &slots, &number, &mut chance)).collect();
    let (numbers, second) = exercises.iter().zip(drawn).map(|(&index, drawn)| part(set, index, drawn)).unzip();
    Booklet { cells, numbers, second }
}

/// Texts of all checks of an exercise, stage after stage, then that of the second fault's symptom.
fn texts(set: &Set, index: usize, say: &dyn Fn(Showing) -> String, symptom: &dyn Fn(usize) -> String) -> Vec<String> {
    let stages = &set.exercises[index].stages;
    let mut texts: Vec<String> =
        stages.iter().flat_map(|stage| stage.checks.iter().map(|check| say(check.showing))).collect();
    if stages.len() > 1 {
        texts.push(symptom(index));
    }
    texts
}

/// A cell for each text, by chance among those that hold it, each at most once.
fn draw(texts: &[String], slots: &BTreeMap<&str, Vec<usize>>, number: &[usize], chance: &mut Chance) -> Vec<usize> {
    let mut free: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for text in texts {
        free.entry(text).or_insert_with(|| {
            let mut places = slots[text.as_str()].clone();
            chance.shuffle(&mut places);
            places
        });
    }
    let mut take = |text: &str| free.get_mut(text).and_then(Vec::pop).map_or(0, |place| number[place]);
    texts.iter().map(|text| take(text)).collect()
}

/// Cells of one exercise by stage, and that of the second symptom.
fn part(set: &Set, index: usize, drawn: Vec<usize>) -> (Vec<Vec<usize>>, Option<usize>) {
    let mut drawn = drawn.into_iter();
    let stages = &set.exercises[index].stages;
    let numbers = stages.iter().map(|stage| drawn.by_ref().take(stage.checks.len()).collect()).collect();
    (numbers, drawn.next())
}
