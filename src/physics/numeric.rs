//! Numerical tools that know nothing of supplies: the root of a function in a bracket, and a cubic that is monotone where its
//! points are.

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
    /// So narrow that only the arithmetic limits it, for unknowns of about `size`.
    pub fn fine(size: f64) -> Self {
        Self {
            width: 1e-13 * size.abs(),
            value: 0.0,
        }
    }
}

/// Two ends between which a function goes through zero from below (or comes from above: [`Self::around`] turns it round).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bracket {
    low: Sample,
    high: Sample,
}

/// A function at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Sample {
    at: f64,
    value: f64,
}

/// Steps after which the bracket must have shrunk to half, or its middle is taken.
const PATIENCE: u32 = 3;
/// No bracket needs more: each [`PATIENCE`] + 1 steps halve it at least.
const MOST_STEPS: u32 = 400;

impl Bracket {
    /// The bracket from `low` to `high` if `f` is below zero at the one end and not below zero at the other.
    ///
    /// # Errors
    /// The end nearer to the root, where `f` has one sign at both; or as `f`.
    pub fn around<E>(
        low: f64,
        high: f64,
        f: &mut dyn FnMut(f64) -> Result<f64, E>,
    ) -> Result<Result<Self, f64>, E> {
        let (at_low, at_high) = (f(low)?, f(high)?);
        Ok(Self::of([low, at_low], [high, at_high]))
    }

    /// The same where the function at both ends is known: each is a place and a value.
    ///
    /// # Errors
    /// The end nearer to the root, where the function has one sign at both.
    pub fn of(low: [f64; 2], high: [f64; 2]) -> Result<Self, f64> {
        let [low, high] = [low, high].map(|[at, value]| Sample { at, value });
        if (low.value < 0.0) == (high.value < 0.0) {
            let nearer = if low.value.abs() <= high.value.abs() {
                low
            } else {
                high
            };
            return Err(nearer.at);
        }
        Ok(Self { low, high })
    }

    /// A root within the bracket, to `tolerance`.
    ///
    /// False position with the Illinois rule, which halves the weight of an end that stays; where that has not halved the bracket
    /// in four steps its middle is taken. So it is as fast as a secant on what is nearly straight, and never slower than four times
    /// bisection.
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
        let mut last_kept = None;
        let (mut slow_steps, mut width_then) = (0, (high.at - low.at).abs());
        for _ in 0..MOST_STEPS {
            for end in [low, high] {
                if end.value == 0.0 {
                    return Ok(end.at);
                }
            }
            let width = (high.at - low.at).abs();
            if width <= tolerance.width {
                break;
            }
            if width <= 0.5 * width_then {
                (slow_steps, width_then) = (0, width);
            }
            let by_halves = slow_steps > PATIENCE;
            let at = if by_halves {
                (slow_steps, width_then) = (0, width);
                0.5 * (low.at + high.at)
            } else {
                slow_steps += 1;
                low.at - low.value * (high.at - low.at) / (high.value - low.value)
            };
            // Nothing representable lies between the ends any more, or rounding has left the bracket.
            let at = if at.is_finite() && (at - low.at) * (at - high.at) < 0.0 {
                at
            } else {
                0.5 * (low.at + high.at)
            };
            if at == low.at || at == high.at {
                break;
            }
            let here = Sample { at, value: f(at)? };
            if here.value.abs() <= tolerance.value {
                return Ok(at);
            }
            let replaces_low = (here.value < 0.0) == (low.value < 0.0);
            let (replaced, kept) = if replaces_low {
                (&mut low, &mut high)
            } else {
                (&mut high, &mut low)
            };
            *replaced = here;
            if last_kept == Some(replaces_low) {
                kept.value *= 0.5;
            }
            last_kept = Some(replaces_low);
        }
        Ok(if low.value.abs() < high.value.abs() {
            low.at
        } else {
            high.at
        })
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
    let found = try_root_between(low, high, tolerance, &mut sure);
    match found {
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
    match Bracket::around(low, high, f)? {
        Ok(bracket) => bracket.root(tolerance, f),
        Err(end) => Ok(end),
    }
}
