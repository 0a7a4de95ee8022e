//! Distributions turned round: from the share of cases below a value to the value.

use core::f64::consts::SQRT_2;

use statrs::function::erf::{erfc, erfc_inv};

use crate::parts::spread::Chance;

/// Share of a standard normal distribution below a value.
pub fn normal_below(value: f64) -> f64 {
    0.5 * erfc(-value / SQRT_2)
}

/// The value of a standard normal distribution below which this share is, between 0 and 1.
pub fn normal_quantile(share: f64) -> f64 {
    -SQRT_2 * erfc_inv(2.0 * share)
}

/// The factor below which this share of a distribution is, between 0 and 1. A normal distribution that is cut off has its whole between the
/// cuts.
///
/// # Source
/// N. L. Johnson, S. Kotz, N. Balakrishnan, "Continuous Univariate Distributions" 1 (1994), doubly truncated normal: from memory.
pub fn quantile(chance: Chance, share: f64) -> f64 {
    match chance {
        Chance::Even { low, high } => low + share * (high - low),
        Chance::Bell {
            mean,
            sigma,
            low,
            high,
        } => {
            let [from, to] = [low, high].map(|end| normal_below((end - mean) / sigma));
            let value = mean + sigma * normal_quantile(from + share * (to - from));
            // Far out the two ends may be one to the arithmetic.
            if value.is_nan() {
                low
            } else {
                value.clamp(low, high)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Any table of the normal distribution: 95 % are below 1.644854, 97.5 % below 1.959964, 99.9 % below 3.090232.
    #[test]
    fn the_normal_distribution_is_that_of_the_tables() {
        for (share, value) in [
            (0.5, 0.0),
            (0.95, 1.644_853_627),
            (0.975, 1.959_963_985),
            (0.999, 3.090_232_306),
            (0.05, -1.644_853_627),
        ] {
            assert!((normal_quantile(share) - value).abs() < 1e-8, "{share}");
            assert!((normal_below(value) - share).abs() < 1e-9, "{value}");
        }
    }

    /// Mean and variance of a doubly truncated normal in closed form (symmetric cuts): σ²·(1 − 2a·φ(a)/(2Φ(a) − 1)).
    #[test]
    fn a_cut_off_bell_has_the_mean_and_sigma_of_the_closed_form() {
        let chance = Chance::Bell {
            mean: 1.0,
            sigma: 0.12,
            low: 0.67,
            high: 1.33,
        };
        let count = 20_000;
        let values: Vec<f64> = (0..count)
            .map(|k| quantile(chance, (f64::from(k) + 0.5) / f64::from(count)))
            .collect();
        let mean = values.iter().sum::<f64>() / f64::from(count);
        let variance = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / f64::from(count);
        let cut: f64 = 0.33 / 0.12;
        let density = (-0.5 * cut * cut).exp() / (2.0 * core::f64::consts::PI).sqrt();
        let want = 0.12_f64.powi(2) * (1.0 - 2.0 * cut * density / (2.0 * normal_below(cut) - 1.0));
        assert!((mean - 1.0).abs() < 1e-6, "{mean}");
        assert!((variance / want - 1.0).abs() < 1e-4, "{variance} {want}");
        assert!(values.iter().all(|v| (0.67..=1.33).contains(v)));
    }

    /// What is cut off so far out that nothing is left between stays within its cuts, and is a number.
    #[test]
    fn a_bell_far_from_its_cuts_is_still_a_number_between_them() {
        for (mean, low, high) in [(1.0, 40.0, 41.0), (1.0, -41.0, -40.0), (1.0, 0.5, 0.5)] {
            let chance = Chance::Bell {
                mean,
                sigma: 0.1,
                low,
                high,
            };
            for share in [1e-9, 0.5, 1.0 - 1e-9] {
                let value = quantile(chance, share);
                assert!((low..=high).contains(&value), "{low} {share}: {value}");
            }
        }
    }
}
