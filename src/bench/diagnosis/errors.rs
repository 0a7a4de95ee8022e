//! How far a reading may be off for itself, what it shares with others of the same meter, and what it costs to take.
//!
//! A reading is `y = s·h·(1 + r·ε) + a·ε'`: the scale `s` is one unknown for all readings of a meter on one kind of range; what is left,
//! `r` and `a`, is each reading's own. The figures are those of the study of planted faults (common practice, no source); the flicker of
//! the mains is in them.

use crate::bench::diagnosis::cause::Alternating;
use crate::parts::readings::{Bench, Connected, Reading, What};
use crate::parts::spread::{Spread, Unit};

/// A reading's own error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnError {
    /// Share of what is read (`r`), one standard deviation.
    pub share: f64,
    /// What is always there (`a`), in the unit of what is read.
    pub fixed: f64,
}

impl OwnError {
    /// Its variance at a reading.
    pub fn variance(self, reading: f64) -> f64 {
        let share = self.share * reading;
        share * share + self.fixed * self.fixed
    }
}

/// The own error of what is read.
pub fn own_error(what: What) -> OwnError {
    let (share, fixed) = match what {
        What::KnobUp | What::StillHolds | What::Output | What::WindingVolts => (0.004, 0.5),
        What::Droop => (0.15, 0.1),
        What::Bus | What::FirstCapacitor => (0.003, 0.3),
        What::Rail => (0.003, 0.2),
        What::Reference | What::NegativeReference => (0.002, 0.2),
        What::BusRipple => (0.05, 0.003),
        What::FirstRipple => (0.06, 0.05),
        What::RailRipple => (0.08, 0.1),
        What::PassGrid => (0.01, 0.05),
        What::CathodeResistor(_) => (0.02, 0.01),
        What::WindingOhms | What::ChokeOhms(_) => (0.012, 0.3),
        What::BleederOhms => (0.012, 100.0),
        What::Capacitance(_) => (0.04, 0.3e-6),
        What::Leak => (0.05, 0.1e-3),
    };
    OwnError { share, fixed }
}

/// What a reading costs: time and danger, one for what is read with the plug out or at closed terminals.
pub fn risk(what: What) -> f64 {
    match what {
        What::WindingVolts => 12.0,
        What::BusRipple | What::FirstRipple | What::RailRipple => 4.5,
        What::Capacitance(_) => 1.5,
        _ if what.is_at_the_terminals() => 1.0,
        What::Leak => 3.0,
        _ if what.is_cold() => 1.0,
        _ => 3.0,
    }
}

/// True for what goes as the ripple goes: its sensitivity to everything else scales with it.
pub fn is_ripple(what: What) -> bool {
    matches!(what, What::BusRipple | What::FirstRipple | What::RailRipple)
}

/// Standard deviation of a usual hand multimeter's scale on direct volts.
pub const DIRECT_SCALE: f64 = 0.004;
/// The same on alternating volts.
pub const ALTERNATING_SCALE: f64 = 0.006;
/// Standard deviation of an ammeter's scale by which loads are set.
pub const AMMETER_SCALE: f64 = 0.02;
/// Standard deviation of a load's current that was set by an ammeter (A).
pub const LOAD_AMPS: f64 = 0.7e-3;
/// Standard deviation of a load resistor, as a share: it was measured.
pub const LOAD_OHMS: f64 = 0.01;
/// Standard deviation of the leak of a sound unit (A).
pub const LEAK_AMPS: f64 = 0.4e-3;
/// Standard deviation of mains that were read, beside the meter's scale: they flicker.
pub const MAINS_READ: f64 = 0.003;
/// Standard deviation of mains that were not.
pub const MAINS_UNREAD: f64 = 0.05;

/// What a reading shares with others of its meter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shared {
    /// The scale of a usual hand multimeter.
    Usual(Alternating),
    /// The scale of a meter whose accuracy is stated, counted from 0, as a share of the reading (one standard deviation).
    Scale(usize, f64),
    /// The error of a panel meter, as much at the foot of its scale as at its end (one standard deviation).
    Fixed(usize, f64),
}

/// Where a reading of the output lies in the plane (A, V), each with twice its standard deviation; `None` for what is not of the output.
pub fn place_of(bench: &Bench, reading: &Reading) -> Option<[(f64, f64); 2]> {
    if !matches!(reading.what, What::KnobUp | What::StillHolds | What::Output) {
        return None;
    }
    let volts = reading.value.si;
    let (shared, own) = of_reading(bench, reading);
    let scale = match shared {
        Shared::Usual(Alternating::No) => DIRECT_SCALE * volts,
        Shared::Usual(_) => 0.0,
        Shared::Scale(_, sigma) => sigma * volts,
        Shared::Fixed(_, sigma) => sigma,
    };
    let sigma = own.variance(volts).sqrt().hypot(scale);
    let amps = reading.load.amps_at(volts);
    let amps_sigma = match reading.load {
        Connected::Nothing => 0.0,
        Connected::Resistor(_) => amps * LOAD_OHMS,
        Connected::Current(_) => LOAD_AMPS.hypot(AMMETER_SCALE * amps),
    };
    Some([(amps, 2.0 * amps_sigma), (volts, 2.0 * sigma)])
}

/// What a reading is taken with, as far as its range goes.
pub fn range_of(what: What) -> Alternating {
    if what.is_alternating() {
        Alternating::Yes
    } else if what.unit() == Unit::Volts && !is_ripple(what) && what != What::Droop {
        Alternating::No
    } else {
        Alternating::Neither
    }
}

/// What a reading shares, and its own error with the last digits of its meter.
pub fn of_reading(bench: &Bench, reading: &Reading) -> (Shared, OwnError) {
    let own = own_error(reading.what);
    let usual = (Shared::Usual(range_of(reading.what)), own);
    let Some(meter) = bench.meter_of(reading) else {
        return usual;
    };
    let number = bench.meters.iter().position(|one| one.name == meter.name);
    let number = number.unwrap_or(0);
    // Within so much, either side as likely as the middle (GUM 4.3.7).
    let sigma = |limit: f64| limit / 3f64.sqrt();
    match meter.accuracy {
        Spread::Percent(share) => (Shared::Scale(number, sigma(share.0)), own),
        Spread::Digits(share, digits, digit) => {
            let digits = sigma(f64::from(digits) * digit.si);
            let fixed = own.fixed.hypot(digits);
            (
                Shared::Scale(number, sigma(share.0)),
                OwnError { fixed, ..own },
            )
        }
        Spread::OfFullScale(share, scale) => {
            // A pointer is read to a quarter of a per cent of its scale (common practice, no source).
            let fixed = own.fixed.hypot(0.0025 * scale.si);
            let shared = Shared::Fixed(number, sigma(share.0 * scale.si));
            (shared, OwnError { fixed, ..own })
        }
        Spread::Absolute(half) => (Shared::Fixed(number, sigma(half.si)), own),
        Spread::Range(..) => usual,
    }
}
