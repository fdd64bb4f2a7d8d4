//! The things that are drawn along a lane: what each shows, and where `layout` has put it.

use std::cell::Cell;

use super::symbols::Symbol;
use crate::machine::model::{JointId, TestPointId};

/// Something along a lane.
#[derive(Debug, Clone)]
pub(super) enum Item {
    /// A part.
    Part(PartMark),
    /// A length of coloured wire.
    Wire(WireMark),
    /// A joint that is worth a mark.
    Joint(JointMark),
    /// Lanes side by side; the first is the main one.
    Fork(ForkMark),
    /// A network that is not series-parallel.
    Net(NetMark),
    /// Where a lane breaks off and where it goes on: the same letter at both.
    Letter(LetterMark),
    /// An end of the path at a supply terminal.
    Terminal(TerminalMark),
    /// Blank paper between two lanes of a row.
    Space(f64),
}

/// A part with its labels.
#[derive(Debug, Clone)]
pub(super) struct PartMark {
    pub(super) symbol: Symbol,
    /// Its name below the symbol.
    pub(super) name: String,
    /// Lines below the name.
    pub(super) notes: Vec<String>,
    /// A word that must not be missed, such as that the contact is open.
    pub(super) alarm: Option<String>,
    /// Above the symbol, such as `×8`.
    pub(super) above: Option<String>,
    /// The joints at its ends.
    pub(super) ends: (JointId, JointId),
    pub(super) x: f64,
    /// Whether its name stands to its right, above the line, instead of below: small parts alone on a side lane.
    pub(super) labelled_right: bool,
    /// Half the width of its slot, once measured.
    pub(super) half: Cell<Option<f64>>,
}

/// A length of coloured wire.
#[derive(Debug, Clone)]
pub(super) struct WireMark {
    /// Base colour and tracer in letters.
    pub(super) base: String,
    pub(super) tracer: Option<String>,
    pub(super) ends: (JointId, JointId),
    pub(super) x: f64,
}

impl WireMark {
    /// Base first, then tracer, as the trade writes it.
    pub(super) fn letters(&self) -> String {
        match &self.tracer {
            Some(tracer) => format!("{}/{tracer}", self.base),
            None => self.base.clone(),
        }
    }
}

/// A joint with what is known of it.
#[derive(Debug, Clone)]
pub(super) struct JointMark {
    pub(super) joint: JointId,
    /// A test point here.
    pub(super) point: Option<TestPointId>,
    /// Its name, where the description gives one.
    pub(super) name: Option<String>,
    /// Other loads that leave here, in lines.
    pub(super) tap: Vec<String>,
    pub(super) x: f64,
    /// Half the width of its slot on a side lane, once measured.
    pub(super) half: Cell<Option<f64>>,
    /// Half the width of its column below the main line, once measured.
    pub(super) column: Cell<Option<f64>>,
}

/// Lanes side by side.
#[derive(Debug, Clone)]
pub(super) struct ForkMark {
    pub(super) lanes: Vec<Vec<Item>>,
    pub(super) ends: (JointId, JointId),
    /// Where it begins and ends.
    pub(super) left: f64,
    pub(super) right: f64,
}

/// A network that is not series-parallel.
#[derive(Debug, Clone)]
pub(super) struct NetMark {
    /// Its joints, start first, end last.
    pub(super) joints: Vec<JointId>,
    /// Its branches: start, end (as places in `joints`), row, contents.
    pub(super) rungs: Vec<Rung>,
    pub(super) ends: (JointId, JointId),
    /// Where its bars stand, by joint.
    pub(super) bars: Vec<f64>,
}

/// One branch of a net.
#[derive(Debug, Clone)]
pub(super) struct Rung {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) row: usize,
    pub(super) items: Vec<Item>,
}

/// A letter that joins two pieces of a broken lane.
#[derive(Debug, Clone)]
pub(super) struct LetterMark {
    pub(super) letter: String,
    pub(super) joint: JointId,
    pub(super) x: f64,
}

/// An end of the path.
#[derive(Debug, Clone)]
pub(super) struct TerminalMark {
    pub(super) joint: JointId,
    /// Whether it is the reference of the meter.
    pub(super) reference: bool,
    pub(super) name: String,
    pub(super) notes: Vec<String>,
    pub(super) x: f64,
}
