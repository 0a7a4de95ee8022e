//! Whatever is answered and whatever is not known: a supply comes of it that can be computed.

use proptest::prelude::*;
use proptest::sample::select;
use sagline::parts::catalogue::Catalogue;
use sagline::parts::check::check_work;
use sagline::parts::guessed::standing;
use sagline::parts::new_supply::{Answers, FilterPart, Rail, new_supply};
use sagline::parts::{
    Connection, Copper, Farads, Henries, Hertz, Ohms, SecondaryVolts, Supply, Volts, file,
};
use sagline::physics::Model;
use sagline::physics::envelope::envelope;

use crate::cases;

/// An answer, or none, each as often.
fn or_unknown<T: Clone + std::fmt::Debug + 'static>(
    answers: impl Strategy<Value = T> + 'static,
) -> impl Strategy<Value = Option<T>> {
    prop::option::weighted(0.5, answers)
}

fn part() -> impl Strategy<Value = FilterPart> {
    select(vec![
        FilterPart::Capacitor(Farads(8e-6)),
        FilterPart::Capacitor(Farads(47e-6)),
        FilterPart::Choke(Henries(10.0)),
        FilterPart::Choke(Henries(5.0)),
        FilterPart::Resistor(Ohms(220.0)),
    ])
}

fn answers() -> impl Strategy<Value = Answers> {
    let raw = (
        or_unknown(select(vec![
            Volts(117.0),
            Volts(120.0),
            Volts(220.0),
            Volts(230.0),
        ])),
        or_unknown(select(vec![Hertz(50.0), Hertz(60.0)])),
        or_unknown((200.0..600.0_f64).prop_map(Volts)),
        or_unknown(select(vec![
            Connection::FullWaveCentreTap,
            Connection::Bridge,
            Connection::HalfWave,
        ])),
        or_unknown((1.0..30.0_f64).prop_map(Ohms)),
        or_unknown((30.0..300.0_f64).prop_map(Ohms)),
        or_unknown(select(Catalogue::built_in().rectifiers)),
        or_unknown(part()),
        or_unknown(prop::collection::vec(part(), 0..4)),
        or_unknown(select(vec![Volts(450.0), Volts(600.0)])),
    );
    let rest = (
        or_unknown(select(Catalogue::built_in().pass_tubes)),
        or_unknown(1..5_u8),
        or_unknown(select(Catalogue::built_in().control_tubes)),
        or_unknown(prop_oneof![
            Just(Rail::Absent),
            (20.0..320.0_f64).prop_map(|v| Rail::Below(Volts(v)))
        ]),
        or_unknown((0.0..200.0_f64).prop_map(Volts)),
        or_unknown((200.0..500.0_f64).prop_map(Volts)),
    );
    (raw, rest).prop_map(|(raw, rest)| Answers {
        nominal: raw.0,
        frequency: raw.1,
        winding: raw.2.map(SecondaryVolts::One),
        connection: raw.3,
        primary_resistance: raw.4,
        secondary_resistance: raw.5,
        rectifier: raw.6,
        first: raw.7,
        then: raw.8,
        working_volts: raw.9,
        pass_tube: rest.0,
        pass_tubes: rest.1,
        control_tube: rest.2,
        rail: rest.3,
        set_low: rest.4,
        set_high: rest.5,
    })
}

/// What was answered stands in the supply as it was said and bears no mark; what was not bears one.
fn answered(answers: &Answers, supply: &Supply, guessed: &[String]) -> Result<(), TestCaseError> {
    let marked = |field: &str| guessed.iter().any(|marked| marked == field);
    for (field, known) in [
        ("mains.nominal", answers.nominal.is_some()),
        ("mains.frequency", answers.frequency.is_some()),
        ("transformer.winding", answers.winding.is_some()),
        (
            "transformer.primary_resistance",
            answers.primary_resistance.is_some(),
        ),
        (
            "transformer.secondary_resistance",
            answers.secondary_resistance.is_some(),
        ),
        ("rectifier.kind", answers.rectifier.is_some()),
        ("rectifier.connection", answers.connection.is_some()),
        ("pass_stage.tube", answers.pass_tube.is_some()),
        ("pass_stage.units", answers.pass_tubes.is_some()),
        ("output.set_low", answers.set_low.is_some()),
        ("output.set_high", answers.set_high.is_some()),
    ] {
        prop_assert_eq!(marked(field), !known, "{}", field);
    }
    let same =
        |said: Option<f64>, stands: f64| said.is_none_or(|said| said.to_bits() == stands.to_bits());
    prop_assert!(same(answers.nominal.map(|v| v.0), supply.mains.nominal.0));
    prop_assert!(same(
        answers.winding.map(|v| v.higher().0),
        supply.transformer.stated_volts().0
    ));
    prop_assert!(same(
        answers.secondary_resistance.map(|r| r.0),
        supply.transformer.secondary_resistance.0
    ));
    let cold = supply.transformer.secondary_measured == Copper::Cold;
    prop_assert_eq!(answers.secondary_resistance.is_some(), cold);
    prop_assert!(same(answers.set_low.map(|v| v.0), supply.output.set_low.0));
    prop_assert!(same(
        answers.set_high.map(|v| v.0),
        supply.output.set_high.0
    ));
    prop_assert_eq!(answers.control_tube.is_some(), supply.regulator.is_some());
    for stack in supply.filter.stacks() {
        let working = stack.working_volts.as_ref().map(|rating| rating.value);
        prop_assert_eq!(working, answers.working_volts);
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn any_answers_make_a_supply_that_can_be_computed(answers in answers()) {
        let catalogue = Catalogue::built_in();
        let work = new_supply(&answers, &catalogue).expect("the catalogue has types");
        prop_assert_eq!(check_work(&work), vec![]);
        answered(&answers, &work.supply, &work.guessed)?;
        for field in &work.guessed {
            prop_assert!(standing(&work.supply, field).is_some(), "{}", field);
        }
        let text = file::write(&work, &catalogue);
        let read = file::read_work(&text, &catalogue);
        prop_assert_eq!(read.as_ref(), Ok(&work));
        let envelope = Model::of(&work.supply).and_then(|model| envelope(&model));
        prop_assert!(envelope.is_ok(), "{:?}", envelope.err());
    }
}

/// All combinations of the questions that decide the circuit: known or not.
#[test]
fn nothing_known_at_all_gives_an_envelope_with_something_allowed() {
    let catalogue = Catalogue::built_in();
    let work = new_supply(&Answers::default(), &catalogue).expect("the catalogue has types");
    let model = Model::of(&work.supply).expect("it can be computed");
    let envelope = envelope(&model).expect("it has an envelope");
    assert!(!envelope.region.is_empty(), "{envelope:?}");
    assert!(work.guessed.len() > 20, "{:?}", work.guessed);
}
