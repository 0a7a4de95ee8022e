//! Figures that match the plot, names under a heading, and what is folded.

use super::*;
use crate::explain::samples::{known, laboratory_supply};
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_checked;
use crate::physics::Model;
use crate::physics::envelope::envelope;
use crate::physics::limit::Measure;

/// The volts up to which the point can go before dropout, by trying.
fn volts_of_dropout(all: &Envelope, model: &Model, amps: f64) -> f64 {
    let (mut held, mut lost) = (0.0, 2000.0);
    for _ in 0..40 {
        let middle = 0.5 * (held + lost);
        let point = all.point(model, amps, middle).unwrap();
        let mut uses = point.uses.iter();
        if uses.any(|one| one.limit == Limit::Dropout && one.is_over()) {
            lost = middle;
        } else {
            held = middle;
        }
    }
    held
}

#[test]
fn of_dropout_it_is_said_how_far_up_the_point_may_go() {
    let mut compared = 0;
    for (_, text) in presets() {
        let supply = read_checked(text, &Catalogue::built_in()).unwrap();
        let model = Model::of(&supply).unwrap();
        let all = envelope(&model).unwrap();
        let amps = 0.5 * all.reach.last().unwrap()[0];
        let top = volts_of_dropout(&all, &model, amps);
        for (volts, word) in [(top - 50.0, "left"), (top + 30.0, "short")] {
            let point = all.point(&model, amps, volts.max(0.0)).unwrap();
            let mut uses = point.uses.iter();
            let one = uses.find(|one| one.limit == Limit::Dropout).unwrap();
            let said = figures(one, &all, &point);
            let number: f64 = said.split(' ').next().unwrap().parse().unwrap();
            let room = (top - point.volts).abs();
            assert!((number - room).abs() < 1.0, "{said}, by trying {room}");
            assert!(said.ends_with(word), "{said}");
            compared += 1;
        }
    }
    assert!(compared >= 16, "{compared}");
}

#[test]
fn names_under_their_heading() {
    let supply = laboratory_supply();
    let said = [
        Limit::CapacitorVolts(0),
        Limit::CapacitorVolts(1),
        Limit::CapacitorSurge(1),
        Limit::RectifierPeakInverse,
        Limit::Dropout,
        Limit::GridFloor,
        Limit::SetRangeHigh,
    ]
    .map(|limit| listed_name(limit, &supply))
    .join("\n");
    insta::assert_snapshot!(said, @r"
    C1 volts
    bus, each of 2 in series
    bus surge volts
    peak inverse
    dropout
    lowest regulated output
    output range
    ");
}

#[test]
fn what_is_folded_and_what_stands_above() {
    let peak = known(Limit::RectifierPeak, 0.229, 1.0, Measure::Amps);
    let winding = known(Limit::WindingRms, 0.1, 1.0, Measure::Amps);
    assert_eq!(more(&[&peak, &winding]), "2 more, none above 23 %");
    assert_eq!(more(&[&winding]), "1 more, not above 10 %");
    let bus = known(Limit::CapacitorVolts(1), 278.0, 300.0, Measure::Volts);
    let mut inverse = known(Limit::RectifierPeakInverse, 800.0, 1500.0, Measure::Volts);
    assert_eq!(
        always_there(&[&bus, &inverse]),
        "Always there: nothing connected, high mains 126 V"
    );
    // Design-centre ratings are judged at nominal mains.
    let judged = inverse.judged.as_mut().unwrap();
    (judged.case, judged.mains_volts) = (Case::Nominal, 120.0);
    assert_eq!(
        always_there(&[&bus, &inverse]),
        "Always there: nothing connected, mains 120 V to 126 V"
    );
    assert_eq!(always_there(&[]), ALWAYS_THERE);
}
