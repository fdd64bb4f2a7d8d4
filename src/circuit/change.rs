//! What can be different from the healthy machine: the vocabulary in which the fault room speaks to the circuit room.
//!
//! A fault is a short list of changes. Each is small (one element, one relay, one supply), so the circuit room can solve
//! it as a low-rank update where nothing switches.

use crate::machine::model::{ElementId, JointId, PartId};

/// One difference from the healthy machine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Change {
    /// The element does not conduct at all.
    Open(ElementId),
    /// The element is bridged by a dead short (0 Ω).
    Short(ElementId),
    /// So many ohms in series with the element, beside what it has.
    Added(ElementId, f64),
    /// The element's resistance (coil: winding; lamp: scale of its law at rated volts) is so many ohms.
    Value(ElementId, f64),
    /// The contact stays closed, whatever moves it.
    StuckClosed(ElementId),
    /// The relay's contacts stay as energised (`true`) or at rest (`false`), whatever its coil does.
    RelayStuck(PartId, bool),
    /// The switch or cam is operated (`true`) or at rest (`false`), whatever the sequence says.
    SwitchStuck(PartId, bool),
    /// The diode is turned round.
    Reversed(ElementId),
    /// The supply gives so many times its voltage.
    SupplyScaled(PartId, f64),
    /// One diode of the supply's rectifier is open.
    RectifierOpen(PartId),
    /// The reservoir capacitor of the supply is open.
    ReservoirOpen(PartId),
    /// A path of so many ohms between two joints that should have none, such as a whisker to the frame.
    Bridge(JointId, JointId, f64),
}
