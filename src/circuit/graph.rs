//! Networks of branches with spans, reduced without loss of what is asked.
//!
//! Two branches in series, or side by side without a source, act only through their sum; a joint with one branch carries
//! nothing; and only the branches that lie on a loop with the path between two leads act on the voltage between them.

use super::kernel::Kernel;
use super::scalar::Scalar;

/// A branch with the lowest and the highest value of its impedance and of its source voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SpanBranch<T> {
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) ohms: [T; 2],
    pub(crate) source: Option<[T; 2]>,
    /// Whether its values or its very state are in doubt within the box, so that no proof can rest on it.
    pub(crate) doubtful: bool,
}

impl<T: Scalar> SpanBranch<T> {
    fn turned(mut self) -> Self {
        std::mem::swap(&mut self.from, &mut self.to);
        self.source = self.source.map(|[low, high]| [-high, -low]);
        self
    }

    fn away_from(self, joint: usize) -> Self {
        if self.from == joint { self } else { self.turned() }
    }

    /// One branch for two in series, from the far end of `self` to the far end of `next`, which meet at `joint`.
    fn followed_by(self, next: Self, joint: usize) -> Self {
        let (first, second) = (self.away_from(joint).turned(), next.away_from(joint));
        let source = match (first.source, second.source) {
            (Some(a), Some(b)) => Some([a[0] + b[0], a[1] + b[1]]),
            (a, b) => a.or(b),
        };
        Self {
            from: first.from,
            to: second.to,
            ohms: [first.ohms[0] + second.ohms[0], first.ohms[1] + second.ohms[1]],
            source,
            doubtful: first.doubtful || second.doubtful,
        }
    }

    /// One branch for two without sources side by side.
    fn beside(self, other: Self) -> Self {
        let both = |a: T, b: T| a * b / (a + b);
        let ohms = [both(self.ohms[0], other.ohms[0]), both(self.ohms[1], other.ohms[1])];
        Self { ohms, doubtful: self.doubtful || other.doubtful, ..self }
    }

    fn other(&self, joint: usize) -> usize {
        if self.from == joint { self.to } else { self.from }
    }
}

/// A voltage that is asked for.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Asked {
    /// Its number among all that are asked for.
    pub(crate) number: usize,
    pub(crate) red: usize,
    pub(crate) black: usize,
    /// Ohms of the meter; none for the voltage as it is.
    pub(crate) meter: Option<f64>,
}

/// A network of branches with spans, on joints 0 to `joints - 1`.
#[derive(Debug, Clone)]
pub(crate) struct Graph<T> {
    pub(crate) branches: Vec<Option<SpanBranch<T>>>,
    /// Live branches at each joint.
    pub(crate) at: Vec<Vec<u32>>,
}

impl<T: Scalar> Graph<T> {
    pub(crate) fn new(joints: usize, branches: impl IntoIterator<Item = SpanBranch<T>>) -> Self {
        let mut graph = Self { branches: Vec::new(), at: vec![Vec::new(); joints] };
        for branch in branches {
            graph.add(branch);
        }
        graph
    }

    /// Adds a branch; side by side with one without a source it becomes one with it.
    fn add(&mut self, branch: SpanBranch<T>) {
        if branch.from == branch.to {
            return;
        }
        if branch.source.is_none() {
            let few = if self.at[branch.from].len() <= self.at[branch.to].len() { branch.from } else { branch.to };
            let other = branch.other(few);
            for &index in &self.at[few] {
                if let Some(present) = &mut self.branches[index as usize]
                    && present.source.is_none()
                    && present.other(few) == other
                {
                    *present = present.beside(branch);
                    return;
                }
            }
        }
        let index = index(self.branches.len());
        self.at[branch.from].push(index);
        self.at[branch.to].push(index);
        self.branches.push(Some(branch));
    }

    fn remove(&mut self, place: u32) -> Option<SpanBranch<T>> {
        let branch = self.branches[place as usize].take()?;
        self.at[branch.from].retain(|&other| other != place);
        self.at[branch.to].retain(|&other| other != place);
        Some(branch)
    }

    /// Takes away all joints that are not kept and have one or two branches, until none is left.
    pub(crate) fn reduce(&mut self, keep: impl Fn(usize) -> bool) {
        let mut waiting: Vec<usize> = (0..self.at.len()).rev().filter(|&joint| !keep(joint)).collect();
        while let Some(joint) = waiting.pop() {
            let ends = match *self.at[joint].as_slice() {
                [only] => self.remove(only).map(|branch| [branch.other(joint); 2]),
                [first, second] => self.join(first, second, joint),
                _ => None,
            };
            for end in ends.into_iter().flatten() {
                if !keep(end) && self.at[end].len() <= 2 {
                    waiting.push(end);
                }
            }
        }
    }

    fn join(&mut self, first: u32, second: u32, joint: usize) -> Option<[usize; 2]> {
        let (first, second) = (self.remove(first)?, self.remove(second)?);
        let ends = [first.other(joint), second.other(joint)];
        // Both to the same joint: a loop that hangs on the rest by one joint.
        if ends[0] != ends[1] {
            self.add(first.followed_by(second, joint));
        }
        Some(ends)
    }

    /// The same network as far as some pairs of leads can tell, on as few joints as that takes, and these leads in it.
    fn narrowed(&self, asked: &[Asked]) -> (Self, Vec<Asked>) {
        let mut keep = vec![false; self.at.len()];
        for ask in asked {
            keep[ask.red] = true;
            keep[ask.black] = true;
        }
        let mut reduced = self.clone();
        reduced.reduce(|joint| keep[joint]);
        let mut place = vec![usize::MAX; self.at.len()];
        let mut joints = 0;
        for (joint, at) in reduced.at.iter().enumerate() {
            if keep[joint] || !at.is_empty() {
                place[joint] = joints;
                joints += 1;
            }
        }
        let renamed = |branch: &SpanBranch<T>| SpanBranch { from: place[branch.from], to: place[branch.to], ..*branch };
        let branches: Vec<SpanBranch<T>> = reduced.branches.iter().flatten().map(renamed).collect();
        let asked = asked.iter().map(|ask| Asked { red: place[ask.red], black: place[ask.black], ..*ask }).collect();
        (Self::new(joints, branches), asked)
    }

    /// The kernel of each pair of leads, where anything drives it.
    ///
    /// Halving the pairs and reducing the network to what each half needs keeps the work near to the number of pairs times
    /// its logarithm; pair by pair it would grow with the square of the machine.
    pub(crate) fn kernels(&self, asked: &[Asked], found: &mut impl FnMut(usize, Kernel<T>)) {
        if let [ask] = asked {
            if ask.red != ask.black
                && let Some(kernel) = self.kernel(ask.red, ask.black, ask.meter)
            {
                found(ask.number, kernel);
            }
            return;
        }
        for half in asked.chunks(asked.len().div_ceil(2).max(1)) {
            let (graph, half) = self.narrowed(half);
            graph.kernels(&half, found);
        }
    }

    /// The branches that lie on a loop with a path between two joints: nothing else can act on their voltage.
    fn between(&self, a: usize, b: usize) -> Vec<SpanBranch<T>> {
        let mut walk = Walk {
            graph: self,
            seen: vec![0; self.at.len()],
            low: vec![0; self.at.len()],
            count: 0,
            found: Vec::new(),
        };
        walk.visit(a, b);
        walk.found
    }

    /// The kernel of the reading between two joints, through a meter of so many ohms if one is given.
    pub(crate) fn kernel(&self, a: usize, b: usize, meter: Option<f64>) -> Option<Kernel<T>> {
        let with_meter;
        let graph = if let Some(ohms) = meter {
            let ohms = [T::real(ohms); 2];
            let mut copy = self.clone();
            copy.add(SpanBranch { from: a, to: b, ohms, source: None, doubtful: false });
            with_meter = copy;
            &with_meter
        } else {
            self
        };
        Kernel::of(graph.between(a, b), a, b)
    }
}

/// Search in depth for the block of branches that holds the path between two joints.
struct Walk<'a, T> {
    graph: &'a Graph<T>,
    seen: Vec<usize>,
    low: Vec<usize>,
    count: usize,
    found: Vec<SpanBranch<T>>,
}

impl<T: Scalar> Walk<'_, T> {
    /// Collects the block that holds the joints `start` and `goal`, which are joined by a branch or not at all.
    fn visit(&mut self, start: usize, goal: usize) {
        // With a branch between start and goal both are in one block; walking first along it makes that block the
        // first subtree of the root. Stack entries: joint, branch to it, next branch to look at, where its branches start.
        self.count = 1;
        self.seen[start] = 1;
        self.low[start] = 1;
        let mut edges: Vec<u32> = Vec::new();
        let Some(first) = self.graph.at[start].iter().copied().find(|&place| self.far(place, start) == goal) else {
            return;
        };
        let mut stack = vec![(goal, first, 0_usize)];
        edges.push(first);
        self.enter(goal);
        while let Some(&mut (joint, via, ref mut next)) = stack.last_mut() {
            let Some(&place) = self.graph.at[joint].get(*next) else {
                stack.pop();
                let low = self.low[joint];
                let parent = self.far(via, joint);
                if stack.is_empty() {
                    break;
                }
                self.low[parent] = self.low[parent].min(low);
                if low >= self.seen[parent] {
                    // A block that hangs on `parent` alone: forget its branches.
                    while edges.pop().is_some_and(|edge| edge != via) {}
                }
                continue;
            };
            *next += 1;
            if place == via {
                continue;
            }
            let other = self.far(place, joint);
            if self.seen[other] == 0 {
                edges.push(place);
                self.enter(other);
                stack.push((other, place, 0));
            } else if self.seen[other] < self.seen[joint] {
                edges.push(place);
                self.low[joint] = self.low[joint].min(self.seen[other]);
            }
        }
        self.found = edges.iter().filter_map(|&place| self.graph.branches[place as usize]).collect();
    }

    fn enter(&mut self, joint: usize) {
        self.count += 1;
        self.seen[joint] = self.count;
        self.low[joint] = self.count;
    }

    fn far(&self, place: u32, joint: usize) -> usize {
        self.graph.branches[place as usize].map_or(joint, |branch| branch.other(joint))
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a machine has far fewer than 4e9 branches")]
fn index(place: usize) -> u32 {
    place as u32
}
