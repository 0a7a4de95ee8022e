//! The regulator: described, changed, taken away again, found by its words.

use egui_kittest::kittest::Queryable as _;

use crate::{
    OUTSIDE, click, pick, says_outside, type_in, undo_label, unfold_limits, window, words,
};
use sagline::parts::{Ohms, RailWinding, ScreenFeed, Tap, Volts};

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
    click(&mut h, "Regulator");
    click(&mut h, "Remove the regulator");
    assert_eq!(h.state().supply().regulator, None);
    assert_eq!(undo_label(&h), "Regulator, no longer described");
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
        regulator
            .and_then(|r| r.bias_rail)
            .and_then(|r| r.winding.own())
    };
    assert_eq!(winding(&h), Some(Volts(200.0)));
    assert_eq!(undo_label(&h), "Regulator, rail winding 200 V");
    click(&mut h, "Undo");
    assert_ne!(winding(&h), Some(Volts(200.0)));
    click(&mut h, "Undo");
    assert_ne!(name(&h).as_deref(), Some("12AX7"));
    assert!(!words(&h).is_empty());
}

#[test]
fn a_rail_from_the_high_voltage_winding_is_described_by_name() {
    let mut h = window();
    click(&mut h, "Regulator");
    unfold(&mut h, "Negative bias rail");
    let rail = |h: &egui_kittest::Harness<'_, sagline::app::App>| {
        let regulator = h.state().supply().regulator.clone();
        regulator.and_then(|r| r.bias_rail).unwrap()
    };
    let before = rail(&h);
    pick(&mut h, "Rail fed from", "tap on the HV winding");
    assert_eq!(rail(&h).winding, RailWinding::HighVoltageTap(Volts(245.0)));
    assert_eq!(rail(&h).winding_resistance, None);
    assert_eq!(
        undo_label(&h),
        "Regulator, rail fed from tap on the HV winding"
    );
    type_in(&mut h, "Rail tap", "200 V", egui::Key::Enter);
    assert_eq!(rail(&h).winding, RailWinding::HighVoltageTap(Volts(200.0)));
    assert!(h.query_by_label("Rail winding rms").is_none());
    type_in(&mut h, "Rail copper", "22 Ω", egui::Key::Enter);
    pick(&mut h, "Rail copper was", "measured cold");
    assert_eq!(rail(&h).winding_resistance, Some(Ohms(22.0)));
    pick(&mut h, "Rail fed from", "end of the HV winding");
    assert_eq!(rail(&h).winding, RailWinding::HighVoltageEnd);
    assert!(says_something_of_the_winding(&h));
    pick(&mut h, "Rail fed from", "own winding");
    type_in(&mut h, "Rail winding", "245 V", egui::Key::Enter);
    assert_eq!(rail(&h).winding, before.winding);
    assert!(h.query_by_label("Rail tap").is_none());
}

/// The picture still stands: the supply is one that can be computed.
fn says_something_of_the_winding(h: &egui_kittest::Harness<'_, sagline::app::App>) -> bool {
    words(h).lines().any(|line| line.starts_with("Inside")) || says_outside(&words(h))
}

/// The school supply has three gas tubes in series on its rail, and says nothing of shunt resistors.
#[test]
fn shunt_resistors_are_stated_by_name_and_move_the_start() {
    let mut h = window();
    click(&mut h, "Regulator");
    unfold(&mut h, "Negative bias rail");
    let shunts = |h: &egui_kittest::Harness<'_, sagline::app::App>| {
        let regulator = h.state().supply().regulator.clone();
        let rail = regulator.and_then(|r| r.bias_rail);
        rail.and_then(|r| r.reference).and_then(|r| r.shunts)
    };
    assert_eq!(shunts(&h), None);
    assert!(words(&h).contains("whether there are any is not known"));
    pick(&mut h, "Rail shunts", "none");
    assert_eq!(shunts(&h), Some(Vec::new()));
    assert!(words(&h).contains("there are no shunt resistors"));
    pick(&mut h, "Rail shunts", "fitted");
    type_in(&mut h, "Rail shunt 1", "220 kΩ", egui::Key::Enter);
    type_in(&mut h, "Rail shunt 2", "330 kΩ", egui::Key::Enter);
    let ohms = |h: &egui_kittest::Harness<'_, sagline::app::App>| -> Vec<(u8, f64)> {
        let all = shunts(h).unwrap_or_default();
        all.iter().map(|s| (s.across, s.resistance.0)).collect()
    };
    assert_eq!(ohms(&h), [(1, 220e3), (2, 330e3)]);
    assert_eq!(undo_label(&h), "Regulator, rail shunt 2 330 kΩ");
    assert!(words(&h).contains("by their shunt resistors"));
    type_in(&mut h, "Rail shunt 1", " ", egui::Key::Enter);
    assert_eq!(ohms(&h), [(2, 330e3)]);
}

#[test]
fn the_screen_of_the_control_tube_hangs_on_a_divider_by_name() {
    let mut h = window();
    click(&mut h, "Regulator");
    let divider = |h: &egui_kittest::Harness<'_, sagline::app::App>| {
        let regulator = h.state().supply().regulator.clone();
        regulator.and_then(|r| r.screen_divider)
    };
    assert_eq!(divider(&h), None);
    pick(&mut h, "Screen from", "a divider");
    pick(&mut h, "Screen divider on", "the bus");
    type_in(&mut h, "Screen upper R", "330k", egui::Key::Enter);
    type_in(&mut h, "Screen lower R", "47k", egui::Key::Enter);
    pick(&mut h, "Screen foot on", "output negative");
    let read = divider(&h).unwrap();
    assert_eq!([read.upper.0, read.lower.0], [330e3, 47e3]);
    assert_eq!((read.fed_from, read.foot), (ScreenFeed::Bus, Tap::Common));
    assert_eq!(undo_label(&h), "Regulator, screen foot on output negative");
    let typed = h.state().supply().regulator.clone();
    assert_eq!(typed.and_then(|r| r.screen_volts), None);
    pick(&mut h, "Screen from", "volts as measured");
    assert_eq!(divider(&h), None);
}

#[test]
fn the_sense_control_is_described_part_by_part_by_name() {
    let mut h = window();
    click(&mut h, "Regulator");
    let divider = |h: &egui_kittest::Harness<'_, sagline::app::App>| {
        let regulator = h.state().supply().regulator.clone();
        regulator.map(|r| r.divider).unwrap()
    };
    let whole = divider(&h).resistance;
    pick(&mut h, "Sense control", "the whole divider");
    assert_eq!(divider(&h).control, None);
    pick(&mut h, "Sense control", "part by part");
    assert_eq!(divider(&h).resistance, whole);
    type_in(&mut h, "Divider upper R", "20k", egui::Key::Enter);
    type_in(&mut h, "Sense pot", "38k", egui::Key::Enter);
    type_in(&mut h, "Divider lower R", "39k", egui::Key::Enter);
    type_in(&mut h, "Zero adjuster", "6k", egui::Key::Enter);
    assert_eq!(divider(&h).resistance.0, 100e3);
    assert_eq!(undo_label(&h), "Regulator, zero adjuster 6 kΩ");
    pick(&mut h, "Sense control", "the whole divider");
    assert_eq!(divider(&h).control, None);
    assert_eq!(divider(&h).resistance.0, 100e3);
}

#[test]
fn a_shallower_rail_raises_the_floor_and_undo_brings_it_back() {
    let mut h = window();
    type_in(&mut h, "Output volts", "60 V", egui::Key::Enter);
    type_in(&mut h, "Output current", "60 mA", egui::Key::Enter);
    unfold_limits(&mut h);
    let floor = |h: &egui_kittest::Harness<'_, sagline::app::App>| {
        h.query_by_role_and_label(egui::Role::Button, "About lowest regulated output")
            .is_some()
    };
    assert!(floor(&h), "{}", words(&h));
    let before = words(&h);
    click(&mut h, "Regulator");
    unfold(&mut h, "Negative bias rail");
    let slider = |h: &egui_kittest::Harness<'_, sagline::app::App>, volts: f64| {
        h.get_by_role_and_label(egui::Role::Slider, "Rail winding")
            .set_value_accesskit(volts);
    };
    slider(&h, 120.0);
    h.run();
    assert!(undo_label(&h).starts_with("Regulator, rail winding"));
    let shallow = words(&h);
    assert!(says_outside(&shallow), "{shallow}");
    click(&mut h, "Undo");
    let verdict = |said: &str| {
        said.lines()
            .find(|l| l.starts_with("Inside") || OUTSIDE.iter().any(|words| l.starts_with(words)))
            .map(str::to_owned)
    };
    assert_eq!(verdict(&words(&h)), verdict(&before));
}

#[test]
fn the_view_of_the_regulation_opens_says_its_figures_and_follows_the_point() {
    let mut h = window();
    crate::show(&mut h, "Workings", Some("how the output is held"));
    let said = |h: &egui_kittest::Harness<'_, sagline::app::App>| {
        h.get_by_role_and_label(egui::Role::GraphicsObject, "How the output is held")
            .value()
            .unwrap_or_default()
    };
    let first = said(&h);
    for part in [
        "output resistance",
        "loop gain",
        "hum",
        "line regulation, low to high mains",
        "Turned down",
    ] {
        assert!(first.contains(part), "{first}");
    }
    type_in(&mut h, "Output volts", "600 V", egui::Key::Enter);
    assert!(said(&h).contains("loop gain none"), "{}", said(&h));
    click(&mut h, "Regulator");
    click(&mut h, "Remove the regulator");
    assert!(
        words(&h).contains("describe the regulator"),
        "{}",
        words(&h)
    );
}
