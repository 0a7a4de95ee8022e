//! All that is worked out about a supply after switch-off: from the worst that it leaves behind, and from the point that one is at.

use crate::physics::discharge::cold::Cold;
use crate::physics::discharge::cooling::SURE_WITHIN;
use crate::physics::discharge::warm::{Connected, Course, course};
use crate::physics::discharge::{Bleeder, Chain, Charged, Kept};
use crate::physics::envelope::Envelope;
use crate::physics::failure::Failure;
use crate::physics::model::Model;
use crate::physics::operation::{Case, Operation};
use crate::physics::stand_by::{Endurance, Waiting, endurance, waiting};
use crate::physics::stress::no_load;

/// Instants in a doubling of time of what is drawn beside a course.
const PER_OCTAVE: f64 = 8.0;
/// Where the drawn time begins (s).
pub const FIRST_SECONDS: f64 = 0.1;
/// Where it ends at least, and at most (s).
const LAST_SECONDS: [f64; 2] = [10.0, 3600.0];

/// With nothing connected at high mains, the output turned up: the worst that is left behind.
#[derive(Debug, Clone, PartialEq)]
pub struct Worst {
    /// Rms mains volts before (V).
    pub mains_volts: f64,
    /// The capacitors at the instant of switching off.
    pub charged: Charged,
    /// What is kept, all tubes cold.
    pub kept: Kept,
    /// The same with every capacitor at the upper end of its tolerance.
    pub larger: Kept,
    /// The same with the bleeder open; `None` where there is none.
    pub open: Option<Kept>,
    /// With the tubes still warm.
    pub warm: Course,
    /// The same where the cathodes cool so much faster and slower as is not sure: from when on the bus's filter is below
    /// [`TOUCH_VOLTS`](crate::physics::discharge::TOUCH_VOLTS) (s), `None` where that takes years; with the quicker and the slower.
    pub warm_to_touch: [Option<f64>; 2],
}

/// From the point that one is at, what is connected staying so.
#[derive(Debug, Clone, PartialEq)]
pub struct FromPoint {
    /// What is connected.
    pub connected: Connected,
    /// The capacitors at the instant of switching off.
    pub charged: Charged,
    /// What is kept, all tubes cold: what is connected does not help then.
    pub kept: Kept,
    /// With the tubes still warm.
    pub warm: Course,
}

/// The whole.
#[derive(Debug, Clone, PartialEq)]
pub struct RunDown {
    /// The worst.
    pub worst: Worst,
    /// From the point; `None` where the supply does not give its current.
    pub from_point: Option<FromPoint>,
    /// What is drawn: volts of each capacitor of the bus's filter with all tubes cold, over time (s, V).
    pub cold: Vec<Vec<[f64; 2]>>,
    /// What is drawn beside: volts of the bus with its bleeder open, over time (s, V); empty where there is none.
    pub open_bus: Vec<[f64; 2]>,
    /// The same of every capacitor of the negative rail, counted as if it were positive.
    pub rail: Vec<Vec<[f64; 2]>>,
    /// Where the drawn time ends (s).
    pub last_seconds: f64,
    /// What the stand-by switch does, where it is stated where it sits.
    pub waiting: Option<Waiting>,
    /// How long the supply may stand with nothing connected.
    pub endurance: Endurance,
}

/// The run-down of a supply, and from a point (A, V).
///
/// # Errors
/// As [`no_load`].
pub fn run_down(model: &Model, envelope: &Envelope, at: [f64; 2]) -> Result<RunDown, Failure> {
    let solved;
    let unloaded = if let Some(column) = envelope.column(Case::High) {
        &column.no_load
    } else {
        solved = no_load(model, Case::High)?;
        &solved
    };
    let worst = worst(model, &unloaded.operation);
    let place = model.supply.output.stand_by;
    let last_seconds = last_seconds(&worst.kept);
    let open = (worst.open).map(|_| worst.charged.with(Bleeder::Open));
    let open_bus = open.map_or_else(Vec::new, |open| {
        sampled(&open.bus, last_seconds).pop().unwrap_or_default()
    });
    let rail = worst.charged.rail.as_ref();
    Ok(RunDown {
        from_point: from_point(model, envelope, at),
        cold: sampled(&worst.charged.bus, last_seconds),
        open_bus,
        rail: rail.map_or_else(Vec::new, |rail| sampled(rail, last_seconds)),
        last_seconds,
        worst,
        waiting: place.map(|place| waiting(model, place)).transpose()?,
        endurance: endurance(&model.supply, unloaded),
    })
}

fn worst(model: &Model, operation: &Operation) -> Worst {
    let charged = Charged::of(model, Case::High, operation);
    let connected = Connected {
        volts: model.supply.output.set_high.0,
        amps: 0.0,
    };
    let has_bleeder = charged.bus.bleeder_siemens > 0.0;
    let with = |slower: f64| course(model, Case::High, &charged, connected, slower);
    Worst {
        mains_volts: model.at(Case::High).mains_volts,
        kept: charged.kept(),
        larger: charged.at_upper_tolerance().kept(),
        open: has_bleeder.then(|| charged.with(Bleeder::Open).kept()),
        warm: with(1.0),
        warm_to_touch: [1.0 / SURE_WITHIN, SURE_WITHIN].map(|slower| with(slower).falls[0]),
        charged,
    }
}

fn from_point(model: &Model, envelope: &Envelope, [amps, volts]: [f64; 2]) -> Option<FromPoint> {
    let operation = envelope.operate(model, Case::Present, amps.max(0.0)).ok()?;
    let charged = Charged::of(model, Case::Present, &operation);
    let connected = Connected {
        volts: volts.max(0.0),
        amps: amps.max(0.0),
    };
    Some(FromPoint {
        connected,
        kept: charged.kept(),
        warm: course(model, Case::Present, &charged, connected, 1.0),
        charged,
    })
}

/// Half as long again as all takes to be dead with cold tubes.
fn last_seconds(kept: &Kept) -> f64 {
    let [least, most] = LAST_SECONDS;
    let rail = kept.rail.map_or(Some(0.0), |rail| rail.to_dead);
    let all = [kept.bus.to_dead, rail];
    let longest = all.into_iter().flatten().fold(0.0, f64::max);
    let stays = kept.bus.to_dead.is_none();
    if stays {
        most
    } else {
        (1.5 * longest).clamp(least, most)
    }
}

/// Volts of each capacitor of a chain with all tubes cold, over time (s, V).
fn sampled(chain: &Chain, last: f64) -> Vec<Vec<[f64; 2]>> {
    let cold = Cold::of(chain);
    let octaves = (last / FIRST_SECONDS).log2();
    let steps = (octaves * PER_OCTAVE).ceil().max(1.0);
    let mut lines = vec![Vec::new(); chain.stores.len()];
    let mut step = 0.0;
    while step <= steps {
        let seconds = FIRST_SECONDS * (octaves * step / steps).exp2();
        for (line, volts) in lines.iter_mut().zip(cold.volts_at(seconds)) {
            line.push([seconds, volts]);
        }
        step += 1.0;
    }
    lines
}
