//! Reach, envelope and what is accepted as built, over random supplies.

use proptest::prelude::*;
use sagline::bench::acceptance::{bound_as_built, highest_in_reach, taken_away};
use sagline::bench::change::{Turn, Variant, compare};
use sagline::parts::{Accepted, SeriesElement, Supply};
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

/// Ways to forget a rating.
const FORGETTING: [fn(&mut Supply); 9] = [
    |s| s.rectifier.kind.peak_inverse = None,
    |s| s.rectifier.kind.peak_current = None,
    |s| s.rectifier.kind.dc_current = None,
    |s| s.transformer.winding_rating = None,
    |s| s.pass_stage.tube.ratings.plate_dissipation = None,
    |s| s.pass_stage.tube.ratings.plate_volts = None,
    |s| s.pass_stage.tube.plate_current = None,
    |s| {
        for section in &mut s.filter.sections {
            section.capacitor.working_volts = None;
            section.capacitor.ripple_current = None;
        }
    },
    |s| {
        for section in &mut s.filter.sections {
            if let SeriesElement::Choke { rating, .. } = &mut section.series {
                *rating = None;
            }
        }
    },
];

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

    /// What is not known neither breaks nor mends: with a rating forgotten the supply does what it did, the other limits ask what they asked,
    /// and a limit that was over is said to be no longer judged, never to be mended.
    #[test]
    fn what_is_not_known_neither_widens_the_reach_nor_mends(
        supply in supply(),
        forget in 0..FORGETTING.len(),
        at in (0.05..1.1_f64, 0.02..1.2_f64),
    ) {
        let mut unknown = supply.clone();
        FORGETTING[forget](&mut unknown);
        let (model, before) = drawn(&supply)?;
        let (less, after) = drawn(&unknown)?;
        let [was, is] = [area(&before.reach), area(&after.reach)];
        prop_assert!((is - was).abs() <= 2e-3 * was, "reach {was} became {is}");
        let end = before.reach.last().map_or(0.0, |r| r[0]);
        let highest = before.reach.iter().map(|r| r[2]).fold(0.0, f64::max);
        let (amps, volts) = (at.0 * end, at.1 * highest);
        let point = |model: &Model, envelope: &Envelope| envelope.point(model, amps, volts);
        let (Ok(here), Ok(there)) = (point(&model, &before), point(&less, &after)) else {
            return no_case();
        };
        let variant = |model, envelope, point| Variant { model, envelope, point, dummies: &[], load_lines: &[] };
        let compared = compare(&variant(&model, &before, &here), &variant(&less, &after, &there));
        for change in &compared.limits {
            prop_assert!(
                matches!(change.turn, Turn::StillBroken | Turn::StillKept | Turn::NoLongerJudged),
                "{:?}: {:?}", change.limit, change.turn
            );
            let ratio = change.ratio();
            if let (Some(was), Some(is)) = (ratio.before, ratio.after) {
                prop_assert!((was - is).abs() <= 1e-6 * was.abs().max(1.0), "{:?}: {was} became {is}", change.limit);
            } else {
                prop_assert!(ratio.after.is_none(), "{:?} is judged by what is not known", change.limit);
            }
        }
    }
}
