//! What decides one reading: the network between two leads, reduced to the few branches that matter, and its extremes.
//!
//! Any voltage of a linear network is, along one resistance, a ratio of two straight lines, so it has no turning point: the
//! extremes over a box of tolerances lie at corners of the box. Branches in series, or side by side without a source, act
//! only through their sum, whose span is the sum of their spans; what hangs on the rest by a single joint does not act at
//! all. What is left has few branches, and all their corners are solved: a proof. Where too many are left, corners are
//! chosen by the signs of the derivatives, from several starts: a search, and said to be one.
//!
//! Magnitudes of complex voltages can turn within the box, so they are never called proved.

use super::graph::{Graph, SpanBranch};
use super::results::Certainty;
use super::scalar::Scalar;
use super::shown::{Extremes, MOST_CORNERS, Shown};

/// Random starts of a search.
const RESTARTS: u64 = 8;

/// The few branches that decide one voltage: from joint 1 to joint 0.
#[derive(Debug, Clone)]
pub(crate) struct Kernel<T> {
    joints: usize,
    branches: Vec<SpanBranch<T>>,
    /// Places of the branches whose impedance varies.
    varying: Vec<usize>,
    /// Places of the branches with sources.
    sources: Vec<usize>,
}

/// Places of the branches from one joint to those of lower number.
#[derive(Debug, Clone, Default)]
struct Row {
    varying: Vec<usize>,
    fixed: Vec<usize>,
}

impl<T> SpanBranch<T> {
    /// Place of its admittance among those between all joints.
    fn place(&self, joints: usize) -> usize {
        self.from.max(self.to) * joints + self.from.min(self.to)
    }
}

impl<T: Scalar> Kernel<T> {
    /// Numbers the joints of a block anew and reduces it; none where nothing drives it.
    pub(crate) fn of(block: Vec<SpanBranch<T>>, a: usize, b: usize) -> Option<Self> {
        if block.iter().all(|branch| branch.source.is_none()) {
            return None;
        }
        let mut names = vec![b, a];
        let mut renamed: Vec<SpanBranch<T>> = Vec::with_capacity(block.len());
        let mut sorted: Vec<usize> = block.iter().flat_map(|branch| [branch.from, branch.to]).collect();
        sorted.sort_unstable();
        sorted.dedup();
        names.extend(sorted.iter().copied().filter(|&joint| joint != a && joint != b));
        let mut place = vec![0; sorted.last().map_or(0, |last| last + 1)];
        for (index, &name) in names.iter().enumerate() {
            place[name] = index;
        }
        for branch in block {
            renamed.push(SpanBranch { from: place[branch.from], to: place[branch.to], ..branch });
        }
        let mut graph = Graph::new(names.len(), renamed);
        graph.reduce(|joint| joint < 2);
        Some(Self::numbered(&graph))
    }

    /// The branches that are left, on joints without gaps.
    fn numbered(graph: &Graph<T>) -> Self {
        let mut place = vec![usize::MAX; graph.at.len()];
        (place[0], place[1]) = (0, 1);
        let mut joints = 2;
        for (joint, at) in graph.at.iter().enumerate().skip(2) {
            if !at.is_empty() {
                place[joint] = joints;
                joints += 1;
            }
        }
        let branches: Vec<SpanBranch<T>> = graph
            .branches
            .iter()
            .flatten()
            .map(|branch| SpanBranch { from: place[branch.from], to: place[branch.to], ..*branch })
            .collect();
        let varying = (0..branches.len()).filter(|&at| branches[at].ohms[0] != branches[at].ohms[1]).collect();
        let sources = (0..branches.len()).filter(|&at| branches[at].source.is_some()).collect();
        Self { joints, branches, varying, sources }
    }

    /// Whether any branch is in doubt within the box.
    pub(crate) fn doubtful(&self) -> bool {
        self.branches.iter().any(|branch| branch.doubtful)
    }

    /// Admittances between all joints for one choice of sides.
    fn admittances(&self, choice: &[bool], work: &mut Work<T>) {
        let n = self.joints;
        work.between.clear();
        work.between.resize(n * n, T::ZERO);
        work.own.clear();
        for (branch, &high) in self.branches.iter().zip(choice) {
            let admittance = T::ONE / branch.ohms[usize::from(high)];
            work.own.push(admittance);
            work.between[branch.place(n)] += admittance;
        }
    }

    /// For each source, the voltage from joint 1 to joint 0 that one volt of it makes.
    fn transfers(&self, choice: &[bool], work: &mut Work<T>) {
        self.admittances(choice, work);
        let (n, m) = (self.joints, self.sources.len());
        work.injected.clear();
        work.injected.resize(n * m, T::ZERO);
        for (column, &source) in self.sources.iter().enumerate() {
            let branch = &self.branches[source];
            work.injected[branch.from * m + column] += work.own[source];
            work.injected[branch.to * m + column] -= work.own[source];
        }
        for joint in (2..n).rev() {
            take_away(&mut work.between, &mut work.injected, joint, (n, m));
        }
        let across = work.between[n];
        work.gains.clear();
        work.gains.extend((0..m).map(|column| work.injected[m + column] / across));
    }

    /// Voltages of all joints for one volt of current at joint 1 (first column) and for the sources (second column).
    fn voltages(&self, choice: &[bool], source_high: &[bool], work: &mut Work<T>) {
        self.admittances(choice, work);
        let n = self.joints;
        work.injected.clear();
        work.injected.resize(n * 2, T::ZERO);
        work.injected[2] = T::ONE;
        for (&source, &high) in self.sources.iter().zip(source_high) {
            let branch = &self.branches[source];
            let current = work.own[source] * branch.source.map_or(T::ZERO, |span| span[usize::from(high)]);
            work.injected[branch.from * 2 + 1] += current;
            work.injected[branch.to * 2 + 1] -= current;
        }
        for joint in (1..n).rev() {
            take_away(&mut work.between, &mut work.injected, joint, (n, 2));
        }
        (work.injected[0], work.injected[1]) = (T::ZERO, T::ZERO);
        for joint in 1..n {
            let pivot = (0..joint).fold(T::ZERO, |sum, other| sum + work.between[joint * n + other]);
            for column in 0..2 {
                let pull = (0..joint).fold(work.injected[joint * 2 + column], |sum, other| {
                    sum + work.between[joint * n + other] * work.injected[other * 2 + column]
                });
                work.injected[joint * 2 + column] = pull / pivot;
            }
        }
    }
}

/// Scratch numbers of one kernel after another.
#[derive(Debug)]
pub(crate) struct Work<T> {
    /// Admittance from each joint, row by row, to each of lower number.
    between: Vec<T>,
    own: Vec<T>,
    injected: Vec<T>,
    gains: Vec<T>,
    /// `between` and `injected` at each level of a walk through all corners.
    levels: Vec<(Vec<T>, Vec<T>)>,
}

impl<T> Default for Work<T> {
    fn default() -> Self {
        Self { between: Vec::new(), own: Vec::new(), injected: Vec::new(), gains: Vec::new(), levels: Vec::new() }
    }
}

/// Star to mesh: the joint's branches become branches between its neighbours of lower number.
fn take_away<T: Scalar>(between: &mut [T], injected: &mut [T], joint: usize, (n, columns): (usize, usize)) {
    let (lower, row) = between.split_at_mut(joint * n);
    let row = &row[..joint];
    let pivot = row.iter().fold(T::ZERO, |sum, &admittance| sum + admittance);
    let (lower_injected, own) = injected.split_at_mut(joint * columns);
    for (other, &admittance) in row.iter().enumerate() {
        if admittance == T::ZERO {
            continue;
        }
        let share = admittance / pivot;
        for (column, &amperes) in own[..columns].iter().enumerate() {
            lower_injected[other * columns + column] += amperes * share;
        }
        for (third, &towards) in row[..other].iter().enumerate() {
            lower[other * n + third] += towards * share;
        }
    }
}

impl<T: Shown> Kernel<T> {
    /// The extremes of the voltage over the box.
    pub(crate) fn extremes(&self, work: &mut Work<T>) -> Extremes {
        if self.varying.len() <= MOST_CORNERS {
            let (low, high) = self.all_corners(work);
            let proved = T::CORNERS_PROVE && !self.doubtful();
            Extremes { low, high, certainty: if proved { Certainty::Exact } else { Certainty::Searched } }
        } else {
            let (low, high) = self.search(work);
            Extremes { low, high, certainty: Certainty::Searched }
        }
    }

    fn spans(&self) -> impl Iterator<Item = [T; 2]> + Clone + '_ {
        self.sources.iter().map(|&source| self.branches[source].source.unwrap_or([T::ZERO; 2]))
    }

    /// Solves all corners. Corners that differ only near the leads share the elimination of all joints beyond.
    fn all_corners(&self, work: &mut Work<T>) -> (f64, f64) {
        let (n, m) = (self.joints, self.sources.len());
        work.levels.resize_with(work.levels.len().max(n + 1), Default::default);
        for (between, injected) in &mut work.levels[..=n] {
            between.resize(n * n, T::ZERO);
            injected.resize(n * m, T::ZERO);
        }
        work.levels[n].0.fill(T::ZERO);
        work.levels[n].1.fill(T::ZERO);
        let mut span = (f64::INFINITY, f64::NEG_INFINITY);
        self.corners_below(n, &self.rows(), work, &mut span);
        span
    }

    /// The places of the branches from each joint to those of lower number: first those that vary.
    fn rows(&self) -> Vec<Row> {
        let mut rows = vec![Row::default(); self.joints];
        for (at, branch) in self.branches.iter().enumerate() {
            let row = &mut rows[branch.from.max(branch.to)];
            if branch.ohms[0] == branch.ohms[1] { row.fixed.push(at) } else { row.varying.push(at) }
        }
        rows
    }

    /// Goes through all choices for the branches among the joints below one, those beyond being chosen and taken away.
    fn corners_below(&self, above: usize, rows: &[Row], work: &mut Work<T>, span: &mut (f64, f64)) {
        let (n, m) = (self.joints, self.sources.len());
        let joint = above - 1;
        let row = &rows[joint];
        for corner in 0..1_usize << row.varying.len() {
            let (here, beyond) = work.levels.split_at_mut(above);
            let ((between, injected), (between_before, injected_before)) = (&mut here[joint], &beyond[0]);
            between[..above * n].copy_from_slice(&between_before[..above * n]);
            injected[..above * m].copy_from_slice(&injected_before[..above * m]);
            let sides = row.varying.iter().enumerate().map(|(bit, &at)| (at, corner >> bit & 1));
            for (at, side) in sides.chain(row.fixed.iter().map(|&at| (at, 0))) {
                let branch = &self.branches[at];
                let admittance = T::ONE / branch.ohms[side];
                between[branch.place(n)] += admittance;
                if let Ok(column) = self.sources.binary_search(&at) {
                    injected[branch.from * m + column] += admittance;
                    injected[branch.to * m + column] -= admittance;
                }
            }
            if joint > 1 {
                take_away(between, injected, joint, (n, m));
                self.corners_below(joint, rows, work, span);
            } else {
                let across = between[n];
                work.gains.clear();
                work.gains.extend(injected[m..2 * m].iter().map(|&amperes| amperes / across));
                let (least, most) = T::extremes(&work.gains, self.spans());
                *span = (span.0.min(least), span.1.max(most));
            }
        }
    }

    /// Lowest and highest found by following the signs of all derivatives from several starts.
    fn search(&self, work: &mut Work<T>) -> (f64, f64) {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for start in 0..2 + RESTARTS {
            for upwards in [false, true] {
                let mut choice = self.start(start);
                for _ in 0..20 {
                    self.transfers(&choice, work);
                    let (least, most) = T::extremes(&work.gains, self.spans());
                    low = low.min(least);
                    high = high.max(most);
                    if !self.follow(&mut choice, upwards, work) {
                        break;
                    }
                }
            }
        }
        (low, high)
    }

    /// Moves each branch to the side that its derivative points to; whether any moved.
    fn follow(&self, choice: &mut [bool], upwards: bool, work: &mut Work<T>) -> bool {
        let goal = |gain: T, [low, high]: [T; 2]| (T::shown(gain * high) > T::shown(gain * low)) == upwards;
        let source_high: Vec<bool> =
            work.gains.iter().zip(self.spans()).map(|(&gain, span)| goal(gain, span)).collect();
        self.voltages(choice, &source_high, work);
        let volts = work.injected[3];
        let mut moved = false;
        let mut source = 0;
        for (at, branch) in self.branches.iter().enumerate() {
            let mut driven = work.injected[branch.from * 2 + 1] - work.injected[branch.to * 2 + 1];
            if let Some(span) = branch.source {
                driven -= span[usize::from(source_high[source])];
                source += 1;
            }
            let weight = work.injected[branch.from * 2] - work.injected[branch.to * 2];
            let slope = volts.trend(weight * driven * (branch.ohms[1] - branch.ohms[0]) * work.own[at] * work.own[at]);
            if branch.ohms[0] != branch.ohms[1] && slope != 0.0 {
                let wanted = (slope > 0.0) == upwards;
                moved |= choice[at] != wanted;
                choice[at] = wanted;
            }
        }
        moved
    }

    /// All low, all high, then random sides from a fixed seed.
    fn start(&self, start: u64) -> Vec<bool> {
        let mut state = start.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x2545_F491_4F6C_DD1D;
        let side = |_| {
            // Marsaglia's xorshift: quality does not matter, repeatability does.
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            match start {
                0 => false,
                1 => true,
                _ => state >> 63 == 1,
            }
        };
        (0..self.branches.len()).map(side).collect()
    }
}

impl Kernel<f64> {
    /// The extremes of the volts across a fixed resistance in line with the only source, or across that source's own branch:
    /// by Rayleigh's theorem no resistance that rises lets the source's current rise, so two corners hold them, however many
    /// branches vary. None where there are several sources.
    pub(crate) fn beside_the_only_source(&self, work: &mut Work<f64>) -> Option<Extremes> {
        if self.sources.len() != 1 {
            return None;
        }
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for side in [false, true] {
            self.transfers(&vec![side; self.branches.len()], work);
            let (least, most) = f64::extremes(&work.gains, self.spans());
            low = low.min(least);
            high = high.max(most);
        }
        let certainty = if self.doubtful() { Certainty::Searched } else { Certainty::Exact };
        Some(Extremes { low, high, certainty })
    }
}

impl Kernel<num_complex::Complex64> {
    /// The same in real numbers, where nothing is out of phase.
    pub(crate) fn in_phase(&self) -> Option<Kernel<f64>> {
        let real =
            |[low, high]: [num_complex::Complex64; 2]| (low.im == 0.0 && high.im == 0.0).then_some([low.re, high.re]);
        let mut branches = Vec::with_capacity(self.branches.len());
        for branch in &self.branches {
            let source = match branch.source {
                Some(span) => Some(real(span)?),
                None => None,
            };
            let SpanBranch { from, to, ohms, doubtful, .. } = *branch;
            branches.push(SpanBranch { from, to, ohms: real(ohms)?, source, doubtful });
        }
        Some(Kernel { joints: self.joints, branches, varying: self.varying.clone(), sources: self.sources.clone() })
    }
}
