//! Makes a PDF file smaller without changing what it says or how it looks.
//!
//! The typesetter writes every object in plain text, and a tagged document has thousands of them; it writes each run of
//! letters and each rule with all that it depends on, as if nothing had come before. Here the file is taken apart
//! ([`file`]), the structure is slimmed ([`tags`]), each page is read ([`page`]) and written in few words ([`ink`]), and
//! everything is put together again.
//!
//! Only the very form that the typesetter writes is understood. A page that has anything else is left as it is, and so is
//! a file, for a larger one is better than a broken one.

mod file;
mod ink;
mod page;
mod syntax;
mod tags;

use std::borrow::Cow;
use std::collections::HashMap;

use rayon::prelude::*;

use file::{File, deflated, inflated};
use page::{Item, Mark, Setting};
use syntax::{Token, Tokens, Value};
use tags::Structure;

/// The same document in fewer bytes.
#[must_use]
pub fn compact(pdf: Vec<u8>) -> Vec<u8> {
    match smaller(&pdf) {
        Some(smaller) if smaller.len() < pdf.len() => smaller,
        _ => pdf,
    }
}

fn smaller(pdf: &[u8]) -> Option<Vec<u8>> {
    let mut file = File::read(pdf)?;
    let mut structure = Structure::of(&file)?;
    structure.slim(&mut file)?;
    rewrite_pages(&mut file, &structure)?;
    file.write(&structure.elements)
}

/// A page, its content, and where the owners of its marked content are listed.
struct Page {
    number: usize,
    content: usize,
    owners: usize,
}

/// A page in fewer words: its content, compressed, and the new identifiers of its marked content.
struct Rewritten {
    content: Vec<u8>,
    identifiers: Vec<usize>,
}

fn rewrite_pages(file: &mut File<'_>, structure: &Structure) -> Option<()> {
    let pages = pages(file, structure);
    let places = structure.places(file);
    let setting = Surroundings::of(file, structure);
    let rewritten: Vec<Option<Rewritten>> =
        pages.par_iter().map(|page| rewrite(file, page, &places, &setting.on(file, page))).collect();
    let mut identifiers = HashMap::new();
    for (page, rewritten) in pages.iter().zip(rewritten) {
        let Some(rewritten) = rewritten else { continue };
        file.objects.get_mut(page.content)?.as_mut()?.stream = Some(Cow::Owned(rewritten.content));
        let owners = file.value_mut(page.owners)?;
        let Value::Array(list) = owners else { return None };
        let mut by_new = vec![Value::Plain(b"null"); rewritten.identifiers.iter().max().map_or(0, |last| last + 1)];
        for (owner, new) in list.iter().zip(&rewritten.identifiers) {
            by_new[*new] = owner.clone();
        }
        *list = by_new;
        identifiers.insert(page.number, rewritten.identifiers);
    }
    structure.renumber(file, &identifiers)
}

/// What all pages take from the document.
struct Surroundings<'a> {
    language: Option<&'a [u8]>,
    /// The code of a space by the number of the font.
    spaces: HashMap<usize, Vec<u8>>,
}

impl<'a> Surroundings<'a> {
    fn of(file: &File<'a>, structure: &Structure) -> Self {
        let language = file.catalogue().and_then(|catalogue| catalogue.get(b"/Lang")?.plain());
        // Where an element has a language of its own, what lies in it must name the document's.
        let foreign =
            |element: &usize| file.object(*element).is_some_and(|object| object.value.get(b"/Lang").is_some());
        let language = language.filter(|_| !structure.elements.iter().any(foreign));
        let space = |(number, object): (usize, &Option<file::Object<'_>>)| {
            let map = object.as_ref()?.value.get(b"/ToUnicode")?.reference()?;
            Some((number, code_of_space(&inflated(file.object(map)?)?)?))
        };
        Self { language, spaces: file.objects.iter().enumerate().filter_map(space).collect() }
    }

    fn on(&self, file: &File<'a>, page: &Page) -> Setting<'_> {
        let fonts = file
            .object(page.number)
            .and_then(|page| file.resolved(file.resolved(page.value.get(b"/Resources")?)?.get(b"/Font")?).cloned());
        let Some(Value::Dictionary(fonts)) = fonts else {
            return Setting { language: self.language, spaces: HashMap::new() };
        };
        let space = |(name, font): (&'a [u8], Value<'_>)| Some((name, self.spaces.get(&font.reference()?)?.clone()));
        Setting { language: self.language, spaces: fonts.into_iter().filter_map(space).collect() }
    }
}

/// The code that a character map (9.10.3) gives to the space.
fn code_of_space(map: &[u8]) -> Option<Vec<u8>> {
    let mut tokens = Tokens::of(map);
    let mut before = None;
    while let Some(token) = tokens.next() {
        if token == Token::Text(b"<0020>") {
            return syntax::text_bytes(before?);
        }
        before = if let Token::Text(code) = token { Some(code) } else { None };
    }
    None
}

/// All pages with marked content.
fn pages(file: &File<'_>, structure: &Structure) -> Vec<Page> {
    let page = |(number, object): (usize, &Option<file::Object<'_>>)| {
        let value = &object.as_ref()?.value;
        let content = value.says(b"/Type", b"/Page").then(|| value.get(b"/Contents")?.reference())??;
        let owners = *structure.owners.get(&value.get(b"/StructParents")?.count()?)?;
        Some(Page { number, content, owners })
    };
    file.objects.iter().enumerate().filter_map(page).collect()
}

/// Writes a page anew; none where something on it is not understood.
fn rewrite(
    file: &File<'_>,
    page: &Page,
    places: &HashMap<(usize, usize), (usize, usize)>,
    setting: &Setting<'_>,
) -> Option<Rewritten> {
    let content = inflated(file.object(page.content)?)?;
    let items = page::read(&content, setting)?;
    let owned = file.object(page.owners)?.value.items().len();
    let (items, identifiers) = joined(items, owned, |one, other| {
        let (one, other) = (places.get(&(page.number, one)), places.get(&(page.number, other)));
        one.zip(other).is_some_and(|(one, other)| one.0 == other.0 && one.1 + 1 == other.1)
    })?;
    let content = deflated(&ink::write(&items, &identifiers))?;
    Some(Rewritten { content, identifiers })
}

/// Joins pieces of marked content that follow one another and belong together: neighbours of one element, as `follows`
/// says, and artifacts of one kind. Answers the new identifiers of the old; none unless each occurs once.
fn joined<'a>(
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
                    let place = identifiers.get_mut(id)?;
                    if place.replace(next - 1).is_some() {
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
