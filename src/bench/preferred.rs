//! The resistor that one would take for a load at a point, out of preferred values.

/// The E12 series of preferred resistances, per decade times ten (IEC 60063).
pub const E12: [f64; 12] = [
    10.0, 12.0, 15.0, 18.0, 22.0, 27.0, 33.0, 39.0, 47.0, 56.0, 68.0, 82.0,
];
/// Powers in which load resistors are commonly made (W), smallest first. Trade practice: no standard fixes them.
pub const COMMON_WATTS: [f64; 6] = [5.0, 10.0, 25.0, 50.0, 100.0, 200.0];
/// Resistances that a load of such a supply may have (Ω).
const OHMS: std::ops::RangeInclusive<f64> = 1.0..=10e6;

/// A resistor for a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proposal {
    /// Its resistance (Ω), of the E12 series.
    pub ohms: f64,
    /// What it takes at the point's volts (W).
    pub watts_there: f64,
    /// The smallest common rating that bears that (W); `None` where none does.
    pub power_watts: Option<f64>,
}

/// The value of the E12 series that is nearest by ratio to a resistance above zero (Ω).
pub fn nearest_e12(ohms: f64) -> f64 {
    let decade = ohms.log10().floor();
    let far = |value: f64| (value / ohms).ln().abs();
    E12.iter()
        .map(|value| in_decade(*value, decade))
        .chain(std::iter::once(in_decade(E12[0], decade + 1.0)))
        .min_by(|a, b| far(*a).total_cmp(&far(*b)))
        .unwrap_or(ohms)
}

/// The values of the E12 series from one resistance to another, both above zero, rising (Ω).
pub fn e12_between([low, high]: [f64; 2]) -> Vec<f64> {
    let mut all = Vec::new();
    let mut decade = low.log10().floor();
    while decade <= high.log10() {
        all.extend(E12.iter().map(|value| in_decade(*value, decade)));
        decade += 1.0;
    }
    all.retain(|ohms| (low..=high).contains(ohms));
    all
}

/// A value of the series in a decade, without the rounding that a negative power of ten brings.
fn in_decade(value: f64, decade: f64) -> f64 {
    let power = decade - 1.0;
    if power < 0.0 {
        value / 10_f64.powf(-power)
    } else {
        value * 10_f64.powf(power)
    }
}

/// The resistor for a point (A, V), of which a share `derating` of the rated power may be used. `None` where no load of any use
/// leads there: at no current or no volts.
pub fn load_for(at: [f64; 2], derating: f64) -> Option<Proposal> {
    let [amps, volts] = at;
    let wanted = volts / amps;
    if !(amps > 0.0 && OHMS.contains(&wanted)) {
        return None;
    }
    let ohms = nearest_e12(wanted);
    let watts_there = volts * volts / ohms;
    let power_watts = COMMON_WATTS
        .into_iter()
        .find(|watts| watts * derating >= watts_there);
    Some(Proposal {
        ohms,
        watts_there,
        power_watts,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IEC 60063, E12, as it is printed there.
    const PRINTED: [f64; 12] = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2];

    #[test]
    fn the_values_of_the_standard_are_their_own_nearest_in_every_decade() {
        for (power, text) in [(1.0, "e0"), (1e2, "e2"), (1e3, "e3"), (1e5, "e5")] {
            for value in PRINTED {
                // As it reads in a file: 4.7 kΩ is 4700 Ω to the last bit.
                let printed: f64 = format!("{value}{text}").parse().expect("a number");
                let found = nearest_e12(value * power);
                assert!(found.to_bits() == printed.to_bits(), "{found} {printed}");
            }
        }
    }

    #[test]
    fn no_value_of_the_standard_is_nearer() {
        for step in 0..4000_i32 {
            let ohms = 10_f64.powf(f64::from(step) / 1000.0 + 1.0);
            let far = |value: f64| (value / ohms).ln().abs();
            let found = far(nearest_e12(ohms));
            let printed = (0..7).flat_map(|d| PRINTED.map(|v| v * 10_f64.powi(d)));
            let best = printed.map(far).fold(f64::INFINITY, f64::min);
            assert!(found <= best + 1e-12, "{ohms}: {}", nearest_e12(ohms));
        }
    }

    /// 250 V at 66 mA ask for 3.79 kΩ: 3.9 kΩ, which takes 250²/3900 = 16.0 W.
    #[test]
    fn a_load_is_proposed_for_the_point() {
        let found = load_for([0.066, 250.0], 1.0).expect("a load");
        assert!((found.ohms - 3900.0).abs() < 1e-9, "{found:?}");
        assert!((found.watts_there - 16.03).abs() < 0.01, "{found:?}");
        assert_eq!(found.power_watts, Some(25.0));
        // Boxed in it may take half of what is printed on it.
        let boxed_in = load_for([0.066, 250.0], 0.5).expect("a load");
        assert_eq!(boxed_in.power_watts, Some(50.0));
        // 500 V into 1 kΩ are 250 W.
        let hot = load_for([0.5, 500.0], 1.0).expect("a load");
        assert_eq!(hot.power_watts, None);
    }

    #[test]
    fn nothing_is_proposed_where_no_load_leads() {
        for at in [
            [0.0, 250.0],
            [0.05, 0.0],
            [0.0, 0.0],
            [f64::NAN, 250.0],
            [1e-12, 250.0],
        ] {
            assert_eq!(load_for(at, 1.0), None, "{at:?}");
        }
    }
}
