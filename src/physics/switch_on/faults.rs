//! What a fuse is there for: the primary current of faults that would cook the transformer.
//!
//! Each is reckoned low where it is not sure, so that a fuse which is said to protect does.

use core::f64::consts::{PI, SQRT_2};

use crate::parts::{Connection, Rectifier};
use crate::physics::circuit::network;
use crate::physics::device::rectifier::Path;
use crate::physics::model::Model;
use crate::physics::operation::Case;
use crate::physics::steady_state::operate;
use crate::physics::switch_on::running::running;
use crate::physics::switch_on::side::MadeReady;

/// Something that goes wrong behind the fuse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fault {
    /// One device of the rectifier is a short circuit.
    ShortedRectifier,
    /// The bus is shorted.
    ShortedBus,
    /// The high-voltage winding carries half more than its rating.
    WindingOverload,
}

impl Fault {
    /// All of them, the largest current first as a rule.
    pub const ALL: [Self; 3] = [
        Self::ShortedRectifier,
        Self::ShortedBus,
        Self::WindingOverload,
    ];

    /// Within what time a fuse must have opened (s): windings that are shorted burn within some tens of seconds, one that carries half
    /// more than its rating takes the better part of an hour (common practice, no source).
    pub fn allowed_seconds(self) -> f64 {
        match self {
            Self::ShortedRectifier | Self::ShortedBus => 20.0,
            Self::WindingOverload => 1800.0,
        }
    }
}

/// What the primary carries in a fault.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaultCurrent {
    /// Which.
    pub fault: Fault,
    /// Rms of the primary (A); `None` where it is not known: a winding without a rating, or a fault that the circuit cannot have.
    pub rms_amps: Option<f64>,
}

/// The currents of all faults at the mains as they are now.
pub fn fault_currents(model: &Model, ready: &MadeReady) -> Vec<FaultCurrent> {
    Fault::ALL
        .into_iter()
        .map(|fault| FaultCurrent {
            fault,
            rms_amps: match fault {
                Fault::ShortedRectifier => shorted_rectifier(model, ready),
                Fault::ShortedBus => Some(shorted_bus(model, ready)),
                Fault::WindingOverload => overload(model, ready),
            },
        })
        .collect()
}

/// A loop that conducts in one half cycle, or in both.
struct Loop {
    /// Turns of the winding in it over those of the primary.
    turns_ratio: f64,
    path: Path,
    further_ohms: f64,
    /// In the second half cycle too.
    is_full_wave: bool,
}

/// Parts of a half cycle over which currents are averaged.
const PARTS: u32 = 90;

/// Rms of the primary with a loop and the auxiliary load on it (A).
fn rms_with(model: &Model, ready: &MadeReady, fault: &Loop) -> f64 {
    let side = &ready.side;
    let crest = SQRT_2 * model.at(Case::Present).mains_volts;
    let siemens = side.auxiliary.siemens(f64::INFINITY);
    let mut guess = 0.0;
    let mut sum = 0.0;
    for k in 0..PARTS {
        let volts = crest * (PI * (f64::from(k) + 0.5) / f64::from(PARTS)).sin();
        let (amps, _) =
            fault
                .path
                .current(fault.turns_ratio * volts, fault.further_ohms, &mut guess);
        let own = siemens * volts;
        let first = own + fault.turns_ratio * amps;
        let second = if fault.is_full_wave { first } else { own };
        sum += 0.5 * (first * first + second * second);
    }
    (sum / f64::from(PARTS)).sqrt()
}

/// All that is in series on the primary, as far as it stays there (Ω).
fn series_ohms(ready: &MadeReady) -> f64 {
    let side = &ready.side;
    let limiter = crate::physics::switch_on::thermistor::InLine::at(side.limiter, 0.0);
    // A thermistor is hot by then, a soft start shorted.
    let stays = match side.limiter {
        Some(crate::parts::Limiter::Resistor(_)) => limiter.ohms(0.0),
        Some(crate::parts::Limiter::Thermistor { hot, .. }) => hot.0,
        Some(crate::parts::Limiter::SoftStart { .. }) | None => 0.0,
    };
    side.series_ohms() + stays
}

/// Of the other device, with the winding around the shorted one: of a tapped winding the whole of it. That the filter is fed with
/// alternating current in the other half cycle is left out.
fn shorted_rectifier(model: &Model, ready: &MadeReady) -> Option<f64> {
    let supply = &model.supply;
    let halves = model.at(Case::Present).source.halves();
    let own = supply.transformer.halves_at_work();
    let alone = Rectifier {
        connection: Connection::HalfWave,
        ..supply.rectifier.clone()
    };
    let (turns_ratio, ohms) = match supply.rectifier.connection {
        Connection::FullWaveCentreTap => (
            halves[0].turns_ratio + halves[1].turns_ratio,
            own[0].0 + own[1].0,
        ),
        Connection::Bridge => (halves[0].turns_ratio, own[0].0),
        Connection::HalfWave => return through_the_capacitor(model, ready),
    };
    let fault = Loop {
        turns_ratio,
        path: Path::new(
            &alone,
            ohms + turns_ratio * turns_ratio * series_ohms(ready),
        ),
        further_ohms: 0.0,
        is_full_wave: false,
    };
    Some(rms_with(model, ready, &fault))
}

/// A shorted half-wave rectifier puts the winding across its first capacitor.
fn through_the_capacitor(model: &Model, ready: &MadeReady) -> Option<f64> {
    let supply = &model.supply;
    let farads = supply.filter.input_capacitor.as_ref()?.farads();
    let half = model.at(Case::Present).source.winding;
    let side = &ready.side;
    let ohms =
        supply.transformer.secondary_at_work().0 + half.turns_ratio.powi(2) * series_ohms(ready);
    let reactance = 1.0 / (side.angular_frequency * farads);
    let impedance = ohms.hypot(reactance);
    let amps = half.turns_ratio * half.turns_ratio * side.mains_volts / impedance;
    let own = side.auxiliary.siemens(f64::INFINITY) * side.mains_volts;
    Some((own + amps * ohms / impedance).hypot(amps * reactance / impedance))
}

/// Through the rectifier and what resistance the filter has in series.
fn shorted_bus(model: &Model, ready: &MadeReady) -> f64 {
    let supply = &model.supply;
    let half = model.at(Case::Present).source.winding;
    let own = supply.transformer.secondary_at_work().0;
    let in_series: f64 = (supply.filter.sections.iter())
        .map(|section| section.series.ohms_at_work().0)
        .sum();
    let head = network::port_ohms(&supply.filter);
    let ohms = own + half.turns_ratio.powi(2) * series_ohms(ready);
    let fault = Loop {
        turns_ratio: half.turns_ratio,
        path: Path::new(&supply.rectifier, ohms),
        further_ohms: in_series.max(head),
        is_full_wave: supply.rectifier.connection != Connection::HalfWave,
    };
    rms_with(model, ready, &fault)
}

/// By how much a winding is overloaded.
const OVERLOAD: f64 = 1.5;

/// At the output current at which the winding carries half more than its rating; `None` where it has none, or where the bus gives way
/// before.
fn overload(model: &Model, ready: &MadeReady) -> Option<f64> {
    let rating = model.supply.transformer.winding_rating.as_ref()?.value.0;
    let wanted = OVERLOAD * rating;
    let drawn = model.raw.filter.internal_current.0;
    let mut amps = rating;
    // The rms goes nearly in proportion to the current: some steps end it.
    for _ in 0..12 {
        let operation = operate(&model.raw, Case::Present, amps).ok()?;
        let ratio = wanted / operation.winding_rms_amps;
        amps = ((amps + drawn) * ratio - drawn).max(0.0);
        if (ratio - 1.0).abs() < 1e-3 {
            break;
        }
    }
    let running = running(model, ready, Case::Present, amps).ok()?;
    Some(running.rms_amps)
}
