//! Joints while the runs are walked: points that become one joint as runs meet.

use crate::spec::diagnostic::Place;

/// Index of a point; several points may turn out to be one joint.
pub(super) type Point = usize;

/// How firmly a point is named. A joint takes the firmest name of its points.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Naming {
    /// Declared, or the terminal of a supply: two of these are never one joint.
    Joint(String),
    /// A test point.
    TestPoint(String),
    /// Known by a terminal, such as `K1:9`.
    Terminal(String),
    /// Nobody named it.
    Nothing,
}

impl Naming {
    pub(super) fn name(&self) -> Option<&str> {
        match self {
            Naming::Joint(name) | Naming::TestPoint(name) | Naming::Terminal(name) => Some(name),
            Naming::Nothing => None,
        }
    }
}

#[derive(Debug)]
struct Entry {
    parent: Point,
    naming: Naming,
    place: Place,
}

/// All points, with which of them are one joint.
#[derive(Debug, Default)]
pub(super) struct Joints {
    entries: Vec<Entry>,
}

impl Joints {
    pub(super) fn add(&mut self, naming: Naming, place: Place) -> Point {
        let point = self.entries.len();
        self.entries.push(Entry { parent: point, naming, place });
        point
    }

    /// The point that stands for the joint.
    pub(super) fn root(&self, mut point: Point) -> Point {
        while self.entries[point].parent != point {
            point = self.entries[point].parent;
        }
        point
    }

    pub(super) fn same(&self, one: Point, other: Point) -> bool {
        self.root(one) == self.root(other)
    }

    pub(super) fn naming(&self, point: Point) -> &Naming {
        &self.entries[self.root(point)].naming
    }

    pub(super) fn place(&self, point: Point) -> Place {
        self.entries[self.root(point)].place
    }

    /// Calls a joint that nobody named after a terminal.
    pub(super) fn call(&mut self, point: Point, terminal: String) {
        let root = self.root(point);
        if self.entries[root].naming == Naming::Nothing {
            self.entries[root].naming = Naming::Terminal(terminal);
        }
    }

    pub(super) fn len(&self) -> usize {
        self.entries.len()
    }

    /// Makes two points one joint.
    ///
    /// # Errors
    /// The two names, where both are declared joints: then nothing is changed.
    pub(super) fn tie(&mut self, one: Point, other: Point) -> Result<(), (String, String)> {
        let (one, other) = (self.root(one), self.root(other));
        if one == other {
            return Ok(());
        }
        if let (Naming::Joint(first), Naming::Joint(second)) = (&self.entries[one].naming, &self.entries[other].naming)
        {
            return Err((first.clone(), second.clone()));
        }
        // The firmer name leads; of two alike, the earlier.
        let key = |point: Point| (rank(&self.entries[point].naming), point);
        let (lead, follow) = if key(one) <= key(other) { (one, other) } else { (other, one) };
        self.entries[follow].parent = lead;
        Ok(())
    }
}

fn rank(naming: &Naming) -> u8 {
    match naming {
        Naming::Joint(_) => 0,
        Naming::TestPoint(_) => 1,
        Naming::Terminal(_) => 2,
        Naming::Nothing => 3,
    }
}
