//! What the fault room hands on: for each sequence the suspects, the steps, the look-alikes, the chart's profiles; for the
//! whole machine the common cases and the faults that no reading shows.

use serde::{Serialize, Serializer};

use crate::machine::model::{PartId, SequenceId, TestPointId};
use crate::words::Fact;

use super::dictionary::Dictionary;
use super::kinds::{FaultKind, UsualCheck};
use super::order::{Baselines, CheckKind, Order};

/// Everything about a machine's faults.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Findings {
    /// One for each sequence, same index.
    pub sequences: Vec<SequenceFindings>,
    /// The cases that are likeliest over all faults: which sequences fail together, and then who is suspected.
    pub cases: Vec<Case>,
    /// Faults that no reading and no sequence shows, with the check that finds each.
    pub unseen: Vec<Unseen>,
    /// All readings of all faults.
    #[serde(skip)]
    pub dictionary: Dictionary,
}

/// One sequence that fails while all earlier ones work.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct SequenceFindings {
    /// Which one.
    #[serde(serialize_with = "sequence")]
    pub sequence: SequenceId,
    /// Its number.
    pub number: i64,
    /// Numbers of the earlier sequences that are taken to work.
    pub earlier: Vec<i64>,
    /// Who is suspected, likeliest first.
    pub suspects: Vec<Suspect>,
    /// Numbered steps, minutes and bound; none where nobody is suspected.
    pub search: Option<Search>,
    /// Suspects that no voltage here tells apart.
    pub look_alikes: Vec<LookAlike>,
    /// Places that this sequence needs and that earlier ones, by working, clear.
    pub cleared: Vec<Cleared>,
    /// What the points read with the likeliest faults.
    pub profiles: Vec<Profile>,
    /// The order with its tree and checks, for exercises.
    #[serde(skip)]
    pub order: Option<Order>,
}

/// A place that may be at fault.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Suspect {
    /// The place, such as `K1:5-6`.
    pub place: Fact,
    /// Its part.
    pub part: String,
    /// Where the part sits.
    pub location: Option<String>,
    /// Cover to open.
    pub door: Option<String>,
    /// Its share of all suspicion, from default or overridden weights.
    pub share: f64,
    /// What may be wrong with it.
    pub kinds: Vec<FaultKind>,
    /// Faults of the dictionary.
    pub faults: Vec<usize>,
}

/// The search of a sequence.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Search {
    /// The steps.
    pub steps: Vec<super::order::Step>,
    /// Expected minutes.
    pub minutes: f64,
    /// What no order can beat.
    pub bound: f64,
    /// Whether it is proved best.
    pub optimal: bool,
    /// Expected minutes of other ways.
    pub baselines: Baselines,
    /// Always true: the order assumes a single fault.
    pub one_fault_assumed: bool,
}

/// Places that no voltage of a sequence tells apart.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct LookAlike {
    /// The places.
    pub places: Vec<Fact>,
    /// The cheapest check that parts them; none where no check on offer does.
    pub parted_by: Option<PartedBy>,
}

/// A check that parts look-alikes.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct PartedBy {
    /// What it is.
    pub kind: CheckKind,
    /// Its minutes.
    pub minutes: f64,
}

/// A place that working sequences clear.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Cleared {
    /// The part.
    #[serde(skip)]
    pub part: PartId,
    /// The place.
    pub place: Fact,
    /// Numbers of the earlier sequences that would fail too.
    pub by: Vec<i64>,
}

/// What the points read with one fault.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Profile {
    /// The fault in words.
    pub label: Fact,
    /// Its place.
    pub place: Fact,
    /// Its share among the suspects of the sequence.
    pub share: f64,
    /// Volts at every test point of the machine, same index.
    pub volts: Vec<f64>,
    /// The fault in the dictionary.
    pub fault: usize,
}

/// Sequences that fail together.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Case {
    /// Numbers of the sequences that fail.
    pub fails: Vec<i64>,
    /// Numbers of those that work.
    pub works: Vec<i64>,
    /// Share of this case among all faults that stop anything.
    pub share: f64,
    /// Who is suspected, likeliest first.
    pub suspects: Vec<Suspect>,
}

/// A fault that no reading shows.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Unseen {
    /// The fault in words.
    pub label: Fact,
    /// What finds it.
    pub check: UsualCheck,
    /// Minutes of that.
    pub minutes: f64,
    /// The fault in the dictionary.
    pub fault: usize,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands fields over by reference")]
fn sequence<S: Serializer>(id: &SequenceId, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_u64(id.0 as u64)
}

impl Profile {
    /// What a point reads.
    #[must_use]
    pub fn at(&self, point: TestPointId) -> f64 {
        self.volts[point.0]
    }
}
