//! The bleeder that brings a bus down within a wanted time.

use crate::bench::preferred::e12_between;
use crate::physics::discharge::Charged;
use crate::physics::discharge::cold::Cold;

/// Common ratings of resistors (W) with the highest volts that such sizes take (V): metal oxide up to 5 W (a maker's sheet, quoted),
/// cement-filled wire-wound above (Yageo SQP, quoted; 25 W and more by its largest size).
pub const SIZES: [[f64; 2]; 9] = [
    [0.5, 350.0],
    [1.0, 500.0],
    [2.0, 750.0],
    [3.0, 800.0],
    [5.0, 800.0],
    [10.0, 500.0],
    [25.0, 1000.0],
    [50.0, 1000.0],
    [100.0, 1000.0],
];
/// A resistor that works for years is given half its rating. Common practice, no source.
pub const HALF: f64 = 0.5;
/// Bleeders that are tried (Ω).
const OHMS: [f64; 2] = [100.0, 10e6];
/// At most so many in series.
const MOST_IN_SERIES: u8 = 20;

/// Resistors in series that stand certain watts and volts for good.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// How many in series.
    pub in_series: u8,
    /// Rated watts of each.
    pub rated_watts: f64,
}

/// Resistors in series that stand these watts at half their rating, and these volts: as few as can be, or one more where that takes
/// less of rated watts in all.
pub fn size_for(watts: f64, volts: f64) -> Option<Size> {
    let of = |in_series: u8| {
        let each = f64::from(in_series);
        let stands =
            |[rated, most]: &&[f64; 2]| rated * HALF * each >= watts && most * each >= volts;
        SIZES.iter().find(stands).map(|[rated_watts, _]| Size {
            in_series,
            rated_watts: *rated_watts,
        })
    };
    let fewest = (1..=MOST_IN_SERIES).find_map(of)?;
    let all_watts = |size: &Size| f64::from(size.in_series) * size.rated_watts;
    let more = of(fewest.in_series + 1).filter(|more| all_watts(more) < all_watts(&fewest));
    Some(more.unwrap_or(fewest))
}

/// A bleeder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// Its resistance (Ω), of the E12 series: the largest that is quick enough.
    pub ohms: f64,
    /// What it takes for good with nothing connected at high mains (W).
    pub watts: f64,
    /// What it draws then (A).
    pub amps: f64,
    /// What one would take for it.
    pub size: Option<Size>,
    /// How long it then takes (s).
    pub seconds: f64,
}

/// Why there is none to choose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoChoice {
    /// What else is soldered in is as quick as that (s).
    NotNeeded(f64),
    /// Not even the smallest resistor at the bus is: what stands before it holds the others up. How long it takes with that one (s).
    NotByABleeder(Option<f64>),
}

/// The largest preferred resistor across the bus with which every capacitor is below these volts within `wanted` seconds, all tubes cold.
/// `charged` is the supply with nothing connected at high mains.
///
/// # Errors
/// [`NoChoice`].
pub fn choose(charged: &Charged, volts: f64, wanted: f64) -> Result<Choice, NoChoice> {
    let within = |siemens: f64| {
        let mut chain = charged.bus.clone();
        chain.bleeder_siemens = siemens;
        Cold::of(&chain).seconds_to(volts)
    };
    let is_quick = |seconds: &Option<f64>| seconds.is_some_and(|seconds| seconds <= wanted);
    if let Some(seconds) = within(0.0).filter(|seconds| *seconds <= wanted) {
        return Err(NoChoice::NotNeeded(seconds));
    }
    let values = e12_between(OHMS);
    // A larger one never shortens the wait.
    let slow = values.partition_point(|ohms| is_quick(&within(1.0 / ohms)));
    let ohms = (slow.checked_sub(1)).and_then(|place| values.get(place).copied());
    let smallest = || values.first().and_then(|ohms| within(1.0 / ohms));
    let ohms = ohms.ok_or_else(|| NoChoice::NotByABleeder(smallest()))?;
    let bus = charged.bus.bus_volts();
    let watts = bus * bus / ohms;
    Ok(Choice {
        ohms,
        watts,
        amps: bus / ohms,
        size: size_for(watts, bus),
        seconds: within(1.0 / ohms).unwrap_or(wanted),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::discharge::{Chain, Store};

    fn charged(farads: f64, volts: f64) -> Charged {
        Charged {
            bus: Chain {
                stores: vec![Store {
                    farads,
                    tolerance: 0.0,
                    volts,
                    balancing_siemens: 0.0,
                }],
                links: Vec::new(),
                bleeder_siemens: 0.0,
                fixed_siemens: 0.0,
                gas: None,
            },
            rail: None,
        }
    }

    /// `R = t/(C·ln(V/60))`: 100 µF at 500 V in 10 s ask for 47.16 kΩ, of which 47 kΩ is the next lower of E12 (IEC 60063). It takes
    /// 500²/47000 = 5.32 W: at half its rating one of 25 W, or two in series of 10 W, which are less.
    #[test]
    fn the_largest_that_is_quick_enough() {
        let found = choose(&charged(100e-6, 500.0), 60.0, 10.0).expect("a bleeder");
        assert!((found.ohms - 47e3).abs() < 1e-6, "{found:?}");
        assert!((found.seconds - 9.965).abs() < 0.01, "{found:?}");
        assert!((found.watts - 5.319).abs() < 0.01, "{found:?}");
        let size = found.size.expect("a size");
        assert!(
            size.in_series == 2 && size.rated_watts.to_bits() == 10.0_f64.to_bits(),
            "{size:?}"
        );
        let next = choose(&charged(100e-6, 500.0), 60.0, 9.96).expect("a bleeder");
        assert!((next.ohms - 39e3).abs() < 1e-6, "{next:?}");
    }

    #[test]
    fn what_cannot_or_need_not_be_done() {
        let mut quick = charged(1e-6, 500.0);
        quick.bus.fixed_siemens = 1e-4;
        assert!(matches!(
            choose(&quick, 60.0, 60.0),
            Err(NoChoice::NotNeeded(_))
        ));
        let mut held_up = charged(100e-6, 500.0);
        held_up.bus.stores.push(held_up.bus.stores[0]);
        held_up
            .bus
            .links
            .push(crate::physics::discharge::Link::Resistor(1e6));
        let refused = choose(&held_up, 60.0, 10.0).expect_err("the first is held up");
        assert!(
            matches!(refused, NoChoice::NotByABleeder(Some(_))),
            "{refused:?}"
        );
        assert!(matches!(
            choose(&charged(1.0, 500.0), 60.0, 0.001),
            Err(NoChoice::NotByABleeder(Some(_)))
        ));
    }

    #[test]
    fn many_volts_take_several_in_series() {
        let size = size_for(1.0, 1400.0).expect("a size");
        // Two of 2 W have 1500 V, three of 1 W as well, and are less.
        assert_eq!(size.in_series, 3, "{size:?}");
        assert_eq!(size_for(1e6, 100.0), None);
        assert_eq!(size_for(f64::NAN, 100.0), None);
    }
}
