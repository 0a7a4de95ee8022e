//! A chain while the tubes are still warm: the regulator holds the output as long as the bus lets it, then the pass tubes follow the bus
//! down, until their cathodes emit too little.
//!
//! The filter is solved exactly over each step, with the current of the tubes at the middle of it; the steps are so short that the bus falls
//! by half a per cent. What the supply itself takes from the bus goes as a resistor of that current would, and fades with the cathodes. The
//! control tube is taken to hold as long as the pass tubes do: if it cools first the output rises towards the bus for some seconds, if they
//! do it is gone earlier.

use nalgebra::DVector;

use crate::physics::discharge::chain::{Chain, Gas};
use crate::physics::discharge::cold::Cold;
use crate::physics::discharge::cooling::{Cooling, Heating};
use crate::physics::discharge::ladder::{Ladder, SHORTEST};
use crate::physics::discharge::{Charged, DEAD_VOLTS, TOUCH_VOLTS};
use crate::physics::model::{Model, PassCurrent};
use crate::physics::operation::Case;

/// Share of the bus's first volts by which it may fall in one step.
const FALL: f64 = 0.005;
/// The rung of the ladder on which the steps begin, and the longest: 0.5 ms and 125 ms.
const RUNGS: std::ops::RangeInclusive<usize> = 5..=13;
/// Steps at most.
const MOST_STEPS: usize = 6000;
/// Below this the tubes count as cold (A).
const COLD_AMPS: f64 = 10e-6;
/// Outputs at which it is worked out what the tubes draw.
const SETTINGS: u32 = 48;
/// Instants of the cold stretch in a doubling of time.
const PER_OCTAVE: f64 = 12.0;
/// How long the cold stretch is shown where something stays charged (s).
const LONG: f64 = 3600.0;

/// What was connected at the instant of switching off, and stays so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Connected {
    /// Output volts (V).
    pub volts: f64,
    /// Output current (A); 0 with nothing connected.
    pub amps: f64,
}

/// One instant.
#[derive(Debug, Clone, PartialEq)]
pub struct Moment {
    /// After switching off (s).
    pub seconds: f64,
    /// Volts of each capacitor of the bus's filter, from the rectifier on (V).
    pub capacitors: Vec<f64>,
    /// Current of each choke between them (A).
    pub chokes: Vec<f64>,
    /// Volts at the output (V).
    pub output: f64,
    /// What the tubes and what is connected take from the bus (A).
    pub tube_amps: f64,
}

/// How the supply runs down.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// The instants, from switching off on.
    pub moments: Vec<Moment>,
    /// When the tubes count as cold (s).
    pub cold_from: f64,
    /// From when on every capacitor of the bus's filter is below [`TOUCH_VOLTS`] and [`DEAD_VOLTS`] (s); `None` where that takes years.
    pub falls: [Option<f64>; 2],
    /// From when on the output is below [`TOUCH_VOLTS`] (s).
    pub output_to_touch: f64,
}

/// What the tubes draw: tables over the output, so that a step costs a look-up.
struct Tubes {
    /// Output volts, from 0 V to what is set (V).
    volts: Vec<f64>,
    /// What of the bus each of them takes with the pass tubes fully on (V).
    bus: Vec<f64>,
    /// The pass current there (A).
    amps: Vec<f64>,
    /// What the supply takes from the bus, apart from what is in the chain (S).
    internal_siemens: f64,
    cooling: Cooling,
}

impl Tubes {
    fn of(model: &Model, case: Case, chain: &Chain, connected: Connected) -> Self {
        let bus_volts = chain.bus_volts();
        let regulator = model.at(case).regulator.as_ref();
        let set = connected.volts.max(1e-6);
        let mut tubes = Self {
            volts: Vec::new(),
            bus: Vec::new(),
            amps: Vec::new(),
            internal_siemens: 0.0,
            cooling: cooling(model, connected.amps),
        };
        for k in 0..=SETTINGS {
            // Closer together towards zero, where the drop is steepest.
            let share = (f64::from(k) / f64::from(SETTINGS)).powi(2);
            let volts = set * share;
            let current = PassCurrent {
                output_amps: connected.amps * share,
                regulator_amps: regulator.map_or(0.0, |r| r.drawn_amps(bus_volts, volts)),
            };
            let drop = model.pass.least_drop(current).unwrap_or(0.0);
            tubes.volts.push(volts);
            tubes.bus.push(volts + drop);
            tubes.amps.push(current.amps());
        }
        let counted = bus_volts * chain.fixed_siemens + chain.gas_amps(bus_volts);
        let internal = (model.supply.filter.internal_current.0 - counted).max(0.0);
        if bus_volts > 0.0 {
            tubes.internal_siemens = internal / bus_volts;
        }
        tubes
    }

    /// Output volts and pass current at volts of the bus after a time: what is set, or as much of it as bus and cathodes still give.
    fn output(&self, bus: f64, seconds: f64) -> [f64; 2] {
        let emitted = self.cooling.amps_at(seconds);
        let by_bus = along(&self.bus, &self.volts, bus);
        let by_cathodes = along(&self.amps, &self.volts, emitted);
        let volts = by_bus.min(by_cathodes);
        [volts, along(&self.volts, &self.amps, volts).min(emitted)]
    }

    /// What all of it takes from the bus (A).
    fn amps(&self, bus: f64, seconds: f64) -> f64 {
        if bus <= 0.0 {
            return 0.0;
        }
        let [_, pass] = self.output(bus, seconds);
        pass + self.internal_siemens * bus * self.cooling.share_at(seconds)
    }

    fn cold_from(&self) -> f64 {
        self.cooling.seconds_to(COLD_AMPS)
    }
}

/// `y` at `x` along straight lines between points that rise in `x`; beyond their ends what it is there.
fn along(xs: &[f64], ys: &[f64], x: f64) -> f64 {
    let after = xs.partition_point(|one| *one < x);
    let at = |all: &[f64], place: usize| all.get(place).or(all.last()).copied().unwrap_or(0.0);
    let Some(before) = after.checked_sub(1) else {
        return at(ys, 0);
    };
    let [x0, x1] = [at(xs, before), at(xs, after)];
    let [y0, y1] = [at(ys, before), at(ys, after)];
    if x1 > x0 {
        y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    } else {
        y1
    }
}

/// How the cathodes of the pass tubes cool: by their rated current, or where that is not known by what they carry.
fn cooling(model: &Model, amps: f64) -> Cooling {
    let tube = &model.supply.pass_stage.tube;
    let is_filament = tube.ratings.heater.as_ref().is_some_and(|h| h.filament);
    let heating = if is_filament {
        Heating::Filament
    } else {
        Heating::Indirect
    };
    let rated = tube.plate_current.as_ref().map(|rated| rated.value.0);
    let carried = amps.max(model.regulator_amps).max(1e-3);
    Cooling::of(
        heating,
        rated.map_or(carried, |unit| unit * model.pass.units),
    )
}

/// How a supply runs down with this connected, its cathodes cooling `slower` times as slowly as usual.
pub fn course(
    model: &Model,
    case: Case,
    charged: &Charged,
    connected: Connected,
    slower: f64,
) -> Course {
    let chain = &charged.bus;
    let mut tubes = Tubes::of(model, case, chain, connected);
    tubes.cooling = tubes.cooling.slower(slower);
    let (mut moments, state) = while_warm(chain, &tubes);
    let cold = Cold::from_state(chain, state);
    let levels = [TOUCH_VOLTS, DEAD_VOLTS];
    let falls = levels.map(|level| falls_to(&moments, &cold, level));
    let output_to_touch = (moments.iter().rev())
        .find(|moment| moment.output >= TOUCH_VOLTS)
        .map_or(0.0, |moment| moment.seconds);
    add_cold(&mut moments, &cold, falls[1]);
    Course {
        moments,
        cold_from: tubes.cold_from(),
        falls,
        output_to_touch,
    }
}

/// The instants until the tubes are cold, and the state of the chain then.
fn while_warm(chain: &Chain, tubes: &Tubes) -> (Vec<Moment>, DVector<f64>) {
    // Gas tubes are among what is drawn while they burn, so that the network stays one.
    let ladder = Ladder::of(&chain.matrix(Gas::Dark, 0.0));
    let sunk = sinks(chain);
    let drawn = |state: &DVector<f64>, seconds: f64| {
        let bus = chain.bus_in(state);
        tubes.amps(bus, seconds) + chain.gas_amps(bus)
    };
    let moment = |state: &DVector<f64>, seconds: f64| {
        let bus = chain.bus_in(state);
        let [capacitors, chokes] = chain.parts_of(state);
        Moment {
            seconds,
            capacitors,
            chokes,
            output: tubes.output(bus, seconds)[0],
            tube_amps: tubes.amps(bus, seconds),
        }
    };
    let end = tubes.cold_from();
    let fall = FALL * chain.bus_volts();
    let (mut seconds, mut state) = (0.0, chain.start());
    let mut rung = *RUNGS.start();
    let mut moments = vec![moment(&state, seconds)];
    while seconds < end && moments.len() < MOST_STEPS && chain.highest_in(&state) > 0.1 {
        let length = SHORTEST * 2_f64.powi(i32::try_from(rung).unwrap_or(0));
        let half = ladder.step(rung - 1, &state) + &sunk[rung - 1] * drawn(&state, seconds);
        let amps = drawn(&half, seconds + 0.5 * length);
        let next = ladder.step(rung, &state) + &sunk[rung] * amps;
        let moved = (chain.bus_in(&next) - chain.bus_in(&state)).abs();
        if moved > fall && rung > *RUNGS.start() {
            rung -= 1;
            continue;
        }
        seconds += length;
        state = next;
        moments.push(moment(&state, seconds));
        if moved < 0.4 * fall && rung < *RUNGS.end() && length < 0.1 * seconds {
            rung += 1;
        }
    }
    (moments, state)
}

/// What one ampere drawn from the last capacitor over a whole step does to the state, by the rung of the step.
fn sinks(chain: &Chain) -> Vec<DVector<f64>> {
    let ladder = Ladder::of(&chain.matrix(Gas::Dark, 1.0));
    let mut unit = DVector::zeros(chain.states());
    unit[chain.states() - 1] = 1.0;
    let sunk = (0..=*RUNGS.end()).map(|rung| {
        let mut moved = ladder.step(rung, &unit);
        moved[chain.states() - 1] = 0.0;
        moved
    });
    sunk.collect()
}

/// From when on every capacitor is below a level (s).
fn falls_to(warm: &[Moment], cold: &Cold, level: f64) -> Option<f64> {
    let highest = |moment: &Moment| moment.capacitors.iter().copied().fold(0.0, f64::max);
    let last = warm.last()?;
    if highest(last) >= level {
        return Some(last.seconds + cold.seconds_to(level)?);
    }
    let after = warm.iter().rposition(|moment| highest(moment) >= level);
    let pair = after.and_then(|place| Some([warm.get(place)?, warm.get(place + 1)?]));
    let Some([before, after]) = pair else {
        return Some(0.0);
    };
    let [high, low] = [highest(before), highest(after)];
    let share = (high - level) / (high - low).max(1e-12);
    Some(before.seconds + share * (after.seconds - before.seconds))
}

/// Adds the instants of the cold stretch: until all is dead and half as long again, or an hour where it stays charged.
fn add_cold(moments: &mut Vec<Moment>, cold: &Cold, dead: Option<f64>) {
    let from = moments.last().map_or(0.0, |last| last.seconds);
    let end = dead.map_or(LONG, |dead| 1.5 * dead).max(1.2 * from);
    let octaves = (end / from.max(1e-2)).log2().max(0.0);
    let last = octaves * PER_OCTAVE;
    let mut step = 1.0;
    while step <= last.ceil() {
        let seconds = from.max(1e-2) * (octaves * (step / last.ceil())).exp2();
        let [capacitors, chokes] = cold.at(seconds - from);
        moments.push(Moment {
            seconds,
            capacitors,
            chokes,
            output: 0.0,
            tube_amps: 0.0,
        });
        step += 1.0;
    }
}
