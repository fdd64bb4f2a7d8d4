//! Joins pieces of marked content that follow one another and belong together.

use super::ink;
use super::page::{Item, Mark};
use super::syntax::Value;

/// Joins neighbours of one element, as `follows` says, and artifacts of one kind; drops artifacts that are empty. Answers
/// the new identifiers of the old; none unless each of the `owned` ones occurs once.
pub(super) fn joined<'a>(
    items: Vec<Item<'a>>,
    owned: usize,
    follows: impl Fn(usize, usize) -> bool,
) -> Option<(Vec<Item<'a>>, Vec<usize>)> {
    let mut identifiers: Vec<Option<usize>> = vec![None; owned];
    let mut next = 0;
    let mut out: Vec<Item<'a>> = Vec::with_capacity(items.len());
    let mut open: Vec<Mark<'a>> = Vec::new();
    let mut closed: Option<Mark<'a>> = None;
    let mut items = items.into_iter().peekable();
    while let Some(item) = items.next() {
        match item {
            Item::Begin(mark) => {
                let before = closed.take().filter(|_| matches!(out.last(), Some(Item::End)));
                let joins = before.as_ref().is_some_and(|before| belongs(before, &mark, &follows))
                    && (mark.id.is_none() || runs_on(out.iter().nth_back(1), items.peek()));
                if joins {
                    out.pop();
                } else {
                    out.push(Item::Begin(mark.clone()));
                }
                if let Some(id) = mark.id {
                    next += usize::from(!joins);
                    if identifiers.get_mut(id)?.replace(next - 1).is_some() {
                        return None;
                    }
                }
                open.push(mark);
            }
            Item::End => {
                let mark = open.pop()?;
                if mark.id.is_none() && matches!(out.last(), Some(Item::Begin(_))) {
                    out.pop();
                    continue;
                }
                closed = Some(mark);
                out.push(Item::End);
            }
            other => out.push(other),
        }
    }
    Some((out, identifiers.into_iter().collect::<Option<_>>()?))
}

/// Whether two pieces of marked content may be one.
fn belongs(one: &Mark<'_>, other: &Mark<'_>, follows: impl Fn(usize, usize) -> bool) -> bool {
    let same = one.tag == other.tag && one.properties == other.properties;
    match (one.id, other.id) {
        (None, None) => same && one.tag == b"/Artifact",
        (Some(one_id), Some(other_id)) => {
            same && one.properties == Some(Value::Dictionary(Vec::new())) && follows(one_id, other_id)
        }
        _ => false,
    }
}

/// Whether letters that follow others can be told from them as words: behind a space, or on the same line as before.
fn runs_on(one: Option<&Item<'_>>, other: Option<&Item<'_>>) -> bool {
    let (Some(Item::Show { matrix: one, ends_in_space, .. }), Some(Item::Show { matrix: other, .. })) = (one, other)
    else {
        return false;
    };
    *ends_in_space || ink::same_height(one, other)
}
