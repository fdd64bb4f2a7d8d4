//! Cards as they come out of the printer: sizes, marks, register, and nothing where nothing may be.
//!
//! Everything is measured on the laid-out pages, not taken from the program's own tables. Sizes: ISO 216 for A4, A5 and A6
//! (as widely restated), ISO/IEC 7810 for ID-1 (85.60 mm by 53.98 mm, corner radius 2.88 mm to 3.48 mm), and the inch
//! sizes of North American paper and index cards.

pub(crate) mod measure;

use std::fmt::Write as _;

use benchleaf::circuit::{Effort, Solver};
use benchleaf::machine;
use benchleaf::press::{self, Base, PressOptions};
use benchleaf::sheets::cards::{self, CardOptions, CardSize, Duplex};
use benchleaf::sheets::{DocumentKind, Material, Paper, Sheet, SheetOptions, fuse_label, register_test};
use benchleaf::words::Words;
use measure::{Area, Marked, measure};
use rand_chacha::ChaCha8Rng;
use rand_core::{Rng, SeedableRng};
use serde_json::{Value, json};

/// Finished sizes in millimetres, width and height as the card is read, and the paper each is printed on.
const SIZES: [(CardSize, Paper, f64, f64); 6] = [
    (CardSize::A4, Paper::A4, 210.0, 297.0),
    (CardSize::A5, Paper::A4, 210.0, 148.0),
    (CardSize::A6, Paper::A4, 148.0, 105.0),
    (CardSize::Letter, Paper::Letter, 8.5 * 25.4, 11.0 * 25.4),
    (CardSize::HalfLetter, Paper::Letter, 8.5 * 25.4, 5.5 * 25.4),
    (CardSize::EightByFive, Paper::Letter, 8.0 * 25.4, 5.0 * 25.4),
];

/// Measured places may differ by this much, in millimetres.
const FINENESS: f64 = 0.1;
/// Border that must stay empty, in millimetres.
const SEALED: f64 = 5.0;
/// Radius of the zone around a hole that must stay empty, in millimetres.
const HOLE_ZONE: f64 = 5.0;

fn language(code: &str) -> String {
    benchleaf::assets::languages().find(|(known, _)| *known == code).expect("the language is built in").1.to_string()
}

/// What a card has to hold.
#[derive(Debug, Clone, Copy)]
struct Filling {
    fuses: usize,
    coils: usize,
    sequences: usize,
    points: usize,
    letters: usize,
    /// Names without any blank.
    solid: bool,
}

const USUAL: Filling = Filling { fuses: 6, coils: 14, sequences: 12, points: 40, letters: 22, solid: false };

/// A name of so many letters, different for each seed.
fn name(filling: &Filling, seed: usize) -> String {
    let words = "stop relay of the letter bank and more ";
    let text: String = words.chars().cycle().skip(seed % words.len()).take(filling.letters.max(1)).collect();
    let text = text.trim().to_string();
    let text = if text.is_empty() { "x".to_string() } else { text };
    if filling.solid { text.replace(' ', "o") } else { text }
}

fn body(filling: &Filling, size: CardSize, paper: Paper, options: &CardOptions) -> Value {
    let broken = |seed| benchleaf::sheets::bench_card::breakable(&name(filling, seed));
    let reading = |point: usize, step: usize| if (point + step).is_multiple_of(3) { "0.00" } else { "−27.8" };
    let steps = filling.sequences;
    json!({
        "sheet": cards::impose(size, paper, options).expect("the size fits its paper"),
        "marks": ["computed", "stated"], "duplex": options.duplex.name(),
        "kind": "postcard dispenser, 48 choices", "name": broken(0), "mains": "230 V ac 50 Hz",
        "reference": "COM", "other-leads": false, "meter": "10 MΩ",
        "cautions": [
            { "word": "warning", "sign": "electricity", "short": "Mains inside: plug out before a cover comes off. C1 holds 39 V." },
            { "word": "caution", "sign": "hot", "short": "Hot: R7." }],
        "supplies": [{ "id": "PS1", "reads": "−26.6", "unit": "V dc", "span": "−30.6 … −25.0", "mark": "computed", "between": "N28 to COM" }],
        "fuses": (0..filling.fuses).map(|at| json!({
            "id": format!("F{at}"), "called-for": "T 3.15\u{a0}A", "body": "5×20", "protects": broken(at), "mark": "stated" })).collect::<Vec<_>>(),
        "coils": (0..filling.coils).map(|at| json!({
            "id": format!("K{at}"), "ohms": "120 Ω", "span": "108 … 132 Ω", "mark": "stated", "label": broken(at + 5) })).collect::<Vec<_>>(),
        "sequences": (0..steps).map(|at| json!({
            "number": (at + 1).to_string(), "title": broken(at + 9), "pulled-in": "K1, K3", "acts": [{ "id": "K2", "volts": "26.1 V" }] })).collect::<Vec<_>>(),
        "points": (0..filling.points).map(|at| json!({
            "id": format!("TP{at}"), "current": "dc", "black": null,
            "reads": (0..steps).map(|step| reading(at, step)).collect::<Vec<_>>(),
            "tells": (0..steps).map(|step| reading(at, step) != "0.00").collect::<Vec<_>>(),
            "below": "−2.8", "above": "2.7" })).collect::<Vec<_>>(),
    })
}

fn sheet(kind: DocumentKind, body: &Value, paper: Paper) -> Sheet {
    Sheet {
        kind,
        file_stem: format!("plover-6-{}", kind.name()),
        title: "Card".into(),
        code: "7KD4-HACM".into(),
        data: json!({
            "page": { "kind": kind.name(), "title": "Card", "language": "en", "paper": paper, "machine": "Plover 6",
                "machine-kind": "whistle stand", "maker": null, "year": null, "serial": null, "author": null, "mains": null,
                "revision": "3", "revised": "2026-02-11", "shop": null },
            "body": body
        }),
        figures: Vec::new(),
    }
}

/// All pages of a document, measured.
fn pages(sheet: &Sheet) -> Vec<Marked> {
    let options = PressOptions { words: language("en"), ..PressOptions::default() };
    let base = Base::embedded().expect("the templates are built in");
    let (document, missing) = press::lay_out(base, sheet, &options).unwrap_or_else(|fault| panic!("{fault}"));
    assert!(missing.is_empty());
    document.pages().iter().map(|page| measure(&page.frame)).collect()
}

fn bench_card(filling: &Filling, size: CardSize, paper: Paper, options: &CardOptions) -> Vec<Marked> {
    pages(&sheet(DocumentKind::BenchCard, &body(filling, size, paper, options), paper))
}

/// Outlines of cards on a page: unfilled shapes of the card's size.
fn outlines(page: &Marked, width: f64, height: f64) -> Vec<Area> {
    let is_card = |area: &Area| (area.width() - width).abs() < FINENESS && (area.height() - height).abs() < FINENESS;
    page.shapes.iter().filter(|(area, filled)| !filled && is_card(area)).map(|(area, _)| *area).collect()
}

/// Crop marks: straight black lines of 5 mm, a quarter of a point thick. Places of the upright and of the level ones.
fn marks(page: &Marked) -> (Vec<f64>, Vec<f64>) {
    let (mut upright, mut level) = (Vec::new(), Vec::new());
    for ((x1, y1), (x2, y2), thickness) in &page.lines {
        let length = (x2 - x1).hypot(y2 - y1);
        if (length - 5.0).abs() < 0.01 && (thickness - 0.25).abs() < 0.01 {
            if (x2 - x1).abs() < 1e-6 { upright.push(*x1) } else { level.push(*y1) }
        }
    }
    for places in [&mut upright, &mut level] {
        places.sort_by(f64::total_cmp);
        places.dedup_by(|one, other| (*one - *other).abs() < 1e-6);
    }
    (upright, level)
}

#[test]
fn trims_have_the_sizes_of_the_standards() {
    for (size, paper, width, height) in SIZES {
        let pages = bench_card(&USUAL, size, paper, &CardOptions::default());
        let found = outlines(&pages[0], width, height);
        assert!(!found.is_empty(), "{}: no card of {width} mm by {height} mm on the first page", size.name());
        let radius = size.radius();
        assert!((3.0..=5.0).contains(&radius), "usual radius of a laminated card: common practice, no source");
    }
    let id1 = CardSize::Id1.radius();
    assert!((2.88..=3.48).contains(&id1), "ISO/IEC 7810");
}

#[test]
fn marks_stand_on_the_lines_of_the_trim_and_outside_of_it() {
    for (size, paper, width, height) in SIZES {
        for page in bench_card(&USUAL, size, paper, &CardOptions::default()) {
            let cards = outlines(&page, width, height);
            let (upright, level) = marks(&page);
            if size == CardSize::A4 || size == CardSize::Letter {
                assert!(upright.is_empty() && level.is_empty(), "a card as large as its paper has no marks");
                continue;
            }
            for card in &cards {
                for edge in [card.left, card.right] {
                    assert!(upright.iter().any(|mark| (mark - edge).abs() < FINENESS), "{}: {edge}", size.name());
                }
                for edge in [card.top, card.bottom] {
                    assert!(level.iter().any(|mark| (mark - edge).abs() < FINENESS), "{}: {edge}", size.name());
                }
            }
            assert_eq!(upright.len(), distinct(cards.iter().flat_map(|card| [card.left, card.right])));
            assert_eq!(level.len(), distinct(cards.iter().flat_map(|card| [card.top, card.bottom])));
            marks_keep_away(&page, &cards);
        }
    }
}

fn distinct(places: impl Iterator<Item = f64>) -> usize {
    let mut places: Vec<f64> = places.collect();
    places.sort_by(f64::total_cmp);
    places.dedup_by(|one, other| (*one - *other).abs() < FINENESS);
    places.len()
}

/// Marks start 3 mm outside of every trim, so that a cut that wanders leaves none on a card.
fn marks_keep_away(page: &Marked, cards: &[Area]) {
    for ((x1, y1), (x2, y2), thickness) in &page.lines {
        if (thickness - 0.25).abs() > 0.01 || ((x2 - x1).hypot(y2 - y1) - 5.0).abs() > 0.01 {
            continue;
        }
        for card in cards {
            for end in [(*x1, *y1), (*x2, *y2)] {
                assert!(card.distance(end) >= 3.0 - FINENESS, "a mark comes within {} mm", card.distance(end));
            }
        }
    }
}

/// Where a place on the second page lies when one looks through the paper from the first.
fn through(area: Area, page: (f64, f64), duplex: Duplex) -> Area {
    let long_is_upright = page.1 >= page.0;
    let about_upright = long_is_upright == (duplex == Duplex::LongEdge);
    if about_upright {
        Area { left: page.0 - area.right, right: page.0 - area.left, ..area }
    } else {
        Area { top: page.1 - area.bottom, bottom: page.1 - area.top, ..area }
    }
}

#[test]
fn both_sides_meet_however_the_printer_turns_the_sheet() {
    for (size, paper, width, height) in SIZES {
        for duplex in [Duplex::LongEdge, Duplex::ShortEdge] {
            let options = CardOptions { duplex, ..CardOptions::default() };
            let sheet = cards::impose(size, paper, &options).expect("fits");
            let pages = bench_card(&USUAL, size, paper, &options);
            let fronts = outlines(&pages[0], width, height);
            let backs = outlines(&pages[1], width, height);
            assert_eq!(fronts.len(), backs.len());
            for (front, back) in fronts.iter().zip(&backs) {
                let seen = through(*back, (sheet.width, sheet.height), duplex);
                assert!(seen.inside(front, FINENESS), "{} {duplex:?}: {seen:?} is not behind {front:?}", size.name());
            }
        }
    }
}

#[test]
fn the_back_stands_head_to_head_in_the_hand() {
    // The hole is at the upper edge of both sides, and a card turns like a page of a book: looked through the paper, the
    // hole of the back must be behind that of the front.
    let hole = |page: &Marked| {
        let round = |area: &&Area| (area.width() - 5.0).abs() < FINENESS && (area.height() - 5.0).abs() < FINENESS;
        let area = page.shapes.iter().map(|(area, _)| area).find(round).copied();
        area.expect("the hole is drawn")
    };
    for duplex in [Duplex::LongEdge, Duplex::ShortEdge] {
        let options = CardOptions { duplex, ..CardOptions::default() };
        let sheet = cards::impose(CardSize::A5, Paper::A4, &options).expect("fits");
        let pages = bench_card(&USUAL, CardSize::A5, Paper::A4, &options);
        let seen = through(hole(&pages[1]), (sheet.width, sheet.height), duplex);
        assert!(seen.inside(&hole(&pages[0]), FINENESS), "{duplex:?}");
    }
}

#[test]
fn an_offset_moves_the_second_side_only() {
    let (dx, dy) = (0.8, -1.3);
    let plain = bench_card(&USUAL, CardSize::A6, Paper::A4, &CardOptions::default());
    let options = CardOptions { offset: (dx, dy), ..CardOptions::default() };
    let moved = bench_card(&USUAL, CardSize::A6, Paper::A4, &options);
    for (at, (before, after)) in plain.iter().zip(&moved).enumerate() {
        let (right, down) = if at % 2 == 0 { (0.0, 0.0) } else { (dx, dy) };
        for (one, other) in outlines(before, 148.0, 105.0).iter().zip(outlines(after, 148.0, 105.0)) {
            assert!((other.left - one.left - right).abs() < FINENESS && (other.top - one.top - down).abs() < FINENESS);
        }
    }
}

#[test]
fn the_register_test_has_a_grid_behind_each_cross() {
    for duplex in [Duplex::LongEdge, Duplex::ShortEdge] {
        for paper in [Paper::A4, Paper::Letter] {
            let options = SheetOptions {
                paper,
                words: Words::of("en").expect("built in"),
                north_american: false,
                card_code: "7KD4-HACM".into(),
                shop: None,
                card: CardOptions { duplex, ..CardOptions::default() },
            };
            let pages = pages(&register_test::compose(&options));
            assert_eq!(pages.len(), 2);
            let circles: Vec<Area> = pages[0]
                .shapes
                .iter()
                .filter(|(area, _)| (area.width() - 6.0).abs() < FINENESS && (area.height() - 6.0).abs() < FINENESS)
                .map(|(area, _)| through(*area, paper.size(), duplex))
                .collect();
            assert_eq!(circles.len(), 3);
            for circle in circles {
                let middle = circle.middle();
                let strong = pages[1].lines.iter().filter(|(_, _, thickness)| (thickness - 0.7).abs() < 0.01);
                let through_it = strong.filter(|((x1, y1), (x2, y2), _)| {
                    (f64::midpoint(*x1, *x2) - middle.0).hypot(f64::midpoint(*y1, *y2) - middle.1) < FINENESS
                });
                assert_eq!(through_it.count(), 2, "both axes of a grid meet behind the cross");
            }
        }
    }
}

/// What must hold for every card, whatever is on it.
fn check_faces(pages: &[Marked], width: f64, height: f64, least_size: f64, what: &str) {
    for page in pages {
        for card in outlines(page, width, height) {
            let free = Area {
                left: card.left + SEALED,
                top: card.top + SEALED,
                right: card.right - SEALED,
                bottom: card.bottom - SEALED,
            };
            let hole = page.shapes.iter().map(|(area, _)| *area).find(|area| {
                (area.width() - 5.0).abs() < FINENESS
                    && (area.height() - 5.0).abs() < FINENESS
                    && area.inside(&card, 0.0)
            });
            let on_card: Vec<_> = page.letters.iter().filter(|letters| letters.area.overlaps(&card, 0.0)).collect();
            assert!(!on_card.is_empty(), "{what}: an empty face");
            for letters in &on_card {
                assert!(
                    letters.area.inside(&free, FINENESS),
                    "{what}: `{}` is in the sealed border: {:?}",
                    letters.text,
                    letters.area
                );
                assert!(letters.size >= least_size - 1e-6, "{what}: `{}` in {} pt", letters.text, letters.size);
                if let Some(hole) = hole {
                    let middle = hole.middle();
                    let distance = letters.area.distance(middle);
                    assert!(
                        distance >= HOLE_ZONE - FINENESS,
                        "{what}: `{}` is {distance} mm from the hole",
                        letters.text
                    );
                }
            }
            nothing_overlaps(&on_card, what);
        }
    }
}

fn nothing_overlaps(letters: &[&measure::Letters], what: &str) {
    const HAIR: f64 = 0.15;
    for (at, one) in letters.iter().enumerate() {
        for other in &letters[at + 1..] {
            let both_seen = !one.text.trim().is_empty() && !other.text.trim().is_empty();
            assert!(
                !both_seen || !one.area.overlaps(&other.area, HAIR),
                "{what}: `{}` {:?} and `{}` {:?} overlap",
                one.text,
                one.area,
                other.text,
                other.area
            );
        }
    }
}

/// All letters of all pages in the order in which they are read, without blanks.
fn all_letters(pages: &[Marked]) -> String {
    let text: String = pages.iter().flat_map(|page| &page.letters).map(|letters| letters.text.as_str()).collect();
    without_blanks(&text)
}

fn without_blanks(text: &str) -> String {
    text.chars().filter(|letter| !letter.is_whitespace() && *letter != '\u{200B}').collect()
}

/// Whether everything that a card was given is on it.
fn check_complete(filling: &Filling, pages: &[Marked], what: &str) {
    let text = all_letters(pages);
    let mut expected: Vec<String> = Vec::new();
    expected.extend((0..filling.fuses).map(|at| format!("F{at}T3.15A{}", without_blanks(&name(filling, at)))));
    expected
        .extend((0..filling.coils).map(|at| format!("K{at}120Ω108…132Ω○{}", without_blanks(&name(filling, at + 5)))));
    expected
        .extend((0..filling.sequences).map(|at| format!("{}{}K1,K3", at + 1, without_blanks(&name(filling, at + 9)))));
    if filling.sequences > 1 {
        expected.extend((0..filling.points).map(|at| format!("TP{at}dc")));
    }
    for piece in expected {
        assert!(text.contains(&piece), "{what}: `{piece}` is missing");
    }
    let shown: usize = pages.iter().flat_map(|page| &page.letters).filter(|letters| letters.text == "−27.8").count();
    let given = (0..filling.points)
        .map(|point| (0..filling.sequences).filter(|step| !(point + step).is_multiple_of(3)).count())
        .sum::<usize>();
    assert_eq!(shown, given, "{what}: readings on the card");
}

#[test]
fn readings_are_in_14_points_and_nothing_is_under_10() {
    // CAA CAP 676 as restated: body 12 pt, at least 10; readings at 14 pt reach an x-height of 2.5 mm.
    for (size, paper, width, height) in SIZES {
        let pages = bench_card(&USUAL, size, paper, &CardOptions::default());
        check_faces(&pages, width, height, 10.0, size.name());
        check_complete(&USUAL, &pages, size.name());
        let readings = pages.iter().flat_map(|page| &page.letters).filter(|letters| letters.text == "−27.8");
        for reading in readings {
            assert!((reading.size - 14.0).abs() < 1e-6);
        }
    }
}

#[test]
fn any_content_finds_its_place() {
    let mut random = ChaCha8Rng::seed_from_u64(676);
    let mut upto = |least: usize, most: usize| least + (random.next_u32() as usize) % (most - least + 1);
    for round in 0..18 {
        let (size, paper, width, height) = SIZES[round % SIZES.len()];
        let filling = Filling {
            fuses: upto(1, 60),
            coils: upto(0, 40),
            sequences: upto(0, 16),
            points: upto(1, 200),
            letters: if round % 3 == 0 { upto(1, 4) } else { upto(1, 200) },
            solid: round % 4 == 3,
        };
        let options = CardOptions { hole: round % 5 != 4, ..CardOptions::default() };
        let what = format!("{} {filling:?}", size.name());
        let pages = bench_card(&filling, size, paper, &options);
        check_faces(&pages, width, height, 10.0, &what);
        check_complete(&filling, &pages, &what);
    }
}

#[test]
fn what_goes_on_repeats_its_head_and_counts_its_cards() {
    let pages = bench_card(&USUAL, CardSize::A6, Paper::A4, &CardOptions::default());
    let text = all_letters(&pages);
    assert!(text.contains("Coils(continued)") && text.contains("Readingsinvolts(continued)"));
    let cards: Vec<usize> = pages.iter().map(|page| outlines(page, 148.0, 105.0).len()).collect();
    let faces: usize = cards.iter().sum();
    let last = format!("card{0}of{0}", faces.div_ceil(2));
    assert!(text.contains(&last), "`{last}` for {faces} faces");
    for number in 1..=faces.div_ceil(2) {
        assert!(text.contains(&format!("card{number}of{},front", faces.div_ceil(2))));
    }
}

#[test]
fn bare_cards_are_pages_of_their_own_size() {
    for (size, paper, width, height) in SIZES {
        let options = CardOptions { bare: true, ..CardOptions::default() };
        let body = body(&USUAL, size, paper, &options);
        let press = PressOptions { words: language("en"), ..PressOptions::default() };
        let base = Base::embedded().expect("built in");
        let (document, _) =
            press::lay_out(base, &sheet(DocumentKind::BenchCard, &body, paper), &press).expect("laid out");
        for page in document.pages() {
            let size = page.frame.size();
            assert!((size.x.to_mm() - width).abs() < 0.01 && (size.y.to_mm() - height).abs() < 0.01);
        }
    }
}

#[test]
fn a_card_larger_than_its_paper_is_refused() {
    let refused = cards::impose(CardSize::A4, Paper::Letter, &CardOptions::default()).expect_err("297 mm on 279.4 mm");
    assert!(refused.to_string().contains("`a4`"));
}

/// A machine of nothing but fuses in a row, each with a long name and place.
fn fuses_in_a_row(fuses: usize, letters: usize, solid: bool) -> String {
    let filling = Filling { letters, solid, ..USUAL };
    let mut text = format!(
        "[machine]\nid = \"row\"\nname = \"{}\"\nkind = \"row of fuses\"\nrevision = 3\nrevised = 2026-02-11\nreference = \"COM\"\n\
         [[supply]]\nid = \"PS1\"\nvoltage = \"24 V dc ±10 %\"\ninternal = \"1 ohm\"\nterminals = {{ \"+\" = \"P24\", \"-\" = \"COM\" }}\n\
         [[resistor]]\nid = \"R1\"\nvalue = \"100 ohm\"\n",
        name(&filling, 3)
    );
    for at in 0..fuses {
        let words = name(&filling, at);
        let _ = write!(
            text,
            "[[fuse]]\nid = \"F{at}\"\nrated = \"3.15 A\"\nspeed = \"T\"\nbody = \"5x20\"\nbreaking = \"L\"\nprotects = \"{words}\"\nplace = \"{words}\"\n"
        );
    }
    let row: Vec<String> = (0..fuses).map(|at| format!("F{at}")).collect();
    text.push_str("[[sequence]]\nnumber = 1\ntitle = \"On\"\n");
    let _ = writeln!(text, "[[run]]\nroute = \"P24 > {} > R1 > COM\"", row.join(" > "));
    text
}

#[test]
fn fuse_labels_are_bank_cards() {
    // ISO/IEC 7810 ID-1: 85.60 mm by 53.98 mm.
    for (fuses, letters, solid) in [(1, 1, false), (7, 24, false), (60, 60, false), (3, 200, false), (3, 200, true)] {
        let text = fuses_in_a_row(fuses, letters, solid);
        let opened = machine::from_text("row.toml", &text)
            .unwrap_or_else(|refused| panic!("{}", refused.report.render(&refused.sources, false)));
        let solver = Solver::new(&opened.machine).expect("it can be solved");
        let solution = solver.solve(Effort::Nominal);
        let options = SheetOptions {
            paper: Paper::A4,
            words: Words::of("en").expect("built in"),
            north_american: false,
            card_code: "7KD4-HACM".into(),
            shop: None,
            card: CardOptions::default(),
        };
        let material = Material {
            machine: &opened.machine,
            solution: &solution,
            options: &options,
            solver: &solver,
            audit: &[],
            findings: None,
        };
        let pages = pages(&fuse_label::compose(&material));
        check_faces(&pages, 85.60, 53.98, 10.0, &format!("{fuses} fuses of {letters} letters"));
        let text = all_letters(&pages);
        let filling = Filling { letters, solid, ..USUAL };
        for at in 0..fuses {
            let words = without_blanks(&name(&filling, at));
            let start: String = words.chars().take(60).collect();
            let end: String = words.chars().rev().take(15).collect::<Vec<_>>().into_iter().rev().collect();
            assert!(text.contains(&format!("F{at}T3.15A{start}")) && text.contains(&end), "F{at} of {fuses}");
        }
    }
}
