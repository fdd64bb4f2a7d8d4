//! Joints that hang together: disjoint sets by their lowest member (Galler and Fischer, 1964).

/// Sets of joints; at first each is alone.
#[derive(Debug)]
pub(crate) struct Groups(Vec<usize>);

impl Groups {
    pub(crate) fn new(joints: usize) -> Self {
        Self((0..joints).collect())
    }

    /// The lowest joint of a joint's group: its name.
    pub(crate) fn name(&mut self, mut joint: usize) -> usize {
        while self.0[joint] != joint {
            self.0[joint] = self.0[self.0[joint]];
            joint = self.0[joint];
        }
        joint
    }

    /// Makes the groups of two joints one.
    pub(crate) fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.name(a), self.name(b));
        self.0[a.max(b)] = a.min(b);
    }

    /// The name of each joint's group.
    pub(crate) fn names(mut self) -> Vec<usize> {
        (0..self.0.len()).map(|joint| self.name(joint)).collect()
    }
}
