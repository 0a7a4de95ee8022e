//! Where the middle nine tenths of many values lie.

/// The 5 %, 50 % and 95 % points of a distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// One in twenty is below this.
    pub low: f64,
    /// As many are below this as above.
    pub middle: f64,
    /// One in twenty is above this.
    pub high: f64,
}

impl Band {
    /// Of values in any order; `None` if there are none.
    ///
    /// # Source
    /// Linear between the values: definition 7 of R. J. Hyndman, Y. Fan, The American Statistician 50 (1996) 361 (from memory).
    pub fn of(values: &[f64]) -> Option<Self> {
        let mut sorted = values.to_vec();
        sorted.sort_by(f64::total_cmp);
        let at = |share: f64| {
            let place = share * (sorted.len().checked_sub(1)? as f64);
            let below = sorted
                .iter()
                .enumerate()
                .take_while(|(k, _)| *k as f64 <= place)
                .last();
            let (k, low) = below?;
            let high = sorted.get(k + 1).unwrap_or(low);
            Some(low + (place - k as f64) * (high - low))
        };
        Some(Self {
            low: at(0.05)?,
            middle: at(0.5)?,
            high: at(0.95)?,
        })
    }

    /// Half of the way from its low to its high end.
    pub fn half_width(self) -> f64 {
        0.5 * (self.high - self.low)
    }

    /// True if a value lies in it.
    pub fn holds(self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Definition 7 of Hyndman and Fan by hand: of 0, 1, …, 100 the 5 % point is 5; of 1, 2, 3, 4 the median is 2.5.
    #[test]
    fn the_points_of_a_band_are_those_of_the_definition() {
        let hundred: Vec<f64> = (0..=100).rev().map(f64::from).collect();
        let band = Band::of(&hundred).unwrap();
        for (got, want) in [(band.low, 5.0), (band.middle, 50.0), (band.high, 95.0)] {
            assert!((got - want).abs() < 1e-9, "{band:?}");
        }
        assert!((band.half_width() - 45.0).abs() < 1e-9);
        let four = Band::of(&[4.0, 1.0, 3.0, 2.0]).unwrap();
        assert!((four.middle - 2.5).abs() < 1e-12 && (four.low - 1.15).abs() < 1e-12);
        assert_eq!(Band::of(&[]), None);
        assert_eq!(
            Band::of(&[7.0]).map(|band| band.low.to_bits()),
            Some(7.0_f64.to_bits())
        );
    }
}
