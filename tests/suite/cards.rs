//! Cards as they come out of the printer: sizes, marks, register, and nothing where nothing may be.

use benchleaf::press::{self, Base, PressOptions};
use benchleaf::sheets::cards::{self, CardOptions, CardSize, Duplex};
use benchleaf::sheets::{DocumentKind, Paper, Sheet};
use serde_json::{Value, json};

fn words(language: &str) -> String {
    benchleaf::assets::languages().find(|(code, _)| *code == language).expect("the language is built in").1.to_string()
}

/// Data of a bench card with so many rows and names of so many letters.
struct Filling {
    fuses: usize,
    coils: usize,
    sequences: usize,
    points: usize,
    letters: usize,
}

fn name(letters: usize, seed: usize) -> String {
    "stop relay of the letter bank and more "
        .chars()
        .cycle()
        .skip(seed % 7)
        .take(letters)
        .collect::<String>()
        .trim()
        .to_string()
}

fn body(filling: &Filling, size: CardSize, paper: Paper, options: &CardOptions) -> Value {
    let Filling { fuses, coils, sequences, points, letters } = *filling;
    json!({
        "sheet": cards::impose(size, paper, options).unwrap(),
        "duplex": options.duplex.name(), "marks": ["computed", "stated"],
        "kind": "postcard dispenser, 48 choices", "name": name(letters.max(4), 0).replace("stop", "Tern"), "mains": "230 V ac 50 Hz",
        "reference": "COM", "meter": "10 MΩ",
        "cautions": [
            {"word": "warning", "sign": "electricity", "short": "Mains inside: pull the plug before a cover comes off. C1 holds 39 V: wait 15 s, then measure."},
            {"word": "caution", "sign": "hot", "short": "Lamps and R7 are hot."}],
        "supplies": [{"id": "PS1", "reads": "−27.8", "unit": "V dc", "span": "−30.6 … −25.0", "mark": "computed", "between": "N28 to COM"},
            {"id": "PS2", "reads": "24.6", "unit": "V ac", "span": "22.1 … 27.0", "mark": "computed", "between": "A24 to B24"}],
        "fuses": (0..fuses).map(|at| json!({"id": format!("F{}", at + 1), "called-for": "T 3.15\u{a0}A", "body": "5×20", "protects": name(letters, at), "mark": "stated"})).collect::<Vec<_>>(),
        "coils": (0..coils).map(|at| json!({"id": format!("K{}", at + 1), "ohms": "120 Ω", "span": "108 … 132 Ω", "mark": "stated", "label": name(letters, at)})).collect::<Vec<_>>(),
        "sequences": (0..sequences).map(|at| json!({"number": (at + 1).to_string(), "title": name(letters, at), "pulled-in": "K1, K3", "acts": [{"id": "K2", "volts": "26.1 V"}]})).collect::<Vec<_>>(),
        "points": (0..points).map(|at| json!({"id": format!("TP{}", at + 1), "current": "dc", "black": null,
            "reads": (0..sequences).map(|step| if (step + at) % 3 == 0 { "0.00" } else { "−27.8" }).collect::<Vec<_>>(),
            "tells": (0..sequences).map(|step| (step + at) % 3 != 0).collect::<Vec<_>>(),
            "below": "−2.8", "above": "2.7"})).collect::<Vec<_>>(),
    })
}

fn sheet(kind: DocumentKind, body: Value, paper: Paper) -> Sheet {
    Sheet {
        kind,
        file_stem: format!("tern-{}", kind.name()),
        title: kind.name().into(),
        data: json!({
            "page": {"kind": kind.name(), "title": "Bench card", "language": "en", "paper": paper, "machine": "Tern 48",
                "machine-kind": "postcard dispenser", "maker": "Saltmarsh", "year": "1964", "serial": null, "author": null, "mains": "230 V",
                "revision": "3", "revised": "2026-02-11", "code": "7KD4-HACM", "shop": null },
            "body": body
        }),
        figures: vec![],
    }
}

#[test]
fn a_card_trial() {
    let base = Base::from_folder(std::path::Path::new("templates")).unwrap();
    for (size, paper) in [
        (CardSize::A5, Paper::A4),
        (CardSize::A6, Paper::A4),
        (CardSize::A4, Paper::A4),
        (CardSize::EightByFive, Paper::Letter),
    ] {
        let filling = Filling { fuses: 6, coils: 14, sequences: 12, points: 40, letters: 24 };
        let options = CardOptions { duplex: Duplex::LongEdge, ..CardOptions::default() };
        let sheet = sheet(DocumentKind::BenchCard, body(&filling, size, paper, &options), paper);
        let options = PressOptions { words: words("en"), files: vec![], attachments: vec![], dpi: Some(100.0) };
        let clock = std::time::Instant::now();
        let printed = press::typeset_on(&base, &sheet, &options).unwrap_or_else(|error| panic!("{error}"));
        println!("{} {} {:?}", size.name(), printed.pages, clock.elapsed());
        std::fs::write(format!("/tmp/card-{}.pdf", size.name()), printed.pdf).unwrap();
        for (at, picture) in printed.pictures.iter().enumerate() {
            std::fs::write(format!("/tmp/card-{}-{at}.png", size.name()), picture).unwrap();
        }
    }
}

#[test]
fn a_label_trial() {
    let base = Base::from_folder(std::path::Path::new("templates")).unwrap();
    let press = PressOptions { words: words("en"), files: vec![], attachments: vec![], dpi: Some(100.0) };
    let options = CardOptions { hole: false, ..CardOptions::default() };
    let label = json!({"sheet": cards::impose(CardSize::Id1, Paper::A4, &options).unwrap(), "name": "Tern 48",
        "fuses": (0..9).map(|at| json!({"id": format!("F{at}"), "called-for": "T 3.15\u{a0}A", "form": "5×20 L 250\u{a0}V", "protects": name(24, at),
            "location": "front of power chassis, second from left", "mark": "stated"})).collect::<Vec<_>>()});
    let options = benchleaf::sheets::SheetOptions {
        paper: Paper::A4,
        words: benchleaf::sheets::Words::of("en").unwrap(),
        north_american: false,
        card_code: "7KD4-HACM".into(),
        shop: None,
        card: CardOptions { duplex: Duplex::ShortEdge, ..CardOptions::default() },
    };
    for sheet in [sheet(DocumentKind::FuseLabel, label, Paper::A4), benchleaf::sheets::register_test::compose(&options)]
    {
        let printed = press::typeset_on(&base, &sheet, &press).unwrap_or_else(|error| panic!("{error}"));
        std::fs::write(format!("/tmp/label-{}.pdf", sheet.kind.name()), printed.pdf).unwrap();
        for (at, picture) in printed.pictures.iter().enumerate() {
            std::fs::write(format!("/tmp/label-{}-{at}.png", sheet.kind.name()), picture).unwrap();
        }
    }
}
