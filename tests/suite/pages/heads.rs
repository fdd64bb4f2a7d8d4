//! Every table that goes on over a page break has a head and repeats it, in all documents, of long machines too.
//!
//! Read from the laid-out pages: the typesetter marks where a table begins and ends, so that the letters of each of its
//! pieces are known; each must begin with the words of its head.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::ops::Range;

use benchleaf::sheets::{self, DocumentKind, Paper, Sheet};
use typst::introspection::{Location, Tag};
use typst::layout::{Frame, FrameItem};
use typst::model::{TableChild, TableElem, TableItem};
use typst_layout::PagedDocument;

use crate::sheets as desk;

/// Below a line that stands above the body of every page, from its upper edge, in millimetres.
const HEAD: f64 = 13.0;
/// Above the foot of every page, from its lower edge, in millimetres: rows that go on begin higher than that.
const FOOT: f64 = 22.0;

/// A table of which the beginning was met.
struct Table {
    place: Location,
    ended: bool,
    /// The words of its head, without blanks; none where it has no head that is repeated.
    head: Option<String>,
    /// The letters of each of its pieces by page, without blanks.
    pieces: BTreeMap<usize, String>,
}

impl Table {
    fn new(element: &TableElem, place: Location) -> Self {
        let head = element.children.iter().find_map(|child| match child {
            TableChild::Header(header) if header.repeat.get_cloned(typst::foundations::StyleChain::default()) => {
                Some(header.children.iter().filter_map(words_of).collect::<String>())
            }
            _ => None,
        });
        Self { place, ended: false, head, pieces: BTreeMap::new() }
    }
}

fn words_of(item: &TableItem) -> Option<String> {
    match item {
        TableItem::Cell(cell) => Some(without_blanks(&cell.body.plain_text())),
        TableItem::HLine(_) | TableItem::VLine(_) => None,
    }
}

fn without_blanks(text: &str) -> String {
    text.chars()
        .filter(|letter| !letter.is_whitespace() && !matches!(letter, '\u{AD}' | '\u{200B}'..='\u{200D}'))
        .collect()
}

/// All tables of a document with their pieces.
fn tables(document: &PagedDocument) -> Vec<Table> {
    let mut tables = Vec::new();
    for (page, laid_out) in document.pages().iter().enumerate() {
        // Those that began on this page, the innermost last.
        let mut begun = Vec::new();
        let body = HEAD..laid_out.frame.height().to_mm() - FOOT;
        walk(&laid_out.frame, 0.0, &body, page, &mut tables, &mut begun);
    }
    tables
}

fn walk(frame: &Frame, down: f64, body: &Range<f64>, page: usize, tables: &mut Vec<Table>, begun: &mut Vec<usize>) {
    for (at, item) in frame.items() {
        let here = down + at.y.to_mm();
        match item {
            FrameItem::Group(group) => walk(&group.frame, here, body, page, tables, begun),
            FrameItem::Text(text) if body.contains(&here) => {
                // Letters belong to the table that began last on this page, else to the first of those that go on.
                let going_on = || tables.iter().position(|table| !table.ended);
                if let Some(table) = begun.last().copied().or_else(going_on) {
                    tables[table].pieces.entry(page).or_default().push_str(&without_blanks(&text.text));
                }
            }
            FrameItem::Tag(Tag::Start(element, _)) => {
                if let (Some(table), Some(place)) = (element.to_packed::<TableElem>(), element.location()) {
                    begun.push(tables.len());
                    tables.push(Table::new(table, place));
                }
            }
            FrameItem::Tag(Tag::End(place, ..)) => {
                if let Some(at) = tables.iter().position(|table| table.place == *place) {
                    tables[at].ended = true;
                    begun.retain(|table| *table != at);
                }
            }
            _ => {}
        }
    }
}

/// How many tables of a document go on over a page break; each piece of them must begin with the head.
fn broken_tables(what: &str, document: &PagedDocument) -> usize {
    let mut broken = 0;
    for table in tables(document) {
        let pieces: Vec<(&usize, &String)> = table.pieces.iter().filter(|(_, letters)| !letters.is_empty()).collect();
        if pieces.len() < 2 {
            continue;
        }
        broken += 1;
        let first: String = pieces[0].1.chars().take(40).collect();
        let head = table.head.unwrap_or_else(|| panic!("{what}: a table that begins `{first}` goes on without a head"));
        assert!(!head.is_empty(), "{what}: a table has a head without words");
        for (page, letters) in pieces {
            let start: String = letters.chars().take(head.chars().count() + 10).collect();
            assert!(start.starts_with(&head), "{what}, page {}: `{start}` without its head `{head}`", page + 1);
        }
    }
    broken
}

/// All documents that have tables over several pages.
const KINDS: [DocumentKind; 8] = [
    DocumentKind::TestPointTable,
    DocumentKind::SignalPaths,
    DocumentKind::CoilTable,
    DocumentKind::PlugTable,
    DocumentKind::WireTable,
    DocumentKind::PartsList,
    DocumentKind::JobSheet,
    DocumentKind::ServiceLog,
];

fn broken_by_kind(name: &str, sheets: &[Sheet]) -> BTreeMap<DocumentKind, usize> {
    let of = |sheet: &Sheet| {
        (sheet.kind, broken_tables(&format!("{name} {}", sheet.kind.name()), &desk::lay_out(sheet, "en")))
    };
    sheets.iter().map(of).collect()
}

#[test]
fn heads_are_repeated_in_all_documents_of_every_machine() {
    let mut broken = 0;
    for name in desk::MACHINES {
        let opened = desk::open(&desk::demo(name));
        let options = desk::options("en", Paper::A4);
        let sheets = desk::with_figures(&opened, &options, |material| sheets::compose(material, &DocumentKind::ALL));
        broken += broken_by_kind(name, &sheets).values().sum::<usize>();
    }
    assert!(broken > 10, "only {broken} tables go on over a page break: is this test blind?");
}

/// A machine of so many branches, each with a fuse, four test points, a plug pin, a wire, a relay, and a sequence that
/// works it; with names of so many letters.
pub(super) fn long_machine(branches: usize, letters: usize) -> String {
    let name: String = "reset bank of the third column and what hangs on it ".chars().cycle().take(letters).collect();
    let name = name.trim();
    let mut text = format!(
        "[machine]\nid = \"m\"\nname = \"Long\"\nkind = \"long\"\nrevision = 1\nrevised = 2026-01-01\nreference = \"COM\"\n\
         [[supply]]\nid = \"PS1\"\nvoltage = \"28 V dc\"\nterminals = {{ \"+\" = \"P\", \"-\" = \"COM\" }}\n\
         [[plug]]\nid = \"J1\"\nlabel = \"{name}\"\n"
    );
    for at in 1..=branches {
        let points: Vec<usize> = (4 * at - 3..=4 * at).collect();
        // Writing to a string cannot fail.
        let _ = write!(
            text,
            "[[fuse]]\nid = \"F{at}\"\nrated = \"1 A\"\nprotects = \"{name}\"\n\
             [[switch]]\nid = \"S{at}\"\nlabel = \"{name}\"\nrest = \"open\"\n\
             [[relay]]\nid = \"K{at}\"\nlabel = \"{name}\"\ncoil = \"120 ohm\"\nnominal = \"24 V dc\"\n\
             contacts = {{ \"1-2\" = \"make\" }}\n\
"
        );
        for point in &points {
            let _ = write!(text, "[[test-point]]\nid = \"TP{point}\"\nplace = \"{name}\"\nprobe = \"{name}\"\n");
        }
        let _ = write!(
            text,
            "[[run]]\nroute = \"P > F{at} > TP{} > wire RD 0.5 mm2 1 m > TP{} > J1:{at} > TP{} > S{at} > TP{} > K{at} > COM\"\n\
             [[sequence]]\nnumber = {at}\ntitle = \"{name}\"\nset = [\"S{at}\"]\nacts = [\"K{at}\"]\nsymptom = \"{name}\"\n",
            points[0], points[1], points[2], points[3]
        );
    }
    text
}

#[test]
fn heads_are_repeated_on_long_machines() {
    for (branches, letters) in [(60, 12), (24, 60), (12, 200)] {
        let opened = desk::from_text(&long_machine(branches, letters));
        let options = desk::options("en", Paper::A4);
        let sheets = desk::with_figures(&opened, &options, |material| sheets::compose(material, &KINDS));
        let broken = broken_by_kind(&format!("{branches} branches, {letters} letters"), &sheets);
        if branches == 60 {
            let whole: Vec<&str> =
                broken.iter().filter(|(_, count)| **count == 0).map(|(kind, _)| kind.name()).collect();
            assert!(whole.is_empty(), "no table goes on over a page break in {whole:?}: is this test blind?");
        }
    }
}
