//! Numerical tools that know nothing of supplies: the root of a function, where a yes turns to a no, a cubic and where it turns.

use core::convert::Infallible;

/// When a root counts as found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// Width of what is left of the bracket.
    pub width: f64,
    /// Size of the function.
    pub value: f64,
}

impl Tolerance {
    /// So narrow that hardly more than the arithmetic limits it, for unknowns of about `size`.
    pub fn fine(size: f64) -> Self {
        Self {
            width: 1e-13 * size.abs(),
            value: 0.0,
        }
    }
}

/// Two ends between which a function changes its sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bracket {
    low: End,
    high: End,
}

/// A place, the function there, and how much that counts in the next step.
#[derive(Debug, Clone, Copy, PartialEq)]
struct End {
    at: f64,
    value: f64,
    weight: f64,
}

/// Steps after which the bracket must have shrunk to half, or its middle is taken.
const PATIENCE: u32 = 2;
/// No bracket of finite numbers needs more: each [`PATIENCE`] + 2 steps halve it at least.
const MOST_STEPS: u32 = 400;

impl Bracket {
    /// The bracket between two places at which the function is known, each as place and value.
    ///
    /// # Errors
    /// The place nearer to the root, where the function has one sign at both.
    pub fn of(low: [f64; 2], high: [f64; 2]) -> Result<Self, f64> {
        let [low, high] = [low, high].map(|[at, value]| End {
            at,
            value,
            weight: value,
        });
        if (low.value < 0.0) == (high.value < 0.0) {
            return Err(nearer(low, high));
        }
        Ok(Self { low, high })
    }

    /// A root within the bracket, to `tolerance`.
    ///
    /// False position with the Illinois rule, which halves the weight of an end that stays; where that has not halved the bracket
    /// in four steps its middle is taken. So it is as fast as a secant on what is nearly straight, and never takes more than four
    /// times the steps of bisection.
    ///
    /// # Source
    /// M. Dowell, P. Jarratt, A modified regula falsi method, BIT 11 (1971) 168 (from memory); the safeguard is ours, tests hold it.
    ///
    /// # Errors
    /// As `f`.
    pub fn root<E>(
        self,
        tolerance: Tolerance,
        f: &mut dyn FnMut(f64) -> Result<f64, E>,
    ) -> Result<f64, E> {
        let Self { mut low, mut high } = self;
        let mut last_was_low = None;
        let (mut steps, mut width_then) = (0, (high.at - low.at).abs());
        for _ in 0..MOST_STEPS {
            let width = (high.at - low.at).abs();
            if low.value == 0.0 || high.value == 0.0 || width <= tolerance.width {
                break;
            }
            if width <= 0.5 * width_then {
                (steps, width_then) = (0, width);
            }
            let middle = 0.5 * (low.at + high.at);
            let straight = low.at - low.weight * (high.at - low.at) / (high.weight - low.weight);
            let is_between = (straight - low.at) * (straight - high.at) < 0.0;
            let at = if steps > PATIENCE || !is_between {
                (steps, width_then) = (0, width);
                middle
            } else {
                steps += 1;
                straight
            };
            if at <= low.at || at >= high.at {
                break;
            }
            let value = f(at)?;
            if value.abs() <= tolerance.value {
                return Ok(at);
            }
            let is_low = (value < 0.0) == (low.value < 0.0);
            let (replaced, kept) = if is_low {
                (&mut low, &mut high)
            } else {
                (&mut high, &mut low)
            };
            *replaced = End {
                at,
                value,
                weight: value,
            };
            if last_was_low == Some(is_low) {
                kept.weight *= 0.5;
            }
            last_was_low = Some(is_low);
        }
        Ok(nearer(low, high))
    }
}

fn nearer(low: End, high: End) -> f64 {
    if low.value.abs() <= high.value.abs() {
        low.at
    } else {
        high.at
    }
}

/// Where `f` goes through zero between `low` and `high`, to `tolerance`; where it has one sign at both, the end nearer to zero.
pub fn root_between(
    low: f64,
    high: f64,
    tolerance: Tolerance,
    mut f: impl FnMut(f64) -> f64,
) -> f64 {
    let mut sure = |x: f64| Ok::<_, Infallible>(f(x));
    match try_root_between(low, high, tolerance, &mut sure) {
        Ok(at) => at,
    }
}

/// The same for a function that may fail.
///
/// # Errors
/// As `f`.
pub fn try_root_between<E>(
    low: f64,
    high: f64,
    tolerance: Tolerance,
    f: &mut dyn FnMut(f64) -> Result<f64, E>,
) -> Result<f64, E> {
    match Bracket::of([low, f(low)?], [high, f(high)?]) {
        Ok(bracket) => bracket.root(tolerance, f),
        Err(end) => Ok(end),
    }
}

/// What is known of the slope of a rising function, so that a step towards its root goes neither astray nor nowhere.
#[derive(Debug, Clone, Copy)]
pub struct Rise {
    /// As it is likely to be.
    pub likely: f64,
    /// Least and most that is believed.
    pub believed: [f64; 2],
    /// Longest step.
    pub longest: f64,
}

/// Where a rising function is zero, sought from `near` on by secants until it is below `found`. Once both sides of the root are known a
/// step that would leave them goes to their middle instead, and so does every third step: then the end is sure.
///
/// # Errors
/// As `f`.
pub fn root_near<E>(
    near: f64,
    rise: Rise,
    found: f64,
    f: &dyn Fn(f64) -> Result<f64, E>,
) -> Result<f64, E> {
    let (mut a, mut at_a) = (near, f(near)?);
    if at_a.abs() < found {
        return Ok(near);
    }
    let mut b = near - at_a / rise.likely;
    let (mut below, mut above) = if at_a < 0.0 {
        (near, f64::INFINITY)
    } else {
        (f64::NEG_INFINITY, near)
    };
    let [least, most] = rise.believed;
    for step_number in 0..60 {
        let at_b = f(b)?;
        if at_b.abs() < found || (b - a).abs() < 1e-9 {
            return Ok(b);
        }
        if at_b < 0.0 {
            below = below.max(b);
        } else {
            above = above.min(b);
        }
        let slope = (at_b - at_a) / (b - a);
        let step = (-at_b / slope.clamp(least, most)).clamp(-rise.longest, rise.longest);
        (a, at_a) = (b, at_b);
        let next = b + step;
        let is_between = below < next && next < above;
        let both = below.is_finite() && above.is_finite();
        b = if both && (!is_between || step_number % 3 == 2) {
            0.5 * (below + above)
        } else {
            next
        };
    }
    Ok(b)
}

/// Least fall of `next(x) − x` that a secant is believed to have seen: a step is at most twenty times the plain one.
const LEAST_FALL: f64 = 0.05;

/// Where `next(x) = x`, to `found`: plain rounds from `start` on, each lengthened by what the two before it have shown of the slope.
/// Where `next` rises and bends down (its slope falls), rounds from above stay above the answer.
///
/// `None` as `next`; the place reached where `rounds` do not bring it together.
pub fn fixed_point(
    start: f64,
    found: f64,
    rounds: u32,
    next: &dyn Fn(f64) -> Option<f64>,
) -> Option<Result<f64, f64>> {
    let (mut before, mut miss_before) = (start, next(start)? - start);
    let mut here = start + miss_before;
    for _ in 0..rounds {
        if !here.is_finite() {
            break;
        }
        let miss = next(here)? - here;
        let fall = (miss_before - miss) / (here - before);
        // NaN where the two rounds are one.
        let step = if fall > LEAST_FALL { miss / fall } else { miss };
        (before, miss_before) = (here, miss);
        here += step;
        if step.abs() <= found {
            return Some(Ok(here));
        }
    }
    Some(Err(here))
}

/// The least of the numbers from `first` upwards for which `holds` no longer holds, within a 4,096th of it: by doubling, then by halving.
/// `None` where it still holds above `most`.
///
/// # Errors
/// As `holds`.
pub fn first_without<E>(
    first: f64,
    most: f64,
    holds: &mut dyn FnMut(f64) -> Result<bool, E>,
) -> Result<Option<f64>, E> {
    let (mut low, mut high) = (0.0, first);
    while holds(high)? {
        low = high;
        high *= 2.0;
        if high > most {
            return Ok(None);
        }
    }
    for _ in 0..12 {
        let middle = 0.5 * (low + high);
        if holds(middle)? {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(Some(high))
}

/// A cubic, by its coefficients from the constant one on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cubic([f64; 4]);

impl Cubic {
    /// Through four values, the first at 0, the others at rising places.
    pub fn through([y0, y1, y2, y3]: [f64; 4], [t1, t2, t3]: [f64; 3]) -> Self {
        // Newton's divided differences, multiplied out.
        let (d01, d12, d23) = ((y1 - y0) / t1, (y2 - y1) / (t2 - t1), (y3 - y2) / (t3 - t2));
        let (d012, d123) = ((d12 - d01) / t2, (d23 - d12) / (t3 - t1));
        let d0123 = (d123 - d012) / t3;
        Self([
            y0,
            d01 - t1 * d012 + t1 * t2 * d0123,
            d012 - (t1 + t2) * d0123,
            d0123,
        ])
    }

    /// From 0 to `length`, with value and slope given at both ends (Hermite).
    pub fn between(length: f64, [v0, s0]: [f64; 2], [v1, s1]: [f64; 2]) -> Self {
        let mean = (v1 - v0) / length;
        let square = (3.0 * mean - 2.0 * s0 - s1) / length;
        let cube = (s0 + s1 - 2.0 * mean) / (length * length);
        Self([v0, s0, square, cube])
    }

    /// Its value at `t`.
    pub fn at(&self, t: f64) -> f64 {
        let Self([a, b, c, d]) = self;
        a + t * (b + t * (c + t * d))
    }

    /// Where it turns: none, one or two places.
    pub fn turns(&self) -> impl Iterator<Item = f64> {
        let Self([_, b, c, d]) = self;
        let root = (c * c - 3.0 * b * d).sqrt();
        // The form of both roots of `b + 2c·t + 3d·t²` without cancellation.
        let half = -(c + c.signum() * root);
        let both = [b / half, half / (3.0 * d)];
        both.into_iter().filter(|t| t.is_finite())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Functions with the root at 2, from nearly straight to a step and to a flat inflection.
    const ROOT_AT_TWO: [fn(f64) -> f64; 6] = [
        |x| x - 2.0,
        |x| 2.0 - x,
        |x| x * x * x - 8.0,
        |x| (x - 2.0).powi(9),
        |x| (40.0 * (x - 2.0)).tanh() + 1e-9 * (x - 2.0),
        |x| if x < 2.0 { -1e-12 } else { 1e6 },
    ];

    #[test]
    fn a_root_is_found_within_its_bracket_and_within_four_times_the_steps_of_halving() {
        for (k, f) in ROOT_AT_TWO.into_iter().enumerate() {
            for (low, high) in [(0.0, 5.0), (-1e6, 2.5), (1.999, 1e9)] {
                let mut steps = 0;
                let width = 1e-9 * (high - low);
                let found = root_between(low, high, Tolerance { width, value: 0.0 }, |x| {
                    steps += 1;
                    f(x)
                });
                assert!(
                    (found - 2.0).abs() <= width || f(found) == 0.0,
                    "{k}: {found}"
                );
                assert!(steps <= 4 * 31 + 2, "{k}: {steps} steps");
            }
        }
    }

    #[test]
    fn without_a_change_of_sign_the_end_nearer_to_zero_is_the_answer() {
        let fine = Tolerance::fine(1.0);
        assert!((root_between(3.0, 5.0, fine, |x| x * x - 4.0) - 3.0).abs() < 1e-12);
        assert!((root_between(0.0, 1.0, fine, |x| x * x - 4.0) - 1.0).abs() < 1e-12);
        let failing = &mut |_: f64| Err("no");
        assert_eq!(try_root_between(0.0, 1.0, fine, failing), Err("no"));
    }

    #[test]
    fn a_root_is_found_from_far_off_on_a_slope_that_was_guessed_wrongly() {
        let rise = Rise {
            likely: 1.5,
            believed: [0.2, 20.0],
            longest: 300.0,
        };
        let rising: [fn(f64) -> f64; 3] = [
            |x| 0.3 * (x - 2.0),
            |x| x - 2.0 + 0.5 * (x - 2.0).sin(),
            |x| 50.0 * (x - 2.0).tanh(),
        ];
        for f in rising {
            for near in [-700.0, 2.0, 400.0] {
                let found = root_near(near, rise, 1e-9, &|x| Ok::<_, ()>(f(x))).unwrap();
                assert!(f(found).abs() < 1e-8, "{near}: {found}");
            }
        }
    }

    /// Kepler's equation, `x = 1 + 0.5·sin x` (root by hand from a table of sines), a straight line, and the larger root of
    /// `x = 4 − 3/x`, 3, from above; plain rounds would take some thirty.
    #[test]
    fn a_fixed_point_is_found_in_few_rounds() {
        type Case = (fn(f64) -> f64, f64);
        let cases: [Case; 3] = [
            (|x| 1.0 + 0.5 * x.sin(), 1.498_701_133_5),
            (|x| 10.0 - 0.9 * x, 10.0 / 1.9),
            (|x| 4.0 - 3.0 / x, 3.0),
        ];
        for (next, wanted) in cases {
            let found = fixed_point(50.0, 1e-9, 9, &|x| Some(next(x))).unwrap();
            assert!((found.unwrap() - wanted).abs() < 1e-8, "{found:?}");
        }
        let running_off = fixed_point(1.0, 1e-9, 9, &|x| Some(2.0 * x + 1.0)).unwrap();
        assert!(running_off.is_err(), "{running_off:?}");
        assert_eq!(fixed_point(1.0, 1e-9, 9, &|_| None), None);
    }

    #[test]
    fn a_yes_turns_to_a_no_where_it_does() {
        let until = |end: f64| first_without(1e-3, 1e3, &mut |x| Ok::<_, ()>(x < end)).unwrap();
        for end in [1e-5, 0.7, 300.0] {
            let found = until(end).unwrap();
            assert!(
                found >= end && found <= end * 1.001 + 1e-6,
                "{found} for {end}"
            );
        }
        assert_eq!(until(1e4), None);
    }

    /// Closed form: t·(1 − t)² turns at 1/3 and at 1.
    #[test]
    fn a_cubic_goes_through_its_points_and_turns_where_its_slope_is_zero() {
        let f = |t: f64| t * (1.0 - t) * (1.0 - t);
        let slope = |t: f64| (1.0 - t) * (1.0 - 3.0 * t);
        let by_points = Cubic::through([0.0, 0.2, 0.6, 1.5].map(f), [0.2, 0.6, 1.5]);
        let by_ends = Cubic::between(1.5, [f(0.0), slope(0.0)], [f(1.5), slope(1.5)]);
        for cubic in [by_points, by_ends] {
            for t in [0.1, 0.5, 1.2] {
                assert!((cubic.at(t) - f(t)).abs() < 1e-12);
            }
            let mut turns: Vec<f64> = cubic.turns().collect();
            turns.sort_by(f64::total_cmp);
            assert!((turns[0] - 1.0 / 3.0).abs() < 1e-12 && (turns[1] - 1.0).abs() < 1e-12);
        }
        // A parabola turns once, a straight line nowhere.
        let parabola = Cubic::between(1.0, [0.0, 1.0], [0.0, -1.0]);
        assert!(parabola.turns().any(|t| (t - 0.5).abs() < 1e-12));
        let line = Cubic::between(2.0, [0.0, 1.0], [2.0, 1.0]);
        assert!(line.turns().all(|t| !(0.0..=2.0).contains(&t)));
    }
}
