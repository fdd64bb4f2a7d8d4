//! Card code: a short code on every page that tells whether the page still says what the description says.
//!
//! Eight characters in two groups, such as `7KD4-HACM`. Five come from a hash (SHA-256) of everything the page was made
//! from, two tell the revision, the last is a check character. The alphabet has 23 characters, none of which looks like
//! another by hand or in print (no 0 O, 1 I, 2 Z, 5 S, 8 B, U V). 23 is a prime, and every position has a weight of its own,
//! so any single wrong character and any two that are swapped are found; the same idea as the check digit of an ISBN-10.

use std::fmt;

use serde_json::Value;
use sha2::{Digest, Sha256};

/// Characters that are not taken for one another.
const ALPHABET: &[u8; 23] = b"34679ACDEFHJKLMNPRTVWXY";
/// How many characters there are, as a number to calculate with.
const BASE: u64 = ALPHABET.len() as u64;
/// Characters of the hash.
const HASH_LENGTH: usize = 5;
/// Characters of the revision.
const REVISION_LENGTH: usize = 2;
/// All characters with the check character.
const LENGTH: usize = HASH_LENGTH + REVISION_LENGTH + 1;
/// Revisions are told apart up to this number, then start again.
const REVISIONS: u64 = BASE.pow(2);

/// A card code that is made or read rightly.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct CardCode([u8; LENGTH]);

/// A text that is no card code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mistyped {
    /// It has not eight characters.
    Length(usize),
    /// A character that no code has.
    Character(char),
    /// The check character does not fit the others.
    Check,
}

impl CardCode {
    /// The code of pages made from this description. `made_with` lists all else that changes a page: the version of the
    /// program, its templates, words and fonts, the options.
    #[must_use]
    pub fn of(document: &Value, revision: i64, made_with: &[&str]) -> Self {
        let mut hash = Sha256::new();
        for piece in made_with {
            // Each piece with its length, so that no two lists run together to the same text.
            hash.update((piece.len() as u64).to_le_bytes());
            hash.update(piece);
        }
        hash.update(document.to_string());
        let digest = hash.finalize();
        let number = digest.iter().take(8).fold(0_u64, |number, byte| (number << 8) | u64::from(*byte));
        let mut characters = [0; LENGTH];
        write_number(&mut characters[..HASH_LENGTH], number);
        write_number(&mut characters[HASH_LENGTH..LENGTH - 1], revision.unsigned_abs() % REVISIONS);
        characters[LENGTH - 1] = check_character(characters);
        Self(characters)
    }

    /// Reads a code as somebody typed it: small letters, spaces and hyphens do not matter.
    ///
    /// # Errors
    /// [`Mistyped`] where it cannot be one.
    pub fn read(typed: &str) -> Result<Self, Mistyped> {
        let letters: Vec<char> = typed
            .chars()
            .filter(|letter| !letter.is_whitespace() && *letter != '-')
            .map(|letter| letter.to_ascii_uppercase())
            .collect();
        let mut characters = [0; LENGTH];
        if let Some(strange) = letters.iter().find(|letter| position(**letter).is_none()) {
            return Err(Mistyped::Character(*strange));
        }
        if letters.len() != LENGTH {
            return Err(Mistyped::Length(letters.len()));
        }
        for (character, letter) in characters.iter_mut().zip(&letters) {
            *character = u8::try_from(*letter).unwrap_or_default();
        }
        if characters[LENGTH - 1] == check_character(characters) { Ok(Self(characters)) } else { Err(Mistyped::Check) }
    }

    /// Whether a revision may be the one in this code; far apart ones share a mark.
    #[must_use]
    pub fn may_be_revision(self, revision: i64) -> bool {
        let mut characters = [0; REVISION_LENGTH];
        write_number(&mut characters, revision.unsigned_abs() % REVISIONS);
        self.0[HASH_LENGTH..LENGTH - 1] == characters
    }
}

/// Writes a number in the alphabet, the highest place first, the rest of a larger number dropped.
fn write_number(places: &mut [u8], mut number: u64) {
    for place in places.iter_mut().rev() {
        let digit = usize::try_from(number % BASE).unwrap_or_default();
        *place = ALPHABET[digit];
        number /= BASE;
    }
}

/// The character that makes the weighted sum of all a multiple of the base. Weights are 2, 3, ... and 1 for itself.
fn check_character(characters: [u8; LENGTH]) -> u8 {
    let sum: usize = characters[..LENGTH - 1]
        .iter()
        .zip(2..)
        .map(|(character, weight)| weight * position(char::from(*character)).unwrap_or_default())
        .sum();
    ALPHABET[(ALPHABET.len() - sum % ALPHABET.len()) % ALPHABET.len()]
}

/// Place of a character in the alphabet.
fn position(letter: char) -> Option<usize> {
    ALPHABET.iter().position(|character| char::from(*character) == letter)
}

impl fmt::Display for CardCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text: String = self.0.iter().map(|character| char::from(*character)).collect();
        write!(f, "{}-{}", &text[..LENGTH / 2], &text[LENGTH / 2..])
    }
}

impl fmt::Display for Mistyped {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Length(length) => write!(f, "a card code has {LENGTH} characters, found {length}"),
            Self::Character(letter) => write!(f, "no card code holds the character `{letter}`"),
            Self::Check => write!(f, "the check character does not fit: one character is wrong, or two are swapped"),
        }
    }
}

impl std::error::Error for Mistyped {}
