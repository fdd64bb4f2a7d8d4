//! Values that are one of a few words.

use crate::spec::section::words;

words! {
    /// Form of a contact, seen at rest.
    FormWord {
        /// Open at rest.
        Make = "make",
        /// Closed at rest.
        Break = "break",
        /// Common first, then the break side, then the make side.
        ChangeOver = "change-over",
    }

    /// State of a contact at rest.
    RestWord {
        /// Open.
        Open = "open",
        /// Closed.
        Closed = "closed",
    }

    /// Wiring of a rectifier.
    RectifierWord {
        /// Four diodes.
        Bridge = "bridge",
        /// Two diodes on a centre-tapped winding.
        FullWave = "full-wave",
        /// One diode.
        HalfWave = "half-wave",
    }

    /// Range of a loudspeaker.
    SpeakerWord {
        /// Everything.
        Full = "full",
        /// Low notes.
        Woofer = "woofer",
        /// Middle notes.
        Midrange = "midrange",
        /// High notes.
        Tweeter = "tweeter",
    }

    /// Whose opening gates a fuse follows.
    StandardWord {
        /// IEC 60127.
        Iec = "IEC",
        /// UL 248-14.
        Ul = "UL",
    }

    /// Speed of a fuse by the letters of IEC 60127.
    SpeedWord {
        /// Very quick.
        VeryQuick = "FF",
        /// Quick.
        Quick = "F",
        /// Medium.
        Medium = "M",
        /// Time-lag.
        TimeLag = "T",
        /// Long time-lag.
        LongTimeLag = "TT",
    }

    /// Breaking capacity of a fuse by the letters of IEC 60127.
    BreakingWord {
        /// Low.
        Low = "L",
        /// Enhanced.
        Enhanced = "E",
        /// High.
        High = "H",
    }

    /// Kind of fault.
    FaultWord {
        /// A contact of a switch, cam, relay or selector is dirty or out of line.
        Dirty = "dirty",
        /// A contact has welded or is bent shut.
        StuckClosed = "stuck-closed",
        /// The clips of a fuse are tired or tarnished.
        TiredClip = "tired-clip",
        /// The fuse has opened.
        Blown = "blown",
        /// Another fuse than the one called for sits in the clips.
        WrongFuse = "wrong-fuse",
        /// A pin of a plug makes bad contact, or the joint behind it has cracked.
        BadPin = "bad-pin",
        /// A wire is broken.
        Broken = "broken",
        /// A wire has chafed on the frame and touches it.
        Chafed = "chafed",
        /// A coil, resistor, inductor, or loudspeaker is open.
        Open = "open",
        /// Turns of a winding are shorted: half its ohms.
        ShortedTurns = "shorted-turns",
        /// A resistor of twice its ohms: drifted, or a wrong substitute.
        HighValue = "high-value",
        /// A capacitor or diode is shorted.
        Shorted = "shorted",
        /// The part has been taken out.
        Missing = "missing",
        /// A diode has been put in the wrong way round.
        Reversed = "reversed",
        /// A lamp is burnt out.
        BurntOut = "burnt-out",
        /// A plunger, armature, or stepper sticks, or its grease has dried.
        Sticking = "sticking",
        /// A relay does not let go.
        StuckIn = "stuck-in",
        /// A cam or motor switch closes at the wrong time.
        Mistimed = "mistimed",
        /// A supply gives three quarters of its voltage.
        Low = "low",
        /// A supply gives nothing.
        Dead = "dead",
        /// A diode of a rectifier is open.
        RectifierOpen = "rectifier-open",
        /// The reservoir capacitor of a rectifier is open or dried out.
        ReservoirOpen = "reservoir-open",
    }
}
