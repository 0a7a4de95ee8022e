//! With how many volts before the feed resistor every tube of a stack strikes.
//!
//! A dark tube carries nothing, so without shunt resistors only leakage says how the volts spread over a dark stack, and in the worst
//! case every tube needs its own starting volts at once. A resistor across a tube brings the volts to the others: the one that has
//! none sees nearly all of them and strikes, falls to its running volts and leaves the rest to the next.

use crate::parts::GasReference;

/// A tube that has yet to strike.
struct Dark {
    /// Volts that start every tube of its type (V).
    starts_at: f64,
    /// Its running volts (V).
    runs_at: f64,
    /// The resistor across it (Ω), if it has one.
    shunt_ohms: Option<f64>,
}

/// Volts before the feed resistor with which every tube strikes (V); `None` where a tube's starting volts are not published.
///
/// # Source
/// Ohm's law with dark tubes open; the published starting volts of a type are those of its supply where they are published. Where the
/// file does not say whether there are shunt resistors: one after the other, as resistors far above the feed resistor let them (common
/// practice, no source).
pub(super) fn strike_volts(reference: &GasReference) -> Option<f64> {
    let tube = |(tube, across): (&crate::parts::GasTubeType, usize)| {
        let starts = tube.supply_least.as_ref().or(tube.strike_volts.as_ref())?;
        Some(Dark {
            starts_at: starts.value.0,
            runs_at: tube.volts.value.0,
            shunt_ohms: reference.shunt(across).map(|ohms| ohms.0),
        })
    };
    let dark: Option<Vec<Dark>> = reference.tubes.iter().zip(1..).map(tube).collect();
    let dark = dark?;
    if reference.shunts.is_some() {
        return Some(one_by_one(dark, reference.feed_resistor.0));
    }
    let running: f64 = dark.iter().map(|t| t.runs_at).sum();
    let surplus = dark.iter().map(|t| t.starts_at - t.runs_at);
    Some(running + surplus.fold(0.0, f64::max))
}

/// The most that any of the steps asks for. Which of several tubes strikes first does not matter: every one that strikes leaves the
/// others more than they had.
fn one_by_one(mut dark: Vec<Dark>, feed_ohms: f64) -> f64 {
    // The tubes without a resistor come first: while one of them is dark no current flows, and they have all the volts.
    let bare = dark.iter().filter(|t| t.shunt_ohms.is_none());
    let mut needed: f64 = bare.map(|t| t.starts_at).sum();
    let struck = dark.iter().filter(|t| t.shunt_ohms.is_none());
    let mut running: f64 = struck.map(|t| t.runs_at).sum();
    dark.retain(|t| t.shunt_ohms.is_some());
    while !dark.is_empty() {
        let all_ohms: f64 = feed_ohms + dark.iter().filter_map(|t| t.shunt_ohms).sum::<f64>();
        let asks = |t: &Dark| {
            let share = t.shunt_ohms.unwrap_or(all_ohms) / all_ohms;
            running + t.starts_at / share
        };
        let next = (0..dark.len()).min_by(|a, b| {
            let of = |k: &usize| dark.get(*k).map_or(f64::INFINITY, asks);
            of(a).total_cmp(&of(b))
        });
        let Some(next) = next else {
            break;
        };
        let strikes = dark.swap_remove(next);
        let all = all_ohms / strikes.shunt_ohms.unwrap_or(all_ohms);
        needed = needed.max(running + strikes.starts_at * all);
        running += strikes.runs_at;
    }
    needed
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::Catalogue;
    use crate::parts::{Amps, GasShunt, Ohms, ReferenceFeed};

    /// An 0A2 at the common (150 V, starting supply 185 V) and an 0B2 on it (108 V, 133 V), fed through 10 kΩ; a shunt resistor in
    /// kΩ across one, both or none.
    fn with(shunts: Option<&[(u8, f64)]>) -> f64 {
        let catalogue = Catalogue::built_in();
        let shunt = |(across, kiloohms): &(u8, f64)| GasShunt {
            across: *across,
            resistance: Ohms(1e3 * kiloohms),
        };
        let reference = GasReference {
            tubes: ["0A2", "0B2"]
                .map(|name| catalogue.gas_tube(name).unwrap().clone())
                .to_vec(),
            feed_resistor: Ohms(10e3),
            fed_from: ReferenceFeed::Bus,
            drawn: Amps(0.0),
            shunts: shunts.map(|list| list.iter().map(shunt).collect()),
        };
        strike_volts(&reference).unwrap()
    }

    /// Published starting volts of both at once: 185 + 133 V.
    #[test]
    fn without_shunt_resistors_the_starting_volts_add_up() {
        assert!((with(Some(&[])) - 318.0).abs() < 1e-9);
    }

    /// The 0A2 is shunted: the 0B2 strikes at 133 V, then 108 V stand on it and the 0A2 sees 190/200 of what is left of the volts:
    /// 108 + 185·200/190.
    #[test]
    fn a_shunt_across_one_lets_the_other_strike_first() {
        let want = 108.0 + 185.0 * 200.0 / 190.0;
        let got = with(Some(&[(1, 190.0)]));
        assert!((got - want).abs() < 1e-9, "{got} V of {want} V");
        let want = 150.0 + 133.0 * 1010.0 / 1000.0;
        let got = with(Some(&[(2, 1000.0)]));
        assert!((got - want).abs() < 1e-9, "{got} V of {want} V");
    }

    /// Both shunted, 90 kΩ and 100 kΩ behind 10 kΩ: the 0B2 has half of the volts and starts with 266 V, when the 0A2 would ask for
    /// 185·200/90 = 411 V; then the 0A2 asks for 108 + 185·100/90 V.
    #[test]
    fn with_a_shunt_across_each_the_one_with_more_of_its_volts_is_first() {
        let want: f64 = 108.0 + 185.0 * 100.0 / 90.0;
        let got = with(Some(&[(1, 90.0), (2, 100.0)]));
        assert!((got - want.max(266.0)).abs() < 1e-9, "{got} V");
    }

    /// A large resistor is what common practice assumes; a small one starves the tube that it is across.
    #[test]
    fn the_smaller_the_resistor_the_more_volts_are_needed() {
        assert!((with(Some(&[(1, 1e6)])) - with(None)).abs() < 0.01);
        let all = [1e6, 1e3, 100.0, 10.0, 1.0].map(|r| with(Some(&[(1, r)])));
        assert!(all.is_sorted_by(|a, b| a < b), "{all:?}");
        assert!(all.iter().all(|volts| *volts > 258.0), "{all:?}");
    }
}
