//! The core: what magnetising current its flux takes.
//!
//! Flux is counted in linkages of the primary (V·s), `λ = ∫v dt`. Below the knee the current is small and nearly in proportion; above it
//! the primary is hardly more than its turns in air. Two straight lines, `λ/L` and `(λ − knee)/L_sat`, meet in a parabola that leaves the
//! first at `knee − rounding` and joins the second at `knee + rounding`. Hysteresis is left out: core loss is part of the auxiliary load,
//! and what stays in the core at switch-off is given from outside.

/// A core, seen from the primary.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Core {
    /// Linkages at which the line of the saturated core comes to no current (V·s).
    pub knee: f64,
    /// Half the width of the bend (V·s).
    pub rounding: f64,
    /// Inductance far below the knee (H).
    pub henries: f64,
    /// Inductance that is left far above it (H).
    pub saturated_henries: f64,
}

impl Core {
    /// Magnetising current at these linkages (A), and how it rises with them (A per V·s).
    #[inline]
    pub fn current(&self, linkages: f64) -> (f64, f64) {
        let beyond = 1.0 / self.saturated_henries - 1.0 / self.henries;
        let (bent, rise) = self.bend(linkages.abs() - self.knee);
        let amps = linkages / self.henries + (beyond * bent).copysign(linkages);
        (amps, 1.0 / self.henries + beyond * rise)
    }

    /// How far the linkages are above the knee, rounded, and how that rises with them.
    #[inline]
    fn bend(&self, above: f64) -> (f64, f64) {
        let width = self.rounding;
        if above <= -width {
            (0.0, 0.0)
        } else if above >= width {
            (above, 1.0)
        } else {
            let from = above + width;
            (from * from / (4.0 * width), from / (2.0 * width))
        }
    }

    /// Energy in the core at these linkages (J): `∫i dλ`.
    pub fn joules(&self, linkages: f64) -> f64 {
        let beyond = 1.0 / self.saturated_henries - 1.0 / self.henries;
        let (above, width) = (linkages.abs() - self.knee, self.rounding);
        let bent = if above <= -width {
            0.0
        } else if above >= width {
            // The cubic up to the end of the bend, (2·width)³/(12·width), then the straight line.
            width * width * (2.0 / 3.0) + 0.5 * (above * above - width * width)
        } else {
            (above + width).powi(3) / (12.0 * width)
        };
        0.5 * linkages * linkages / self.henries + beyond * bent
    }

    /// Rms of the current while the linkages swing as a sine of this crest (A).
    pub fn rms_amps(&self, crest: f64) -> f64 {
        // One quarter stands for all; the bend is wide against so small an angle.
        const PARTS: u32 = 128;
        let angle = |k: u32| core::f64::consts::FRAC_PI_2 * (f64::from(k) + 0.5) / f64::from(PARTS);
        let square = |k: u32| self.current(crest * angle(k).sin()).0.powi(2);
        ((0..PARTS).map(square).sum::<f64>() / f64::from(PARTS)).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CORE: Core = Core {
        knee: 0.75,
        rounding: 0.15,
        henries: 3.0,
        saturated_henries: 0.01,
    };

    #[test]
    fn the_current_is_odd_and_its_rise_is_its_derivative() {
        for linkages in [0.0, 0.3, 0.599, 0.601, 0.7, 0.9, 0.901, 1.4] {
            let (amps, rise) = CORE.current(linkages);
            assert!((CORE.current(-linkages).0 + amps).abs() < 1e-12);
            let h = 1e-7;
            let numeric = (CORE.current(linkages + h).0 - CORE.current(linkages - h).0) / (2.0 * h);
            assert!(
                (numeric / rise - 1.0).abs() < 1e-4,
                "{linkages}: {rise} {numeric}"
            );
        }
    }

    #[test]
    fn the_energy_is_the_integral_of_the_current() {
        for top in [0.5, 0.75, 0.89, 1.3] {
            let parts = 20_000;
            let step = top / f64::from(parts);
            let sum: f64 = (0..parts)
                .map(|k| CORE.current((f64::from(k) + 0.5) * step).0 * step)
                .sum();
            assert!((CORE.joules(top) / sum - 1.0).abs() < 1e-6, "{top}: {sum}");
        }
    }

    /// A straight line: the rms of a sine is its crest over √2.
    #[test]
    fn below_the_bend_the_current_is_a_sine() {
        let want = 0.5 / 3.0 / core::f64::consts::SQRT_2;
        assert!((CORE.rms_amps(0.5) / want - 1.0).abs() < 1e-9);
    }
}
