//! A reading along the size of a fault: from a few solved nodes to many, by cubics that never overshoot.
//!
//! # Source
//! F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238; slopes by F. N. Fritsch, J. Butland, SIAM J. Sci. Stat. Comput. 5
//! (1984) 300, the harmonic mean of the chords (values from memory).

use crate::physics::numeric::Cubic;

/// Values on `count` even places from the first to the last of some on even places; `None` stays where a neighbour is missing.
pub(super) fn finer(values: &[Option<f64>], count: usize) -> Vec<Option<f64>> {
    let Some(last) = values.len().checked_sub(1).filter(|last| *last > 0) else {
        return values.to_vec();
    };
    let slopes = slopes(values);
    (0..count)
        .map(|k| {
            let place = last as f64 * k as f64 / count.saturating_sub(1).max(1) as f64;
            let below = values
                .iter()
                .enumerate()
                .take_while(|(n, _)| *n as f64 <= place)
                .count()
                .saturating_sub(1);
            let at = |n: usize| Some([values.get(n).copied()??, slopes.get(n).copied()?]);
            let along = place - below as f64;
            // At a node its own value does, whatever the next is.
            if along <= 0.0 {
                return values.get(below).copied()?;
            }
            let [from, to] = [at(below)?, at(below + 1)?];
            Some(Cubic::between(1.0, from, to).at(along))
        })
        .collect()
}

/// Slopes at the nodes, one apart; a missing neighbour counts as none.
fn slopes(values: &[Option<f64>]) -> Vec<f64> {
    let chord = |n: usize| Some(values.get(n + 1).copied()?? - values.get(n).copied()??);
    (0..values.len())
        .map(|n| {
            let before = n.checked_sub(1).and_then(chord);
            match (before, chord(n)) {
                (Some(a), Some(b)) if a * b > 0.0 => 2.0 * a * b / (a + b),
                (Some(_), Some(_)) | (None, None) => 0.0,
                (None, Some(b)) => end_slope(b, chord(n + 1)),
                (Some(a), None) => end_slope(a, n.checked_sub(2).and_then(chord)),
            }
        })
        .collect()
}

/// Slope at an end: that of the parabola through three nodes, no steeper than keeps the curve from turning.
fn end_slope(near: f64, next: Option<f64>) -> f64 {
    let Some(next) = next else {
        return near;
    };
    let slope = 1.5 * near - 0.5 * next;
    if slope * near <= 0.0 {
        0.0
    } else if near * next <= 0.0 && slope.abs() > 3.0 * near.abs() {
        3.0 * near
    } else {
        slope
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `scipy.interpolate.PchipInterpolator` (`SciPy` 1.17) of 1, 2, 4, 8, 9, 9 at 0 … 5, asked at halves.
    #[test]
    fn it_is_the_interpolant_of_scipy() {
        let values = [1.0, 2.0, 4.0, 8.0, 9.0, 9.0].map(Some);
        let found: Vec<f64> = finer(&values, 11).into_iter().flatten().collect();
        let want = [
            1.0,
            1.395_833_333_333_333_5,
            2.0,
            2.833_333_333_333_333,
            4.0,
            6.133_333_333_333_333,
            8.0,
            8.7,
            9.0,
            9.0,
            9.0,
        ];
        assert_eq!(found.len(), want.len());
        for (got, want) in found.iter().zip(want) {
            assert!((got - want).abs() < 1e-9, "{found:?}");
        }
    }

    #[test]
    fn it_never_overshoots_and_leaves_what_is_missing() {
        let values = [
            Some(0.0),
            Some(0.0),
            Some(10.0),
            Some(10.0),
            None,
            Some(3.0),
        ];
        let found = finer(&values, 51);
        for (k, value) in found.iter().enumerate() {
            let between = (31..50).contains(&k);
            assert_eq!(value.is_none(), between, "{k}: {value:?}");
            assert!(value.is_none_or(|v| (0.0..=10.0).contains(&v)), "{k}");
        }
        assert_eq!(finer(&[Some(2.0)], 25), [Some(2.0)]);
    }
}
