//! A variant part of the way between two others.

use crate::parts::{
    Amps, CapacitorStack, Filter, Ohms, PassStage, Rating, Rectifier, SeriesElement, Supply,
    Transformer, Volts, WindingVolts,
};

/// Currents at which a blended outline is given.
const OUTLINE: u32 = 120;

/// The supply at this share of the way (0 to 1), every number on it: by ratio where that is how a part's values run
/// (ohms, farads, henries), else in equal steps. `None` where the two differ in kind: other types, other sections, another
/// count.
pub fn between(before: &Supply, after: &Supply, share: f64) -> Option<Supply> {
    // What a blend at 0 does not bring back is a difference in kind.
    (blend(before, after, 0.0) == *before).then(|| blend(before, after, share.clamp(0.0, 1.0)))
}

/// An outline part of the way between two regions of `[A, lowest V, highest V]`: for variants that differ in kind.
/// Empty if one of them is.
pub fn outline_between(before: &[[f64; 3]], after: &[[f64; 3]], share: f64) -> Vec<[f64; 3]> {
    let ends = |region: &[[f64; 3]]| Some((region.first()?[0], region.last()?[0]));
    let (Some(a), Some(b)) = (ends(before), ends(after)) else {
        return Vec::new();
    };
    (0..=OUTLINE)
        .filter_map(|k| {
            let along = f64::from(k) / f64::from(OUTLINE);
            let [low_a, high_a] = volts_at(before, line(a.0, a.1, along))?;
            let [low_b, high_b] = volts_at(after, line(b.0, b.1, along))?;
            let amps = line(line(a.0, a.1, along), line(b.0, b.1, along), share);
            Some([amps, line(low_a, low_b, share), line(high_a, high_b, share)])
        })
        .collect()
}

fn volts_at(region: &[[f64; 3]], amps: f64) -> Option<[f64; 2]> {
    let above = region
        .partition_point(|r| r[0] < amps)
        .min(region.len().checked_sub(1)?);
    let b = region.get(above)?;
    let a = region.get(above.saturating_sub(1))?;
    let span = b[0] - a[0];
    let along = if span > 0.0 {
        ((amps - a[0]) / span).clamp(0.0, 1.0)
    } else {
        0.0
    };
    Some([line(a[1], b[1], along), line(a[2], b[2], along)])
}

/// In equal steps; exactly `a` at 0.
fn line(a: f64, b: f64, share: f64) -> f64 {
    a + (b - a) * share
}

/// In equal ratios; exactly `a` at 0. A value of zero has no ratio: equal steps then.
fn ratio(a: f64, b: f64, share: f64) -> f64 {
    if a > 0.0 && b > 0.0 {
        a * (b / a).powf(share)
    } else {
        line(a, b, share)
    }
}

fn blend(before: &Supply, after: &Supply, share: f64) -> Supply {
    let mut out = after.clone();
    for (now, was) in [
        (&mut out.mains.nominal, before.mains.nominal),
        (&mut out.mains.present, before.mains.present),
        (&mut out.mains.low, before.mains.low),
        (&mut out.mains.high, before.mains.high),
        (&mut out.output.set_low, before.output.set_low),
        (&mut out.output.set_high, before.output.set_high),
    ] {
        now.0 = line(was.0, now.0, share);
    }
    out.mains.frequency.0 = line(before.mains.frequency.0, after.mains.frequency.0, share);
    let shape = &mut out.mains.crest_factor;
    shape.0 = line(before.mains.crest_factor.0, shape.0, share);
    ohms(
        &mut out.output.meter_shunt,
        before.output.meter_shunt,
        share,
    );
    transformer(&mut out.transformer, &before.transformer, share);
    rectifier(&mut out.rectifier, &before.rectifier, share);
    filter(&mut out.filter, &before.filter, share);
    pass_stage(&mut out.pass_stage, &before.pass_stage, share);
    out
}

fn ohms(now: &mut Ohms, was: Ohms, share: f64) {
    now.0 = ratio(was.0, now.0, share);
}

/// A rating: its number on the way, its source that of the nearer end.
fn rating<T: Copy>(
    now: &mut Option<Rating<T>>,
    was: Option<&Rating<T>>,
    share: f64,
    blend: impl Fn(T, T) -> T,
) {
    if let (Some(now), Some(was)) = (now, was) {
        let value = blend(was.value, now.value);
        if share < 0.5 {
            *now = was.clone();
        }
        now.value = value;
    }
}

fn transformer(now: &mut Transformer, was: &Transformer, share: f64) {
    now.primary_volts.0 = line(was.primary_volts.0, now.primary_volts.0, share);
    match (&mut now.winding, was.winding) {
        (WindingVolts::OpenCircuit(now), WindingVolts::OpenCircuit(was)) => {
            *now = was.with(*now, |was, now| line(was, now, share));
        }
        (
            WindingVolts::Loaded { volts, amps },
            WindingVolts::Loaded {
                volts: was_volts,
                amps: was_amps,
            },
        ) => {
            *volts = was_volts.with(*volts, |was, now| line(was, now, share));
            amps.0 = line(was_amps.0, amps.0, share);
        }
        _ => {}
    }
    ohms(&mut now.primary_resistance, was.primary_resistance, share);
    ohms(
        &mut now.secondary_resistance,
        was.secondary_resistance,
        share,
    );
    if let (Some(now), Some(was)) = (&mut now.second_half_resistance, was.second_half_resistance) {
        ohms(now, was, share);
    }
    now.auxiliary.0 = line(was.auxiliary.0, now.auxiliary.0, share);
    let amps = |a: Amps, b: Amps| Amps(line(a.0, b.0, share));
    rating(
        &mut now.winding_rating,
        was.winding_rating.as_ref(),
        share,
        amps,
    );
}

fn rectifier(now: &mut Rectifier, was: &Rectifier, share: f64) {
    ohms(&mut now.plate_resistor, was.plate_resistor, share);
}

fn filter(now: &mut Filter, was: &Filter, share: f64) {
    for (now, was) in now.stacks_mut().zip(was.stacks()) {
        stack(now, was, share);
    }
    for (now, was) in now.sections.iter_mut().zip(&was.sections) {
        match (&mut now.series, &was.series) {
            (SeriesElement::Resistor(now), SeriesElement::Resistor(was)) => ohms(now, *was, share),
            (
                SeriesElement::Choke {
                    inductance,
                    resistance,
                    rating: limit,
                    ..
                },
                SeriesElement::Choke {
                    inductance: was_inductance,
                    resistance: was_resistance,
                    rating: was_limit,
                    ..
                },
            ) => {
                inductance.0 = ratio(was_inductance.0, inductance.0, share);
                ohms(resistance, *was_resistance, share);
                let amps = |a: Amps, b: Amps| Amps(line(a.0, b.0, share));
                rating(limit, was_limit.as_ref(), share, amps);
            }
            _ => {}
        }
    }
    if let (Some(now), Some(was)) = (&mut now.bleeder, was.bleeder) {
        ohms(now, was, share);
    }
    now.internal_current.0 = line(was.internal_current.0, now.internal_current.0, share);
}

fn stack(now: &mut CapacitorStack, was: &CapacitorStack, share: f64) {
    now.unit.0 = ratio(was.unit.0, now.unit.0, share);
    now.tolerance.0 = line(was.tolerance.0, now.tolerance.0, share);
    if let (Some(now), Some(was)) = (&mut now.balancing, was.balancing) {
        ohms(now, was, share);
    }
    for (now, was) in [
        (&mut now.working_volts, &was.working_volts),
        (&mut now.surge_volts, &was.surge_volts),
    ] {
        rating(now, was.as_ref(), share, |a, b| {
            Volts(line(a.0, b.0, share))
        });
    }
    rating(
        &mut now.ripple_current,
        was.ripple_current.as_ref(),
        share,
        |a, b| Amps(line(a.0, b.0, share)),
    );
}

fn pass_stage(now: &mut PassStage, was: &PassStage, share: f64) {
    ohms(&mut now.cathode_resistor, was.cathode_resistor, share);
    ohms(&mut now.plate_resistor, was.plate_resistor, share);
    now.imbalance.0 = line(was.imbalance.0, now.imbalance.0, share);
    now.grid_limit.0 = line(was.grid_limit.0, now.grid_limit.0, share);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::Farads;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read;

    fn demo() -> Supply {
        read(presets()[0].1, &Catalogue::built_in()).unwrap()
    }

    #[test]
    fn values_run_by_ratio_and_volts_in_equal_steps() {
        let before = demo();
        let mut after = before.clone();
        let unit = before.filter.input_capacitor.as_ref().unwrap().unit.0;
        after.filter.input_capacitor.as_mut().unwrap().unit = Farads(4.0 * unit);
        after.mains.present = Volts(before.mains.present.0 + 4.0);
        let half = between(&before, &after, 0.5).unwrap();
        let got = half.filter.input_capacitor.as_ref().unwrap().unit.0;
        assert!((got / unit - 2.0).abs() < 1e-12);
        assert!((half.mains.present.0 - before.mains.present.0 - 2.0).abs() < 1e-9);
        assert_eq!(between(&before, &after, 0.0).as_ref(), Some(&before));
    }

    /// Resistors, chokes and capacitors run by ratio: half of the way to four times is twice.
    #[test]
    fn every_value_of_the_filter_is_on_the_way() {
        let is_choke = |s: &Supply| s.filter.is_choke_input();
        let all = presets().iter();
        let mut all = all.map(|(_, text)| read(text, &Catalogue::built_in()).unwrap());
        let before = all.find(is_choke).unwrap();
        let times = |factor: f64| {
            let mut supply = before.clone();
            for section in &mut supply.filter.sections {
                section.capacitor.unit.0 *= factor;
                match &mut section.series {
                    SeriesElement::Resistor(ohms) => ohms.0 *= factor,
                    SeriesElement::Choke {
                        inductance,
                        resistance,
                        ..
                    } => {
                        inductance.0 *= factor;
                        resistance.0 *= factor;
                    }
                }
            }
            let ohms = [
                &mut supply.transformer.primary_resistance,
                &mut supply.transformer.secondary_resistance,
                &mut supply.rectifier.plate_resistor,
                &mut supply.pass_stage.cathode_resistor,
            ];
            for ohms in ohms {
                ohms.0 *= factor;
            }
            supply
        };
        let half = between(&before, &times(4.0), 0.5).unwrap();
        for (k, (got, want)) in values(&half)
            .into_iter()
            .zip(values(&times(2.0)))
            .enumerate()
        {
            assert!((got - want).abs() <= 1e-12 * want, "{k}: {got} {want}");
        }
    }

    fn values(supply: &Supply) -> Vec<f64> {
        let filter = &supply.filter;
        let of_sections = filter.sections.iter().flat_map(|section| {
            let series = match section.series {
                SeriesElement::Resistor(ohms) => [ohms.0, 0.0],
                SeriesElement::Choke {
                    inductance,
                    resistance,
                    ..
                } => [inductance.0, resistance.0],
            };
            [section.capacitor.unit.0, series[0], series[1]]
        });
        let ohms = [
            supply.transformer.primary_resistance,
            supply.transformer.secondary_resistance,
            supply.rectifier.plate_resistor,
            supply.pass_stage.cathode_resistor,
        ];
        of_sections.chain(ohms.map(|ohms| ohms.0)).collect()
    }

    #[test]
    fn another_kind_of_tube_has_nothing_in_between() {
        let before = demo();
        let mut after = before.clone();
        after.pass_stage.units += 1;
        assert_eq!(between(&before, &after, 0.5), None);
    }

    #[test]
    fn a_blended_outline_lies_half_way() {
        let a = [[0.0, 0.0, 100.0], [0.1, 0.0, 100.0]];
        let b = [[0.0, 50.0, 200.0], [0.2, 50.0, 200.0]];
        let half = outline_between(&a, &b, 0.5);
        let last = half.last().unwrap();
        assert!((last[0] - 0.15).abs() < 1e-12);
        assert!((last[1] - 25.0).abs() < 1e-9 && (last[2] - 150.0).abs() < 1e-9);
        assert!(outline_between(&a, &[], 0.5).is_empty());
    }
}
