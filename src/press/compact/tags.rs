//! Slims the structure of a tagged document (ISO 32000-1, 14.7 and 14.8): what it says stays, in fewer words and objects.

use std::collections::HashMap;

use super::file::File;
use super::syntax::Value;

/// Attributes that only say how the rules of a table look (14.8.5.4.2), which the page itself shows.
const RULES: [&[u8]; 3] = [b"/BorderColor", b"/BorderStyle", b"/BorderThickness"];

/// The structure of a document.
#[derive(Debug)]
pub(super) struct Structure {
    /// Number of its root, where that is an object of its own.
    root: Option<usize>,
    /// Numbers of its elements, each behind its parent, children in reading order.
    pub(super) elements: Vec<usize>,
    /// Numbers of the arrays that say to which element each marked content of a page belongs, by the page's key.
    pub(super) owners: HashMap<usize, usize>,
}

impl Structure {
    /// Finds the structure, if the document has one.
    pub(super) fn of(file: &File<'_>) -> Option<Self> {
        let root = file.catalogue()?.get(b"/StructTreeRoot")?;
        let (number, root) = (root.reference(), file.resolved(root)?);
        let mut elements = Vec::new();
        let mut open: Vec<usize> = children(root.get(b"/K")?).into_iter().rev().collect();
        while let Some(element) = open.pop() {
            elements.push(element);
            let kids = file.object(element)?.value.get(b"/K").map(children).unwrap_or_default();
            open.extend(kids.into_iter().rev());
        }
        let tree = file.resolved(root.get(b"/ParentTree")?)?;
        let mut owners = HashMap::new();
        for pair in tree.get(b"/Nums")?.items().chunks_exact(2) {
            let number = pair[1].reference()?;
            if let Value::Array(_) = file.object(number)?.value {
                owners.insert(pair[0].count()?, number);
            }
        }
        Some(Self { root: number, elements, owners })
    }

    /// Numbers of all elements in reading order, each page's list of owners behind the last of its elements: both name the
    /// same elements in the same order, which compresses well where they are neighbours.
    pub(super) fn order(&self, file: &File<'_>) -> Vec<usize> {
        let places: HashMap<usize, usize> = self.elements.iter().copied().zip(0..).collect();
        let behind = |list: usize| {
            let owners = file.object(list).map_or(&[][..], |object| object.value.items());
            owners.iter().filter_map(|owner| places.get(&owner.reference()?).copied()).max().map(|place| (place, list))
        };
        let mut lists: Vec<(usize, usize)> = self.owners.values().filter_map(|list| behind(*list)).collect();
        lists.sort_unstable();
        let mut lists = lists.into_iter().peekable();
        let mut order = Vec::with_capacity(self.elements.len() + self.owners.len());
        for (place, element) in self.elements.iter().enumerate() {
            order.push(*element);
            while let Some((_, list)) = lists.next_if(|(last, _)| *last <= place) {
                order.push(list);
            }
        }
        order
    }

    /// Leaves out what says nothing, and takes bold labels of cells into their cells.
    pub(super) fn slim(&mut self, file: &mut File<'_>) -> Option<()> {
        let scoped = self.heads_have_scopes(file);
        for element in &self.elements {
            let value = file.value_mut(*element)?;
            if value.says(b"/Type", b"/StructElem") {
                value.remove(b"/Type");
            }
            slim_attributes(value, scoped);
            if scoped {
                value.remove(b"/ID");
            }
        }
        if scoped && let Some(root) = self.root {
            file.value_mut(root)?.remove(b"/IDTree");
        }
        for element in &self.elements {
            if let Some(b"/TD" | b"/TH") = file.object(*element)?.value.get(b"/S").and_then(Value::plain) {
                take_in_bold(file, *element);
            }
        }
        self.elements.retain(|element| !file.replaced.contains_key(element));
        Some(())
    }

    /// Whether every head of a table says for which cells it stands, which nothing but lists of heads needs names for: then
    /// a cell need not list its heads (ISO 14289-1, 7.5, asks for one of both).
    fn heads_have_scopes(&self, file: &File<'_>) -> bool {
        self.elements.iter().filter_map(|element| file.object(*element)).all(|element| {
            let value = &element.value;
            let scoped = listed(value, b"/A").iter().any(|attribute| attribute.get(b"/Scope").is_some());
            if value.says(b"/S", b"/TH") { scoped } else { value.get(b"/ID").is_none() }
        })
    }

    /// Where each marked content of a page stands: the element and its place among the element's children; none for one
    /// that its element names with its page.
    pub(super) fn places(&self, file: &File<'_>) -> HashMap<(usize, usize), (usize, usize)> {
        let mut places = HashMap::new();
        for element in &self.elements {
            let Some(value) = file.object(*element).map(|object| &object.value) else { continue };
            let Some(page) = value.get(b"/Pg").and_then(Value::reference) else { continue };
            for (at, kid) in listed(value, b"/K").iter().enumerate() {
                if let Some(mark) = kid.count() {
                    places.insert((page, mark), (*element, at));
                }
            }
        }
        places
    }

    /// Gives the marked content of pages new identifiers: by the number of the page, the new ones of the old.
    pub(super) fn renumber(&self, file: &mut File<'_>, pages: &HashMap<usize, Vec<usize>>) -> Option<()> {
        for element in &self.elements {
            let value = file.value_mut(*element)?;
            let page = value.get(b"/Pg").and_then(Value::reference);
            let Some(mut content) = value.remove(b"/K") else { continue };
            if !matches!(content, Value::Array(_)) {
                content = Value::Array(vec![content]);
            }
            let Value::Array(mut kids) = content else { return None };
            kids.iter_mut().try_for_each(|kid| renumber_kid(kid, page, pages))?;
            kids.dedup_by(|next, last| next.count().is_some() && next == last);
            // An only child needs no list.
            let kids = match kids.len() {
                0 => continue,
                1 => kids.remove(0),
                _ => Value::Array(kids),
            };
            let Value::Dictionary(entries) = value else { return None };
            entries.push((b"/K", kids));
        }
        Some(())
    }
}

/// Those children that are elements.
fn children(content: &Value<'_>) -> Vec<usize> {
    match content {
        Value::Reference(number) => vec![*number],
        other => other.items().iter().filter_map(Value::reference).collect(),
    }
}

/// What an element holds under a key, whether one thing or several.
fn listed<'b, 'a>(element: &'b Value<'a>, key: &[u8]) -> &'b [Value<'a>] {
    match element.get(key) {
        Some(Value::Array(items)) => items,
        Some(other) => std::slice::from_ref(other),
        None => &[],
    }
}

fn slim_attributes(element: &mut Value<'_>, scoped: bool) {
    let mut kept = listed(element, b"/A").to_vec();
    element.remove(b"/A");
    for attribute in &mut kept {
        if attribute.says(b"/O", b"/Layout") {
            for rule in RULES {
                attribute.remove(rule);
            }
        }
        let none = attribute.get(b"/Headers").is_some_and(|headers| *headers == Value::Array(Vec::new()));
        if none || scoped {
            attribute.remove(b"/Headers");
        }
    }
    // What is left with nothing but its owner says nothing.
    kept.retain(|attribute| !matches!(attribute, Value::Dictionary(entries) if entries.len() == 1));
    let kept = match kept.len() {
        0 => return,
        1 => kept.remove(0),
        _ => Value::Array(kept),
    };
    if let Value::Dictionary(entries) = element {
        entries.push((b"/A", kept));
    }
}

/// In a table bold letters are the look of a label, not stress: what they hold becomes the cell's own.
fn take_in_bold(file: &mut File<'_>, cell: usize) -> Option<()> {
    let mut value = file.object(cell)?.value.clone();
    let mut page = value.get(b"/Pg").and_then(Value::reference);
    let mut taken = Vec::new();
    for kid in listed(&value, b"/K") {
        let bold = kid.reference().and_then(|number| Some((number, &file.object(number)?.value)));
        match bold.filter(|(_, bold)| is_plain_bold(bold)) {
            Some((number, bold)) if page.is_none() || bold.get(b"/Pg").and_then(Value::reference) == page => {
                page = bold.get(b"/Pg").and_then(Value::reference);
                taken.push((Some(number), listed(bold, b"/K").to_vec()));
            }
            _ => taken.push((None, vec![kid.clone()])),
        }
    }
    for (number, _) in &taken {
        file.replaced.extend(number.map(|number| (number, cell)));
    }
    let content = Value::Array(taken.into_iter().flat_map(|(_, kids)| kids).collect());
    let page_before = value.remove(b"/Pg");
    value.remove(b"/K")?;
    if let Value::Dictionary(entries) = &mut value {
        entries.push((b"/K", content));
        entries.extend(page.map(Value::Reference).or(page_before).map(|page| (&b"/Pg"[..], page)));
    }
    *file.value_mut(cell)? = value;
    Some(())
}

/// Bold letters, and nothing but marked content in them.
fn is_plain_bold(element: &Value<'_>) -> bool {
    let Value::Dictionary(entries) = element else { return false };
    let keys: [&[u8]; 4] = [b"/S", b"/P", b"/K", b"/Pg"];
    element.says(b"/S", b"/Strong")
        && entries.iter().all(|(key, _)| keys.contains(key))
        && element.get(b"/Pg").is_some()
        && listed(element, b"/K").iter().all(|kid| kid.count().is_some())
}

fn renumber_kid(kid: &mut Value<'_>, page: Option<usize>, pages: &HashMap<usize, Vec<usize>>) -> Option<()> {
    let (page, mark) = match kid {
        Value::Dictionary(_) if kid.says(b"/Type", b"/MCR") => {
            (kid.get(b"/Pg").and_then(Value::reference).or(page), kid.get_mut(b"/MCID")?)
        }
        Value::Plain(_) | Value::Count(_) => (page, kid),
        _ => return Some(()),
    };
    if let Some(marks) = pages.get(&page?) {
        *mark = Value::Count(*marks.get(mark.count()?)?);
    }
    Some(())
}
