//! Reach, envelope and what is accepted as built, over random supplies.

use proptest::prelude::*;
use sagline::bench::acceptance::{bound_as_built, highest_in_reach, taken_away};
use sagline::parts::{Accepted, Supply};
use sagline::physics::envelope::{Envelope, envelope};
use sagline::physics::{Failure, Model};

use crate::supplies::supply;
use crate::{cases, fault, no_case};

fn drawn(supply: &Supply) -> Result<(Model, Envelope), TestCaseError> {
    let Ok(model) = Model::of(supply) else {
        return no_case();
    };
    match envelope(&model) {
        Ok(envelope) => Ok((model, envelope)),
        Err(Failure::NoOutput(_)) => no_case(),
        Err(other) => Err(fault(&other)),
    }
}

fn area(region: &[[f64; 3]]) -> f64 {
    let pairs = region.iter().zip(region.iter().skip(1));
    pairs
        .map(|(a, b)| 0.5 * (b[0] - a[0]) * ((a[2] - a[1]) + (b[2] - b[1])))
        .sum()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases().cases.div_ceil(6), ..cases() })]

    /// What is allowed is within reach: no rating makes a supply do more.
    #[test]
    fn what_is_allowed_is_within_reach(supply in supply()) {
        let (_, all) = drawn(&supply)?;
        if all.reach.is_empty() {
            // Nothing is regulated with a reference that stays dark; what the tubes bear is drawn all the same.
            return no_case();
        }
        for &[amps, low, high] in &all.region {
            let Some([least, most]) = all.reach_volts(amps) else {
                // The outlines' ends may be a hair apart.
                let end = all.reach.last().map_or(0.0, |r| r[0]);
                prop_assert!(amps <= end * (1.0 + 1e-6), "{amps} A is beyond {end} A");
                continue;
            };
            let grain = 1e-6 * most.abs() + 1e-3;
            prop_assert!(low >= least - grain && high <= most + grain, "{amps} A: {low} to {high} V of {least} to {most} V");
        }
    }

    /// A rating that is accepted up to what the reach asks of it takes nothing away any more, and nothing else becomes less.
    #[test]
    fn accepting_never_shrinks(supply in supply()) {
        let (model, before) = drawn(&supply)?;
        let taken = taken_away(&before);
        let Some(most) = taken.first() else { return no_case() };
        let worst = highest_in_reach(&model, &before, most.limit).map_err(|failure| fault(&failure))?;
        let Some(worst) = worst else { return no_case() };
        let bound = most.limit.measure().amount(bound_as_built(worst, most.limit.row().bound));
        let mut accepting = supply.clone();
        accepting.accepted.push(Accepted { rating: most.limit.key(), up_to: bound, reason: String::new() });
        let (_, after) = drawn(&accepting)?;
        let [was, is] = [area(&before.region), area(&after.region)];
        prop_assert!(is >= was * (1.0 - 2e-3), "{:?} accepted up to {bound}: {was} became {is}", most.limit);
        prop_assert!(!after.broken_everywhere.contains(&most.limit), "{:?}", most.limit);
        let line = after.limits.iter().find(|line| line.limit == most.limit);
        prop_assert!(line.is_some_and(|line| line.published.is_some()), "the published line stays");
    }
}
