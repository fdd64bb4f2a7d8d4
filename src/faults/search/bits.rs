//! Sets of suspects as bits. The width is a type parameter: most searches fit into one machine word.

/// A set of up to `64 * WORDS` suspects.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Bits<const WORDS: usize>([u64; WORDS]);

impl<const WORDS: usize> Bits<WORDS> {
    /// No suspect.
    pub(super) const EMPTY: Self = Self([0; WORDS]);

    /// The first `count` suspects.
    pub(super) fn first(count: usize) -> Self {
        let mut set = Self::EMPTY;
        for index in 0..count {
            set.insert(index);
        }
        set
    }

    /// Adds a suspect.
    pub(super) fn insert(&mut self, index: usize) {
        self.0[index / 64] |= 1 << (index % 64);
    }

    /// Whether a suspect is in it.
    pub(super) fn contains(&self, index: usize) -> bool {
        self.0[index / 64] & (1 << (index % 64)) != 0
    }

    /// Those in both sets.
    pub(super) fn and(&self, other: &Self) -> Self {
        let mut both = *self;
        for (word, mask) in both.0.iter_mut().zip(&other.0) {
            *word &= mask;
        }
        both
    }

    /// Whether nobody is in it.
    pub(super) fn is_empty(&self) -> bool {
        self.0.iter().all(|&word| word == 0)
    }

    /// How many are in it.
    pub(super) fn count(&self) -> usize {
        self.0.iter().map(|word| word.count_ones() as usize).sum()
    }

    /// The members, ascending.
    pub(super) fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        self.0.iter().enumerate().flat_map(|(place, &word)| {
            std::iter::successors((word != 0).then_some(word), |&rest| {
                let rest = rest & (rest - 1);
                (rest != 0).then_some(rest)
            })
            .map(move |rest| place * 64 + rest.trailing_zeros() as usize)
        })
    }
}

/// Who is still suspected: those whom plain readings lead here, and those whom only the tolerances may bring as well.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Group<const WORDS: usize> {
    /// Everybody who may be here.
    pub(super) all: Bits<WORDS>,
    /// Those of them who are here with every value nominal: they alone carry weight.
    pub(super) real: Bits<WORDS>,
}

impl<const WORDS: usize> Group<WORDS> {
    /// A group in which everybody carries weight.
    pub(super) fn of(all: Bits<WORDS>) -> Self {
        Self { all, real: all }
    }

    /// Whether everybody in it is in another group too, to which plain readings lead.
    pub(super) fn is_covered(&self, other: &Self) -> bool {
        !other.real.is_empty() && self.all.and(&other.all) == self.all
    }

    /// This group, or everybody in it where nobody carries weight.
    pub(super) fn weighted(self) -> Self {
        if self.real.is_empty() { Self::of(self.all) } else { self }
    }
}
