//! A power resistor as one has it in the hand, and what several of them are wired to.

use crate::parts::quantity::{Fraction, Ohms, Volts, Watts};

/// How a resistor is made: how hot it may get, and so what it bears, goes by that.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ResistorKind {
    /// Wire on a ceramic tube, vitreous or cemented.
    WireWound,
    /// Wire-wound in a finned aluminium housing, made to be screwed to a plate.
    AluminiumHoused,
    /// Wire-wound or film in a white ceramic case filled with cement.
    Cement,
    /// Metal oxide film.
    MetalOxide,
    /// Metal film for power.
    MetalFilm,
    /// Carbon composition.
    CarbonComposition,
}

impl ResistorKind {
    /// All of them, those first that dummy loads are mostly made of.
    pub const ALL: [Self; 6] = [
        Self::WireWound,
        Self::AluminiumHoused,
        Self::Cement,
        Self::MetalOxide,
        Self::MetalFilm,
        Self::CarbonComposition,
    ];
}

/// Where a resistor gets rid of its heat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Mounting {
    /// Bare in still air of a room, nothing hot beside it.
    #[default]
    FreeAir,
    /// On the metal plate or heat sink that its maker asks for.
    OnPlate,
    /// In a closed box, or between others that are as hot.
    BoxedIn,
}

impl Mounting {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::FreeAir, Self::OnPlate, Self::BoxedIn];
}

/// One resistor.
#[derive(Debug, Clone, PartialEq)]
pub struct Resistor {
    /// What is written on it or what one calls it; empty for none.
    pub name: String,
    /// Its resistance.
    pub resistance: Ohms,
    /// Its rated power, as printed on it.
    pub power: Watts,
    /// Spread of its resistance, ± this.
    pub tolerance: Fraction,
    /// Its highest working volts, if they are known from its sheet.
    pub working_volts: Option<Volts>,
    /// How it is made, if that is known.
    pub kind: Option<ResistorKind>,
    /// Where it gets rid of its heat.
    pub mounting: Mounting,
    /// Share of the rated power that its owner allows; none for what is usual of its kind and mounting.
    pub derating: Option<Fraction>,
}

/// What a load is made of: one resistor, or several in series and parallel.
#[derive(Debug, Clone, PartialEq)]
pub enum MadeOf {
    /// One resistor.
    One(Resistor),
    /// One behind the other.
    Series(Vec<Self>),
    /// Side by side.
    Parallel(Vec<Self>),
}

impl MadeOf {
    /// Its resistance (Ω): the sum in series, the sum of the conductances in parallel. None of nothing: 0 in series, infinite in
    /// parallel.
    pub fn ohms(&self) -> f64 {
        match self {
            Self::One(resistor) => resistor.resistance.0,
            Self::Series(parts) => parts.iter().map(Self::ohms).sum(),
            Self::Parallel(parts) => {
                let siemens: f64 = parts.iter().map(|part| 1.0 / part.ohms()).sum();
                1.0 / siemens
            }
        }
    }

    /// Its resistance to four figures, as one would write it down (Ω).
    pub fn rounded_ohms(&self) -> f64 {
        let exact = self.ohms();
        format!("{exact:.3e}").parse().unwrap_or(exact)
    }

    /// Its resistors, in the order in which they stand there.
    pub fn resistors(&self) -> Vec<&Resistor> {
        match self {
            Self::One(resistor) => vec![resistor],
            Self::Series(parts) | Self::Parallel(parts) => {
                parts.iter().flat_map(Self::resistors).collect()
            }
        }
    }

    /// Each of its resistors with the share of the volts across the whole that lies across it (0 to 1), in the same order: Ohm's
    /// law, and nothing else.
    pub fn shares(&self) -> Vec<(&Resistor, f64)> {
        match self {
            Self::One(resistor) => vec![(resistor, 1.0)],
            Self::Parallel(parts) => parts.iter().flat_map(Self::shares).collect(),
            Self::Series(parts) => {
                let whole = self.ohms();
                let mut all = Vec::new();
                for part in parts {
                    let share = part.ohms() / whole;
                    let inner = part.shares().into_iter();
                    all.extend(inner.map(|(resistor, of)| (resistor, of * share)));
                }
                all
            }
        }
    }
}
