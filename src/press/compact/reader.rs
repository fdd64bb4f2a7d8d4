//! Reads the content of a page (ISO 32000-1, 7.8.2) as the list of things on it ([`super::page`]), so that it can be written
//! anew in fewer words.
//!
//! Only operators that the typesetter uses are understood; at any other the page is left alone.

use std::collections::HashMap;

use super::figures::append_number;
use super::page::{Item, Mark, Matrix, Pen, Segment, moved};
use super::syntax::{Token, Tokens, Value, number, text_bytes, write_text};

/// What a page takes from its surroundings.
#[derive(Debug)]
pub(super) struct Setting<'b> {
    /// The document's language, where nothing in its structure is in another.
    pub(super) language: Option<&'b [u8]>,
    /// The names that fonts and colour spaces have in the whole document, by their names on the page.
    pub(super) names: HashMap<&'b [u8], &'b [u8]>,
    /// The code of a space in each font, by the font's name in the document.
    pub(super) spaces: HashMap<&'b [u8], &'b [u8]>,
}

/// Reads a content stream.
pub(super) fn read<'a>(content: &'a [u8], setting: &'a Setting<'a>) -> Option<Vec<Item<'a>>> {
    let mut reader = Reader::new(setting);
    let mut tokens = Tokens::of(content);
    let mut operands: Vec<&'a [u8]> = Vec::new();
    while !tokens.is_done() {
        let before = tokens.clone();
        match tokens.next()? {
            Token::Word(operator) => {
                reader.operator(operator, &operands)?;
                operands.clear();
            }
            Token::Number(bytes) | Token::Name(bytes) | Token::Text(bytes) => operands.push(bytes),
            Token::Bracket(_) => {
                tokens = before;
                let start = tokens.rest();
                Value::read(&mut tokens)?;
                operands.push(&start[..start.len() - tokens.rest().len()]);
            }
        }
    }
    let balanced = reader.saved.is_empty() && reader.depth == 0 && reader.path.is_empty() && reader.clip.is_none();
    (balanced && operands.is_empty()).then_some(reader.items)
}

/// What `q` keeps and `Q` brings back, and how often the paper was restricted since.
#[derive(Debug, Clone)]
struct State<'a> {
    matrix: Matrix,
    pen: Pen<'a>,
    fill_space: &'a [u8],
    stroke_space: &'a [u8],
    font: Option<(&'a [u8], f64)>,
    clips: usize,
}

struct Reader<'a> {
    setting: &'a Setting<'a>,
    items: Vec<Item<'a>>,
    state: State<'a>,
    saved: Vec<State<'a>>,
    path: Vec<Segment>,
    clip: Option<&'a [u8]>,
    /// Text matrix; none outside a text object, and after letters were shown, when it depends on their widths.
    text: Option<Matrix>,
    in_text: bool,
    depth: usize,
}

impl<'a> Reader<'a> {
    fn new(setting: &'a Setting<'a>) -> Self {
        let state = State {
            matrix: Matrix::IDENTITY,
            pen: Pen::initial(),
            fill_space: b"",
            stroke_space: b"",
            font: None,
            clips: 0,
        };
        Self {
            setting,
            items: Vec::new(),
            state,
            saved: Vec::new(),
            path: Vec::new(),
            clip: None,
            text: None,
            in_text: false,
            depth: 0,
        }
    }

    fn operator(&mut self, operator: &'a [u8], operands: &[&'a [u8]]) -> Option<()> {
        match operator {
            b"q" | b"Q" | b"cm" | b"w" | b"J" | b"j" | b"M" | b"d" => self.state_operator(operator, operands),
            b"cs" | b"scn" | b"CS" | b"SCN" => self.colour_operator(operator, operands),
            b"m" | b"l" | b"c" | b"h" | b"re" => self.path_operator(operator, operands),
            b"f" | b"f*" | b"S" | b"B" | b"B*" | b"n" | b"W" | b"W*" => self.paint_operator(operator, operands),
            b"BT" | b"ET" | b"Tf" | b"Tr" | b"Tm" | b"Tj" | b"TJ" => self.text_operator(operator, operands),
            b"BMC" | b"BDC" | b"EMC" => self.mark_operator(operator, operands),
            _ => None,
        }
    }

    fn state_operator(&mut self, operator: &'a [u8], operands: &[&'a [u8]]) -> Option<()> {
        if self.in_text || !self.path.is_empty() {
            return None;
        }
        match (operator, operands) {
            (b"q", []) => {
                self.saved.push(self.state.clone());
                self.state.clips = 0;
            }
            (b"Q", []) => {
                let clips = self.state.clips;
                self.state = self.saved.pop()?;
                self.items.extend((0..clips).map(|_| Item::Unclip));
            }
            (b"cm", six) => self.state.matrix = matrix(six)?.then(&self.state.matrix),
            (b"w", [width]) => self.state.pen.width = number(width)?,
            (b"J", [cap]) => self.state.pen.cap = cap,
            (b"j", [join]) => self.state.pen.join = join,
            (b"M", [miter]) => self.state.pen.miter = miter,
            (b"d", [dashes, phase]) => {
                let dashes = Value::read(&mut Tokens::of(dashes))?;
                let dashes = dashes.items().iter().map(|dash| number(dash.plain()?)).collect::<Option<_>>()?;
                self.state.pen.dashes = (dashes, number(phase)?);
            }
            _ => return None,
        }
        Some(())
    }

    fn colour_operator(&mut self, operator: &'a [u8], operands: &[&'a [u8]]) -> Option<()> {
        let state = &mut self.state;
        match (operator, operands) {
            (b"cs", [space]) => {
                state.fill_space = self.setting.names.get(space)?;
                state.pen.fill = None;
            }
            (b"CS", [space]) => {
                state.stroke_space = self.setting.names.get(space)?;
                state.pen.stroke = None;
            }
            (b"scn" | b"SCN", parts) => {
                // A pattern's name among the components would need the matrix of the page.
                if parts.is_empty() || parts.iter().any(|part| number(part).is_none()) {
                    return None;
                }
                let (space, place) = match operator {
                    b"scn" => (state.fill_space, &mut state.pen.fill),
                    _ => (state.stroke_space, &mut state.pen.stroke),
                };
                if space.is_empty() {
                    return None;
                }
                *place = Some((space, parts.into()));
            }
            _ => return None,
        }
        Some(())
    }

    fn path_operator(&mut self, operator: &'a [u8], operands: &[&'a [u8]]) -> Option<()> {
        match operator {
            b"m" => self.path.push(Segment::Move(points(operands)?)),
            b"l" => self.path.push(Segment::Line(points(operands)?)),
            b"c" => self.path.push(Segment::Curve(points(operands)?)),
            b"h" if operands.is_empty() => self.path.push(Segment::Close),
            b"re" => {
                let [x, y, wide, high] = numbers(operands)?;
                let corners = [(x + wide, y), (x + wide, y + high), (x, y + high)];
                self.path.push(Segment::Move([(x, y)]));
                self.path.extend(corners.map(|corner| Segment::Line([corner])));
                self.path.push(Segment::Close);
            }
            _ => return None,
        }
        Some(())
    }

    fn paint_operator(&mut self, operator: &'a [u8], operands: &[&'a [u8]]) -> Option<()> {
        if !operands.is_empty() || self.in_text {
            return None;
        }
        if let b"W" | b"W*" = operator {
            self.clip = Some(operator);
            return Some(());
        }
        let path = std::mem::take(&mut self.path);
        let matrix = self.state.matrix;
        match (operator, self.clip.take()) {
            (b"n", Some(rule)) => {
                self.state.clips += 1;
                self.items.push(Item::Clip(moved(&path, &matrix), rule));
            }
            (b"n", None) => {}
            (_, Some(_)) => return None,
            (operator, None) => self.items.push(Item::Paint { path, matrix, pen: self.state.pen.clone(), operator }),
        }
        Some(())
    }

    fn text_operator(&mut self, operator: &'a [u8], operands: &[&'a [u8]]) -> Option<()> {
        match (operator, operands) {
            (b"BT", []) if !self.in_text => (self.in_text, self.text) = (true, Some(Matrix::IDENTITY)),
            (b"ET", []) if self.in_text => (self.in_text, self.text) = (false, None),
            (b"Tr", [b"0"]) => {}
            (b"Tf", [name, size]) => self.state.font = Some((self.setting.names.get(name)?, number(size)?)),
            (b"Tm", six) if self.in_text => self.text = Some(matrix(six)?),
            (b"Tj" | b"TJ", [text]) => {
                let (font, size) = self.state.font?;
                let matrix = self.text.take()?.then(&self.state.matrix);
                let (text, last) = shown(text)?;
                let ends_in_space = self.setting.spaces.get(font).is_some_and(|space| last.ends_with(space));
                let fill = self.state.pen.fill.clone();
                self.items.push(Item::Show { text, matrix, font, size, fill, ends_in_space });
            }
            _ => return None,
        }
        Some(())
    }

    fn mark_operator(&mut self, operator: &'a [u8], operands: &[&'a [u8]]) -> Option<()> {
        match (operator, operands) {
            (b"BMC", [tag]) => self.begin(Mark { tag, id: None, properties: None }),
            (b"BDC", [tag, properties]) => {
                let mut properties = Value::read(&mut Tokens::of(properties))?;
                let id = properties.remove(b"/MCID").map(|id| id.count().ok_or(())).transpose().ok()?;
                // What is in the language of the document need not say so.
                if properties.get(b"/Lang").and_then(Value::plain) == self.setting.language {
                    properties.remove(b"/Lang");
                }
                self.begin(Mark { tag, id, properties: Some(properties) });
            }
            (b"EMC", []) => {
                self.depth = self.depth.checked_sub(1)?;
                self.items.push(Item::End);
            }
            _ => return None,
        }
        Some(())
    }

    fn begin(&mut self, mark: Mark<'a>) {
        self.depth += 1;
        self.items.push(Item::Begin(mark));
    }
}

fn numbers<const COUNT: usize>(operands: &[&[u8]]) -> Option<[f64; COUNT]> {
    let numbers: Vec<f64> = operands.iter().map(|operand| number(operand)).collect::<Option<_>>()?;
    numbers.try_into().ok()
}

fn points<const COUNT: usize>(operands: &[&[u8]]) -> Option<[(f64, f64); COUNT]> {
    let numbers: Vec<f64> = operands.iter().map(|operand| number(operand)).collect::<Option<_>>()?;
    let points: Vec<(f64, f64)> = numbers.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect();
    if numbers.len() == 2 * COUNT { points.try_into().ok() } else { None }
}

/// The operand of `Tj` or `TJ` and its operator in the fewest bytes, and the codes of its last piece: strings without
/// needless escapes, spaces between letters to a tenth of a thousandth of an em.
fn shown(operand: &[u8]) -> Option<(Vec<u8>, Vec<u8>)> {
    let mut out = Vec::new();
    let mut last = Vec::new();
    let value = Value::read(&mut Tokens::of(operand))?;
    let Value::Array(items) = &value else {
        last = text_bytes(value.plain()?)?;
        write_text(&mut out, &last);
        out.extend_from_slice(b"Tj");
        return Some((out, last));
    };
    out.push(b'[');
    for item in items {
        let written = item.plain()?;
        if let Some(space) = number(written) {
            append_number(&mut out, space, 1);
        } else {
            last = text_bytes(written)?;
            write_text(&mut out, &last);
        }
    }
    out.extend_from_slice(b"]TJ");
    Some((out, last))
}

fn matrix(operands: &[&[u8]]) -> Option<Matrix> {
    let [a, b, c, d, across, up] = numbers(operands)?;
    Some(Matrix { a, b, c, d, e: across, f: up })
}
