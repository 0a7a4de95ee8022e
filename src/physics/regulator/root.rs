//! The root of a rising function between two ends.

/// Where `f`, which rises, is zero between `low` and `high`: by false position that halves the weight of an end that stays
/// (the Illinois rule; common practice, no source). An end beyond which the root lies is itself the answer.
///
/// # Errors
/// As `f`.
pub(super) fn rising_root<E>(
    low: f64,
    high: f64,
    f: impl Fn(f64) -> Result<f64, E>,
) -> Result<f64, E> {
    let (mut a, mut b) = (low, high);
    let (mut at_a, mut at_b) = (f(a)?, f(b)?);
    if at_a >= 0.0 {
        return Ok(a);
    }
    if at_b <= 0.0 {
        return Ok(b);
    }
    let mut side = 0;
    for _ in 0..80 {
        let c = (a * at_b - b * at_a) / (at_b - at_a);
        let at_c = f(c)?;
        if at_c.abs() < 1e-12 || (b - a).abs() < 1e-10 * b.abs() {
            return Ok(c);
        }
        if at_c > 0.0 {
            (b, at_b) = (c, at_c);
            if side == 1 {
                at_a *= 0.5;
            }
            side = 1;
        } else {
            (a, at_a) = (c, at_c);
            if side == -1 {
                at_b *= 0.5;
            }
            side = -1;
        }
    }
    Ok(0.5 * (a + b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_root_or_the_end_beyond_which_it_lies() {
        let cube = |x: f64| Ok::<_, ()>(x * x * x - 8.0);
        assert!((rising_root(0.0, 5.0, cube).unwrap() - 2.0).abs() < 1e-9);
        assert_eq!(rising_root(3.0, 5.0, cube), Ok(3.0));
        assert_eq!(rising_root(0.0, 1.0, cube), Ok(1.0));
        assert_eq!(rising_root(0.0, 1.0, |_| Err::<f64, _>("no")), Err("no"));
    }
}
