//! The published numbers: shares of the rated power, volts by size, overloads, derating lines; a source beside each.

use crate::parts::{Mounting, ResistorKind};

/// A number with where it is from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sourced {
    /// The number, in the unit that its place says.
    pub value: f64,
    /// Where it is from, or that there is no source.
    pub source: &'static str,
}

const fn sourced(value: f64, source: &'static str) -> Sourced {
    Sourced { value, source }
}

/// Stands where nothing is published.
const PRACTICE: &str = "common practice, no source";
const HS: &str = "TE Connectivity, HS series";
const HS_MEMORY: &str = "TE Connectivity, HS series, value from memory";
const WH: &str = "Welwyn, WH series";
const MIL_26: &str = "MIL-PRF-26, characteristic V";
const MIL_26_MEMORY: &str = "MIL-PRF-26, value from memory";
const SQP: &str = "Yageo, SQP series";
const SQ: &str = "TE Connectivity, SQ series, film element";
const MOS: &str = "KOA, MOS series";
const OXIDE: &str = "Huaxin Ou, metal oxide, normal size";
const MF: &str = "metal film power resistors MF1W to MF5W, maker's sheet";
const RC: &str = "Multicomp, carbon composition RC07, RC20, RC32";
const RC_MEMORY: &str = "carbon composition RC42, value from memory";
const RH_MEMORY: &str = "MIL-R-18546, aluminium-housed, value from memory";
const MIL_39008_MEMORY: &str = "MIL-R-39008, value from memory";
const IEC_60115_MEMORY: &str = "IEC 60115, value from memory";

/// Still air of a room, in which ratings in free air hold (°C).
pub const ROOM_CELSIUS: f64 = 25.0;
/// Air in a closed box with a hot resistor in it (°C; common practice, no source).
pub const BOX_CELSIUS: f64 = 70.0;
/// Rise of a vitreous tube in free air at its whole power (°C; value from memory of a maker's guide).
pub(super) const TUBE_RISE: f64 = 300.0;

/// A straight line from the whole power to none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// The whole power up to this temperature of the air or plate (°C).
    pub full_to: f64,
    /// None at this one (°C).
    pub zero_at: f64,
    /// Where it is from.
    pub source: &'static str,
}

impl Line {
    /// The share of the power that is allowed in air so warm (°C).
    pub fn share_at(&self, celsius: f64) -> f64 {
        ((self.zero_at - celsius) / (self.zero_at - self.full_to)).clamp(0.0, 1.0)
    }
}

/// The derating line of a kind and size (W): over the temperature of the air, of a housed one on its plate over that of the plate.
pub fn line(kind: ResistorKind, rated: f64) -> Line {
    let (full_to, zero_at, source) = match kind {
        ResistorKind::WireWound => (25.0, 350.0, MIL_26),
        ResistorKind::AluminiumHoused => (25.0, 200.0, WH),
        ResistorKind::Cement if rated <= 2.0 => (70.0, 275.0, SQP),
        ResistorKind::Cement if rated <= 10.0 => (40.0, 275.0, SQP),
        ResistorKind::Cement => (25.0, 275.0, SQP),
        ResistorKind::MetalOxide => (70.0, 235.0, MOS),
        ResistorKind::MetalFilm => (70.0, 155.0, MF),
        ResistorKind::CarbonComposition => (70.0, 130.0, RC),
    };
    Line {
        full_to,
        zero_at,
        source,
    }
}

/// Aluminium-housed: rated watts on the maker's heat sink, watts without.
const WITHOUT_SINK: [(f64, Sourced); 9] = [
    (10.0, sourced(5.5, HS)),
    (16.0, sourced(8.0, HS_MEMORY)),
    (25.0, sourced(12.5, HS)),
    (50.0, sourced(20.0, HS)),
    (75.0, sourced(45.0, HS)),
    (100.0, sourced(50.0, HS_MEMORY)),
    (150.0, sourced(55.0, HS_MEMORY)),
    (200.0, sourced(50.0, HS_MEMORY)),
    (300.0, sourced(75.0, HS_MEMORY)),
];

/// The share of its rated watts that a resistor of this kind and size (W) takes for long, so mounted.
pub(super) fn share(kind: ResistorKind, mounting: Mounting, rated: f64) -> Sourced {
    let bare = if kind == ResistorKind::AluminiumHoused {
        without_sink(rated)
    } else {
        let line = line(kind, rated);
        sourced(line.share_at(ROOM_CELSIUS), line.source)
    };
    match (mounting, kind) {
        (Mounting::OnPlate, ResistorKind::AluminiumHoused) => sourced(1.0, HS),
        // A plate does nothing for a body that touches it nowhere.
        (Mounting::FreeAir | Mounting::OnPlate, _) => bare,
        (Mounting::BoxedIn, _) => {
            let of_line = line(kind, rated).share_at(BOX_CELSIUS);
            sourced(bare.value * of_line.min(0.5), PRACTICE)
        }
    }
}

/// Between two sizes the lower share of both, beyond the ends of the table that of its end.
fn without_sink(rated: f64) -> Sourced {
    let of = |row: &(f64, Sourced)| sourced(row.1.value / row.0, row.1.source);
    let upper = WITHOUT_SINK.iter().find(|row| row.0 >= rated);
    let lower = WITHOUT_SINK.iter().rev().find(|row| row.0 <= rated);
    let shares = [lower.map(of), upper.map(of)];
    let least = shares
        .into_iter()
        .flatten()
        .min_by(|a, b| a.value.total_cmp(&b.value));
    least.unwrap_or(sourced(0.25, PRACTICE))
}

/// Highest volts by size: for each row from this rated power (W) on.
type BySize = &'static [(f64, f64, &'static str)];

const ALUMINIUM_VOLTS: BySize = &[
    (0.0, 150.0, WH),
    (15.0, 250.0, WH),
    (25.0, 500.0, WH),
    (50.0, 1250.0, WH),
    (75.0, 1400.0, HS),
];
const CEMENT_VOLTS: BySize = &[
    (0.0, 250.0, SQP),
    (3.0, 350.0, SQP),
    (7.0, 500.0, SQP),
    (15.0, 1000.0, SQP),
];
const OXIDE_VOLTS: BySize = &[
    (0.0, 300.0, OXIDE),
    (0.5, 350.0, OXIDE),
    (1.0, 500.0, OXIDE),
    (2.0, 750.0, OXIDE),
    (3.0, 800.0, OXIDE),
];
const FILM_VOLTS: BySize = &[(0.0, 350.0, MF), (2.0, 500.0, MF)];
const FILM_OVERLOAD: BySize = &[(0.0, 800.0, MF), (5.0, 1000.0, MF)];
const CARBON_VOLTS: BySize = &[
    (0.0, 250.0, RC),
    (0.5, 350.0, RC),
    (1.0, 500.0, RC),
    (2.0, 500.0, RC_MEMORY),
];
const CARBON_OVERLOAD: BySize = &[(0.0, 400.0, RC), (0.5, 700.0, RC), (1.0, 1000.0, RC)];

fn of_size(table: BySize, rated: f64) -> Option<Sourced> {
    let row = table.iter().rev().find(|(from, ..)| *from <= rated)?;
    Some(sourced(row.1, row.2))
}

/// Highest volts for long of a kind and size (W); `None` for wire on a tube, whose sheets give `√(P·R)` alone.
pub(super) fn size_volts(kind: ResistorKind, rated: f64) -> Option<Sourced> {
    match kind {
        ResistorKind::WireWound => None,
        ResistorKind::AluminiumHoused => of_size(ALUMINIUM_VOLTS, rated),
        ResistorKind::Cement => of_size(CEMENT_VOLTS, rated),
        ResistorKind::MetalOxide => of_size(OXIDE_VOLTS, rated),
        ResistorKind::MetalFilm => of_size(FILM_VOLTS, rated),
        ResistorKind::CarbonComposition => of_size(CARBON_VOLTS, rated),
    }
}

/// Highest volts for a moment, where a sheet gives them.
pub(super) fn overload_volts(kind: ResistorKind, rated: f64) -> Option<Sourced> {
    match kind {
        ResistorKind::MetalFilm => of_size(FILM_OVERLOAD, rated),
        ResistorKind::CarbonComposition => of_size(CARBON_OVERLOAD, rated),
        _ => None,
    }
}

/// An overload that a sheet allows for a moment, from cold.
pub(super) struct ShortTime {
    /// So many times the rated power.
    pub(super) times: Sourced,
    /// For so long (s).
    pub(super) seconds: f64,
}

/// A sheet that allows 2.5 times the rated volts allows the square of that in watts.
fn oxide_pulse() -> Sourced {
    sourced(2.5 * 2.5, MOS)
}

/// The short-time overload of a kind.
pub(super) fn short_time(kind: ResistorKind) -> ShortTime {
    let times = match kind {
        ResistorKind::WireWound => sourced(10.0, MIL_26_MEMORY),
        ResistorKind::AluminiumHoused => sourced(5.0, RH_MEMORY),
        // A wire element bears 10 times; what is in the case cannot be seen.
        ResistorKind::Cement => sourced(5.0, SQ),
        ResistorKind::MetalOxide => oxide_pulse(),
        ResistorKind::MetalFilm => sourced(2.5 * 2.5, IEC_60115_MEMORY),
        ResistorKind::CarbonComposition => sourced(2.5 * 2.5, MIL_39008_MEMORY),
    };
    ShortTime {
        times,
        seconds: 5.0,
    }
}
