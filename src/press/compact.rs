//! Makes a PDF file smaller without changing what it says.
//!
//! The typesetter writes every object in plain text, and a tagged document has thousands of them: most of a table's size is
//! its structure tree. PDF 1.5 and later, and so PDF/A-3, may put objects that are not streams into compressed object
//! streams with a compressed cross-reference (ISO 32000-1, 7.5.7 and 7.5.8). Streams are copied as they are.
//!
//! Only the very form that the typesetter writes is understood: one cross-reference table, generation zero throughout.
//! Anything else comes back unchanged, for a larger file is better than a broken one.

use std::fmt::Write as _;
use std::io::Write as _;
use std::ops::Range;

use flate2::Compression;
use flate2::write::ZlibEncoder;

/// Objects in one object stream: enough to compress well, few enough that a reader need not unpack everything.
const OBJECTS_A_STREAM: usize = 200;
/// Length of an entry of a cross-reference table (ISO 32000-1, 7.5.4).
const ENTRY_LENGTH: usize = 20;

/// The same document in fewer bytes.
#[must_use]
pub fn compact(pdf: Vec<u8>) -> Vec<u8> {
    match Layout::of(&pdf).and_then(|layout| layout.write(&pdf)) {
        Some(smaller) if smaller.len() < pdf.len() => smaller,
        _ => pdf,
    }
}

/// Where everything is in a file.
struct Layout {
    /// Bytes of each object's content by its number; none for free ones.
    objects: Vec<Option<Range<usize>>>,
    /// Bytes before the first object.
    header: Range<usize>,
    /// What the trailer says beside the size: root, information, identifiers.
    trailer: String,
}

impl Layout {
    fn of(pdf: &[u8]) -> Option<Self> {
        let start_keyword = find_last(pdf, b"startxref")?;
        let table: usize = text(&pdf[start_keyword..])?.split_whitespace().nth(1)?.parse().ok()?;
        let trailer_keyword = table + find(pdf.get(table..start_keyword)?, b"trailer")?;
        let offsets = read_table(&pdf[table..trailer_keyword])?;
        let trailer = trailer_without_size(text(&pdf[trailer_keyword + b"trailer".len()..start_keyword])?)?;
        let mut starts: Vec<usize> = offsets.iter().flatten().copied().collect();
        starts.sort_unstable();
        let end_of =
            |start: usize| starts.get(starts.partition_point(|other| *other <= start)).copied().unwrap_or(table);
        let objects = offsets
            .iter()
            .enumerate()
            .map(|(number, start)| match start {
                None => Some(None),
                Some(start) => content(pdf, number, *start..end_of(*start)).map(Some),
            })
            .collect::<Option<Vec<_>>>()?;
        Some(Self { objects, header: 0..*starts.first()?, trailer })
    }

    /// Writes the file anew: streams first, then everything else in object streams, then the cross-reference.
    fn write(&self, pdf: &[u8]) -> Option<Vec<u8>> {
        let is_stream = |content: &Range<usize>| pdf[content.clone()].ends_with(b"endstream");
        let mut out = pdf[self.header.clone()].to_vec();
        let mut places = vec![Place::Free; self.objects.len()];
        let mut packed = Vec::new();
        for (number, content) in self.objects.iter().enumerate() {
            match content {
                Some(content) if is_stream(content) => {
                    places[number] = Place::At(out.len());
                    write_object(&mut out, number, &pdf[content.clone()])?;
                }
                Some(content) => packed.push((number, &pdf[content.clone()])),
                None => {}
            }
        }
        for group in packed.chunks(OBJECTS_A_STREAM) {
            let stream = places.len();
            for (index, (number, _)) in group.iter().enumerate() {
                places[*number] = Place::In { stream, index };
            }
            places.push(Place::At(out.len()));
            write_object(&mut out, stream, &object_stream(group)?)?;
        }
        let start = out.len();
        places.push(Place::At(start));
        let reference = cross_reference(&places, &self.trailer)?;
        write_object(&mut out, places.len() - 1, &reference)?;
        write!(out, "startxref\n{start}\n%%EOF").ok()?;
        Some(out)
    }
}

/// Where an object is found.
#[derive(Clone, Copy)]
enum Place {
    Free,
    At(usize),
    In { stream: usize, index: usize },
}

/// Offsets by number, none for free objects.
fn read_table(table: &[u8]) -> Option<Vec<Option<usize>>> {
    let lines = text(table)?;
    let head = lines.split_inclusive('\n').take(2).map(str::len).sum::<usize>();
    let mut numbers = lines[..head].split_whitespace().skip(1);
    let (first, count): (usize, usize) = (numbers.next()?.parse().ok()?, numbers.next()?.parse().ok()?);
    let entries = table.get(head..head + count * ENTRY_LENGTH)?;
    if first != 0 || !text(&table[head + entries.len()..])?.trim().is_empty() {
        return None;
    }
    entries.chunks_exact(ENTRY_LENGTH).map(read_entry).collect()
}

#[expect(clippy::option_option, reason = "a broken entry is not a free one")]
fn read_entry(entry: &[u8]) -> Option<Option<usize>> {
    let mut fields = text(entry)?.split_whitespace();
    let (offset, generation, kind) = (fields.next()?.parse().ok()?, fields.next()?, fields.next()?);
    match (kind, generation) {
        ("n", "00000") => Some(Some(offset)),
        ("f", _) => Some(None),
        _ => None,
    }
}

/// What the trailer holds beside `/Size`, which changes.
fn trailer_without_size(trailer: &str) -> Option<String> {
    let inner = trailer.trim().strip_prefix("<<")?.strip_suffix(">>")?;
    let rest = inner.trim_start().strip_prefix("/Size ")?;
    Some(rest.trim_start_matches(|letter: char| letter.is_ascii_digit()).to_string())
}

/// The bytes between `N 0 obj` and `endobj`.
fn content(pdf: &[u8], number: usize, place: Range<usize>) -> Option<Range<usize>> {
    let object = pdf.get(place.clone())?;
    let head = format!("{number} 0 obj");
    let inner = object.strip_prefix(head.as_bytes())?.trim_ascii_end().strip_suffix(b"endobj")?;
    let lead = inner.len() - inner.trim_ascii_start().len();
    let start = place.start + head.len() + lead;
    Some(start..start + inner.trim_ascii().len())
}

fn write_object(out: &mut Vec<u8>, number: usize, content: &[u8]) -> Option<()> {
    writeln!(out, "{number} 0 obj").ok()?;
    out.extend_from_slice(content);
    out.extend_from_slice(b"\nendobj\n");
    Some(())
}

/// An object stream: numbers and offsets, then the objects (ISO 32000-1, 7.5.7).
fn object_stream(objects: &[(usize, &[u8])]) -> Option<Vec<u8>> {
    let mut index = String::new();
    let mut body = Vec::new();
    for (number, content) in objects {
        write!(index, "{number} {} ", body.len()).ok()?;
        body.extend_from_slice(content);
        body.push(b'\n');
    }
    let first = index.len();
    let dictionary = format!("/Type/ObjStm/N {}/First {first}", objects.len());
    stream(&dictionary, &[index.as_bytes(), &body].concat())
}

/// A cross-reference stream with entries of one, four and two bytes (ISO 32000-1, 7.5.8).
fn cross_reference(places: &[Place], trailer: &str) -> Option<Vec<u8>> {
    let mut entries = Vec::with_capacity(places.len() * 7);
    for place in places {
        let (kind, wide, narrow) = match *place {
            Place::Free => (0, 0, u16::MAX),
            Place::At(offset) => (1, u32::try_from(offset).ok()?, 0),
            Place::In { stream, index } => (2, u32::try_from(stream).ok()?, u16::try_from(index).ok()?),
        };
        entries.push(kind);
        entries.extend_from_slice(&wide.to_be_bytes());
        entries.extend_from_slice(&narrow.to_be_bytes());
    }
    stream(&format!("/Type/XRef/Size {}/W[1 4 2]{trailer}", places.len()), &entries)
}

fn stream(dictionary: &str, content: &[u8]) -> Option<Vec<u8>> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(content).ok()?;
    let compressed = encoder.finish().ok()?;
    let head = format!("<<{dictionary}/Filter/FlateDecode/Length {}>>\nstream\n", compressed.len());
    Some([head.as_bytes(), &compressed, b"\nendstream"].concat())
}

fn text(bytes: &[u8]) -> Option<&str> {
    std::str::from_utf8(bytes).ok()
}

fn find(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    bytes.windows(wanted.len()).position(|window| window == wanted)
}

fn find_last(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    bytes.windows(wanted.len()).rposition(|window| window == wanted)
}
