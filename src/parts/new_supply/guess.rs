//! What is guessed for the supply as a whole, and the list of what was.

use crate::parts::catalogue::Catalogue;
use crate::parts::new_supply::{Answers, FilterPart, Rail};
use crate::parts::{
    Connection, Farads, Henries, Ohms, PassTubeType, RectifierType, SecondaryVolts, Volts,
};

/// IEC 60038.
pub(super) const NOMINAL: Volts = Volts(230.0);
pub(super) const FIRST_CAPACITOR: Farads = Farads(8e-6);
pub(super) const LATER_CAPACITOR: Farads = Farads(16e-6);
pub(super) const CHOKE: Henries = Henries(10.0);
pub(super) const CHOKE_RESISTANCE: Ohms = Ohms(150.0);
/// 350-0-350 V, the most usual winding of a large receiver or a bench supply of its time.
const WINDING: f64 = 350.0;
/// Output volts that a capacitor-input supply regulates, in rms volts of its winding: a bus of 1.2 times, less a quarter for
/// ripple, sag and the least drop.
const OUTPUT_SHARE: f64 = 0.9;
/// The same with choke input, where the bus is 2·√2/π = 0.9 times the winding.
const OUTPUT_SHARE_CHOKE: f64 = 0.65;
/// Direct current that is taken for what the transformer was wound for where neither rectifier nor tubes say (A).
const CURRENT: f64 = 0.1;
/// Share of its power that a transformer loses in its copper at full load, up to so many VA: half in each winding. Small mains
/// transformers regulate so; common practice, no source.
const LOSSES: [(f64, f64); 5] = [
    (30.0, 0.16),
    (70.0, 0.12),
    (150.0, 0.1),
    (300.0, 0.08),
    (700.0, 0.06),
];
/// The same of a larger one.
const LEAST_LOSS: f64 = 0.05;

/// The fields that were guessed, as they are.
#[derive(Debug, Default)]
pub(super) struct Guessing {
    pub(super) fields: Vec<String>,
}

impl Guessing {
    /// A guess.
    pub(super) fn of<T>(&mut self, field: &str, guess: T) -> T {
        self.fields.push(field.to_owned());
        guess
    }

    /// The answer, or else a guess.
    pub(super) fn or<T>(&mut self, field: &str, answer: Option<T>, guess: T) -> T {
        answer.unwrap_or_else(|| self.of(field, guess))
    }
}

/// What several guesses share: answered or guessed.
#[derive(Debug)]
pub(super) struct Circuit {
    pub(super) rectifier: RectifierType,
    pub(super) connection: Connection,
    pub(super) winding: Volts,
    pub(super) pass_tube: PassTubeType,
    pub(super) units: u8,
    pub(super) rail: Option<Volts>,
    pub(super) set_low: Volts,
    pub(super) set_high: Volts,
    /// VA of heaters and core.
    pub(super) auxiliary: f64,
    /// Direct current that the transformer is taken to be wound for (A).
    amps: f64,
}

impl Circuit {
    pub(super) fn of(answers: &Answers, catalogue: &Catalogue) -> Option<Self> {
        let rectifier = match &answers.rectifier {
            Some(kind) => kind.clone(),
            None => usual_rectifier(answers.connection, catalogue)?.clone(),
        };
        let connection = (answers.connection).unwrap_or_else(|| usual_connection(&rectifier));
        let pass_tube = match &answers.pass_tube {
            Some(tube) => tube.clone(),
            None => (catalogue.pass_tube("6L6-G"))
                .or(catalogue.pass_tubes.first())?
                .clone(),
        };
        let envelopes = answers.pass_tubes.unwrap_or(1);
        let units = envelopes.saturating_mul(pass_tube.units);
        let choke = matches!(answers.first, Some(FilterPart::Choke(_)));
        let share = if choke {
            OUTPUT_SHARE_CHOKE
        } else {
            OUTPUT_SHARE
        };
        let winding = (answers.winding.map(SecondaryVolts::higher))
            .or(answers.set_high.map(|high| rounded(high.0 / share)))
            .unwrap_or(Volts(WINDING));
        let asked_low = answers.set_low.map_or(0.0, |low| low.0);
        let usual_high = rounded(winding.0 * share).0.max(1.25 * asked_low).max(1.0);
        let set_high = answers.set_high.unwrap_or(Volts(usual_high));
        let rail = match answers.rail {
            Some(Rail::Below(volts)) => Some(volts),
            Some(Rail::Absent) => None,
            // An output that goes down to near zero needs one; 150 V is one gas tube.
            None => (asked_low < 85.0).then_some(Volts(150.0)),
        };
        // With its cathode on a reference of 85 V the control tube needs some volts above that on its plate.
        let usual_low = match rail {
            Some(_) => 0.0,
            None => 150.0,
        };
        let set_low = answers
            .set_low
            .unwrap_or(Volts(f64::min(usual_low, set_high.0)));
        let mut circuit = Self {
            auxiliary: 0.0,
            amps: CURRENT,
            rectifier,
            connection,
            winding,
            pass_tube,
            units,
            rail,
            set_low,
            set_high,
        };
        circuit.auxiliary = circuit.heaters(answers, f64::from(envelopes));
        circuit.amps = circuit.rated_amps();
        Some(circuit)
    }

    /// Heaters of what is known to be there, and a tenth of it all for the core.
    fn heaters(&self, answers: &Answers, envelopes: f64) -> f64 {
        let watts = |heater: &Option<crate::parts::rectifier::Heater>| {
            heater.as_ref().map_or(0.0, |h| h.volts.0 * h.amps.0)
        };
        let control =
            (answers.control_tube.as_ref()).map_or(0.0, |tube| watts(&tube.ratings.heater));
        let heaters = watts(&self.rectifier.heater)
            + envelopes * watts(&self.pass_tube.ratings.heater)
            + control;
        let raw = self.winding.0 * CURRENT;
        (1.1 * heaters + 0.1 * raw).round()
    }

    /// The least of what the rectifier may give and what the pass tubes may carry at half the volts of the winding; between 10 mA
    /// and 2 A.
    fn rated_amps(&self) -> f64 {
        let rectifier = (self.rectifier.dc_current.as_ref()).map(|rating| rating.value.0);
        let tubes = (self.pass_tube.ratings.plate_dissipation.as_ref())
            .map(|rating| f64::from(self.units) * rating.value.0 / (0.5 * self.winding.0));
        let least = rectifier.into_iter().chain(tubes).reduce(f64::min);
        // A diode of an ampere says nothing about its transformer.
        let told = if self.rectifier.is_silicon() {
            tubes
        } else {
            least
        };
        told.unwrap_or(CURRENT).clamp(0.01, 2.0)
    }

    /// Watts that the high-voltage winding gives: a bus of 1.2 times its volts.
    fn watts(&self) -> f64 {
        1.2 * self.winding.0 * self.amps
    }

    /// VA of the whole transformer; with a capacitor behind the rectifier they are about 1.4 times the watts.
    fn volt_amps(&self) -> f64 {
        1.4 * self.watts() + self.auxiliary
    }

    /// Share of its power that each winding loses.
    fn loss(&self) -> f64 {
        let size = self.volt_amps();
        let row = LOSSES.iter().find(|(up_to, _)| size <= *up_to);
        0.5 * row.map_or(LEAST_LOSS, |(_, loss)| *loss)
    }

    pub(super) fn primary_resistance(&self, nominal: Volts) -> Ohms {
        let amps = self.volt_amps() / nominal.0;
        two_figures(self.loss() * (self.watts() + self.auxiliary) / (amps * amps))
    }

    /// Rms current of a half, a whole winding with a bridge and with half wave: 1.1, 1.6 and 2.3 times the direct current with
    /// capacitor input.
    pub(super) fn secondary_resistance(&self) -> Ohms {
        let (halves, crest) = match self.connection {
            Connection::FullWaveCentreTap => (2.0, 1.1),
            Connection::Bridge => (1.0, 1.6),
            Connection::HalfWave => (1.0, 2.3),
        };
        let rms = crest * self.amps;
        two_figures(self.loss() * self.watts() / (halves * rms * rms))
    }
}

/// A 5U4-G on a centre tap, and silicon in a bridge, which takes four.
fn usual_rectifier(
    connection: Option<Connection>,
    catalogue: &Catalogue,
) -> Option<&RectifierType> {
    let name = match connection {
        None | Some(Connection::FullWaveCentreTap) => "5U4-G",
        Some(Connection::Bridge | Connection::HalfWave) => "1N4007",
    };
    catalogue.rectifier(name).or(catalogue.rectifiers.first())
}

/// Two plates in one envelope, or two tubes of one plate, were made for a centre tap; silicon is mostly in a bridge.
fn usual_connection(kind: &RectifierType) -> Connection {
    if kind.is_silicon() {
        Connection::Bridge
    } else {
        Connection::FullWaveCentreTap
    }
}

/// To the nearest 10 V.
fn rounded(volts: f64) -> Volts {
    Volts((volts / 10.0).round() * 10.0)
}

/// A guess has no more than two figures.
pub(super) fn two_figures(ohms: f64) -> Ohms {
    Ohms(format!("{ohms:.1e}").parse().unwrap_or(ohms))
}
