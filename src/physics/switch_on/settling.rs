//! The seconds after the surge: heaters as they warm, and the rectifier as it begins to conduct and charges the filter.
//!
//! None of it depends on the instant of closing. While the rectifier is cold the current is that of heaters and core; from the first
//! emission on it is followed cycle by cycle until nothing changes any more.

use core::f64::consts::FRAC_PI_2;

use crate::physics::failure::Failure;
use crate::physics::switch_on::SwitchOn;
use crate::physics::switch_on::heaters::emission_seconds;
use crate::physics::switch_on::march::{Begin, March};
use crate::physics::switch_on::side::cathode;
use crate::physics::switch_on::thermistor::InLine;
use crate::physics::switch_on::transient::Closing;

/// Steps of a cycle of which only the rms is wanted.
const STEPS: u32 = 40;
/// The rectifier is followed no longer than this (s).
const LONGEST: f64 = 25.0;
/// Nothing changes any more where the rms moves by less than this part in so many cycles.
const STILL: f64 = 1e-3;
const STILL_CYCLES: usize = 10;
/// Times between which heaters are followed (s).
const HEATER_STEP: f64 = 0.05;
/// After so long the heaters are warm (s).
const WARM: f64 = 30.0;

/// Rms of the primary from the closing on, without the surge of the core.
#[derive(Debug, Clone, PartialEq)]
pub struct Settling {
    /// Times (s), and the rms of the primary up to each from the one before (A).
    pub rms: Vec<[f64; 2]>,
    /// `∫i²dt` up to each (A²s).
    pub heating: Vec<f64>,
    /// When the rectifier begins to conduct (s); 0 where it does at once.
    pub rectifier_from: f64,
    /// The bus at the end (V).
    pub bus_volts: f64,
    /// Rms of the primary at the end (A).
    pub at_last: f64,
}

impl Settling {
    /// `∫i²dt` up to a time (A²s); beyond the end the current stays.
    pub fn heating_at(&self, seconds: f64) -> f64 {
        let behind = self.rms.partition_point(|[at, _]| *at <= seconds);
        let before = behind.checked_sub(1);
        let known = before.and_then(|k| Some((self.rms.get(k)?[0], *self.heating.get(k)?)));
        let (from, heating) = known.unwrap_or((0.0, 0.0));
        let amps = self.rms.get(behind).map_or(self.at_last, |[_, amps]| *amps);
        heating + amps * amps * (seconds - from).max(0.0)
    }

    fn add(&mut self, seconds: f64, amps: f64) {
        let from = self.rms.last().map_or(0.0, |[at, _]| *at);
        let before = self.heating.last().copied().unwrap_or(0.0);
        self.rms.push([seconds, amps]);
        self.heating
            .push(before + amps * amps * (seconds - from).max(0.0));
        self.at_last = amps;
    }

    fn is_still(&self) -> bool {
        let last = self.rms.iter().rev();
        let before = last.clone().nth(STILL_CYCLES);
        before.is_some_and(|[_, amps]| {
            last.take(STILL_CYCLES)
                .all(|[_, later]| (later - amps).abs() < STILL * amps)
        })
    }
}

/// Heaters and rectifier from a closing on.
pub(super) fn settling<const N: usize>(
    of: &SwitchOn,
    closing: &Closing,
) -> Result<Settling, Failure> {
    let side = &of.ready.side;
    let wire = cathode(&of.raw.rectifier.kind);
    let [from, until] = wire.map_or([0.0, 0.0], emission_seconds);
    let [from, until] = [from, until].map(|at| (at - closing.heated_seconds).max(0.0));
    let mut found = Settling {
        rms: Vec::new(),
        heating: Vec::new(),
        rectifier_from: from,
        bus_volts: 0.0,
        at_last: 0.0,
    };
    let begin = of.begin(side, closing);
    let mut in_line = InLine::at(side.limiter, begin.thermistor_rise);
    let heaters_alone = |until: f64, found: &mut Settling, in_line: &mut InLine| {
        let magnetising = side.magnetising_rms_amps();
        let mut at = found.rms.last().map_or(0.0, |[at, _]| *at);
        while at < until {
            let length = HEATER_STEP.min(until - at).max(1e-6);
            let limiter = in_line.ohms(at + 0.5 * length);
            let siemens = side
                .auxiliary
                .siemens(closing.heated_seconds + at + 0.5 * length);
            let ohms = side.series_ohms() + limiter;
            let in_phase = side.mains_volts * siemens / (1.0 + ohms * siemens);
            let amps = in_phase.hypot(magnetising);
            in_line.warm(limiter * amps * amps * length, length);
            at += length;
            found.add(at, amps);
        }
    };
    heaters_alone(from, &mut found, &mut in_line);
    let length = of.step_length(STEPS);
    let secondary = of.secondary::<N>(length)?;
    let start = Begin {
        // Where the flux of the working core passes through zero.
        radians: FRAC_PI_2,
        linkages: 0.0,
        heated_seconds: closing.heated_seconds + from,
        thermistor_rise: in_line.rise,
        since_closing: from,
        ..begin
    };
    let mut march = March::new(side, Some(&secondary), start, length);
    let cycle = of.cycle_seconds();
    loop {
        let (mut heating, mut volts) = (0.0, 0.0);
        for _ in 0..STEPS {
            let stepped = march.step();
            heating += stepped.heating();
            volts += stepped.state[secondary.net.bus()] / f64::from(STEPS);
        }
        let at = from + march.seconds();
        found.bus_volts = volts;
        found.add(at, (heating / cycle).sqrt());
        if (at >= until && found.is_still()) || march.seconds() > LONGEST {
            break;
        }
    }
    // What the rectifier takes stays from here on; the heaters may still be warming.
    let end = found.rms.last().map_or(0.0, |[at, _]| *at);
    let now = side.auxiliary.siemens(closing.heated_seconds + end);
    let last = found.at_last;
    let mut at = end;
    while at < WARM {
        let length = (0.1 * at).clamp(HEATER_STEP, 1.0);
        let later = side
            .auxiliary
            .siemens(closing.heated_seconds + at + 0.5 * length);
        at += length;
        found.add(at, (last - side.mains_volts * (now - later)).max(0.0));
    }
    Ok(found)
}
