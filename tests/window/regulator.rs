//! The regulator: described, changed, taken away again, found by its words.

use egui_kittest::kittest::Queryable as _;

use crate::{click, pick, type_in, undo_label, window, words};
use sagline::parts::Volts;

/// Opens the rows under this heading.
fn unfold(h: &mut egui_kittest::Harness<'_, sagline::app::App>, title: &str) {
    h.get_by_label(title).scroll_to_me();
    h.run();
    h.get_by_label(title).click();
    h.run();
}

#[test]
fn a_regulator_is_described_changed_and_undone_by_name() {
    let mut h = window();
    while h.state().supply().regulator.is_some() {
        click(&mut h, "Regulator");
        click(&mut h, "Remove the regulator");
    }
    click(&mut h, "Regulator");
    click(&mut h, "Describe the regulator");
    assert!(h.state().supply().regulator.is_some());
    assert_eq!(undo_label(&h), "Regulator, described");
    pick(&mut h, "Control tube type", "12AX7");
    let name = |h: &egui_kittest::Harness<'_, sagline::app::App>| {
        let regulator = h.state().supply().regulator.clone();
        regulator.map(|r| r.control_tube.name)
    };
    assert_eq!(name(&h).as_deref(), Some("12AX7"));
    unfold(&mut h, "Negative bias rail");
    type_in(&mut h, "Rail winding", "200 V", egui::Key::Enter);
    let winding = |h: &egui_kittest::Harness<'_, sagline::app::App>| {
        let regulator = h.state().supply().regulator.clone();
        regulator.and_then(|r| r.bias_rail).map(|r| r.winding)
    };
    assert_eq!(winding(&h), Some(Volts(200.0)));
    assert_eq!(undo_label(&h), "Regulator, rail winding 200 V");
    click(&mut h, "Undo");
    assert_ne!(winding(&h), Some(Volts(200.0)));
    click(&mut h, "Undo");
    assert_ne!(name(&h).as_deref(), Some("12AX7"));
    assert!(!words(&h).is_empty());
}
