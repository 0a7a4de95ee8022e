//! An evening at the bench in the window: the plan, readings typed, what they say, a cause adopted and taken back. The readings are
//! invented.

use std::time::{Duration, Instant};

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use sagline::app::App;
use sagline::parts::readings::What;

use crate::{click, show, type_in, undo_label, window, words};

/// Runs the window until this holds; a job has its own time.
fn until(h: &mut Harness<'_, App>, what: &str, holds: impl Fn(&Harness<'_, App>) -> bool) {
    let since = Instant::now();
    while !holds(h) {
        assert!(
            since.elapsed() < Duration::from_mins(3),
            "{what} never came"
        );
        std::thread::sleep(Duration::from_millis(30));
        h.run();
    }
}

fn has_field(h: &Harness<'_, App>, name: &str) -> bool {
    h.query_by_role_and_label(Role::TextInput, name).is_some()
}

const BUS: &str = "Bus with nothing connected";

#[test]
fn readings_are_typed_judged_and_a_cause_is_adopted_and_taken_back() {
    let mut h = window();
    click(&mut h, "Understood");
    show(&mut h, "Bench", Some("readings"));
    until(&mut h, "the plan's rows", |h| has_field(h, BUS));
    type_in(&mut h, "Mains as read", "120", Key::Enter);
    type_in(&mut h, BUS, "384", Key::Enter);
    let set = |h: &Harness<'_, App>| h.state().work().bench.sets[0].clone();
    assert_eq!(set(&h).readings.len(), 1);
    let reading = &set(&h).readings[0];
    assert_eq!((reading.what, reading.value.si), (What::Bus, 384.0));
    assert_eq!(reading.mains.map(|volts| volts.0), Some(120.0));
    assert!(undo_label(&h).contains("384 V"), "{}", undo_label(&h));
    // Every step is one of its own, and the way back leads over each.
    type_in(
        &mut h,
        "Across the bus, cold and discharged",
        "221k",
        Key::Enter,
    );
    assert_eq!(set(&h).readings.len(), 2);
    until(&mut h, "a verdict", |h| {
        h.query_by_role_and_label(Role::Button, "Adopt").is_some()
            && words(h).contains("open bleeder")
    });
    assert!(words(&h).contains("stays charged"), "{}", words(&h));
    let before = h.state().work().clone();
    click(&mut h, "Adopt");
    assert!(h.state().work().supply.as_found.open_bleeder);
    assert!(undo_label(&h).contains("Adopted"), "{}", undo_label(&h));
    click(&mut h, "Undo");
    assert_eq!(*h.state().work(), before);
}

#[test]
fn a_step_of_the_plan_is_dropped_and_comes_back() {
    let mut h = window();
    click(&mut h, "Understood");
    show(&mut h, "Bench", Some("plan"));
    until(&mut h, "the plan", |h| {
        h.query_by_role_and_label(Role::Button, "Drop step 2")
            .is_some()
    });
    assert!(words(&h).contains("Cold inspection"), "{}", words(&h));
    click(&mut h, "Drop step 2");
    let plan = h.state().work().bench.plan.clone();
    assert!(plan.len() > 8, "{plan:?}");
    assert!(!format!("{plan:?}").contains("Leakage"), "{plan:?}");
    click(&mut h, "Undo");
    assert!(h.state().work().bench.plan.is_empty());
}
