//! Changes of the regulator's parts, one at a time: another winding for the rail, a gas tube more, another control tube.

use crate::bench::variation::{both, heater_volts, nearest};
use crate::parts::catalogue::Catalogue;
use crate::parts::{
    ControlTubeKind, ControlTubeType, GasReference, GasTubeType, HeaterTie, Ohms, RailWinding,
    Regulator, Stage, Supply, Tap, Volts,
};
use crate::physics::limit::{Limit, Side};

/// How much more or less a winding or a screen is tried with, as a share.
const VOLTS_STEP: f64 = 0.1;
/// Share of the least plate volts that is tried: a control tube with a lower knee.
const LOWER_KNEE: f64 = 0.5;
/// Running volts closer than this share are no other type of gas tube for the circuit.
const SAME_VOLTS: f64 = 0.02;

/// One change of the regulator.
#[derive(Debug, Clone, PartialEq)]
pub enum OfRegulator {
    /// This type of control tube.
    ControlTube(Box<ControlTubeType>),
    /// Its cathode on this tap.
    Cathode(Tap),
    /// Its plate comes down to this.
    LeastPlateVolts(Volts),
    /// Its screen at this.
    ScreenVolts(Volts),
    /// This plate load.
    PlateLoad(Ohms),
    /// This divider.
    Divider(Ohms),
    /// This resistor across the output.
    Preload(Ohms),
    /// Its heater winding tied there.
    ControlHeater(HeaterTie),
    /// The heater winding of the pass tubes tied there.
    PassHeaters(HeaterTie),
    /// This type in place of the reference's last tube, the one away from the common.
    GasTube(Side, Box<GasTubeType>),
    /// Another tube of the last one's type in the reference.
    OneGasTubeMore(Side),
    /// The reference without its last tube.
    OneGasTubeFewer(Side),
    /// The reference behind this resistor.
    FeedResistor(Side, Ohms),
    /// The winding of the negative rail, or its tap, with these volts.
    RailWinding(Volts),
}

fn reference_mut(regulator: &mut Regulator, side: Side) -> Option<&mut GasReference> {
    match side {
        Side::Positive => regulator.reference.as_mut(),
        Side::Negative => regulator.bias_rail.as_mut()?.reference.as_mut(),
    }
}

/// Changes of the regulator that could move a limit; none where it does not depend on the regulator.
pub(super) fn of_regulator(
    supply: &Supply,
    limit: Limit,
    catalogue: &Catalogue,
) -> Vec<OfRegulator> {
    let mut all = Vec::new();
    if matches!(limit, Limit::HeaterCathode | Limit::HeaterAboveCathode) {
        all.extend(ties(supply.pass_stage.heater).map(OfRegulator::PassHeaters));
    }
    let Some(regulator) = supply.regulator.as_ref().filter(|_| concerns(limit)) else {
        return all;
    };
    if let Some(rail) = &regulator.bias_rail {
        // The end of the high-voltage winding moves with that winding alone, and no tap lies beyond it.
        let (volts, highest) = match rail.winding {
            RailWinding::Own(volts) => (Some(volts), Volts(f64::INFINITY)),
            RailWinding::HighVoltageTap(volts) => {
                let [half, _] = supply.transformer.stated_halves();
                (Some(volts), half)
            }
            RailWinding::HighVoltageEnd => (None, Volts(0.0)),
        };
        let others = volts.into_iter().flat_map(steps);
        all.extend(
            others
                .filter(|volts| *volts <= highest)
                .map(OfRegulator::RailWinding),
        );
    }
    for side in [Side::Positive, Side::Negative] {
        if let Some(of) = regulator.gas_reference(side) {
            gas_tubes(of, side, catalogue, &mut all);
        }
    }
    all.extend(both(regulator.plate_load.0).map(|r| OfRegulator::PlateLoad(Ohms(r))));
    all.extend(both(regulator.divider.resistance.0).map(|r| OfRegulator::Divider(Ohms(r))));
    if let Some(preload) = regulator.preload {
        all.extend(both(preload.0).map(|r| OfRegulator::Preload(Ohms(r))));
    }
    if let Some(volts) = regulator.least_plate_volts {
        all.push(OfRegulator::LeastPlateVolts(Volts(rounded(
            LOWER_KNEE * volts.0,
        ))));
    }
    if let Some(volts) = regulator.screen_volts {
        all.extend(steps(volts).into_iter().map(OfRegulator::ScreenVolts));
    }
    if let Tap::BiasReference(tubes) = regulator.cathode {
        let count = regulator
            .gas_reference(Side::Negative)
            .map_or(0, |r| r.tubes.len());
        let taps = [tubes.saturating_sub(1), tubes.saturating_add(1)];
        all.extend(
            taps.into_iter()
                .filter(|n| *n > 0 && usize::from(*n) <= count)
                .map(|n| OfRegulator::Cathode(Tap::BiasReference(n))),
        );
    }
    all.extend(ties(regulator.heater).map(OfRegulator::ControlHeater));
    all.extend(control_tubes(regulator, catalogue));
    all
}

/// True for limits in which the regulator's parts have a say.
fn concerns(limit: Limit) -> bool {
    limit.stage() == Stage::Regulator
}

/// To three figures, as one would order it.
fn rounded(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}

fn steps(volts: Volts) -> [Volts; 2] {
    [1.0 + VOLTS_STEP, 1.0 - VOLTS_STEP].map(|factor| Volts(rounded(factor * volts.0)))
}

/// The plain ties that a heater winding does not have now; none where its tie is not known.
fn ties(now: Option<HeaterTie>) -> impl Iterator<Item = HeaterTie> {
    [HeaterTie::Common, HeaterTie::Cathode]
        .into_iter()
        .filter(move |tie| now.is_some_and(|now| now != *tie))
}

fn gas_tubes(of: &GasReference, side: Side, catalogue: &Catalogue, all: &mut Vec<OfRegulator>) {
    if let Some(last) = of.tubes.last() {
        let volts = |tube: &GasTubeType| tube.volts.value.0;
        let own = volts(last);
        let by = |a: &&GasTubeType, b: &&GasTubeType| volts(a).total_cmp(&volts(b));
        let list = || catalogue.gas_tubes.iter();
        let above = list()
            .filter(|t| volts(t) > (1.0 + SAME_VOLTS) * own)
            .min_by(by);
        let below = list()
            .filter(|t| volts(t) < (1.0 - SAME_VOLTS) * own)
            .max_by(by);
        let found = [above, below].into_iter().flatten();
        all.extend(found.map(|t| OfRegulator::GasTube(side, Box::new(t.clone()))));
    }
    all.push(OfRegulator::OneGasTubeMore(side));
    if of.tubes.len() > 1 {
        all.push(OfRegulator::OneGasTubeFewer(side));
    }
    all.extend(both(of.feed_resistor.0).map(|r| OfRegulator::FeedResistor(side, Ohms(r))));
}

/// Control tubes of the same kind and heater volts that stand nearest in the catalogue.
fn control_tubes(regulator: &Regulator, catalogue: &Catalogue) -> Vec<OfRegulator> {
    let tube = &regulator.control_tube;
    let pentode = |t: &ControlTubeType| matches!(t.kind, ControlTubeKind::Pentode { .. });
    nearest(
        &catalogue.control_tubes,
        &tube.name,
        |t| &t.name,
        |t| {
            pentode(t) == pentode(tube)
                && heater_volts(t.ratings.heater.as_ref())
                    == heater_volts(tube.ratings.heater.as_ref())
        },
    )
    .into_iter()
    .map(|t| OfRegulator::ControlTube(Box::new(t.clone())))
    .collect()
}

/// Makes the change; nothing happens where the part is not there.
pub(super) fn make(new: &mut Supply, change: &OfRegulator) {
    if let OfRegulator::PassHeaters(tie) = change {
        new.pass_stage.heater = Some(*tie);
        return;
    }
    let Some(regulator) = new.regulator.as_mut() else {
        return;
    };
    match change {
        OfRegulator::ControlTube(tube) => regulator.control_tube = (**tube).clone(),
        OfRegulator::Cathode(tap) => regulator.cathode = *tap,
        OfRegulator::LeastPlateVolts(volts) => regulator.least_plate_volts = Some(*volts),
        OfRegulator::ScreenVolts(volts) => regulator.screen_volts = Some(*volts),
        OfRegulator::PlateLoad(ohms) => regulator.plate_load = *ohms,
        OfRegulator::Divider(ohms) => regulator.divider.scale_to(*ohms),
        OfRegulator::Preload(ohms) => regulator.preload = Some(*ohms),
        OfRegulator::ControlHeater(tie) => regulator.heater = Some(*tie),
        OfRegulator::PassHeaters(_) => {}
        OfRegulator::RailWinding(volts) => {
            if let Some(rail) = &mut regulator.bias_rail {
                rail.winding = match rail.winding {
                    RailWinding::Own(_) => RailWinding::Own(*volts),
                    RailWinding::HighVoltageTap(_) => RailWinding::HighVoltageTap(*volts),
                    RailWinding::HighVoltageEnd => RailWinding::HighVoltageEnd,
                };
            }
        }
        OfRegulator::GasTube(side, _)
        | OfRegulator::OneGasTubeMore(side)
        | OfRegulator::OneGasTubeFewer(side)
        | OfRegulator::FeedResistor(side, _) => {
            if let Some(of) = reference_mut(regulator, *side) {
                change_reference(of, change);
            }
        }
    }
}

fn change_reference(of: &mut GasReference, change: &OfRegulator) {
    match change {
        OfRegulator::GasTube(_, tube) => {
            if let Some(last) = of.tubes.last_mut() {
                *last = (**tube).clone();
            }
        }
        OfRegulator::OneGasTubeMore(_) => of.tubes.extend(of.tubes.last().cloned()),
        OfRegulator::OneGasTubeFewer(_) if of.tubes.len() > 1 => {
            of.remove_last_tube();
        }
        OfRegulator::FeedResistor(_, ohms) => of.feed_resistor = *ohms,
        _ => {}
    }
}
