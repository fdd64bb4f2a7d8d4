//! The fault kinds by name, with their default weights, minutes and usual checks.

use serde::{Serialize, Serializer};

use crate::words::Fact;

/// How a fault is usually confirmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum UsualCheck {
    /// Volts across it under load, live.
    Drop,
    /// Ohms of the part, dead, one lead lifted.
    OhmsLifted,
    /// Fuse out and measured, dead.
    FuseOut,
    /// Continuity from end to end, dead.
    Continuity,
    /// Ohms to the frame, dead, one lead lifted.
    ToFrame,
    /// Diode test, dead, one lead lifted.
    DiodeTest,
    /// Moved by hand, dead.
    ByHand,
    /// Mechanism turned by hand while the order of the contacts is watched, dead.
    TurnByHand,
    /// Volts at the supply's own terminals, live.
    SupplyVolts,
    /// A look at it, compared with what should be there.
    Look,
}

impl UsualCheck {
    /// Its name in the keys of its words.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            UsualCheck::Drop => "look-contact",
            UsualCheck::OhmsLifted => "ohms-lifted",
            UsualCheck::FuseOut => "fuse-out",
            UsualCheck::Continuity => "continuity",
            UsualCheck::ToFrame => "to-frame",
            UsualCheck::DiodeTest => "diode-test",
            UsualCheck::ByHand => "by-hand",
            UsualCheck::TurnByHand => "turn-by-hand",
            UsualCheck::SupplyVolts => "supply-volts",
            UsualCheck::Look => "look",
        }
    }

    /// Whether the machine is powered for it.
    #[must_use]
    pub fn is_live(self) -> bool {
        matches!(self, UsualCheck::Drop | UsualCheck::SupplyVolts)
    }
}

/// Default weight and minutes of a fault kind: common practice, no statistics.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Defaults {
    /// Relative weight.
    pub weight: f64,
    /// Minutes of its usual check.
    pub minutes: f64,
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $variant:ident, $name:literal, $weight:literal, $minutes:literal, $check:ident;)*) => {
        /// What is wrong with a part.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum FaultKind {
            $($(#[$doc])* $variant,)*
        }

        impl FaultKind {
            /// All kinds.
            pub const ALL: &'static [FaultKind] = &[$(FaultKind::$variant,)*];

            /// Its name in a description and in reports.
            #[must_use]
            pub fn name(self) -> &'static str {
                match self { $(FaultKind::$variant => $name,)* }
            }

            /// Its weight and minutes unless a description says otherwise.
            #[must_use]
            pub fn defaults(self) -> Defaults {
                match self { $(FaultKind::$variant => Defaults { weight: $weight, minutes: $minutes },)* }
            }

            /// How it is usually checked.
            #[must_use]
            pub fn usual_check(self) -> UsualCheck {
                match self { $(FaultKind::$variant => UsualCheck::$check,)* }
            }
        }
    };
}

kinds! {
    /// A contact of a switch, cam, relay or selector is dirty or out of line.
    Dirty, "dirty", 30.0, 3.0, Drop;
    /// A contact has welded or is bent shut.
    StuckClosed, "stuck-closed", 2.0, 3.0, ByHand;
    /// The clips of a fuse are tired or tarnished.
    TiredClip, "tired-clip", 12.0, 1.0, Drop;
    /// The fuse has opened.
    Blown, "blown", 8.0, 1.0, FuseOut;
    /// Another fuse than the one called for sits in the clips.
    WrongFuse, "wrong-fuse", 8.0, 2.0, Look;
    /// A pin of a plug makes bad contact, or the joint behind it has cracked.
    BadPin, "bad-pin", 12.0, 3.0, Drop;
    /// A wire is broken.
    Broken, "broken", 4.0, 8.0, Continuity;
    /// A wire has chafed on the frame and touches it.
    Chafed, "chafed", 1.0, 8.0, ToFrame;
    /// A coil, resistor, inductor, or loudspeaker is open.
    Open, "open", 5.0, 2.0, OhmsLifted;
    /// Turns of a coil, an inductor, or a voice coil are shorted: half its ohms.
    ShortedTurns, "shorted-turns", 2.0, 2.0, OhmsLifted;
    /// A resistor of twice its ohms: drifted, or a wrong substitute.
    HighValue, "high-value", 2.0, 2.0, OhmsLifted;
    /// A capacitor, diode, or resistor is shorted, or bridged by solder.
    Shorted, "shorted", 2.0, 2.0, OhmsLifted;
    /// The part has been taken out.
    Missing, "missing", 2.0, 2.0, Look;
    /// A diode has been put in the wrong way round.
    Reversed, "reversed", 1.0, 2.0, DiodeTest;
    /// A lamp is burnt out.
    BurntOut, "burnt-out", 8.0, 1.0, Look;
    /// A plunger, armature, or stepper sticks, or its grease has dried.
    Sticking, "sticking", 12.0, 4.0, ByHand;
    /// A relay does not let go.
    StuckIn, "stuck-in", 3.0, 4.0, ByHand;
    /// A cam or motor switch closes at the wrong time.
    Mistimed, "mistimed", 6.0, 6.0, TurnByHand;
    /// A supply gives three quarters of its voltage.
    Low, "low", 3.0, 2.0, SupplyVolts;
    /// A supply gives nothing.
    Dead, "dead", 3.0, 2.0, SupplyVolts;
    /// A diode of a rectifier is open.
    RectifierOpen, "rectifier-open", 2.0, 2.0, SupplyVolts;
    /// The reservoir capacitor of a rectifier is open or dried out.
    ReservoirOpen, "reservoir-open", 2.0, 2.0, SupplyVolts;
}

impl FaultKind {
    /// The kind of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|kind| kind.name() == name)
    }

    /// How a person says it, after the name of the part.
    #[must_use]
    pub fn said(self) -> Fact {
        Fact::new(format!("faults.kind.{}", self.name()))
    }

    /// Whether it leaves all voltages as they are: it is found by hand or by eye.
    #[must_use]
    pub fn is_mechanical(self) -> bool {
        matches!(self, FaultKind::Sticking | FaultKind::WrongFuse)
    }
}

impl Serialize for FaultKind {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.name())
    }
}
