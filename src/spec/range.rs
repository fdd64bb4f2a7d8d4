//! Ranges of alike names: `S10..S17` stands for eight names, `SA..SH` too.

/// Most names that one range may stand for.
pub const LONGEST_RANGE: usize = 1000;

/// Why a range stands for nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RangeProblem {
    /// The two ends do not differ in a trailing number or letter only.
    Unlike,
    /// It stands for more than [`LONGEST_RANGE`] names.
    TooLong,
}

/// The names that a range such as `S10..S17` stands for, in its direction; `None` where the text is not a range.
///
/// # Errors
/// Where the text has the form of a range but its ends are not alike, or too far apart.
#[must_use]
pub fn expand(text: &str) -> Option<Result<Vec<String>, RangeProblem>> {
    let (first, last) = text.split_once("..")?;
    let (first, last) = (first.trim(), last.trim());
    Some(numbers(first, last).or_else(|| letters(first, last)).unwrap_or(Err(RangeProblem::Unlike)))
}

fn numbers(first: &str, last: &str) -> Option<Result<Vec<String>, RangeProblem>> {
    let (prefix, from) = split_digits(first)?;
    let (other, to) = split_digits(last)?;
    if prefix != other {
        return None;
    }
    // A leading zero asks for a fixed width: `S01..S12`.
    let width = if from.len() == to.len() { from.len() } else { 0 };
    let (from, to) = (from.parse::<u32>().ok()?, to.parse::<u32>().ok()?);
    Some(
        between(from, to)
            .map(|numbers| numbers.into_iter().map(|number| format!("{prefix}{number:0width$}")).collect()),
    )
}

fn split_digits(name: &str) -> Option<(&str, &str)> {
    let digits = name.len() - name.trim_end_matches(|character: char| character.is_ascii_digit()).len();
    (digits > 0).then(|| name.split_at(name.len() - digits))
}

fn letters(first: &str, last: &str) -> Option<Result<Vec<String>, RangeProblem>> {
    let (from, to) = (first.chars().last()?, last.chars().last()?);
    let (prefix, other) = (first.strip_suffix(from)?, last.strip_suffix(to)?);
    let same_case =
        from.is_ascii_uppercase() && to.is_ascii_uppercase() || from.is_ascii_lowercase() && to.is_ascii_lowercase();
    if prefix != other || !same_case {
        return None;
    }
    let names = between(u32::from(from), u32::from(to));
    Some(
        names.map(|codes| {
            codes.into_iter().filter_map(char::from_u32).map(|letter| format!("{prefix}{letter}")).collect()
        }),
    )
}

fn between(from: u32, to: u32) -> Result<Vec<u32>, RangeProblem> {
    if from.abs_diff(to) as usize >= LONGEST_RANGE {
        return Err(RangeProblem::TooLong);
    }
    Ok(if from <= to { (from..=to).collect() } else { (to..=from).rev().collect() })
}
