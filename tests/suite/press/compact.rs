//! What makes a file smaller changes neither what it says nor how it looks, as outside readers see it, and leaves alone what
//! it does not know.

use std::collections::BTreeMap;
use std::io::{Read, Write};
use std::process::Command;

use benchleaf::press::{self, Base, compact::compact};
use flate2::Compression;
use flate2::read::ZlibDecoder;
use flate2::write::ZlibEncoder;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

use super::{options, sheets_in, tool};
use crate::support;

/// Every document of the small machine as the typesetter writes it.
fn plain_documents() -> Vec<(String, Vec<u8>)> {
    let base = Base::embedded().expect("built in");
    let standards = PdfStandards::new(&[PdfStandard::A_3a, PdfStandard::Ua_1]).expect("both");
    let export = PdfOptions { standards, ..PdfOptions::default() };
    let print = |sheet: &benchleaf::sheets::Sheet| {
        let (document, _) = press::lay_out(base, sheet, &options("en")).expect("laid out");
        (sheet.file_stem.clone(), typst_pdf::pdf(&document, &export).expect("exported"))
    };
    sheets_in("en").iter().map(print).collect()
}

#[test]
fn a_pack_shrinks_to_less_than_half_and_no_further() {
    let (_, plain) = plain_documents().into_iter().max_by_key(|(_, plain)| plain.len()).expect("documents");
    let small = compact(plain.clone());
    assert!(small.len() * 2 < plain.len(), "{} of {} bytes", small.len(), plain.len());
    assert_eq!(compact(small.clone()), small, "what is small already stays as it is");
    assert_eq!(compact(b"%PDF-1.7 nonsense".to_vec()), b"%PDF-1.7 nonsense");
}

#[test]
fn letters_stand_where_they_stood_and_in_the_same_order() {
    for (name, plain) in plain_documents() {
        let small = compact(plain.clone());
        let (Some(before), Some(after)) = (tool("pdftotext", &["-raw"], &plain), tool("pdftotext", &["-raw"], &small))
        else {
            return;
        };
        assert!(before.0 && after.0 && before.1.len() > 20, "{name}");
        assert_eq!(before.1, after.1, "{name}: other words");
        let (before, after) = (words(&plain), words(&small));
        assert_eq!(before.len(), after.len(), "{name}");
        for word in &before {
            let there = after.iter().any(|other| other.0 == word.0 && near(&word.1, &other.1));
            assert!(there, "{name}: {word:?} stands elsewhere");
        }
    }
}

/// Words with their page and box in points.
fn words(pdf: &[u8]) -> Vec<((usize, String), Vec<f64>)> {
    let (_, text) = tool("pdftotext", &["-bbox"], pdf).expect("found before");
    let mut page = 0;
    let mut words = Vec::new();
    for line in text.lines() {
        page += usize::from(line.contains("<page "));
        if let Some((place, word)) = line.trim().strip_prefix("<word ").and_then(|line| line.split_once('>')) {
            let numbers = place.split('"').skip(1).step_by(2).map(|number| number.parse().unwrap()).collect();
            words.push(((page, word.trim_end_matches("</word>").to_string()), numbers));
        }
    }
    words
}

/// Within twice a hundredth of a point: place and size are each rounded to one.
fn near(one: &[f64], other: &[f64]) -> bool {
    one.iter().zip(other).all(|(one, other)| (one - other).abs() < 0.02)
}

#[test]
fn the_structure_says_the_same() {
    for (name, plain) in plain_documents() {
        let small = compact(plain.clone());
        let (Some(before), Some(after)) =
            (tool("pdfinfo", &["-struct-text"], &plain), tool("pdfinfo", &["-struct-text"], &small))
        else {
            return;
        };
        let (mut before, mut after) = (told(&before.1), told(&after.1));
        // Bold labels of cells, which are spans of text by the document's own role map, are taken into their cells.
        before.1.remove("Span");
        after.1.remove("Span");
        assert_eq!(before, after, "{name}: the structure tree differs");
        let Some((valid, said)) = tool("qpdf", &["--check"], &small) else { return };
        assert!(valid && !said.contains("WARNING"), "{name}: {said}");
    }
}

/// All text of a structure tree in its order, and how many elements of each kind it has.
fn told(tree: &str) -> (String, BTreeMap<String, usize>) {
    let mut text = String::new();
    let mut kinds = BTreeMap::new();
    for line in tree.lines().map(str::trim) {
        if let Some(said) = line.strip_prefix('"').and_then(|said| said.strip_suffix('"')) {
            text.push_str(said);
        } else if line.starts_with(|first: char| first.is_ascii_uppercase()) && !line.starts_with("Object") {
            let kind: String = line.chars().take_while(char::is_ascii_alphanumeric).collect();
            *kinds.entry(kind).or_insert(0) += 1;
        }
    }
    (text, kinds)
}

/// Dots an inch of the pictures compared.
const DPI: &str = "96";
/// Side of the squares compared, in dots: a stroke that lands on the next row of dots changes them little.
const SQUARE: usize = 16;
/// Greys of 255 by which the mean of a square may differ.
const SHADE: f64 = 18.0;

#[test]
fn pages_look_the_same() {
    for (name, plain) in plain_documents() {
        let (Some(before), Some(after)) = (pictures(&plain), pictures(&compact(plain.clone()))) else { return };
        assert!(!before.is_empty() && before.len() == after.len(), "{name}");
        for (page, (before, after)) in before.iter().zip(&after).enumerate() {
            let (before, after) = (squares(before), squares(after));
            let worst = before.iter().zip(&after).map(|(one, other)| (one - other).abs()).fold(0.0, f64::max);
            assert!(before.len() == after.len() && worst < SHADE, "{name}, page {}: {worst:.1} greys", page + 1);
        }
    }
}

/// The pages as grey pictures, each with its width; none without the tool.
fn pictures(pdf: &[u8]) -> Option<Vec<(usize, Vec<u8>)>> {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("file.pdf");
    std::fs::write(&file, pdf).expect("written");
    let ran = Command::new("pdftoppm").args(["-r", DPI, "-gray"]).arg(&file).arg(folder.path().join("page")).status();
    let Ok(status) = ran else {
        support::skip("pdftoppm");
        return None;
    };
    assert!(status.success());
    let mut files: Vec<_> =
        std::fs::read_dir(folder.path()).expect("a folder").map(|entry| entry.unwrap().path()).collect();
    files.retain(|file| file.extension().is_some_and(|ending| ending == "pgm"));
    files.sort();
    Some(files.iter().map(|file| grey(&std::fs::read(file).expect("a picture"))).collect())
}

/// Width and dots of a picture in the portable grey format: three lines of head, then a byte a dot.
fn grey(picture: &[u8]) -> (usize, Vec<u8>) {
    let ends: Vec<usize> =
        picture.iter().enumerate().filter(|(_, byte)| **byte == b'\n').map(|(at, _)| at).take(3).collect();
    let size = std::str::from_utf8(&picture[ends[0] + 1..ends[1]]).expect("a size");
    (size.split(' ').next().unwrap().parse().unwrap(), picture[ends[2] + 1..].to_vec())
}

/// The mean grey of each square of a picture.
fn squares((wide, dots): &(usize, Vec<u8>)) -> Vec<f64> {
    let across = wide.div_ceil(SQUARE);
    let mut sums = vec![0_u32; across * (dots.len() / wide).div_ceil(SQUARE)];
    for (at, dot) in dots.iter().enumerate() {
        sums[at / wide / SQUARE * across + at % wide / SQUARE] += u32::from(*dot);
    }
    #[expect(clippy::cast_precision_loss, reason = "a few hundred dots")]
    sums.into_iter().map(|sum| f64::from(sum) / (SQUARE * SQUARE) as f64).collect()
}

/// A tagged file of one page, as the typesetter writes files, with this content.
fn file_with(content: &str, marks: usize) -> Vec<u8> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(content.as_bytes()).unwrap();
    let packed = encoder.finish().unwrap();
    let owned = "8 0 R ".repeat(marks);
    let kids: Vec<String> = (0..marks).map(|mark| mark.to_string()).collect();
    let objects: Vec<Vec<u8>> = vec![
        b"<</Type/Catalog/Pages 2 0 R/Lang(en)/StructTreeRoot 5 0 R>>".to_vec(),
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>".to_vec(),
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 100 100]/Resources 9 0 R/StructParents 0/Contents 4 0 R>>".to_vec(),
        [format!("<</Length {}/Filter/FlateDecode>>\nstream\n", packed.len()).as_bytes(), &packed, b"\nendstream"]
            .concat(),
        b"<</Type/StructTreeRoot/K[7 0 R]/ParentTree<</Nums[0 6 0 R]>>>>".to_vec(),
        format!("[{owned}]").into_bytes(),
        b"<</Type/StructElem/S/Document/P 5 0 R/K[8 0 R]>>".to_vec(),
        format!("<</Type/StructElem/S/P/P 7 0 R/Pg 3 0 R/K[{}]>>", kids.join(" ")).into_bytes(),
        b"<</Font<</a 10 0 R>>/ColorSpace<</b 11 0 R>>>>".to_vec(),
        b"<</Type/Font/Subtype/Type0>>".to_vec(),
        b"[/ICCBased 12 0 R]".to_vec(),
        b"null".to_vec(),
    ];
    let mut file = b"%PDF-1.7\n".to_vec();
    let mut table = format!("xref\n0 {}\n0000000000 65535 f\r\n", objects.len() + 1);
    for (index, object) in objects.iter().enumerate() {
        let entry = format!("{:010} 00000 n\r\n", file.len());
        table.push_str(&entry);
        file.extend_from_slice(format!("{} 0 obj\n", index + 1).as_bytes());
        file.extend_from_slice(object);
        // Room to be saved, so that the file is rewritten at all.
        file.extend_from_slice(&b" ".repeat(400));
        file.extend_from_slice(b"\nendobj\n\n");
    }
    let start = file.len();
    file.extend_from_slice(table.as_bytes());
    file.extend_from_slice(
        format!("trailer\n<</Size {}/Root 1 0 R>>\nstartxref\n{start}\n%%EOF", objects.len() + 1).as_bytes(),
    );
    file
}

/// The first stream of a file, unpacked: the content of its page.
fn content_of(file: &[u8]) -> String {
    let start = file.windows(7).position(|window| window == b"stream\n").expect("a stream") + 7;
    let mut content = Vec::new();
    ZlibDecoder::new(&file[start..]).read_to_end(&mut content).expect("unpacked");
    String::from_utf8_lossy(&content).into_owned()
}

fn rewritten(content: &str, marks: usize) -> String {
    let plain = file_with(content, marks);
    let small = compact(plain.clone());
    assert!(small.len() < plain.len());
    content_of(&small)
}

#[test]
fn what_is_not_known_is_left_alone() {
    for content in [
        "BI /W 1 /H 1 /BPC 1 /CS /G ID x EI",
        "/P0 sh",
        "/g0 gs 0 0 m 9 9 l S",
        "BT /a 9 Tf 3 Tr 1 0 0 1 0 0 Tm (a)Tj ET",
        "BT /a 9 Tf 1 0 0 1 0 0 Tm (a)Tj (b)Tj ET",
        "q 1 0 0 1 5 5 cm",
        "/unknown cs 0 scn",
        "/Span<</MCID 0>>BDC EMC /Span<</MCID 0>>BDC EMC",
    ] {
        assert_eq!(rewritten(content, 1), content);
    }
}

#[test]
fn drawing_is_written_in_the_measure_of_the_page() {
    // 8.3.4: the matrix that comes first is applied last; 8.4.3: weights and dashes are in its measure.
    let cases = [
        ("q 2 0 0 -2 10 50 cm .5 w [1 2]0 d 0 0 m 5 5 l S Q", "1 w[2 4]0 d 10 50 m 20 40 l S"),
        ("q 2 0 0 -2 10 50 cm 1 0 0 1 1 1 cm 0 0 m 5 5 l S Q", "2 w 12 48 m 22 38 l S"),
        ("q 1 0 0 -1 0 50 cm 1 2 m 4 2 l 4 6 l 1 6 l h f Q", "1 48 3 -4 re f"),
        // Unequal measures make strokes uneven.
        ("q 2 0 0 1 3.141592 0 cm 0 0 m 5 5 l S Q", "q 2 0 0 1 3.14 0 cm 0 0 m 5 5 l S Q"),
        ("q 0 0 9 9 re W n 0 0 m 5 5 l S Q 1 0 m 2 0 l S", "q 0 0 9 9 re W n 0 0 m 5 5 l S Q 1 0 m 2 0 l S"),
        ("/b CS 0 SCN 0 0 m 5 5 l S /b CS 0 SCN 1 0 m 2 0 l S", "/c0 CS 0 SCN 0 0 m 5 5 l S 1 0 m 2 0 l S"),
    ];
    for (plain, small) in cases {
        // A rule of weight 1 is the initial state (8.4.1, table 52), so it need not be set.
        assert_eq!(rewritten(plain, 0).trim_start_matches("1 w"), small.trim_start_matches("1 w"), "{plain}");
    }
}

#[test]
fn letters_follow_one_another_in_one_text_object() {
    let run = |mark: usize, x: f64, y: f64, text: &str| {
        format!(
            "/Span<</MCID {mark}/Lang(en)>>BDC q 1 0 0 -1 {x} {y} cm BT 0 Tr/a 9 Tf 1 0 0 -1 0 0 Tm({text})Tj ET Q EMC "
        )
    };
    // Another line of the same element: no font says which code is the space, so they stay apart.
    let lines = rewritten(&(run(0, 10.0, 50.004, "a\\051") + &run(1, 10.0, 40.0, "b")), 2);
    assert_eq!(lines, "BT/Span<</MCID 0>>BDC/f0 9 Tf 10 50 Td(a\\))Tj EMC/Span<</MCID 1>>BDC 0 -10 Td(b)Tj EMC ET");
    // Upside down, as on the back of a card: moves are in the measure of the letters.
    let turned = rewritten("BT /a 9 Tf -1 0 0 -1 50 50 Tm (a)Tj -1 0 0 -1 40 55 Tm (b)Tj ET", 0);
    assert_eq!(turned, "BT/f0 9 Tf -1 0 0 -1 50 50 Tm(a)Tj 10 -5 Td(b)Tj ET");
    // The same line: one piece.
    let one = rewritten(&(run(0, 10.0, 50.0, "a") + &run(1, 20.5, 50.0, "b")), 2);
    assert_eq!(one, "BT/Span<</MCID 0>>BDC/f0 9 Tf 10 50 Td(a)Tj 10.5 0 Td(b)Tj EMC ET");
}
