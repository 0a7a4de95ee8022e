//! Gas tubes in series behind a feed resistor: their current and the volts at each of their junctions.
//!
//! Each tube is a straight line, `v = V + r·(i − middle)`: its running volts in the middle of its range of current,
//! and a slope that spreads the published regulation over that range. Currents that join at a junction (the control
//! tube's cathode, the divider's foot) flow through the tubes between it and the common, or take their place. A shunt resistor across
//! a tube takes its part of the current past it.

mod starting;

use crate::parts::GasReference;

/// Most junctions of a stack; the description has no more tubes.
const MOST: usize = 8;

/// One tube's straight line.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Tube {
    /// Running volts in the middle of the range (V).
    volts: f64,
    /// Slope (Ω); 0 where the regulation is not published.
    ohms: f64,
    /// Middle of the range (A).
    middle_amps: f64,
    /// The resistor across it (S); 0 without one.
    shunt_siemens: f64,
}

impl Tube {
    /// Where its straight line ends at no current (V).
    fn dark_volts(&self) -> f64 {
        self.volts - self.ohms * self.middle_amps
    }

    /// By how much its shunt resistor divides what the tube does.
    fn loaded(&self) -> f64 {
        1.0 + self.ohms * self.shunt_siemens
    }

    /// Slope of tube and shunt resistor together (Ω).
    fn slope(&self) -> f64 {
        self.ohms / self.loaded()
    }

    /// True without a shunt resistor.
    fn is_bare(&self) -> bool {
        self.shunt_siemens <= 0.0
    }

    /// Volts of tube and shunt resistor with `amps` through both together, on the tube's straight line (V).
    fn volts_with(&self, amps: f64) -> f64 {
        (self.volts + self.ohms * (amps - self.middle_amps)) / self.loaded()
    }

    /// What the tube itself carries of `amps` through both, on its straight line (A).
    fn own_amps(&self, amps: f64) -> f64 {
        (amps - self.shunt_siemens * self.dark_volts()) / self.loaded()
    }

    /// What both together carry where the tube itself carries `amps` (A).
    fn amps_of_both(&self, amps: f64) -> f64 {
        amps * self.loaded() + self.shunt_siemens * self.dark_volts()
    }
}

/// A source whose volts fall straight with the current drawn: `volts − ohms·amps`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LinearSource {
    /// Without current (V).
    pub volts: f64,
    /// Slope (Ω).
    pub ohms: f64,
}

impl LinearSource {
    /// Volts that no current moves.
    pub fn stiff(volts: f64) -> Self {
        Self { volts, ohms: 0.0 }
    }

    /// Through two currents at which the volts are known (A, V).
    pub fn through([a, at_a]: [f64; 2], [b, at_b]: [f64; 2]) -> Self {
        if (b - a).abs() < 1e-9 {
            return Self::stiff(at_b);
        }
        let ohms = ((at_a - at_b) / (b - a)).max(0.0);
        Self {
            volts: at_b + ohms * b,
            ohms,
        }
    }

    /// The same source as one sees it who draws on top of `amps`.
    #[must_use]
    pub fn beyond(self, amps: f64) -> Self {
        Self {
            volts: self.volts - self.ohms * amps,
            ohms: self.ohms,
        }
    }
}

/// The stack, ready to be asked.
#[derive(Debug, Clone, PartialEq)]
pub struct GasStack {
    tubes: Vec<Tube>,
    /// The feed resistor (Ω).
    pub feed_ohms: f64,
    drawn_amps: f64,
    /// The current below which one of the tubes is no longer sure (A).
    pub least_amps: f64,
    /// The current above which one of the tubes is overrun (A).
    pub most_amps: f64,
    /// Running volts of all tubes together (V).
    pub volts: f64,
    /// Volts before the feed resistor with which every tube strikes (V): all at once without shunt resistors, one after the other
    /// with them, or where it is not known whether there are any. `None` where it is not published.
    pub strike_volts: Option<f64>,
    /// True where every tube's regulation is published, so that the drift with current is known.
    pub slope_is_known: bool,
}

/// A current that joins the stack at the junction after so many tubes from the common (A, away from the tube that
/// brings it).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TapCurrent {
    /// Tubes between the common and the junction.
    pub tubes: usize,
    /// Current in the sense of the tubes' own where it adds to them, negative where it takes their place (A).
    pub amps: f64,
}

/// The stack at work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StackState {
    /// Current through the feed resistor (A); zero when the tubes are out.
    pub feed_amps: f64,
    /// Current of the tube that has least (A).
    pub least_amps: f64,
    /// Current of the tube that has most (A).
    pub most_amps: f64,
    /// Volts of each junction from the common, the first tube's first (V).
    junctions: [f64; MOST],
    count: usize,
    /// Most current through one of the shunt resistors (A); zero without any.
    pub shunt_amps: f64,
    /// False when the feed is below the volts at which the tubes' straight lines end at no current: a tube is out. With a shunt
    /// resistor across it the others stay lit, and it has the volts of its resistor. Without one they go out as well and nothing but
    /// leakage holds the junctions; they are taken to sag in proportion.
    pub lit: bool,
}

impl StackState {
    /// Volts from the common to the junction after `tubes` tubes; of the whole stack for more than there are (V).
    pub fn volts(&self, tubes: usize) -> f64 {
        let last = tubes.min(self.count).checked_sub(1);
        last.and_then(|k| self.junctions.get(k))
            .copied()
            .unwrap_or(0.0)
    }

    /// Volts of the whole stack (V).
    pub fn whole_volts(&self) -> f64 {
        self.volts(self.count)
    }
}

impl GasStack {
    /// The stack of a description.
    pub fn of(reference: &GasReference) -> Self {
        let tubes: Vec<Tube> = reference
            .tubes
            .iter()
            .take(MOST)
            .zip(1..)
            .map(|(tube, across)| {
                let (least, most) = (tube.current_least.value.0, tube.current_most.value.0);
                let over_range = tube.regulation_volts.as_ref().map_or(0.0, |v| v.value.0);
                Tube {
                    volts: tube.volts.value.0,
                    ohms: over_range / (most - least).max(1e-6),
                    middle_amps: 0.5 * (least + most),
                    shunt_siemens: reference.shunt(across).map_or(0.0, |ohms| 1.0 / ohms.0),
                }
            })
            .collect();
        let volts = tubes.iter().map(|t| t.volts).sum();
        let least = reference.tubes.iter().map(|t| t.current_least.value.0);
        let most = reference.tubes.iter().map(|t| t.current_most.value.0);
        Self {
            tubes,
            feed_ohms: reference.feed_resistor.0,
            drawn_amps: reference.drawn.0,
            least_amps: least.fold(0.0, f64::max),
            most_amps: most.fold(f64::INFINITY, f64::min),
            volts,
            strike_volts: starting::strike_volts(reference),
            slope_is_known: reference.tubes.iter().all(|t| t.regulation_volts.is_some()),
        }
    }

    /// Running volts of the tubes up to a junction (V).
    pub fn volts_to(&self, tubes: usize) -> f64 {
        self.tubes.iter().take(tubes).map(|t| t.volts).sum()
    }

    /// Slope of the whole stack (Ω).
    pub fn ohms(&self) -> f64 {
        self.tubes.iter().map(Tube::slope).sum()
    }

    /// Slope of the tubes up to a junction (Ω).
    pub fn ohms_to(&self, tubes: usize) -> f64 {
        self.tubes.iter().take(tubes).map(Tube::slope).sum()
    }

    /// Share of a small change of the feed, of `source_ohms` itself, that reaches the junction after `tubes` tubes.
    pub fn share_of_feed(&self, tubes: usize, source_ohms: f64) -> f64 {
        self.ohms_to(tubes) / (self.feed_ohms + self.ohms() + source_ohms)
    }

    /// Current of the tube that has least with the feed at `volts` and nothing joining (A), on the tubes' straight lines: negative
    /// by as much as the feed falls short.
    pub fn straight_amps(&self, volts: f64) -> f64 {
        let all = (volts - self.feed_volts_with(0.0)) / (self.feed_ohms + self.ohms());
        let own = self.tubes.iter().map(|t| t.own_amps(all));
        own.reduce(f64::min).unwrap_or(all)
    }

    /// Volts before the feed resistor at which the tube that has least current has `amps` (V), nothing joining.
    pub fn feed_volts_for(&self, amps: f64) -> f64 {
        let all = self.tubes.iter().map(|t| t.amps_of_both(amps));
        self.feed_volts_with(all.reduce(f64::max).unwrap_or(amps))
    }

    /// The same with `amps` through each tube and its shunt resistor together.
    fn feed_volts_with(&self, amps: f64) -> f64 {
        let stack: f64 = self.tubes.iter().map(|t| t.volts_with(amps)).sum();
        stack + (amps + self.drawn_amps) * self.feed_ohms
    }

    /// The stack fed from a line of volts over current, with currents that join it on the way.
    pub fn carry(&self, feed: LinearSource, joining: &[TapCurrent]) -> StackState {
        let mut through = [-self.drawn_amps; MOST];
        for join in joining {
            let passed = through.iter_mut().take(join.tubes);
            passed.for_each(|amps| *amps += join.amps);
        }
        let (feed_amps, out) = self.feed_amps(feed, &through);
        let tubes = || self.tubes.iter().zip(through).zip(out);
        // A dark tube without a resistor across it stops the current of all.
        let is_dark = feed_amps <= 0.0
            || tubes().any(|((t, through), _)| t.is_bare() && feed_amps + through <= 0.0);
        let lit = !is_dark && !tubes().any(|(_, out)| out);
        if lit && self.tubes.iter().all(Tube::is_bare) {
            return self.all_lit(feed_amps, &through);
        }
        // Dark tubes share what is left as they would carry it with no current at all: so a feed that falls never raises a
        // junction, not even where the tubes go out. Without current a shunt resistor has no volts.
        let some_are_bare = self.tubes.iter().any(Tube::is_bare);
        let dark_volts = |t: &Tube| {
            let has_none = some_are_bare && !t.is_bare();
            if has_none { 0.0 } else { t.dark_volts() }
        };
        let all_dark: f64 = self.tubes.iter().map(dark_volts).sum();
        let left = feed.volts - self.drawn_amps * (self.feed_ohms + feed.ohms);
        let sagging = (left / all_dark.max(1e-9)).clamp(0.0, 1.0);
        let mut junctions = [0.0; MOST];
        let (mut sum, mut least, mut most) = (0.0, f64::INFINITY, 0.0_f64);
        let mut shunt_amps = 0.0_f64;
        for (((tube, through), out), junction) in tubes().zip(&mut junctions) {
            let both = feed_amps + through;
            let (amps, volts) = if is_dark {
                (0.0, dark_volts(tube) * sagging)
            } else if out {
                (0.0, (both / tube.shunt_siemens).max(0.0))
            } else {
                (tube.own_amps(both), tube.volts_with(both))
            };
            sum += volts;
            *junction = sum;
            least = least.min(amps);
            most = most.max(amps);
            if !is_dark {
                shunt_amps = shunt_amps.max(volts * tube.shunt_siemens);
            }
        }
        StackState {
            feed_amps: if is_dark { 0.0 } else { feed_amps },
            least_amps: if lit { least } else { 0.0 },
            most_amps: most,
            junctions,
            count: self.tubes.len().min(MOST),
            shunt_amps,
            lit,
        }
    }

    /// The state of tubes without shunt resistors, all of them lit: the usual one, and asked for thousands of times a frame.
    fn all_lit(&self, feed_amps: f64, through: &[f64; MOST]) -> StackState {
        let mut junctions = [0.0; MOST];
        let (mut sum, mut least, mut most) = (0.0, f64::INFINITY, 0.0_f64);
        for ((tube, through), junction) in self.tubes.iter().zip(through).zip(&mut junctions) {
            let amps = feed_amps + through;
            sum += tube.volts + tube.ohms * (amps - tube.middle_amps);
            *junction = sum;
            least = least.min(amps);
            most = most.max(amps);
        }
        StackState {
            feed_amps,
            least_amps: least,
            most_amps: most,
            junctions,
            count: self.tubes.len().min(MOST),
            shunt_amps: 0.0,
            lit: true,
        }
    }

    /// Current of the feed (A), `through` joining it in each tube, and which tubes leave it to the resistors across them.
    fn feed_amps(&self, feed: LinearSource, through: &[f64; MOST]) -> (f64, [bool; MOST]) {
        let mut out = [false; MOST];
        let mut feed_amps = 0.0;
        // Volts over current bend down where a tube lights, so each round's current is nearer from below: one round for each tube.
        for _ in 0..=MOST {
            let (mut ohms, mut standing) = (0.0, 0.0);
            for ((tube, through), out) in self.tubes.iter().zip(through).zip(out) {
                if out {
                    ohms += 1.0 / tube.shunt_siemens;
                    standing += through / tube.shunt_siemens;
                } else {
                    ohms += tube.slope();
                    standing += tube.volts_with(*through);
                }
            }
            // Σ[V + r·(F + through − middle)] = E − F·(feed + ρ), solved for the feed current F.
            feed_amps = (feed.volts - standing) / (self.feed_ohms + ohms + feed.ohms);
            let before = out;
            for ((tube, through), out) in self.tubes.iter().zip(through).zip(&mut out) {
                *out = !tube.is_bare() && tube.own_amps(feed_amps + through) <= 0.0;
            }
            if out == before {
                break;
            }
        }
        (feed_amps, out)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::Catalogue;
    use crate::parts::{Amps, Ohms, ReferenceFeed};

    /// An 0A2 (150 V at 17.5 mA, 2 V over 25 mA: 80 Ω) and an 0A3 (75 V at 22.5 mA, 5 V over 35 mA: 142.9 Ω).
    fn stack() -> GasStack {
        let catalogue = Catalogue::built_in();
        GasStack::of(&GasReference {
            tubes: ["0A2", "0A3"]
                .map(|name| catalogue.gas_tube(name).unwrap().clone())
                .to_vec(),
            feed_resistor: Ohms(5e3),
            fed_from: ReferenceFeed::Bus,
            drawn: Amps(0.002),
            shunts: None,
        })
    }

    #[test]
    fn currents_and_volts_obey_kirchhoff() {
        let stack = stack();
        let feed = LinearSource {
            volts: 300.0,
            ohms: 200.0,
        };
        let joining = [TapCurrent {
            tubes: 1,
            amps: 0.003,
        }];
        let carried = stack.carry(feed, &joining);
        let lower = carried.feed_amps - 0.002 + 0.003;
        let upper = carried.feed_amps - 0.002;
        let first = 150.0 + 80.0 * (lower - 0.0175);
        let second = 75.0 + 5.0 / 0.035 * (upper - 0.0225);
        assert!((carried.volts(1) - first).abs() < 1e-9);
        assert!((carried.volts(2) - first - second).abs() < 1e-9);
        assert!((300.0 - carried.feed_amps * 5200.0 - carried.volts(2)).abs() < 1e-9);
        assert_eq!((carried.least_amps, carried.most_amps), (upper, lower));
    }

    /// 0A2: 5 to 30 mA; 0A3: 5 to 40 mA. Together they may carry what both may.
    #[test]
    fn the_tube_that_may_carry_least_binds_the_stack() {
        let stack = stack();
        assert!((stack.least_amps - 0.005).abs() < 1e-12, "{stack:?}");
        assert!((stack.most_amps - 0.030).abs() < 1e-12, "{stack:?}");
    }

    #[test]
    fn below_its_running_volts_the_stack_is_out_and_sags() {
        let feed = LinearSource {
            volts: 112.5,
            ohms: 0.0,
        };
        let carried = stack().carry(feed, &[]);
        assert!(!carried.lit);
        assert!(carried.least_amps.abs() < 1e-12);
        // No current: 150 V − 80 Ω · 17.5 mA and 75 V − 142.9 Ω · 22.5 mA; 2 mA through 5 kΩ are drawn.
        let (lower, upper) = (148.6, 75.0 - 5.0 / 0.035 * 0.0225);
        let want = (112.5 - 10.0) * lower / (lower + upper);
        assert!((carried.volts(1) - want).abs() < 1e-9);
    }

    #[test]
    fn a_feed_that_falls_never_raises_a_junction() {
        let stack = stack();
        let at = |volts: f64| {
            let carried = stack.carry(LinearSource { volts, ohms: 200.0 }, &[]);
            (carried.lit, [1, 2].map(|tubes| carried.volts(tubes)))
        };
        let steps: Vec<_> = (0..400).map(|k| at(400.0 - f64::from(k))).collect();
        assert!(steps.iter().any(|s| s.0) && steps.iter().any(|s| !s.0));
        for (higher, lower) in steps.iter().zip(steps.iter().skip(1)) {
            for (a, b) in higher.1.iter().zip(lower.1) {
                assert!(b <= *a, "{higher:?} → {lower:?}");
                // And nothing jumps where they go out.
                assert!(a - b < 1.001, "{higher:?} → {lower:?}");
            }
        }
    }

    /// The same stack with 30 kΩ across the 0A2 alone, or across both.
    fn shunted(ohms: [Option<f64>; 2]) -> GasStack {
        let mut stack = stack();
        for (tube, ohms) in stack.tubes.iter_mut().zip(ohms) {
            tube.shunt_siemens = ohms.map_or(0.0, |ohms| 1.0 / ohms);
        }
        stack
    }

    /// Kirchhoff's laws at every feed: the feed's current less what is drawn goes through each tube and its resistor together, and a
    /// tube on its line carries what its volts say.
    #[test]
    fn a_shunt_resistor_takes_its_part_past_its_tube() {
        for ohms in [
            [Some(30e3), None],
            [None, Some(30e3)],
            [Some(30e3), Some(10e3)],
        ] {
            let stack = shunted(ohms);
            let carried = stack.carry(LinearSource::stiff(330.0), &[]);
            assert!(carried.lit, "{ohms:?}: {carried:?}");
            let volts = [carried.volts(1), carried.volts(2) - carried.volts(1)];
            let through = carried.feed_amps - 0.002;
            let own = [0, 1].map(|k| through - ohms[k].map_or(0.0, |r| volts[k] / r));
            let lines = [
                150.0 + 80.0 * (own[0] - 0.0175),
                75.0 + 5.0 / 0.035 * (own[1] - 0.0225),
            ];
            for k in [0, 1] {
                assert!((volts[k] - lines[k]).abs() < 1e-9, "{ohms:?}");
            }
            assert!((330.0 - 5e3 * carried.feed_amps - volts[0] - volts[1]).abs() < 1e-9);
            assert!((carried.least_amps - own[0].min(own[1])).abs() < 1e-12);
            let shunt = [0, 1].map(|k| ohms[k].map_or(0.0, |r| volts[k] / r));
            assert!((carried.shunt_amps - shunt[0].max(shunt[1])).abs() < 1e-12);
            // And back: the feed at which the tube that has least has that current.
            assert!((stack.straight_amps(330.0) - carried.least_amps).abs() < 1e-12);
            assert!((stack.feed_volts_for(carried.least_amps) - 330.0).abs() < 1e-9);
        }
    }

    /// A tube that goes out beside its resistor leaves the others lit, and nothing jumps all the way down.
    #[test]
    fn a_shunted_tube_goes_out_alone() {
        for ohms in [
            [Some(10e3), None],
            [None, Some(10e3)],
            [Some(10e3), Some(10e3)],
        ] {
            let stack = shunted(ohms);
            let at = |volts: f64| stack.carry(LinearSource { volts, ohms: 200.0 }, &[]);
            let steps: Vec<_> = (0..4200).map(|k| at(420.0 - 0.1 * f64::from(k))).collect();
            let alone = steps
                .iter()
                .filter(|s| !s.lit && s.most_amps > 1e-3)
                .count();
            assert!(alone > 10, "{ohms:?}: {alone}");
            for (higher, lower) in steps.iter().zip(steps.iter().skip(1)) {
                assert!(higher.lit || !lower.lit, "{ohms:?}");
                for tubes in [1, 2] {
                    let fall = higher.volts(tubes) - lower.volts(tubes);
                    assert!(
                        (-1e-9..0.11).contains(&fall),
                        "{ohms:?}: {higher:?} → {lower:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn the_last_to_strike_asks_for_most() {
        // 0A2: 185 V for 150 V, 35 V more; 0A3: 105 V for 75 V, 30 V more.
        assert_eq!(stack().strike_volts, Some(260.0));
    }
}
