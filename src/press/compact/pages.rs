//! The pages of a file: their content is written anew, all with the same names for the same fonts and colours.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet, HashMap};

use rayon::prelude::*;

use super::file::{File, Object, Squeeze, deflated, inflated};
use super::ink;
use super::join::joined;
use super::page::Item;
use super::reader::{self, Setting};
use super::shared::{self, Form};
use super::syntax::{Token, Tokens, Value, text_bytes};
use super::tags::Structure;

/// Where marked content stands: by page and identifier the element and its place among the element's children.
type Places = HashMap<(usize, usize), (usize, usize)>;

/// A page, its content, and where the owners of its marked content are listed.
struct Page<'a, 'b> {
    number: usize,
    content: usize,
    owners: usize,
    sheet: Value<'a>,
    setting: Setting<'b>,
    /// The content as the typesetter wrote it.
    written: Vec<u8>,
}

/// Names of resources; more than there are stay out of what pages share.
#[derive(Debug)]
pub(super) struct Names {
    fonts: Vec<Vec<u8>>,
    colours: Vec<Vec<u8>>,
    forms: Vec<Vec<u8>>,
}

impl Names {
    pub(super) fn new() -> Self {
        let some = |prefix: &str, count: usize| (0..count).map(|at| format!("{prefix}{at}").into_bytes()).collect();
        Self { fonts: some("/f", 100), colours: some("/c", 100), forms: some("/x", 1000) }
    }
}

/// Writes all pages anew that are understood.
pub(super) fn rewrite<'a>(file: &mut File<'a>, structure: &Structure, names: &'a Names) -> Option<()> {
    let surroundings = Surroundings::of(file, structure, names);
    let pages = pages(file, structure, &surroundings);
    let places = structure.places(file);
    let read: Vec<Option<(Vec<Item<'_>>, Vec<usize>)>> =
        pages.par_iter().map(|page| read(file, page, &places)).collect();
    let (pages, mut read): (Vec<&Page<'_, '_>>, Vec<_>) =
        pages.iter().zip(read).filter_map(|(page, read)| Some((page, read?))).unzip();
    let mut sheets: Vec<(&Value<'_>, &mut Vec<Item<'_>>)> =
        pages.iter().zip(&mut read).map(|(page, read)| (&page.sheet, &mut read.0)).collect();
    let forms = shared::set_apart(&mut sheets, &names.forms);
    let contents: Vec<Option<Vec<u8>>> = read
        .par_iter()
        .map(|(items, identifiers)| deflated(&ink::write(items, identifiers), Squeeze::Content))
        .collect();
    let resources = add_resources(file, &surroundings, names, &forms)?;
    let mut identifiers = HashMap::new();
    for ((page, (_, new)), content) in pages.iter().zip(read).zip(contents) {
        file.objects.get_mut(page.content)?.as_mut()?.stream = Some(Cow::Owned(content?));
        *file.value_mut(page.number)?.get_mut(b"/Resources")? = Value::Reference(resources);
        let owners = file.value_mut(page.owners)?;
        *owners = by_new(owners.items(), &new);
        identifiers.insert(page.number, new);
    }
    structure.renumber(file, &identifiers)
}

/// The owners of marked content by its new identifiers.
fn by_new<'a>(owners: &[Value<'a>], new: &[usize]) -> Value<'a> {
    let mut list = vec![Value::Plain(b"null"); new.iter().max().map_or(0, |last| last + 1)];
    for (owner, new) in owners.iter().zip(new) {
        list[*new] = owner.clone();
    }
    Value::Array(list)
}

/// Reads a page and joins what belongs together; none where something on it is not understood.
fn read<'b>(file: &File<'_>, page: &'b Page<'_, '_>, places: &Places) -> Option<(Vec<Item<'b>>, Vec<usize>)> {
    let items = reader::read(&page.written, &page.setting)?;
    let owned = file.object(page.owners)?.value.items().len();
    joined(items, owned, |one, other| {
        let (one, other) = (places.get(&(page.number, one)), places.get(&(page.number, other)));
        one.zip(other).is_some_and(|(one, other)| one.0 == other.0 && one.1 + 1 == other.1)
    })
}

/// All pages with marked content whose resources are fonts and colours.
fn pages<'a: 'b, 'b>(file: &File<'a>, structure: &Structure, surroundings: &'b Surroundings<'a>) -> Vec<Page<'a, 'b>> {
    let page = |(number, object): (usize, &Option<Object<'a>>)| {
        let value = &object.as_ref()?.value;
        let content = value.says(b"/Type", b"/Page").then(|| value.get(b"/Contents")?.reference())??;
        let owners = *structure.owners.get(&value.get(b"/StructParents")?.count()?)?;
        let sheet = value.get(b"/MediaBox")?.clone();
        let setting = surroundings.on(file.resolved(value.get(b"/Resources")?)?, file)?;
        let written = inflated(file.object(content)?)?;
        Some(Page { number, content, owners, sheet, setting, written })
    };
    file.objects.par_iter().enumerate().filter_map(page).collect()
}

/// What all pages take from the document.
struct Surroundings<'a> {
    language: Option<&'a [u8]>,
    /// Names of fonts and of colour spaces for the whole document, by their number.
    fonts: BTreeMap<usize, &'a [u8]>,
    colours: BTreeMap<usize, &'a [u8]>,
    /// The code of a space by the number of the font.
    spaces: HashMap<usize, Vec<u8>>,
}

impl<'a> Surroundings<'a> {
    fn of(file: &File<'a>, structure: &Structure, names: &'a Names) -> Self {
        let language = file.catalogue().and_then(|catalogue| catalogue.get(b"/Lang")?.plain());
        // Where an element has a language of its own, what lies in it must name the document's.
        let foreign =
            |element: &usize| file.object(*element).is_some_and(|object| object.value.get(b"/Lang").is_some());
        let language = language.filter(|_| !structure.elements.iter().any(foreign));
        let space = |(number, object): (usize, &Option<Object<'_>>)| {
            let map = object.as_ref()?.value.get(b"/ToUnicode")?.reference()?;
            Some((number, code_of_space(&inflated(file.object(map)?)?)?))
        };
        let spaces = file.objects.iter().enumerate().filter_map(space).collect();
        let fonts = named(file, b"/Font", &names.fonts);
        Self { language, fonts, colours: named(file, b"/ColorSpace", &names.colours), spaces }
    }

    /// What a page with these resources is read with; none where it has others than fonts and colours.
    fn on<'b>(&'b self, resources: &Value<'a>, file: &File<'a>) -> Option<Setting<'b>>
    where
        'a: 'b,
    {
        let Value::Dictionary(kinds) = resources else { return None };
        let mut names = HashMap::new();
        let mut spaces = HashMap::new();
        for (kind, entries) in kinds {
            let known = match *kind {
                b"/Font" => &self.fonts,
                b"/ColorSpace" => &self.colours,
                b"/ProcSet" => continue,
                _ => return None,
            };
            let Value::Dictionary(entries) = file.resolved(entries)? else { return None };
            for (name, value) in entries {
                let number = value.reference()?;
                let common = *known.get(&number)?;
                names.insert(*name, common);
                spaces.extend(self.spaces.get(&number).map(|space| (common, space.as_slice())));
            }
        }
        Some(Setting { language: self.language, names, spaces })
    }
}

/// Names for all resources of a kind, in the order of their numbers.
fn named<'a>(file: &File<'a>, kind: &[u8], names: &'a [Vec<u8>]) -> BTreeMap<usize, &'a [u8]> {
    let mut numbers = BTreeSet::new();
    for object in file.objects.iter().flatten().filter(|object| object.value.says(b"/Type", b"/Page")) {
        let resources = object.value.get(b"/Resources").and_then(|resources| file.resolved(resources));
        let entries = resources.and_then(|resources| file.resolved(resources.get(kind)?));
        if let Some(Value::Dictionary(entries)) = entries {
            numbers.extend(entries.iter().filter_map(|(_, value)| value.reference()));
        }
    }
    numbers.into_iter().zip(names).map(|(number, name)| (number, name.as_slice())).collect()
}

/// Adds the forms, and the resources that all pages share with the forms among them; answers the number of these.
fn add_resources<'a>(
    file: &mut File<'a>,
    surroundings: &Surroundings<'a>,
    names: &'a Names,
    forms: &[(Form, Value<'a>)],
) -> Option<usize> {
    let resources = file.objects.len();
    let mut shown = Vec::new();
    file.objects.push(None);
    for ((form, sheet), name) in forms.iter().zip(&names.forms) {
        shown.push((name.as_slice(), Value::Reference(file.objects.len())));
        let content = deflated(&form.content, Squeeze::Content)?;
        let value = shared::dictionary(sheet.clone(), resources, content.len());
        file.objects.push(Some(Object { value, stream: Some(Cow::Owned(content)) }));
    }
    let listed = |named: &BTreeMap<usize, &'a [u8]>| {
        Value::Dictionary(named.iter().map(|(number, name)| (*name, Value::Reference(*number))).collect())
    };
    let mut kinds = vec![(&b"/Font"[..], listed(&surroundings.fonts)), (b"/ColorSpace", listed(&surroundings.colours))];
    if !shown.is_empty() {
        kinds.push((b"/XObject", Value::Dictionary(shown)));
    }
    file.objects[resources] = Some(Object { value: Value::Dictionary(kinds), stream: None });
    Some(resources)
}

/// The code that a character map (9.10.3) gives to the space.
fn code_of_space(map: &[u8]) -> Option<Vec<u8>> {
    let mut tokens = Tokens::of(map);
    let mut before = None;
    while let Some(token) = tokens.next() {
        if token == Token::Text(b"<0020>") {
            return text_bytes(before?);
        }
        before = if let Token::Text(code) = token { Some(code) } else { None };
    }
    None
}
