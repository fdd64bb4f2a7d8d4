//! What pages have in common: the line at their foot and the heads of tables that go on are artifacts, alike on many pages,
//! and become one form (ISO 32000-1, 8.10) that each page shows.

use std::collections::HashMap;
use std::ops::Range;

use super::ink;
use super::page::Item;
use super::syntax::Value;

/// Fewest pages that something must be on.
const PAGES: usize = 3;
/// Fewest bytes that it must take: a form needs a few itself.
const BYTES: usize = 150;

/// Something that several pages show.
#[derive(Debug, PartialEq, Eq, Hash, Clone)]
pub(super) struct Form {
    pub(super) content: Vec<u8>,
    /// The box of the pages as written: papers have forms of their own.
    sheet: Vec<u8>,
}

/// Sets apart what pages have in common; they show it instead, by one of the names. Each page comes with its box; each
/// form is answered with the box of its pages.
pub(super) fn set_apart<'a, 'b>(
    pages: &mut [(&Value<'b>, &mut Vec<Item<'a>>)],
    names: &'a [Vec<u8>],
) -> Vec<(Form, Value<'b>)> {
    let mut counts: HashMap<Form, usize> = HashMap::new();
    for (sheet, items) in pages.iter() {
        for range in repeated(items) {
            for part in parts(items, range) {
                *counts.entry(form(items, part, sheet)).or_insert(0) += 1;
            }
        }
    }
    let mut forms: Vec<(Form, Value<'b>)> = Vec::new();
    for (sheet, items) in pages {
        // From the back, so that places before stay what they are.
        for range in repeated(items).into_iter().rev() {
            let pays = |part: &Range<usize>| {
                let form = form(items, part.clone(), sheet);
                let pays = form.content.len() >= BYTES && counts.get(&form).is_some_and(|count| *count >= PAGES);
                pays.then_some((part.clone(), form))
            };
            let Some((part, form)) = parts(items, range).iter().find_map(pays) else { continue };
            let number = forms.iter().position(|(known, _)| *known == form).unwrap_or(forms.len());
            let Some(name) = names.get(number) else { continue };
            if number == forms.len() {
                forms.push((form, (*sheet).clone()));
            }
            items.splice(part, [Item::Form(name)]);
        }
    }
    forms
}

fn form(items: &[Item<'_>], part: Range<usize>, sheet: &Value<'_>) -> Form {
    let mut written = Vec::new();
    sheet.write(&mut written, &[]);
    Form { content: ink::write_form(&items[part]), sheet: written }
}

/// What is inside each artifact of pagination that has nothing but letters and strokes.
fn repeated(items: &[Item<'_>]) -> Vec<Range<usize>> {
    let begins = items.iter().enumerate().filter_map(|(at, item)| match item {
        Item::Begin(mark) if mark.tag == b"/Artifact" => {
            let pagination = mark.properties.as_ref().is_some_and(|said| said.says(b"/Type", b"/Pagination"));
            pagination.then_some(at + 1)
        }
        _ => None,
    });
    let simple = |item: &Item<'_>| matches!(item, Item::Show { .. } | Item::Paint { .. });
    begins
        .filter_map(|start| {
            let count = items[start..].iter().take_while(|item| simple(item)).count();
            matches!(items.get(start + count), Some(Item::End)).then_some(start..start + count)
        })
        .collect()
}

/// The whole, and all but the last letters, which may be the number of the page.
fn parts(items: &[Item<'_>], range: Range<usize>) -> Vec<Range<usize>> {
    let mut parts = vec![range.clone()];
    if range.len() > 1 && matches!(items.get(range.end - 1), Some(Item::Show { .. })) {
        parts.push(range.start..range.end - 1);
    }
    parts
}

/// The dictionary of a form, whose content is compressed.
pub(super) fn dictionary(sheet: Value<'_>, resources: usize, length: usize) -> Value<'_> {
    Value::Dictionary(vec![
        (b"/Type", Value::Plain(b"/XObject")),
        (b"/Subtype", Value::Plain(b"/Form")),
        (b"/BBox", sheet),
        (b"/Resources", Value::Reference(resources)),
        (b"/Filter", Value::Plain(b"/FlateDecode")),
        (b"/Length", Value::Count(length)),
    ])
}
