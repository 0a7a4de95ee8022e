//! Capacitors in series: how they share the volts, and the balancing resistors that keep them at it.
//!
//! Just after charging they share by their capacitance; in the long run by what they leak, and by the resistors across them.

use crate::bench::bleeder::{Size, size_for};
use crate::bench::preferred::e12_between;
use crate::parts::{CapacitorStack, Filter};
use crate::physics::stress::worst_share;

/// Balancing resistors that are thought of (Ω).
const OHMS: [f64; 2] = [1e3, 10e6];

/// What an electrolytic may leak when it is new (A): `3·√(C·U)` µA, with µF and V.
///
/// # Source
/// The form in which makers give the limit of IEC 60384-4 for large cans (from memory); worked for 20 µF at 450 V, 285 µA, in
/// published-values-bench.md, A7.
pub fn usual_leakage_amps(farads: f64, working_volts: f64) -> f64 {
    3e-6 * (farads * 1e6 * working_volts).max(0.0).sqrt()
}

/// By how much two of a kind usually differ in what they leak (A): `0.0015·C·V` µA, with µF and the volts across all in series.
///
/// # Source
/// A maker's guide to electrolytics (Cornell Dubilier, value from memory), which chooses balancing resistors by it.
pub fn usual_difference_amps(farads: f64, volts: f64) -> f64 {
    1e-6 * 0.0015 * farads * 1e6 * volts
}

/// What a new one may leak, as it was accepted of cans of the 1940s and 1950s (A): `K·C + 0.3` mA, with `K` by the working volts.
///
/// # Source
/// JAN-C-62 (quoted on a mailing list, published-values-bench.md, A7): 20 µF 450 V 1.1 mA, 20 µF 250 V 0.7 mA.
pub fn vintage_leakage_amps(farads: f64, working_volts: f64) -> f64 {
    let per_microfarad = match working_volts {
        ..=100.0 => 0.01,
        ..=250.0 => 0.02,
        ..=350.0 => 0.025,
        _ => 0.04,
    };
    1e-3 * (per_microfarad * farads * 1e6 + 0.3)
}

/// A stack of several in series, with nothing connected at high mains.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shared {
    /// Which capacitor of the filter: 0 is at the rectifier.
    pub place: usize,
    /// Units in series.
    pub in_series: u8,
    /// Volts across all (V).
    pub volts: f64,
    /// The most that the worst unit gets just after charging, by the capacitances at the ends of their tolerance (V).
    pub by_tolerance_volts: f64,
    /// Working volts of a unit (V).
    pub working_volts: Option<f64>,
    /// By how much units are taken to differ in what they leak, measured or as usual (A).
    pub leakage_amps: f64,
    /// What a new unit may leak (A); `None` where its working volts are not known.
    pub limit_amps: Option<f64>,
    /// The balancing resistors as fitted.
    pub fitted: Option<Balanced>,
    /// Those that one would fit: the largest that keep every unit within its working volts, and no larger than needed.
    pub chosen: Option<Balanced>,
}

/// Units with a balancing resistor across each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balanced {
    /// Each resistor (Ω).
    pub ohms: f64,
    /// The most that the worst unit gets in the long run, if it leaks less than all others by that difference (V).
    pub worst_volts: f64,
    /// The same if it leaks nothing and all others as much as a new one may (V); `None` where that is not known.
    pub limit_volts: Option<f64>,
    /// What a resistor then takes at most (W).
    pub watts: f64,
    /// What one would take for it.
    pub size: Option<Size>,
    /// Time constant of a unit and its resistor (s).
    pub seconds: f64,
}

/// The stacks of a filter that have several in series; `volts` are the crests across each stack (V), `measured` what a unit was measured to
/// leak (A), if it was.
pub fn shared(filter: &Filter, volts: &[f64], measured: Option<f64>) -> Vec<Shared> {
    (filter.stacks().zip(volts).enumerate())
        .filter(|(_, (stack, _))| stack.in_series > 1)
        .map(|(place, (stack, volts))| of_stack(place, stack, *volts, measured))
        .collect()
}

fn of_stack(place: usize, stack: &CapacitorStack, volts: f64, measured: Option<f64>) -> Shared {
    let working_volts = stack.working_volts.as_ref().map(|rated| rated.value.0);
    let limit_amps = working_volts.map(|working| usual_leakage_amps(stack.unit.0, working));
    let leakage_amps = measured.unwrap_or_else(|| usual_difference_amps(stack.unit.0, volts));
    let leaks = Leaks {
        difference: leakage_amps,
        limit: limit_amps,
    };
    let mut bare = stack.clone();
    bare.balancing = None;
    Shared {
        place,
        in_series: stack.in_series,
        volts,
        by_tolerance_volts: volts * worst_share(&bare),
        working_volts,
        leakage_amps,
        limit_amps,
        fitted: (stack.balancing).map(|ohms| balanced(stack, volts, leaks, ohms.0)),
        chosen: choose(stack, volts, leaks),
    }
}

/// What a unit gets that leaks nothing while the others leak `amps` each (V): `V₁/R = V₂/R + I` and `V₁ + (n−1)·V₂ = V`.
///
/// # Source
/// Kirchhoff's laws; with `V₁` at the working volts it is the makers' rule `R = (n·U − V)/((n−1)·I)` (from memory).
fn worst_volts(units: f64, volts: f64, ohms: f64, amps: f64) -> f64 {
    ((volts + (units - 1.0) * ohms * amps) / units).min(volts)
}

/// What units leak.
#[derive(Debug, Clone, Copy)]
struct Leaks {
    /// By how much they differ (A).
    difference: f64,
    /// What a new one may (A).
    limit: Option<f64>,
}

fn balanced(stack: &CapacitorStack, volts: f64, leaks: Leaks, ohms: f64) -> Balanced {
    let units = f64::from(stack.in_series.max(1));
    let worst = worst_volts(units, volts, ohms, leaks.difference);
    let watts = worst * worst / ohms;
    Balanced {
        ohms,
        worst_volts: worst,
        limit_volts: (leaks.limit).map(|amps| worst_volts(units, volts, ohms, amps)),
        watts,
        size: size_for(watts, worst),
        seconds: ohms * stack.unit.0,
    }
}

/// The largest preferred resistors that keep the worst unit within its working volts; `None` where nothing is known of them, or even shares
/// exceed them.
fn choose(stack: &CapacitorStack, volts: f64, leaks: Leaks) -> Option<Balanced> {
    let working = stack.working_volts.as_ref()?.value.0;
    let units = f64::from(stack.in_series.max(1));
    let keeps = |ohms: &&f64| worst_volts(units, volts, **ohms, leaks.difference) <= working;
    let values = e12_between(OHMS);
    let ohms = values.iter().rev().find(keeps)?;
    Some(balanced(stack, volts, leaks, *ohms))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::{Farads, Fraction, Ohms, Rating, RatingSystem, Volts};

    fn two(balancing: Option<Ohms>) -> CapacitorStack {
        CapacitorStack {
            unit: Farads(20e-6),
            in_series: 2,
            strings: 1,
            working_volts: Some(Rating::own(Volts(450.0), RatingSystem::DesignMaximum)),
            surge_volts: None,
            ripple_current: None,
            balancing,
            tolerance: Fraction(0.2),
        }
    }

    /// The worked rows of published-values-bench.md, A7.
    #[test]
    fn leakage_as_it_is_published() {
        for (got, want) in [
            (usual_leakage_amps(20e-6, 450.0), 285e-6),
            (vintage_leakage_amps(20e-6, 450.0), 1.1e-3),
            (vintage_leakage_amps(20e-6, 250.0), 0.7e-3),
        ] {
            assert!((got / want - 1.0).abs() < 0.002, "{got} {want}");
        }
    }

    /// By hand: 800 V over two of 450 V that differ by 0.285 mA: `R ≤ (900 − 800)/0.285 mA = 351 kΩ`, so 330 kΩ of E12. The worst unit has
    /// `(800 + 94.05)/2 = 447 V`, and takes 0.606 W; 6.6 s. By the usual difference, `0.0015·20·800 = 24 µA`, 4.17 MΩ would do: 3.9 MΩ.
    #[test]
    fn balancing_resistors_by_the_makers_rule() {
        let found = of_stack(0, &two(None), 800.0, Some(285e-6));
        let chosen = found.chosen.expect("resistors");
        assert!((chosen.ohms - 330e3).abs() < 1e-6, "{chosen:?}");
        assert!((chosen.worst_volts - 447.025).abs() < 1e-3, "{chosen:?}");
        assert!((chosen.watts - 0.6055).abs() < 1e-3, "{chosen:?}");
        assert!((chosen.seconds - 6.6).abs() < 1e-9, "{chosen:?}");
        // 1.2/(0.8 + 1.2) of 800 V.
        assert!((found.by_tolerance_volts - 480.0).abs() < 1e-9, "{found:?}");
        assert_eq!(of_stack(0, &two(None), 901.0, None).chosen, None);
        let usual = of_stack(0, &two(None), 800.0, None);
        assert!((usual.leakage_amps - 24e-6).abs() < 1e-12, "{usual:?}");
        let chosen = usual.chosen.expect("resistors");
        assert!((chosen.ohms - 3.9e6).abs() < 1e-3, "{chosen:?}");
    }

    /// Solved node by node instead: three units, one without leakage.
    #[test]
    fn the_worst_unit_solves_kirchhoffs_laws() {
        let (units, volts, ohms, amps) = (3.0, 1000.0, 220e3, 0.4e-3);
        let worst = worst_volts(units, volts, ohms, amps);
        let other = (volts - worst) / (units - 1.0);
        assert!((worst / ohms - (other / ohms + amps)).abs() < 1e-12);
        // More leakage than the resistors can balance: the sound unit has all.
        assert!((worst_volts(2.0, 100.0, 1e9, 1.0) - 100.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_fitted_is_judged_by_what_was_measured() {
        let found = of_stack(0, &two(Some(Ohms(220e3))), 800.0, Some(1e-3));
        let fitted = found.fitted.expect("resistors");
        assert!((fitted.worst_volts - 510.0).abs() < 1e-9, "{fitted:?}");
    }
}
