//! A file taken apart into its objects, and put together again.
//!
//! Objects that are not streams go into compressed object streams with a compressed cross-reference (ISO 32000-1, 7.5.7 and
//! 7.5.8), which PDF 1.5 and later, and so PDF/A-3, allow. Objects are numbered in the order in which the structure names
//! them, so that neighbours look alike.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::io::{Read as _, Write as _};
use std::ops::Range;

use flate2::read::ZlibDecoder;
use libdeflater::{CompressionLvl, Compressor};
use rayon::prelude::*;

use super::syntax::{Numbers, Tokens, Value, append_count};

/// Objects in one object stream: enough to compress well, few enough that a reader need not unpack everything and that
/// streams are packed side by side.
const OBJECTS_A_STREAM: usize = 1000;
/// Length of an entry of a cross-reference table (7.5.4).
const ENTRY_LENGTH: usize = 20;
/// Length of an entry of a cross-reference stream: kind, place, index.
const ROW_LENGTH: usize = 1 + 3 + 2;

/// An object.
#[derive(Debug)]
pub(super) struct Object<'a> {
    /// Its value; of a stream, its dictionary.
    pub(super) value: Value<'a>,
    /// The bytes of a stream as they stand in the file.
    pub(super) stream: Option<Cow<'a, [u8]>>,
}

/// All objects of a file.
#[derive(Debug)]
pub(super) struct File<'a> {
    header: &'a [u8],
    trailer: Value<'a>,
    /// Objects by number; none where a number is free.
    pub(super) objects: Vec<Option<Object<'a>>>,
    /// Numbers of objects that others stand in for.
    pub(super) replaced: BTreeMap<usize, usize>,
}

impl<'a> File<'a> {
    /// Takes a file apart: one cross-reference table, generation zero throughout.
    pub(super) fn read(pdf: &'a [u8]) -> Option<Self> {
        let start_keyword = find_last(pdf, b"startxref")?;
        let table: usize = text(&pdf[start_keyword..])?.split_whitespace().nth(1)?.parse().ok()?;
        let trailer_keyword = table + find(pdf.get(table..start_keyword)?, b"trailer")?;
        let offsets = read_table(&pdf[table..trailer_keyword])?;
        let mut trailer = Value::read(&mut Tokens::of(&pdf[trailer_keyword + b"trailer".len()..start_keyword]))?;
        trailer.remove(b"/Size")?;
        if trailer.get(b"/Prev").is_some() || trailer.get(b"/Encrypt").is_some() {
            return None;
        }
        let mut starts: Vec<usize> = offsets.iter().flatten().copied().collect();
        starts.sort_unstable();
        let end_of =
            |start: usize| starts.get(starts.partition_point(|other| *other <= start)).copied().unwrap_or(table);
        let objects = offsets
            .par_iter()
            .enumerate()
            .map(|(number, start)| match start {
                None => Some(None),
                Some(start) => object(pdf, number, *start..end_of(*start)).map(Some),
            })
            .collect::<Option<Vec<_>>>()?;
        Some(Self { header: pdf.get(..*starts.first()?)?, trailer, objects, replaced: BTreeMap::new() })
    }

    /// The object of a number.
    pub(super) fn object(&self, number: usize) -> Option<&Object<'a>> {
        self.objects.get(number)?.as_ref()
    }

    /// The value of an object, to be changed.
    pub(super) fn value_mut(&mut self, number: usize) -> Option<&mut Value<'a>> {
        self.objects.get_mut(number)?.as_mut().map(|object| &mut object.value)
    }

    /// A value itself, or that of the object to which it refers.
    pub(super) fn resolved<'b>(&'b self, value: &'b Value<'a>) -> Option<&'b Value<'a>> {
        match value.reference() {
            Some(number) => self.object(number).map(|object| &object.value),
            None => Some(value),
        }
    }

    /// The catalogue.
    pub(super) fn catalogue(&self) -> Option<&Value<'a>> {
        self.resolved(self.trailer.get(b"/Root")?)
    }

    /// Puts the file together: streams first, then everything else in object streams, those of `last` in that order at
    /// their end, then the cross-reference.
    pub(super) fn write(&self, last: &[usize]) -> Option<Vec<u8>> {
        let (streams, packed) = self.order(last);
        let numbers = self.numbers(streams.iter().chain(&packed))?;
        let mut out = self.header.to_vec();
        let mut places = vec![Place::Free];
        for number in &streams {
            places.push(Place::At(out.len()));
            let object = self.object(*number)?;
            write_object(&mut out, places.len() - 1, &written_stream(object, &numbers)?)?;
        }
        let first_packed = places.len();
        let groups: Vec<&[usize]> = packed.chunks(OBJECTS_A_STREAM).collect();
        let first_stream = first_packed + packed.len();
        for (at, group) in groups.iter().enumerate() {
            places.extend((0..group.len()).map(|index| Place::In { stream: first_stream + at, index }));
        }
        let bodies: Vec<Option<Vec<u8>>> = groups
            .par_iter()
            .enumerate()
            .map(|(at, group)| self.object_stream(group, first_packed + at * OBJECTS_A_STREAM, &numbers))
            .collect();
        for body in bodies {
            places.push(Place::At(out.len()));
            write_object(&mut out, places.len() - 1, &body?)?;
        }
        let start = out.len();
        places.push(Place::At(start));
        let mut trailer = Vec::new();
        self.trailer.write(&mut trailer, &numbers);
        let reference = cross_reference(&places, trailer.strip_prefix(b"<<")?.strip_suffix(b">>")?)?;
        write_object(&mut out, places.len() - 1, &reference)?;
        write!(out, "startxref\n{start}\n%%EOF").ok()?;
        Some(out)
    }

    /// The new numbers of all objects in the order of writing.
    fn numbers<'b>(&self, order: impl Iterator<Item = &'b usize>) -> Option<Vec<usize>> {
        let mut numbers = vec![0; self.objects.len()];
        for (number, new) in order.zip(1..) {
            numbers[*number] = new;
        }
        for (number, other) in &self.replaced {
            numbers[*number] = Some(numbers[*other]).filter(|new| *new != 0)?;
        }
        Some(numbers)
    }

    /// Numbers of all streams, and of all other objects, in the order of writing.
    fn order(&self, last: &[usize]) -> (Vec<usize>, Vec<usize>) {
        let mut waits = vec![false; self.objects.len()];
        for number in last.iter().chain(self.replaced.keys()) {
            waits[*number] = true;
        }
        let present = self.objects.iter().enumerate().filter_map(|(number, object)| Some((number, object.as_ref()?)));
        let (streams, packed): (Vec<_>, Vec<_>) =
            present.filter(|(number, _)| !waits[*number]).partition(|(_, object)| object.stream.is_some());
        let numbers = |list: Vec<(usize, &Object)>| list.into_iter().map(|(number, _)| number).collect::<Vec<_>>();
        let mut packed = numbers(packed);
        packed.extend(last.iter().filter(|number| !self.replaced.contains_key(number)));
        (numbers(streams), packed)
    }

    /// An object stream: numbers and offsets, then the objects.
    fn object_stream(&self, group: &[usize], first: usize, numbers: &Numbers) -> Option<Vec<u8>> {
        let mut index = Vec::new();
        let mut body = Vec::new();
        for (at, number) in group.iter().enumerate() {
            append_count(&mut index, first + at);
            append_count(&mut index, body.len());
            self.object(*number)?.value.write(&mut body, numbers);
            body.push(b'\n');
        }
        index.push(b' ');
        let dictionary = format!("/Type/ObjStm/N {}/First {}", group.len(), index.len());
        stream(dictionary.as_bytes(), &[index, body].concat())
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

/// What stands between `N 0 obj` and `endobj`.
fn object(pdf: &[u8], number: usize, place: Range<usize>) -> Option<Object<'_>> {
    let head = format!("{number} 0 obj");
    let inner = pdf.get(place)?.strip_prefix(head.as_bytes())?.trim_ascii_end().strip_suffix(b"endobj")?;
    let mut tokens = Tokens::of(inner);
    let value = Value::read(&mut tokens)?;
    if tokens.is_done() {
        return Some(Object { value, stream: None });
    }
    let bytes = tokens.rest().strip_prefix(b"stream")?;
    let bytes = bytes.strip_prefix(b"\r\n").or_else(|| bytes.strip_prefix(b"\n"))?;
    let (bytes, end) = bytes.split_at_checked(value.get(b"/Length")?.count()?)?;
    (end.trim_ascii() == b"endstream").then_some(Object { value, stream: Some(Cow::Borrowed(bytes)) })
}

fn write_object(out: &mut Vec<u8>, number: usize, content: &[u8]) -> Option<()> {
    writeln!(out, "{number} 0 obj").ok()?;
    out.extend_from_slice(content);
    out.extend_from_slice(b"\nendobj\n");
    Some(())
}

/// A stream with its dictionary.
fn written_stream(object: &Object<'_>, numbers: &Numbers) -> Option<Vec<u8>> {
    let bytes = object.stream.as_ref()?;
    let mut out = Vec::with_capacity(bytes.len() + 100);
    let mut dictionary = object.value.clone();
    *dictionary.get_mut(b"/Length")? = Value::Count(bytes.len());
    dictionary.write(&mut out, numbers);
    out.extend_from_slice(b"\nstream\n");
    out.extend_from_slice(bytes);
    out.extend_from_slice(b"\nendstream");
    Some(out)
}

/// A cross-reference stream (7.5.8), each row as its difference from the one above (7.4.4.4, the filter of PNG called up).
fn cross_reference(places: &[Place], trailer: &[u8]) -> Option<Vec<u8>> {
    let mut rows = Vec::with_capacity(places.len() * (ROW_LENGTH + 1));
    let mut above = [0_u8; ROW_LENGTH];
    for place in places {
        let row = row(*place)?;
        rows.push(2);
        rows.extend(row.iter().zip(above).map(|(byte, above)| byte.wrapping_sub(above)));
        above = row;
    }
    let filter = format!("/DecodeParms<</Predictor 12/Columns {ROW_LENGTH}>>");
    let head = format!("/Type/XRef/Size {}/W[1 3 2]{filter}", places.len());
    stream(&[head.as_bytes(), trailer].concat(), &rows)
}

fn row(place: Place) -> Option<[u8; ROW_LENGTH]> {
    let (kind, wide, narrow) = match place {
        Place::Free => (0, 0, u16::MAX),
        Place::At(offset) => (1, u32::try_from(offset).ok()?, 0),
        Place::In { stream, index } => (2, u32::try_from(stream).ok()?, u16::try_from(index).ok()?),
    };
    let [0, high, middle, low] = wide.to_be_bytes() else { return None };
    let [first, second] = narrow.to_be_bytes();
    Some([kind, high, middle, low, first, second])
}

fn stream(dictionary: &[u8], content: &[u8]) -> Option<Vec<u8>> {
    let compressed = deflated(content, Squeeze::Structure)?;
    let mut out = [b"<<", dictionary].concat();
    write!(out, "/Filter/FlateDecode/Length {}>>\nstream\n", compressed.len()).ok()?;
    out.extend_from_slice(&compressed);
    out.extend_from_slice(b"\nendstream");
    Some(out)
}

/// How hard it is tried to make a stream small, as levels of libdeflate.
#[derive(Debug, Clone, Copy)]
pub(super) enum Squeeze {
    /// For what a page shows: more takes five times as long for two parts in a hundred.
    Content = 9,
    /// For the structure, whose rows repeat each other: a quarter less than at the level before.
    Structure = 10,
}

/// Compressed in the format of zlib.
pub(super) fn deflated(content: &[u8], squeeze: Squeeze) -> Option<Vec<u8>> {
    let mut compressor = Compressor::new(CompressionLvl::new(squeeze as i32).ok()?);
    let mut out = vec![0; compressor.zlib_compress_bound(content.len())];
    let length = compressor.zlib_compress(content, &mut out).ok()?;
    out.truncate(length);
    // It is kept until the file is written: without the room that it did not need.
    out.shrink_to_fit();
    Some(out)
}

/// The bytes of a stream whose only filter is this one.
pub(super) fn inflated(object: &Object<'_>) -> Option<Vec<u8>> {
    if !object.value.says(b"/Filter", b"/FlateDecode") || object.value.get(b"/DecodeParms").is_some() {
        return None;
    }
    let mut content = Vec::new();
    ZlibDecoder::new(object.stream.as_deref()?).read_to_end(&mut content).ok()?;
    Some(content)
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
