//! Heaters as they warm: cold, they are nearly a short.

/// Resistivity of tungsten from 300 K up in steps of 100 K (µΩ·cm).
///
/// # Source
/// W. E. Forsythe, A. G. Worthing, Astrophys. J. 61 (1925) 146, as quoted in the constants of a lamp effect (repository
/// stoatworks-labs/filament).
const TUNGSTEN: [f64; 14] = [
    5.65, 8.06, 10.56, 13.23, 16.09, 19.00, 21.94, 24.93, 27.94, 30.98, 34.08, 37.19, 40.36, 43.55,
];
/// Where the table begins, and its steps (K).
const COLDEST: f64 = 300.0;
const STEP: f64 = 100.0;

/// Of a heater at work (K): the wire in the sleeve of an indirectly heated cathode has 1400 to 1600 K (common practice, no source).
pub const HEATER_KELVIN: f64 = 1500.0;

/// Time in which the temperature of a heater comes within 1/e of its end (s): 90 % of it at 6.7 s, of 99 % at 13.3 s, both on a fixed
/// voltage.
///
/// # Source
/// J. A. Harper, "Filament heating" (john-a-harper.com/FilamentHeating), a model which his measurements confirm: 6.7 s over ln 10.
pub const TIME_CONSTANT: f64 = 6.7 / core::f64::consts::LN_10;

/// Resistance of a directly heated filament at work over that of a cold one: nickel alloys, 3 to 4 (value from memory).
pub const FILAMENT_RATIO: f64 = 3.5;

/// Resistance of the heater's own winding and leads as a part of that of the hot heater (common practice, no source): with the
/// ratio of the table the surge is then six-fold, and practice finds five- to seven-fold.
pub const LEADS: f64 = 0.03;

/// Resistance of tungsten over that at 300 K, at a temperature (K) from 300 to 1600; along a straight line between the table's rows.
pub fn tungsten_ratio(kelvin: f64) -> f64 {
    let place = ((kelvin - COLDEST) / STEP).clamp(0.0, (TUNGSTEN.len() - 1) as f64);
    let mut rows = TUNGSTEN.iter().zip(TUNGSTEN.iter().skip(1)).enumerate();
    let found = rows.find(|(k, _)| place <= (*k + 1) as f64);
    let [first, ..] = TUNGSTEN;
    found.map_or(1.0, |(k, (low, high))| {
        (low + (place - k as f64) * (high - low)) / first
    })
}

/// What a heater is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wire {
    /// The tungsten heater of an indirectly heated cathode.
    Heater,
    /// The filament of a directly heated one.
    Filament,
}

/// Resistance over that at work, so many seconds after a cold start on a fixed voltage: of the wire, with its leads.
///
/// The temperature comes to its end as a first-order lag. The ratio of a filament moves in proportion to its temperature.
pub fn warming(wire: Wire, seconds: f64) -> f64 {
    let share = -(-seconds.max(0.0) / TIME_CONSTANT).exp_m1();
    let bare = match wire {
        Wire::Heater => {
            let kelvin = COLDEST + share * (HEATER_KELVIN - COLDEST);
            tungsten_ratio(kelvin) / tungsten_ratio(HEATER_KELVIN)
        }
        Wire::Filament => (1.0 + share * (FILAMENT_RATIO - 1.0)) / FILAMENT_RATIO,
    };
    (bare + LEADS) / (1.0 + LEADS)
}

/// When a cathode begins to emit after a cold start, and when it emits as it should (s).
///
/// # Source
/// First direct current: directly heated rectifiers 2 to 4 s, indirectly heated ones 8 to 15 s (values from memory; no measured series
/// was found).
pub fn emission_seconds(wire: Wire) -> [f64; 2] {
    match wire {
        Wire::Filament => [2.0, 4.0],
        Wire::Heater => [8.0, 15.0],
    }
}

/// Share of its full emission that a cathode has so many seconds after a cold start: 0 to 1, smooth at both ends.
pub fn emission(wire: Wire, seconds: f64) -> f64 {
    let [from, to] = emission_seconds(wire);
    let share = ((seconds - from) / (to - from)).clamp(0.0, 1.0);
    share * share * (3.0 - 2.0 * share)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The same table as ratios, and the fit `(T/300)^1.227`, within ±1.1 % of it.
    #[test]
    fn the_ratio_of_tungsten_is_that_of_the_table() {
        for (kelvin, want) in [
            (300.0, 1.0),
            (600.0, 2.342),
            (800.0, 3.363),
            (1000.0, 4.412),
            (1200.0, 5.483),
            (1400.0, 6.582),
            (1500.0, 7.143),
            (1600.0, 7.708),
        ] {
            let got = tungsten_ratio(kelvin);
            assert!((got / want - 1.0).abs() < 1e-3, "{kelvin} K: {got}");
            let fit = (kelvin / 300.0_f64).powf(1.227);
            assert!((got / fit - 1.0).abs() < 0.012, "{kelvin} K: {got} {fit}");
        }
        assert!((tungsten_ratio(1250.0) / 5.757 - 1.0).abs() < 1e-3);
    }

    /// 90 % of the temperature at 6.7 s, 99 % at 13.3 s (the source's own figures).
    #[test]
    fn a_heater_is_warm_when_the_source_says() {
        for (seconds, want) in [(6.7_f64, 0.9), (13.3, 0.99)] {
            let share = -(-seconds / TIME_CONSTANT).exp_m1();
            assert!((share - want).abs() < 1e-3, "{seconds} s: {share}");
        }
        // A surge of five- to seven-fold, which is gone for the most part after 7 s.
        let surge = 1.0 / warming(Wire::Heater, 0.0);
        assert!((5.0..7.0).contains(&surge), "{surge}");
        let later = 1.0 / warming(Wire::Heater, 7.0);
        assert!((1.0..1.2).contains(&later), "{later}");
        let filament = 1.0 / warming(Wire::Filament, 0.0);
        assert!((3.0..4.0).contains(&filament), "{filament}");
    }

    #[test]
    fn emission_begins_and_ends_where_it_should() {
        for wire in [Wire::Heater, Wire::Filament] {
            let [from, to] = emission_seconds(wire);
            let ends = [emission(wire, from), emission(wire, to)];
            assert!(ends[0].abs() < 1e-12 && (ends[1] - 1.0).abs() < 1e-12);
            assert!(emission(wire, 0.5 * (from + to)) > 0.4);
        }
    }
}
