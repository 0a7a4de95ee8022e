//! What is usual of a kind of part where no spread is stated. Beside each number stands its source, or that there is none.

use crate::parts::rectifier::RectifierLaw;
use crate::parts::spread::{Batch, Chance, Condition, Electrolytics, Field, Tubes};
use crate::parts::{CapacitorStack, GasTubeType, Supply};

/// What is usual of a field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Usual {
    /// How it is distributed.
    pub chance: Chance,
    /// Where that is from.
    pub source: &'static str,
    /// With what it has a part of its spread in common.
    pub batch: Option<Batch>,
}

const NO_SOURCE: &str = "common practice, no source";

/// So much either side, as likely here as there.
const fn within(share: f64) -> Chance {
    Chance::Even {
        low: 1.0 - share,
        high: 1.0 + share,
    }
}

/// What is usual of a field; `None` where nothing is worth speaking of.
pub fn usual(supply: &Supply, condition: Condition, field: Field) -> Option<Usual> {
    let alone = |chance, source| Usual {
        chance,
        source,
        batch: None,
    };
    Some(match field {
        Field::Mains => mains(supply)?,
        // A panel or hand meter of the better kind, and what a winding was made to.
        Field::Winding | Field::RailWinding => alone(within(0.03), NO_SOURCE),
        // Warm or cold makes 16 % at 40 K (copper, 0.39 % per kelvin); half of that is left where it is said which.
        Field::PrimaryResistance
        | Field::SecondaryResistance
        | Field::ChokeResistance(_)
        | Field::RailWindingResistance => {
            alone(within(0.08), "copper, 0.39 % per kelvin, 20 K either side")
        }
        Field::Auxiliary | Field::InternalCurrent => alone(within(0.1), NO_SOURCE),
        Field::ChokeInductance(_) => alone(within(0.2), NO_SOURCE),
        Field::SectionResistor(_)
        | Field::RectifierResistor
        | Field::Bleeder
        | Field::CathodeResistor
        | Field::PlateResistor
        | Field::PlateLoad
        | Field::Divider
        | Field::ReferenceFeed(_)
        | Field::MeterShunt => alone(within(0.1), "letter K of IEC 60062, 10 %"),
        Field::InputCapacitor => capacitor(supply.filter.input_capacitor.as_ref()?, condition),
        Field::SectionCapacitor(k) => capacitor(
            &supply.filter.sections.get(usize::from(k))?.capacitor,
            condition,
        ),
        Field::RailCapacitor => {
            let rail = supply.regulator.as_ref()?.bias_rail.as_ref()?;
            let usual = capacitor(rail.filter.input_capacitor.as_ref()?, condition);
            Usual {
                batch: None,
                ..usual
            }
        }
        Field::PassTube | Field::ControlTube => tube(condition.tubes),
        Field::Rectifier => match supply.rectifier.kind.law {
            RectifierLaw::Vacuum { .. } => tube(condition.tubes),
            RectifierLaw::MercuryVapour { .. } => alone(within(0.2), NO_SOURCE),
            RectifierLaw::Silicon { .. } => return None,
        },
        // It is the grid's geometry, which no age changes.
        Field::PassAmplification => alone(within(0.05), NO_SOURCE),
        Field::ReferenceTube(side, k) => {
            let reference = supply.regulator.as_ref()?.gas_reference(side)?;
            gas_tube(reference.tubes.get(usize::from(k))?)
        }
    })
}

/// What a value may be off that was guessed (common practice, no source); `None` where that makes it no wider than usual.
pub(super) fn of_a_guess(field: Field) -> Option<Chance> {
    Some(match field {
        Field::Winding | Field::RailWinding => within(0.1),
        Field::PrimaryResistance
        | Field::SecondaryResistance
        | Field::ChokeResistance(_)
        | Field::RailWindingResistance => within(0.4),
        Field::Auxiliary
        | Field::InternalCurrent
        | Field::InputCapacitor
        | Field::SectionCapacitor(_)
        | Field::RailCapacitor => within(0.5),
        Field::ChokeInductance(_)
        | Field::SectionResistor(_)
        | Field::RectifierResistor
        | Field::Bleeder
        | Field::CathodeResistor
        | Field::PlateResistor
        | Field::PlateLoad
        | Field::Divider
        | Field::ReferenceFeed(_)
        | Field::MeterShunt => within(0.3),
        // What the mains are now is seen on the meter; of a type that was guessed no spread is the right one.
        Field::Mains
        | Field::Rectifier
        | Field::PassTube
        | Field::PassAmplification
        | Field::ControlTube
        | Field::ReferenceTube(..) => return None,
    })
}

/// About the volts now, within what is to be reckoned with. Logged over a week: 232 to 244 V, mean 239 V; twice the standard deviation
/// are then 2.4 %.
fn mains(supply: &Supply) -> Option<Usual> {
    const SIGMA: f64 = 0.012;
    let mains = &supply.mains;
    let now = mains.present.0;
    let [low, high] = [mains.low.0.min(now) / now, mains.high.0.max(now) / now];
    (high > low).then_some(Usual {
        chance: Chance::Bell {
            mean: 1.0,
            sigma: SIGMA,
            low,
            high,
        },
        source: "a week of a UK house logged (Pico Technology, mains fluctuation): 232 to 244 V, mean 239 V; cut off at the low and high mains",
        batch: None,
    })
}

/// Plate current at equal volts, and transconductance with it.
fn tube(condition: Tubes) -> Usual {
    let (mean, sigma, low, high, source) = match condition {
        Tubes::New => (
            1.0,
            0.12,
            0.67,
            1.33,
            "limits 66 to 133 % of new tubes (leedsradio.com, tests like new, quoted); a 6V6 of today within -27 and +31 % (maker's sheet); normal in between: common practice",
        ),
        // A tester turns a tube down at 65 to 70 % of its book value (value from memory), so that one still in use is above it.
        Tubes::Used => (
            0.85,
            0.12,
            0.65,
            1.2,
            "turned down at 65 % by tube testers (value from memory); mean 85 %: common practice, no source",
        ),
        Tubes::Tired => (
            0.65,
            0.08,
            0.45,
            0.85,
            "about where tube testers turn a tube down, 65 % (value from memory); the rest common practice, no source",
        ),
    };
    Usual {
        chance: Chance::Bell {
            mean,
            sigma,
            low,
            high,
        },
        source,
        // New tubes come from anywhere; used ones have the hours in common.
        batch: (condition != Tubes::New).then_some(Batch::Tubes),
    }
}

fn capacitor(stack: &CapacitorStack, condition: Condition) -> Usual {
    let (chance, source) = match condition.electrolytics {
        Electrolytics::Fresh => (
            within(stack.tolerance.0.clamp(0.0, 0.9)),
            "the tolerance that stands in the file",
        ),
        Electrolytics::Old => (
            Chance::Even {
                low: 0.7,
                high: 1.0,
            },
            "useful life ends at -30 % in makers' tests (value from memory)",
        ),
        // Their mean and standard deviation, and their extremes: of the fifteen four more were open.
        Electrolytics::Dried => (
            Chance::Bell {
                mean: 0.74,
                sigma: 0.245,
                low: 0.33,
                high: 1.05,
            },
            "the live eleven of fifteen sections of 1946 (videokarma.org 257294, quoted)",
        ),
    };
    Usual {
        chance,
        source,
        batch: Some(Batch::Capacitors),
    }
}

/// The published range is taken for three standard deviations either side.
fn gas_tube(tube: &GasTubeType) -> Usual {
    let volts = tube.volts.value.0;
    let published = tube.volts_low.zip(tube.volts_high);
    let range = published.filter(|(low, high)| low.0 < volts && volts < high.0);
    let (low, high, source) = match range {
        Some((low, high)) => (
            low.0 / volts,
            high.0 / volts,
            "the range of the type's sheet, taken for six standard deviations (common practice)",
        ),
        None => (0.96, 1.04, NO_SOURCE),
    };
    Usual {
        chance: Chance::Bell {
            mean: 1.0,
            sigma: (high - low) / 6.0,
            low,
            high,
        },
        source,
        batch: None,
    }
}
