//! The primary side: what stands between the wall and the transformer's core, and what kind of core it is.
//!
//! It moves no volt of the supply at work, for the mains are measured where the transformer hangs on them; it decides what is drawn
//! when the supply is switched on, and which fuse bears that. Each field may be left out: then what is usual stands in its place.

use crate::parts::quantity::{Amps, Henries, Ohms, Seconds, VoltAmps, Volts, Watts};

/// What is known of the primary side; `None` means not known, not fitted for `limiter` and `fuse`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Primary {
    /// Resistance of the mains, out and back.
    pub mains_resistance: Option<Ohms>,
    /// Their inductance.
    pub mains_inductance: Option<Henries>,
    /// What limits the current at switch-on.
    pub limiter: Option<Limiter>,
    /// The fuse that is fitted.
    pub fuse: Option<Fuse>,
    /// How the core is built.
    pub build: CoreBuild,
    /// What the whole transformer is rated for.
    pub core_rating: Option<VoltAmps>,
    /// No-load current (rms) at two voltages (rms) of the primary, the lower voltage first, all windings open.
    pub no_load: Option<NoLoadReadings>,
    /// Rms volts at which the core saturates: where the straight line of the saturated core, drawn back, comes to no current.
    pub saturates_at: Option<Volts>,
    /// Inductance of the primary once the core is saturated: nearly that of its turns in air.
    pub saturated_inductance: Option<Henries>,
    /// What all heaters on the transformer take together.
    pub heaters: Option<Watts>,
}

impl Primary {
    /// True where nothing is said of it.
    pub fn is_unknown(&self) -> bool {
        *self == Self::default()
    }
}

/// Two readings of the primary current, all windings open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoLoadReadings {
    /// Rms volts and amperes at the lower voltage.
    pub lower: (Volts, Amps),
    /// The same at the higher.
    pub higher: (Volts, Amps),
}

/// How a core is built: it decides how much flux stays in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum CoreBuild {
    /// E and I laminations interleaved, as most are.
    #[default]
    Interleaved,
    /// E and I stacks butted or welded, with a small gap between.
    Butted,
    /// Wound of strip, without a gap: a toroid.
    Toroid,
}

/// What limits the current at switch-on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limiter {
    /// A resistor that stays in the line.
    Resistor(Ohms),
    /// A resistor that a relay shorts after a time.
    SoftStart {
        /// The resistor.
        resistance: Ohms,
        /// How long it stays in the line.
        shorted_after: Seconds,
    },
    /// A thermistor that falls in resistance as it warms.
    Thermistor {
        /// Resistance at 25 °C.
        cold: Ohms,
        /// Resistance at its rated current, warmed up.
        hot: Ohms,
        /// That current (rms).
        at: Amps,
        /// Time in which it cools to 1/e.
        time_constant: Seconds,
    },
}

/// Families of miniature fuses whose time–current gates are standardised.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FuseKind {
    /// IEC 60127-2 sheet 2: quick-acting (F), low breaking capacity (L), glass.
    QuickGlass,
    /// IEC 60127-2 sheet 1: quick-acting (F), high breaking capacity (H), ceramic.
    QuickCeramic,
    /// IEC 60127-2 sheet 3: time-lag (T), low breaking capacity (L), glass.
    TimeLagGlass,
    /// IEC 60127-2 sheet 5: time-lag (T), high breaking capacity (H), ceramic.
    TimeLagCeramic,
    /// UL 248-14, fast-acting.
    UlFast,
    /// UL 248-14, time-delay ("slow-blow").
    UlSlow,
}

impl FuseKind {
    /// All of them, quick before slow.
    pub const ALL: [Self; 6] = [
        Self::QuickGlass,
        Self::QuickCeramic,
        Self::TimeLagGlass,
        Self::TimeLagCeramic,
        Self::UlFast,
        Self::UlSlow,
    ];
}

/// Where a fuse stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum FusePlace {
    /// In the line conductor alone.
    #[default]
    Line,
    /// One in each of both conductors.
    BothLines,
    /// In the centre tap of the high-voltage winding, or in the lead to the rectifier.
    Secondary,
}

/// A fuse that is fitted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fuse {
    /// Its rated current.
    pub rating: Amps,
    /// Its family.
    pub kind: FuseKind,
    /// Where it stands.
    pub place: FusePlace,
}

impl Limiter {
    /// Its resistance when the switch closes, cold.
    pub fn cold_ohms(self) -> Ohms {
        match self {
            Self::Resistor(ohms) => ohms,
            Self::SoftStart { resistance, .. } => resistance,
            Self::Thermistor { cold, .. } => cold,
        }
    }
}
