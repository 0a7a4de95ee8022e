//! The reference circuits as written in `cases.json`, and each as a supply of the program.

use sagline::parts::{
    Amps, AsFound, CapacitorStack, Connection, Copper, CrestFactor, Farads, Figure, Filter,
    FilterSection, Fraction, Henries, Hertz, Mains, Ohms, Output, PassStage, PassTubeType,
    PlateCharacteristic, Rectifier, RectifierLaw, RectifierType, SecondaryVolts, SeriesElement,
    Supply, Transformer, TubeRatings, VoltAmps, Volts, WindingVolts,
};
use serde::Deserialize;

/// Primary volts of every case: with the winding given open-circuit at these volts, a primary without resistance
/// and nothing else on the transformer, the e.m.f. is exactly the one of the reference.
const PRIMARY: Volts = Volts(100.0);

/// The whole file.
#[derive(Debug, Deserialize)]
pub(crate) struct Reference {
    pub(crate) cases: Vec<Solved>,
}

/// A circuit with its results.
#[derive(Debug, Deserialize)]
pub(crate) struct Solved {
    pub(crate) circuit: Circuit,
    pub(crate) results: Results,
}

/// A circuit as the generator solved it.
#[derive(Debug, Deserialize)]
pub(crate) struct Circuit {
    pub(crate) name: String,
    connection: Wiring,
    pub(crate) law: Law,
    /// Rms, per half-winding (centre-tap) or of the whole winding.
    pub(crate) emf_volts: f64,
    /// All resistance of one conducting path, plate resistor included.
    pub(crate) path_ohms: f64,
    /// The part of `path_ohms` that stands in the plate lead.
    pub(crate) plate_resistor_ohms: f64,
    /// Diodes in each leg.
    #[serde(default = "one")]
    in_series: u8,
    /// Of the winding, where it differs from the first.
    pub(crate) second_half: Option<SecondHalf>,
    hertz: f64,
    /// Of the e.m.f.; √2 where the case does not say it.
    #[serde(default = "of_a_sine")]
    crest_factor: f64,
    input_capacitor: Option<Stack>,
    pub(crate) sections: Vec<Section>,
    pub(crate) bleeder_ohms: Option<f64>,
    pub(crate) internal_amps: f64,
    pub(crate) output_amps: f64,
}

#[derive(Debug, Clone, Copy, Deserialize)]
pub(crate) struct SecondHalf {
    pub(crate) emf_volts: f64,
    pub(crate) path_ohms: f64,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Wiring {
    CentreTap,
    Bridge,
    HalfWave,
}

#[derive(Debug, Deserialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub(crate) enum Law {
    Vacuum {
        drop_volts: f64,
        at_amps: f64,
    },
    Silicon {
        saturation_amps: f64,
        emission_volts: f64,
        resistance_ohms: f64,
    },
    Mercury {
        drop_volts: f64,
    },
}

#[derive(Debug, Deserialize)]
struct Stack {
    unit_farads: f64,
    in_series: u8,
    strings: u8,
    /// Across each unit.
    balancing_ohms: Option<f64>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Section {
    pub(crate) series: Series,
    capacitor: Stack,
}

#[derive(Debug, Deserialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub(crate) enum Series {
    Resistor { ohms: f64 },
    Choke { henries: f64, ohms: f64 },
}

/// What the generator measured over one mains cycle.
#[derive(Debug, Deserialize)]
pub(crate) struct Results {
    pub(crate) bus_mean_volts: f64,
    pub(crate) bus_trough_volts: f64,
    pub(crate) bus_crest_volts: f64,
    pub(crate) bus_ripple_rms_volts: f64,
    pub(crate) rectifier_peak_amps: f64,
    pub(crate) rectifier_mean_amps: f64,
    pub(crate) rectifier_rms_amps: f64,
    pub(crate) winding_rms_amps: f64,
    /// Peak, mean and rms of the device on the second half, where it differs; those above are then of the first.
    pub(crate) second_half_amps: Option<[f64; 3]>,
    pub(crate) capacitor_rms_amps: Vec<f64>,
    pub(crate) capacitor_mean_volts: Vec<f64>,
    pub(crate) capacitor_crest_volts: Vec<f64>,
    pub(crate) choke_mean_amps: Vec<f64>,
    pub(crate) choke_rms_amps: Vec<f64>,
    pub(crate) choke_peak_amps: Vec<f64>,
    pub(crate) choke_least_amps: Vec<f64>,
}

fn one() -> u8 {
    1
}

fn of_a_sine() -> f64 {
    CrestFactor::SINE.0
}

/// Reads the file that was compiled in.
pub(crate) fn read_reference() -> Result<Reference, serde_json::Error> {
    serde_json::from_str(include_str!("cases.json"))
}

impl Circuit {
    /// The same circuit as a supply.
    pub(crate) fn supply(&self) -> Supply {
        Supply {
            accepted: Vec::new(),
            as_found: AsFound::default(),
            mains: Mains {
                nominal: PRIMARY,
                present: PRIMARY,
                low: Volts(0.9 * PRIMARY.0),
                high: Volts(1.1 * PRIMARY.0),
                frequency: Hertz(self.hertz),
                crest_factor: CrestFactor(self.crest_factor),
            },
            transformer: Transformer {
                primary_volts: PRIMARY,
                winding: WindingVolts::OpenCircuit(self.winding()),
                primary_resistance: Ohms(0.0),
                primary_measured: Copper::Warm,
                secondary_resistance: Ohms(self.path_ohms - self.plate_resistor_ohms),
                second_half_resistance: (self.second_half)
                    .map(|half| Ohms(half.path_ohms - self.plate_resistor_ohms)),
                secondary_measured: Copper::Warm,
                winding_rating: None,
                auxiliary: VoltAmps(0.0),
            },
            rectifier: Rectifier {
                kind: self.law.rectifier(),
                connection: match self.connection {
                    Wiring::CentreTap => Connection::FullWaveCentreTap,
                    Wiring::Bridge => Connection::Bridge,
                    Wiring::HalfWave => Connection::HalfWave,
                },
                in_parallel: 1,
                in_series: self.in_series,
                plate_resistor: Ohms(self.plate_resistor_ohms),
                heater: None,
            },
            filter: self.filter(),
            pass_stage: any_pass_stage(),
            regulator: None,
            output: Output {
                set_low: Volts(0.0),
                set_high: Volts(300.0),
                meter_shunt: Ohms(0.0),
                meter_scale: None,
                stand_by: None,
            },
        }
    }

    fn winding(&self) -> SecondaryVolts {
        let first = Volts(self.emf_volts);
        match self.second_half {
            None => SecondaryVolts::One(first),
            Some(half) => SecondaryVolts::Halves(first, Volts(half.emf_volts)),
        }
    }

    /// The same circuit with part of its resistance in the primary, which carries an auxiliary load besides.
    pub(crate) fn behind(&self, primary: Ohms, auxiliary: VoltAmps) -> Supply {
        let mut supply = self.supply();
        let inner = PRIMARY.0 - primary.0 * auxiliary.0 / PRIMARY.0;
        let turns = self.emf_volts / inner;
        let transformer = &mut supply.transformer;
        let raised = turns / self.emf_volts * PRIMARY.0;
        let winding = self.winding();
        transformer.winding =
            WindingVolts::OpenCircuit(winding.with(winding, |volts, _| volts * raised));
        transformer.secondary_resistance.0 -= turns * turns * primary.0;
        if let (Some(ohms), Some(half)) =
            (&mut transformer.second_half_resistance, self.second_half)
        {
            let turns = half.emf_volts / inner;
            ohms.0 -= turns * turns * primary.0;
        }
        transformer.primary_resistance = primary;
        transformer.auxiliary = auxiliary;
        supply
    }

    fn filter(&self) -> Filter {
        Filter {
            input_capacitor: self.input_capacitor.as_ref().map(Stack::part),
            sections: self
                .sections
                .iter()
                .map(|section| FilterSection {
                    series: section.series.part(),
                    capacitor: section.capacitor.part(),
                })
                .collect(),
            bleeder: self.bleeder_ohms.map(Ohms),
            internal_current: Amps(self.internal_amps),
        }
    }
}

impl Stack {
    fn part(&self) -> CapacitorStack {
        CapacitorStack {
            unit: Farads(self.unit_farads),
            in_series: self.in_series,
            strings: self.strings,
            working_volts: None,
            surge_volts: None,
            ripple_current: None,
            balancing: self.balancing_ohms.map(Ohms),
            tolerance: Fraction(0.0),
        }
    }
}

impl Series {
    fn part(&self) -> SeriesElement {
        match *self {
            Self::Resistor { ohms } => SeriesElement::Resistor(Ohms(ohms)),
            Self::Choke { henries, ohms } => SeriesElement::Choke {
                inductance: Henries(henries),
                resistance: Ohms(ohms),
                measured: Copper::Warm,
                rating: None,
            },
        }
    }
}

impl Law {
    fn rectifier(&self) -> RectifierType {
        RectifierType {
            name: "reference".to_owned(),
            about: String::new(),
            plates: 2,
            law: match *self {
                Self::Vacuum {
                    drop_volts,
                    at_amps,
                } => RectifierLaw::Vacuum {
                    drop: Figure::own(Volts(drop_volts)),
                    at: Amps(at_amps),
                },
                Self::Silicon {
                    saturation_amps,
                    emission_volts,
                    resistance_ohms,
                } => RectifierLaw::Silicon {
                    saturation: Amps(saturation_amps),
                    emission: Volts(emission_volts),
                    resistance: Ohms(resistance_ohms),
                },
                Self::Mercury { drop_volts } => RectifierLaw::MercuryVapour {
                    drop: Figure::own(Volts(drop_volts)),
                },
            },
            heater: None,
            peak_inverse: None,
            peak_current: None,
            dc_current: None,
            dc_current_choke_input: None,
            hot_switching_current: None,
            least_supply_resistance: None,
            least_supply_resistance_by_volts: None,
            dc_current_by_volts: None,
            peak_inverse_by_current: None,
            largest_first_capacitor: None,
            heater_cathode: None,
        }
    }
}

/// Some pass tube: nothing before the bus depends on it.
fn any_pass_stage() -> PassStage {
    PassStage {
        tube: PassTubeType {
            name: "any".to_owned(),
            about: String::new(),
            units: 1,
            plate_volts_by_watts: None,
            triode_connected: false,
            screen_share: None,
            characteristic: PlateCharacteristic::ZeroBias(vec![
                (Volts(0.0), Amps(0.0)),
                (Volts(100.0), Amps(0.4)),
            ]),
            ratings: TubeRatings::default(),
            envelope_dissipation: None,
            plate_current: None,
        },
        units: 1,
        cathode_resistor: Ohms(0.0),
        plate_resistor: Ohms(0.0),
        imbalance: Fraction(0.0),
        tube_spread: None,
        heater: None,
        grid_limit: Volts(0.0),
    }
}
