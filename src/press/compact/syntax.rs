//! Tokens and values of PDF (ISO 32000-1, 7.2 and 7.3), as far as the typesetter writes them.
//!
//! Numbers, names and strings stay as they are written; only what must change is taken apart.

/// The smallest unit of a file or of a content stream.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Token<'a> {
    /// An integer or a real number.
    Number(&'a [u8]),
    /// A name with its slash.
    Name(&'a [u8]),
    /// A string with its delimiters, in letters or in hexadecimal digits.
    Text(&'a [u8]),
    /// A keyword or an operator.
    Word(&'a [u8]),
    /// `[`, `]`, `<<` or `>>`.
    Bracket(&'a [u8]),
}

/// Reads tokens one after another.
#[derive(Debug, Clone)]
pub(super) struct Tokens<'a> {
    bytes: &'a [u8],
    at: usize,
}

/// White-space characters (7.2.2, table 1).
const fn is_space(byte: u8) -> bool {
    matches!(byte, b'\0' | b'\t' | b'\n' | b'\x0C' | b'\r' | b' ')
}

/// Whether a byte continues a name, number or keyword (7.2.2, table 2): a table, since every byte of a file is asked for.
const REGULAR: [bool; 256] = {
    let mut table = [false; 256];
    let mut byte = 0_u8;
    loop {
        let delimiter = matches!(byte, b'(' | b')' | b'<' | b'>' | b'[' | b']' | b'{' | b'}' | b'/' | b'%');
        table[byte as usize] = !is_space(byte) && !delimiter;
        if byte == u8::MAX {
            break table;
        }
        byte += 1;
    }
};

fn is_regular(byte: u8) -> bool {
    REGULAR[usize::from(byte)]
}

/// The new numbers of objects by their old ones; 0, which no object has, and what lies beyond stand for no change.
pub(super) type Numbers = [usize];

impl<'a> Tokens<'a> {
    pub(super) fn of(bytes: &'a [u8]) -> Self {
        Self { bytes, at: 0 }
    }

    /// The next token; none at the end, and none at anything that is not understood: see [`Self::is_done`].
    pub(super) fn next(&mut self) -> Option<Token<'a>> {
        self.skip_space();
        let start = self.at;
        let kind: fn(&'a [u8]) -> Token<'a> = match (*self.bytes.get(start)?, self.bytes.get(start + 1)) {
            (b'(', _) => {
                self.at = end_of_text(self.bytes, start)?;
                Token::Text
            }
            (b'<', Some(b'<')) | (b'>', Some(b'>')) => {
                self.at += 2;
                Token::Bracket
            }
            (b'<', _) => {
                self.at += self.bytes[start..].iter().position(|byte| *byte == b'>')? + 1;
                Token::Text
            }
            (b'[' | b']', _) => {
                self.at += 1;
                Token::Bracket
            }
            (b'/', _) => {
                self.at += 1;
                self.skip_regular();
                Token::Name
            }
            (b'0'..=b'9' | b'+' | b'-' | b'.', _) => {
                self.skip_regular();
                Token::Number
            }
            (byte, _) if is_regular(byte) => {
                self.skip_regular();
                Token::Word
            }
            _ => return None,
        };
        Some(kind(&self.bytes[start..self.at]))
    }

    /// Whether everything has been read.
    pub(super) fn is_done(&mut self) -> bool {
        self.skip_space();
        self.at == self.bytes.len()
    }

    /// What has not been read yet.
    pub(super) fn rest(&self) -> &'a [u8] {
        &self.bytes[self.at..]
    }

    fn skip_space(&mut self) {
        self.at += self.rest().iter().take_while(|byte| is_space(**byte)).count();
    }

    fn skip_regular(&mut self) {
        self.at += self.rest().iter().take_while(|byte| is_regular(**byte)).count();
    }
}

/// Behind the closing parenthesis of a string; parentheses inside it balance or are escaped (7.3.4.2).
fn end_of_text(bytes: &[u8], start: usize) -> Option<usize> {
    let (mut at, mut depth) = (start, 0_usize);
    loop {
        match *bytes.get(at)? {
            b'\\' => at += 1,
            b'(' => depth += 1,
            b')' if depth == 1 => return Some(at + 1),
            b')' => depth -= 1,
            _ => {}
        }
        at += 1;
    }
}

/// A value, with its references told apart from everything else.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value<'a> {
    /// A number, name, string, truth value or null, as written.
    Plain(&'a [u8]),
    /// A number of ours.
    Count(usize),
    /// A reference to another object, which has generation zero.
    Reference(usize),
    /// An array.
    Array(Vec<Value<'a>>),
    /// A dictionary: keys with their slash, in the order written.
    Dictionary(Vec<(&'a [u8], Value<'a>)>),
}

impl<'a> Value<'a> {
    /// Reads one value.
    pub(super) fn read(tokens: &mut Tokens<'a>) -> Option<Self> {
        let first = tokens.next()?;
        Self::read_from(first, tokens)
    }

    /// Reads a value whose first token has been read.
    fn read_from(first: Token<'a>, tokens: &mut Tokens<'a>) -> Option<Self> {
        match first {
            Token::Number(digits) => {
                let mut ahead = tokens.clone();
                if let (Some(Token::Number(b"0")), Some(Token::Word(b"R"))) = (ahead.next(), ahead.next()) {
                    *tokens = ahead;
                    return Some(Self::Reference(integer(digits)?));
                }
                Some(Self::Plain(digits))
            }
            Token::Name(bytes) | Token::Text(bytes) | Token::Word(bytes @ (b"true" | b"false" | b"null")) => {
                Some(Self::Plain(bytes))
            }
            Token::Bracket(b"[") => {
                let mut items = Vec::new();
                loop {
                    match tokens.next()? {
                        Token::Bracket(b"]") => return Some(Self::Array(items)),
                        item => items.push(Self::read_from(item, tokens)?),
                    }
                }
            }
            Token::Bracket(b"<<") => {
                let mut entries = Vec::new();
                loop {
                    match tokens.next()? {
                        Token::Bracket(b">>") => return Some(Self::Dictionary(entries)),
                        Token::Name(key) => entries.push((key, Self::read(tokens)?)),
                        _ => return None,
                    }
                }
            }
            Token::Word(_) | Token::Bracket(_) => None,
        }
    }

    /// The value of a key, where this is a dictionary that has it.
    pub(super) fn get(&self, key: &[u8]) -> Option<&Self> {
        let Self::Dictionary(entries) = self else { return None };
        entries.iter().find(|(own, _)| *own == key).map(|(_, value)| value)
    }

    /// The value of a key, to be changed.
    pub(super) fn get_mut(&mut self, key: &[u8]) -> Option<&mut Self> {
        let Self::Dictionary(entries) = self else { return None };
        entries.iter_mut().find(|(own, _)| *own == key).map(|(_, value)| value)
    }

    /// Takes a key out of a dictionary.
    pub(super) fn remove(&mut self, key: &[u8]) -> Option<Self> {
        let Self::Dictionary(entries) = self else { return None };
        let at = entries.iter().position(|(own, _)| *own == key)?;
        Some(entries.remove(at).1)
    }

    /// Whether a key has a certain plain value.
    pub(super) fn says(&self, key: &[u8], plain: &[u8]) -> bool {
        self.get(key).and_then(Self::plain) == Some(plain)
    }

    /// The bytes of a plain value.
    pub(super) fn plain(&self) -> Option<&'a [u8]> {
        match self {
            Self::Plain(bytes) => Some(bytes),
            _ => None,
        }
    }

    /// The items of an array.
    pub(super) fn items(&self) -> &[Self] {
        match self {
            Self::Array(items) => items,
            _ => &[],
        }
    }

    /// A whole number.
    pub(super) fn count(&self) -> Option<usize> {
        match self {
            Self::Count(count) => Some(*count),
            Self::Plain(digits) => integer(digits),
            _ => None,
        }
    }

    /// The number of the object that is referred to.
    pub(super) fn reference(&self) -> Option<usize> {
        match self {
            Self::Reference(number) => Some(*number),
            _ => None,
        }
    }

    /// Writes the value in the fewest bytes; references as `numbers` says, those that it does not know as they are.
    pub(super) fn write(&self, out: &mut Vec<u8>, numbers: &Numbers) {
        match self {
            Self::Plain(bytes) => append(out, bytes),
            Self::Count(count) => append_count(out, *count),
            Self::Reference(number) => {
                append_count(out, numbers.get(*number).copied().filter(|new| *new != 0).unwrap_or(*number));
                out.extend_from_slice(b" 0 R");
            }
            Self::Array(items) => {
                out.push(b'[');
                for item in items {
                    item.write(out, numbers);
                }
                out.push(b']');
            }
            Self::Dictionary(entries) => {
                out.extend_from_slice(b"<<");
                for (key, value) in entries {
                    append(out, key);
                    value.write(out, numbers);
                }
                out.extend_from_slice(b">>");
            }
        }
    }
}

/// Appends a token, with a space before it only where it would run into the last one.
pub(super) fn append(out: &mut Vec<u8>, token: &[u8]) {
    if let (Some(last), Some(first)) = (out.last(), token.first())
        && is_regular(*last)
        && is_regular(*first)
    {
        out.push(b' ');
    }
    out.extend_from_slice(token);
}

/// Appends a whole number.
pub(super) fn append_count(out: &mut Vec<u8>, count: usize) {
    // The largest number of 64 bits has 20 digits.
    let mut digits = [b'0'; 20];
    let (mut rest, mut start) = (count, digits.len() - 1);
    for (at, digit) in digits.iter_mut().enumerate().rev() {
        *digit += u8::try_from(rest % 10).unwrap_or(0);
        start = at;
        rest /= 10;
        if rest == 0 {
            break;
        }
    }
    append(out, &digits[start..]);
}

/// A whole number from its digits.
pub(super) fn integer(digits: &[u8]) -> Option<usize> {
    std::str::from_utf8(digits).ok()?.parse().ok()
}

/// Any number.
pub(super) fn number(digits: &[u8]) -> Option<f64> {
    let number: f64 = std::str::from_utf8(digits).ok()?.parse().ok()?;
    number.is_finite().then_some(number)
}

/// The bytes that a string stands for (7.3.4), to be written anew.
pub(super) fn text_bytes(written: &[u8]) -> Option<Vec<u8>> {
    let inner = written.get(1..written.len().checked_sub(1)?)?;
    if written.first() == Some(&b'<') {
        let digits: Vec<u8> = inner.iter().copied().filter(|byte| !is_space(*byte)).collect();
        return digits
            .chunks(2)
            .map(|pair| {
                let high = char::from(pair[0]).to_digit(16)?;
                let low = pair.get(1).map_or(Some(0), |low| char::from(*low).to_digit(16))?;
                u8::try_from(high * 16 + low).ok()
            })
            .collect();
    }
    let mut bytes = Vec::with_capacity(inner.len());
    let mut rest = inner.iter().copied().peekable();
    while let Some(byte) = rest.next() {
        match byte {
            b'\\' => match rest.next()? {
                b'n' => bytes.push(b'\n'),
                b'r' => bytes.push(b'\r'),
                b't' => bytes.push(b'\t'),
                b'b' => bytes.push(b'\x08'),
                b'f' => bytes.push(b'\x0C'),
                digit @ b'0'..=b'7' => {
                    let mut code = u32::from(digit - b'0');
                    for _ in 0..2 {
                        let Some(next) = rest.next_if(|next| (b'0'..=b'7').contains(next)) else { break };
                        code = code * 8 + u32::from(next - b'0');
                    }
                    // High-order overflow is ignored (7.3.4.2).
                    bytes.push(u8::try_from(code & 0xFF).ok()?);
                }
                // A line that goes on; the typesetter writes none.
                b'\n' | b'\r' => return None,
                other => bytes.push(other),
            },
            // An end of line stands for a line feed however it is written; the typesetter escapes it.
            b'\r' => return None,
            other => bytes.push(other),
        }
    }
    Some(bytes)
}

/// Writes a string in letters; only what would end or change it is escaped.
pub(super) fn write_text(out: &mut Vec<u8>, bytes: &[u8]) {
    out.push(b'(');
    for byte in bytes {
        match byte {
            b'(' | b')' | b'\\' => out.extend_from_slice(&[b'\\', *byte]),
            b'\r' => out.extend_from_slice(b"\\r"),
            other => out.push(*other),
        }
    }
    out.push(b')');
}
