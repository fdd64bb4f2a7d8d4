//! The typesetter: valid archival PDF, embedded fonts, the same bytes every time.

use benchleaf::press::{self, PressOptions};
use benchleaf::sheets::{DocumentKind, Sheet};
use serde_json::json;

fn words(language: &str) -> String {
    benchleaf::assets::languages().find(|(code, _)| *code == language).expect("the language is built in").1.to_string()
}

#[test]
fn a_trial() {
    let sheet = Sheet {
        kind: DocumentKind::FuseLabel,
        file_stem: "tern-fuse-label".into(),
        title: "Fuse label".into(),
        data: json!({
            "page": {"kind": "fuse-label", "title": "Fuse label", "language": "en", "paper": "a4", "machine": "Tern 48",
                "machine-kind": "postcard dispenser", "maker": "Saltmarsh", "year": "1964", "serial": null, "author": null, "mains": "230 V",
                "revision": "3", "revised": "2026-02-11", "code": "7KD4-HACM", "shop": null },
            "body": {}
        }),
        figures: vec![],
    };
    let options = PressOptions { words: words("en"), files: vec![], attachments: vec![], dpi: Some(80.0) };
    let printed = press::typeset(&sheet, &options).unwrap_or_else(|error| panic!("{error}"));
    std::fs::write("/tmp/press-trial.pdf", printed.pdf).unwrap();
    for (at, picture) in printed.pictures.iter().enumerate() {
        std::fs::write(format!("/tmp/press-trial-{at}.png"), picture).unwrap();
    }
}
