//! The stand-by switch: what the filter sees while one waits, and what the rectifier meets when it is closed.

use crate::parts::{Amps, Connection, Rating, Rectifier, StandBy, Supply};
use crate::physics::circuit::network::port_ohms;
use crate::physics::device::rectifier::Path;
use crate::physics::failure::Failure;
use crate::physics::model::Model;
use crate::physics::operation::{Case, NoLoad, Operation};
use crate::physics::steady_state::operate;
use crate::physics::stress::{no_load, worst_share};

/// What a stand-by switch in a place does, at high mains.
#[derive(Debug, Clone, PartialEq)]
pub struct Waiting {
    /// Its place.
    pub place: StandBy,
    /// Crest volts of each capacitor stack while one waits (V), from the rectifier to the bus; without a switch the highest while the
    /// tubes warm up.
    pub capacitor_volts: Vec<f64>,
    /// Volts of the worst unit of each stack then (V).
    pub unit_volts: Vec<f64>,
    /// What a rectifier device carries at the first instant when the switch is closed on the empty filter at the crest of the mains (A);
    /// `None` where it does not close on an empty first capacitor.
    pub closing_amps: Option<f64>,
}

/// How long a supply may stand with nothing connected, its output up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Endurance {
    /// As long as one likes: every capacitor is within its working volts.
    AnyTime,
    /// Of some capacitor neither working nor surge volts are known.
    NotKnown,
    /// Seconds: some capacitor is between its working and its surge volts.
    Briefly,
    /// Not at all: some capacitor is beyond what it stands.
    Never,
}

/// What a switch in this place does.
///
/// # Errors
/// As [`operate`].
pub fn waiting(model: &Model, place: StandBy) -> Result<Waiting, Failure> {
    let supply = &model.supply;
    let stands = match place {
        StandBy::CentreTap | StandBy::BeforeFilter => None,
        StandBy::NoSwitch | StandBy::AfterFilter => Some(nothing_drawn(model)?),
        StandBy::Output => Some(no_load(model, Case::High)?.operation),
    };
    let stacks = || supply.filter.stacks();
    let capacitor_volts = match stands {
        Some(found) => found.capacitor_crest_volts,
        None => vec![0.0; stacks().count()],
    };
    let unit_volts = (stacks().zip(&capacitor_volts))
        .map(|(stack, volts)| volts * worst_share(stack))
        .collect();
    Ok(Waiting {
        place,
        capacitor_volts,
        unit_volts,
        closing_amps: closing_amps(model, place),
    })
}

/// High mains with the rectifier conducting, and nothing drawn but by bleeder and balancing resistors.
fn nothing_drawn(model: &Model) -> Result<Operation, Failure> {
    let mut raw = model.supply.raw();
    raw.filter.internal_current = Amps(0.0);
    operate(&raw, Case::High, 0.0)
}

/// The current of one device into the empty first capacitor at the crest: what e.m.f., winding, mains side, plate resistor and the device
/// itself leave. The highest that it can be: leakage inductance and the mains' own impedance are left out.
///
/// # Source
/// Ohm's law with the device's own; how makers' charts of the least supply resistance are worked out (RCA, from memory).
fn closing_amps(model: &Model, place: StandBy) -> Option<f64> {
    let supply = &model.supply;
    let on_the_empty_filter = match place {
        StandBy::CentreTap | StandBy::BeforeFilter => true,
        // All comes on together: a cold cathode brings nothing, silicon all at once.
        StandBy::NoSwitch | StandBy::AfterFilter | StandBy::Output => {
            supply.rectifier.kind.is_silicon()
        }
    };
    if !on_the_empty_filter || supply.filter.is_choke_input() {
        return None;
    }
    let source = &model.at(Case::High).source;
    let path = Path::new(&supply.rectifier, source.higher_half().ohms);
    let (amps, _) = path.current(source.crest_volts(), port_ohms(&supply.filter), &mut 0.0);
    Some(amps / f64::from(supply.rectifier.in_parallel.max(1)))
}

/// The rating that [`Waiting::closing_amps`] is held against, where it is published.
pub fn hot_switching_rating(supply: &Supply) -> Option<&Rating<Amps>> {
    supply.rectifier.kind.hot_switching_current.as_ref()
}

/// How long it may stand with nothing connected. That working volts hold for as long as one likes, and surge volts for half a minute now
/// and then (IEC 60384-4, from memory), is what the two ratings mean; where there is neither it is not known.
pub fn endurance(supply: &Supply, at_high_mains: &NoLoad) -> Endurance {
    let units = supply.filter.stacks().zip(&at_high_mains.worst_unit_volts);
    let of_each = units.map(|(stack, volts)| {
        let working = stack.working_volts.as_ref().map(|rated| rated.value.0);
        let surge = stack.surge_volts.as_ref().map(|rated| rated.value.0);
        match (working, surge) {
            (Some(working), _) if *volts <= working => Endurance::AnyTime,
            (_, Some(surge)) if *volts <= surge => Endurance::Briefly,
            (None, None) => Endurance::NotKnown,
            (None, Some(_)) | (Some(_), _) => Endurance::Never,
        }
    });
    of_each.max().unwrap_or(Endurance::NotKnown)
}

/// The places that a switch can have in this circuit.
pub fn places(rectifier: &Rectifier) -> Vec<StandBy> {
    let all = [
        StandBy::NoSwitch,
        StandBy::CentreTap,
        StandBy::BeforeFilter,
        StandBy::AfterFilter,
        StandBy::Output,
    ];
    let has_tap = rectifier.connection == Connection::FullWaveCentreTap;
    (all.into_iter())
        .filter(|place| has_tap || *place != StandBy::CentreTap)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_checked;
    use crate::parts::{Ohms, RectifierLaw, Volts};

    fn preset(name: &str) -> Supply {
        let (_, text) = presets()
            .iter()
            .find(|(n, _)| *n == name)
            .expect("a preset");
        read_checked(text, &Catalogue::built_in()).expect("a supply")
    }

    /// Of mercury with its constant drop: `(√2·E − drop)/R`, by hand.
    #[test]
    fn closing_on_an_empty_capacitor_is_ohms_law() {
        let mut supply = preset("school-laboratory.ron");
        supply.rectifier.kind.law = RectifierLaw::MercuryVapour {
            drop: crate::parts::Figure::own(Volts(15.0)),
        };
        supply.rectifier.plate_resistor = Ohms(100.0);
        let model = Model::of(&supply).expect("a supply");
        let source = model.at(Case::High).source;
        let half = source.higher_half();
        let want = (core::f64::consts::SQRT_2 * half.emf_rms_volts - 15.0) / (half.ohms + 100.0);
        let found = waiting(&model, StandBy::CentreTap).expect("an answer");
        let got = found.closing_amps.expect("it closes on an empty capacitor");
        let shape = source.shape.crest_factor / core::f64::consts::SQRT_2;
        assert!(
            (got / want - 1.0).abs() < 0.06 && shape <= 1.0,
            "{got} {want}"
        );
        assert!(found.capacitor_volts.iter().all(|volts| *volts == 0.0));
        let after = waiting(&model, StandBy::AfterFilter).expect("an answer");
        assert_eq!(after.closing_amps, None);
    }

    /// What is drawn lowers what stands on the filter: with nothing drawn it is at its highest.
    #[test]
    fn the_filter_stands_highest_where_nothing_is_drawn() {
        for (name, text) in presets() {
            let supply = read_checked(text, &Catalogue::built_in()).expect("a supply");
            let model = Model::of(&supply).expect("a supply");
            let volts = |place: StandBy| {
                let found = waiting(&model, place).expect("an answer");
                found.capacitor_volts.last().copied().expect("a bus")
            };
            let [after, output] = [StandBy::AfterFilter, StandBy::Output].map(volts);
            assert!(
                after >= output - 1e-3 && output > 0.0,
                "{name}: {after} {output}"
            );
        }
    }
}
