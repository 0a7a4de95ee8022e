//! The time–current curve of a fuse, anywhere between the weakest and the strongest that its family allows.
//!
//! It is kept as the I²t that melts it within a time. In times too short for heat to leave, that is the melting I²t of its maker; from
//! there it runs through the gates of the standard, along straight lines between logarithms. Makers' fuses differ: `strength` says where
//! between weakest (0) and strongest (1) this one is, at every gate alike.

use crate::parts::fuse_table::Family;
use crate::parts::primary::FuseKind;

/// A fuse of one kind and rating, so strong among its kind.
#[derive(Debug, Clone, PartialEq)]
pub struct FuseCurve {
    weakest: Bound,
    strongest: Bound,
    strength: f64,
}

/// The curve of the weakest or of the strongest fuse of a kind and rating.
#[derive(Debug, Clone, PartialEq)]
struct Bound {
    /// Melting I²t (A²s) where no heat has left yet.
    melting: f64,
    /// Time (s) and the I²t that melts it within that time (A²s), rising in both.
    points: Vec<[f64; 2]>,
    /// Current that it carries for good (A).
    holds_amps: f64,
}

/// Where a family has but one maker or none, its melting I²t is taken to be this many times more or less.
const NOT_KNOWN_BY: f64 = 3.0;
/// A gate that has only one of its times has the other so many times away (common practice, no source).
const OPEN_GATE: f64 = 10.0;

/// Least and most melting I²t of a rating (A²s): between makers where two or more state it, else about what the family has.
pub fn melting(kind: FuseKind, rating: f64) -> [f64; 2] {
    let family = Family::of(kind);
    let stated = family.stated(rating);
    let [mut low, mut high, mut many] = [f64::INFINITY, 0.0_f64, 0.0];
    for heat in stated {
        low = low.min(heat);
        high = high.max(heat);
        many += 1.0;
    }
    if many >= 2.0 {
        return [low, high];
    }
    let (factor, exponent) = family.about;
    let about = factor * rating.powf(exponent);
    [
        low.min(about / NOT_KNOWN_BY),
        high.max(about * NOT_KNOWN_BY),
    ]
}

impl Bound {
    /// `side` is 0 for the weakest and 1 for the strongest.
    fn of(kind: FuseKind, rating: f64, side: usize) -> Self {
        let family = Family::of(kind);
        let of_side = |ends: [f64; 2]| ends[side];
        let mut melting = of_side(melting(kind, rating));
        let mut points: Vec<[f64; 2]> = Vec::new();
        let mut holds = [rating, rating];
        for gate in family.gates_of(rating).iter().rev() {
            let amps = gate.multiple * rating;
            let square = amps * amps;
            let Some(most) = gate.most_seconds else {
                // What it carries for so long, it carries.
                holds[0] = amps;
                continue;
            };
            holds[1] = amps;
            let seconds = if gate.multiple >= SHORT {
                // By its melting I²t, within the gate.
                let own = (melting / square).min(most);
                let own = gate.least_seconds.map_or(own, |least| own.max(least));
                melting = square * own;
                own
            } else {
                // Less current never melts it with less I²t.
                let before = points.last().map_or(melting, |[_, heat]| *heat);
                let least = gate.least_seconds.unwrap_or(most / OPEN_GATE);
                of_side([least, most]).max(before / square).min(most)
            };
            points.push([seconds, square * seconds]);
        }
        if let Some([seconds, heat]) = points.first().copied()
            && heat > melting * (1.0 + 1e-9)
        {
            // Heat begins to leave about where ten times the rating melts it, as it does in those families that have a gate there.
            let short = SHORT * rating;
            let adiabatic = (melting / (short * short)).min(0.5 * seconds);
            points.insert(0, [adiabatic, melting]);
        }
        Self {
            melting,
            points,
            // The strongest still melts at its last gate.
            holds_amps: if side == 0 { holds[0] } else { 0.98 * holds[1] },
        }
    }

    /// I²t that melts it within a time (A²s).
    fn melting_within(&self, seconds: f64) -> f64 {
        let behind = self.points.partition_point(|[at, _]| *at <= seconds);
        let before = behind.checked_sub(1).and_then(|k| self.points.get(k));
        match (before, self.points.get(behind)) {
            (Some([t0, h0]), Some([t1, h1])) => {
                let share = (seconds / t0).ln() / (t1 / t0).ln();
                h0 * (h1 / h0).powf(share)
            }
            (Some([_, last]), None) => last.max(self.holds_amps * self.holds_amps * seconds),
            (None, _) => self.melting,
        }
    }
}

/// So many times the rated current is a short circuit, in which no heat leaves the wire.
const SHORT: f64 = 10.0;

impl FuseCurve {
    /// Of a kind and rating (A), between the weakest (0) and the strongest (1).
    pub fn of(kind: FuseKind, rating: f64, strength: f64) -> Self {
        Self {
            weakest: Bound::of(kind, rating, 0),
            strongest: Bound::of(kind, rating, 1),
            strength,
        }
    }

    /// The same fuse, so strong.
    #[must_use]
    pub fn with_strength(&self, strength: f64) -> Self {
        Self {
            strength,
            ..self.clone()
        }
    }

    fn between(&self, of: impl Fn(&Bound) -> f64) -> f64 {
        let [low, high] = [of(&self.weakest), of(&self.strongest)];
        low * (high / low).powf(self.strength)
    }

    /// I²t that melts it within a time (A²s).
    pub fn melting_within(&self, seconds: f64) -> f64 {
        self.between(|bound| bound.melting_within(seconds))
    }

    /// Current that it carries for good (A).
    pub fn holds_amps(&self) -> f64 {
        self.between(|bound| bound.holds_amps)
    }

    /// Current that melts it in a time (A rms).
    pub fn amps_for(&self, seconds: f64) -> f64 {
        (self.melting_within(seconds) / seconds).sqrt()
    }

    /// How long a current that stays takes to melt it (s); infinite where it never does.
    pub fn seconds_at(&self, amps: f64) -> f64 {
        if amps <= self.holds_amps() {
            return f64::INFINITY;
        }
        // The first time by which the current has brought what it takes: finer than any gate is.
        let steps = 1400_u32;
        let time = |k: u32| 1e-4 * 10f64.powf(f64::from(k) / 175.0);
        let found = (0..=steps).find(|k| {
            let seconds = time(*k);
            amps * amps * seconds >= self.melting_within(seconds)
        });
        found.map_or(f64::INFINITY, time)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every fuse of every family and strength melts within the gates of its own standard, to the accuracy of the search for the time.
    #[test]
    fn every_curve_passes_its_gates() {
        for kind in FuseKind::ALL {
            let family = Family::of(kind);
            for &rating in family.ratings {
                for strength in [0.0, 0.25, 0.5, 0.75, 1.0] {
                    let curve = FuseCurve::of(kind, rating, strength);
                    for gate in family.gates_of(rating) {
                        let seconds = curve.seconds_at(gate.multiple * rating);
                        let least = gate.least_seconds.unwrap_or(0.0);
                        let most = gate.most_seconds.unwrap_or(f64::INFINITY);
                        assert!(
                            seconds >= 0.98 * least && seconds <= 1.02 * most,
                            "{kind:?} {rating} A, {strength}: {seconds} s at {} times, {least} to {most} s",
                            gate.multiple
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn a_stronger_fuse_takes_more_and_no_time_takes_less() {
        for kind in FuseKind::ALL {
            for &rating in Family::of(kind).ratings {
                let mut weaker: Option<FuseCurve> = None;
                for strength in [0.0, 0.3, 0.6, 1.0] {
                    let curve = FuseCurve::of(kind, rating, strength);
                    let times = (0..70).map(|k| 1e-3 * 10f64.powf(f64::from(k) / 10.0));
                    let mut last = 0.0;
                    for seconds in times {
                        let heat = curve.melting_within(seconds);
                        assert!(
                            heat >= last * (1.0 - 1e-9),
                            "{kind:?} {rating} A {seconds} s"
                        );
                        last = heat;
                        if let Some(weaker) = &weaker {
                            let less = weaker.melting_within(seconds);
                            assert!(
                                heat >= 0.999 * less,
                                "{kind:?} {rating} A {seconds} s: {heat} {less}"
                            );
                        }
                    }
                    weaker = Some(curve);
                }
            }
        }
    }

    /// Makers of 2 A time-lag ceramic fuses: 9.2, 9.6 and 11 A²s; a quick one of glass at 1 A about 0.6 A²s.
    #[test]
    fn the_melting_heat_is_a_range_between_makers() {
        let [low, high] = melting(FuseKind::TimeLagCeramic, 2.0);
        assert!(
            (low - 9.2).abs() < 1e-9 && (high - 11.0).abs() < 1e-9,
            "{low} {high}"
        );
        let [low, high] = melting(FuseKind::QuickGlass, 1.0);
        assert!(low < 0.6 && 0.6 < high && high / low > 8.0, "{low} {high}");
        let [low, high] = melting(FuseKind::TimeLagGlass, 2.0);
        assert!(low < 20.0 && high > 90.0, "{low} {high}");
    }
}
