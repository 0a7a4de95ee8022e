//! The tube editor and its lists by the keyboard alone, for both kinds of tube; what its fields say and take.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use sagline::app::App;
use sagline::app::settings::Folders;
use sagline::parts::{Amps, ControlTubeKind, PlateCharacteristic, Volts};

use crate::keyboard::{focused, press, tab_to};
use crate::{click, pick, text_in, type_in, undo_label, window, window_of, words};

const SMALLEST: [f32; 2] = [1024.0, 700.0];

/// Goes to a card, opens it, and opens the editor from it.
fn open_editor(h: &mut Harness<'_, App>, card: &str) {
    tab_to(h, card);
    press(h, Key::Enter);
    tab_to(h, "New type…");
    press(h, Key::Enter);
    assert_eq!(focused(h), "Tube name");
}

fn type_here(h: &mut Harness<'_, App>, text: &str) {
    h.event(egui::Event::Text(text.to_owned()));
    h.run();
}

fn paste_here(h: &mut Harness<'_, App>, text: &str) {
    h.event(egui::Event::Paste(text.to_owned()));
    h.run();
}

fn steps(h: &mut Harness<'_, App>) {
    for _ in 0..60 {
        h.step();
    }
}

/// An open list hangs over or under its box, 360 points high and with a frame of some points.
fn in_sight(h: &Harness<'_, App>, list: &str, name: &str) {
    let its_box = h.get_by_role_and_label(Role::ComboBox, list).rect();
    let entry = h.get_by_role_and_label(Role::Button, name).rect();
    let over = its_box.top() - 370.0 <= entry.top() && entry.bottom() <= its_box.top();
    let under = its_box.bottom() <= entry.top() && entry.bottom() <= its_box.bottom() + 370.0;
    assert!(over || under, "{name}: {entry:?}, box {its_box:?}");
}

#[test]
fn a_tube_of_each_kind_is_described_saved_and_used_by_the_keyboard_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let folders = Folders {
        config: Some(folder.path().join("config")),
        recovery: None,
    };
    let mut h = window_of(None, folders, SMALLEST);
    let describe = h.query_by_role_and_label(Role::Button, "Understood");
    if describe.is_some() {
        click(&mut h, "Understood");
    }
    for (card, list, name, points) in [
        (
            "Pass tubes",
            "Pass tube type",
            "K1",
            "130\t-40\t125\n155\t-60\t100\n185\t-80\t100\n220\t-100\t100\n",
        ),
        (
            "Regulator",
            "Control tube type",
            "K2",
            "100 V; -1 V; 0,5 mA\n250 V; -2 V; 1,2 mA\n97 V; 0 V; 2 mA\n205 V; -1 V; 2,2 mA\n",
        ),
    ] {
        open_editor(&mut h, card);
        type_here(&mut h, name);
        tab_to(&mut h, "Tube points");
        paste_here(&mut h, points);
        assert!(
            words(&h).contains("The law meets 4 points"),
            "{}",
            words(&h)
        );
        tab_to(&mut h, "Save as my own type");
        press(&mut h, Key::Enter);
        assert!(
            words(&h).contains(&format!("Saved {name} in ")),
            "{}",
            words(&h)
        );
        press(&mut h, Key::Enter);
        let again = format!("Saved {name} in place of the earlier one of this name, in ");
        assert!(words(&h).contains(&again), "{}", words(&h));
        tab_to(&mut h, "Use in this supply");
        press(&mut h, Key::Enter);
        assert!(undo_label(&h).ends_with(&format!(", {name}")));
        // The keyboard is back where it was, a step below the list.
        press(&mut h, Key::Escape);
        assert_eq!(focused(&h), "New type…");
        h.key_press_modifiers(egui::Modifiers::SHIFT, Key::Tab);
        h.run();
        // How much the tube may be off stands between.
        if focused(&h) == format!("{list}, spread") {
            h.key_press_modifiers(egui::Modifiers::SHIFT, Key::Tab);
            h.run();
        }
        assert_eq!(focused(&h), list);
        press(&mut h, Key::Enter);
        steps(&mut h);
        assert_eq!(focused(&h), name);
        let entry = h.get_by_role_and_label(Role::Button, name);
        assert!(entry.value().is_some_and(|said| said.contains("own type")));
        in_sight(&h, list, name);
        press(&mut h, Key::Escape);
        // The next card is below this one.
        tab_to(&mut h, card);
        press(&mut h, Key::Enter);
    }
    let text = std::fs::read_to_string(folder.path().join("config/types/own-tubes.ron"));
    let text = text.expect("written");
    assert_eq!(text.matches("\"K1\"").count(), 1, "{text}");
    assert_eq!(text.matches("\"K2\"").count(), 1, "{text}");
}

#[test]
fn an_editor_begins_at_its_own_first_field_and_undo_brings_back_no_other_draft() {
    let mut h = window_of(None, Folders::default(), SMALLEST);
    click(&mut h, "Pass tubes");
    click(&mut h, "New type…");
    let first = h.get_by_role_and_label(Role::TextInput, "Tube name").rect();
    type_here(&mut h, "P9");
    tab_to(&mut h, "Tube grid resistor");
    type_here(&mut h, "1 MΩ");
    let name = h.get_by_role_and_label(Role::TextInput, "Tube name").rect();
    assert!(name.top() < first.top(), "the column is scrolled");
    click(&mut h, "Close window");
    click(&mut h, "Regulator");
    click(&mut h, "New type…");
    steps(&mut h);
    let name = h.get_by_role_and_label(Role::TextInput, "Tube name");
    assert_eq!(name.rect(), first, "what is typed can be seen");
    assert_eq!(focused(&h), "Tube name");
    assert_eq!(text_in(&h, "Tube name"), "");
    type_here(&mut h, "C9");
    for _ in 0..3 {
        h.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
        h.run();
    }
    assert!(!text_in(&h, "Tube name").contains('P'), "of another tube");
}

#[test]
fn page_down_brings_up_the_points_below_the_edge() {
    let mut h = window_of(None, Folders::default(), SMALLEST);
    open_editor(&mut h, "Pass tubes");
    type_here(&mut h, "K6");
    tab_to(&mut h, "Tube points");
    let many: Vec<String> = (10..40)
        .map(|n| format!("{}\t{}\t50", 100 + 8 * n, -2 * n))
        .collect();
    paste_here(&mut h, &many.join("\n"));
    let first = |h: &Harness<'_, App>| h.get_by_label("180 V, \u{2212}20 V").rect().top();
    let before = first(&h);
    press(&mut h, Key::PageDown);
    steps(&mut h);
    assert!(first(&h) < before - 50.0, "{before} {}", first(&h));
    press(&mut h, Key::PageUp);
    steps(&mut h);
    assert!((first(&h) - before).abs() < 1.0);
}

#[test]
fn escape_closes_a_list_of_the_editor_before_the_editor() {
    let mut h = window();
    open_editor(&mut h, "Pass tubes");
    tab_to(&mut h, "Tube rating system");
    press(&mut h, Key::Enter);
    steps(&mut h);
    assert_eq!(focused(&h), "design-centre");
    press(&mut h, Key::Escape);
    assert_eq!(focused(&h), "Tube rating system");
    press(&mut h, Key::Escape);
    let editor = h.query_by_role_and_label(Role::TextInput, "Tube name");
    assert!(editor.is_none(), "the second one closes the editor");
}

#[test]
fn a_list_scrolls_to_the_entry_that_has_the_keyboard() {
    let mut h = window_of(None, Folders::default(), SMALLEST);
    click(&mut h, "Pass tubes");
    let list = h.get_by_role_and_label(Role::ComboBox, "Pass tube type");
    list.focus();
    h.run();
    press(&mut h, Key::Enter);
    steps(&mut h);
    for _ in 0..40 {
        press(&mut h, Key::ArrowDown);
        h.step();
        let name = focused(&h);
        // The field to search in stands over the list and is always seen; the entries begin anew below it.
        if name != "Search Pass tube type" {
            in_sight(&h, "Pass tube type", &name);
        }
    }
}

#[test]
fn what_stands_in_empty_fields_is_of_the_kind_of_tube() {
    let mut h = window();
    let hint = |h: &Harness<'_, App>, role: Role, name: &str| {
        let node = h.get_by_role_and_label(role, name);
        node.accesskit_node()
            .data()
            .placeholder()
            .unwrap_or_default()
            .to_owned()
    };
    for (card, known, expected) in [
        (
            "Pass tubes",
            "One point",
            ["such as 8", "such as 72 mA", "such as 1.7 kΩ"],
        ),
        (
            "Regulator",
            "One point",
            ["such as 100", "such as 1.2 mA", "such as 62 kΩ"],
        ),
        (
            "Regulator",
            "Pentode",
            ["not known", "such as 3 mA", "such as 1 MΩ"],
        ),
    ] {
        if h.query_by_role_and_label(Role::Button, "New type…")
            .is_none()
            || card == "Regulator" && known == "One point"
        {
            click(&mut h, card);
        }
        click(&mut h, "New type…");
        click(&mut h, known);
        let mu = if known == "Pentode" {
            "Tube screen µ"
        } else {
            "Tube µ"
        };
        let fields = [mu, "Tube plate current", "Tube plate resistance"];
        let shown = fields.map(|name| hint(&h, Role::TextInput, name));
        assert_eq!(shown, expected, "{card}, {known}");
        click(&mut h, "Close window");
    }
}

#[test]
fn plain_numbers_are_in_the_units_of_the_points_or_are_asked_about() {
    let mut h = window();
    click(&mut h, "Regulator");
    click(&mut h, "New type…");
    click(&mut h, "One point");
    for (name, text) in [
        ("Tube name", "K3"),
        ("Tube plate volts", "250"),
        ("Tube grid volts", "-2"),
        ("Tube plate current", "1,2"),
        ("Tube µ", "100"),
        ("Tube plate resistance", "62.5"),
    ] {
        type_in(&mut h, name, text, Key::Tab);
    }
    let asked = "Plate resistance: found 62.5, expected its unit too, such as 62 kΩ";
    assert!(words(&h).contains(asked), "{}", words(&h));
    type_in(&mut h, "Tube plate resistance", "", Key::Tab);
    type_in(&mut h, "Tube plate resistance", " ", Key::Tab);
    type_in(&mut h, "Tube transconductance", "1600 micromhos", Key::Tab);
    assert!(
        words(&h).contains("The law goes by the one point"),
        "{}",
        words(&h)
    );
    click(&mut h, "Use in this supply");
    let regulator = h.state().supply().regulator.as_ref().expect("described");
    let ControlTubeKind::Triode(PlateCharacteristic::Published { points, .. }) =
        &regulator.control_tube.kind
    else {
        panic!("a triode");
    };
    assert_eq!(points.len(), 1);
    let point = points.first().expect("one");
    assert_eq!((point.plate, point.grid), (Volts(250.0), Volts(-2.0)));
    assert_eq!(point.current, Amps(1.2e-3));
}

#[test]
fn what_no_tube_has_is_refused_with_its_line_and_draws_nothing() {
    let mut h = window();
    click(&mut h, "Pass tubes");
    click(&mut h, "New type…");
    type_in(&mut h, "Tube name", "K4", Key::Tab);
    click(&mut h, "Zero bias");
    crate::tubes::paste(&mut h, "Tube zero-bias curve", "40 150\n20 -60");
    let said = words(&h);
    assert!(
        said.contains("Zero-bias curve, line 2: found -60 mA"),
        "{said}"
    );
    assert!(!said.contains("follows these"), "{said}");
    click(&mut h, "Points");
    crate::tubes::paste(&mut h, "Tube points", "250 -14 72\n1e9 -20 40\n0.25 -20 40");
    let said = words(&h).replace('\u{a0}', " ");
    assert!(
        said.contains("Points, line 2: found 1000000 kV, expected 1 V to 100 kV"),
        "{said}"
    );
    assert!(said.contains("Points, line 3: found 250 mV, expected 1 V to 100 kV; is it in kV?"));
    crate::tubes::paste(&mut h, "Tube points", "250 0 100\n200 0 70\n150 0 45");
    let said = words(&h);
    assert!(
        said.contains("What the grid does is not known")
            && said.contains("These figures are refused, for the reason above"),
        "{said}"
    );
    crate::tubes::paste(&mut h, "Tube points", "250 -60 0\n200 -60 0");
    let idle = "found points without current only, expected at least one with a current";
    assert!(words(&h).contains(idle), "{}", words(&h));
    // The mistake is named before what is merely missing.
    click(&mut h, "One point");
    type_in(&mut h, "Tube µ", "eight", Key::Tab);
    let twice = words(&h).matches("µ: found eight").count();
    assert_eq!(twice, 2, "in the list and at the foot: {}", words(&h));
}

#[test]
fn a_control_tubes_zero_bias_table_is_judged_as_one_and_a_pentode_has_no_plot() {
    let mut h = window();
    click(&mut h, "Regulator");
    click(&mut h, "New type…");
    type_in(&mut h, "Tube name", "K5", Key::Tab);
    click(&mut h, "Zero bias");
    crate::tubes::paste(&mut h, "Tube zero-bias curve", "42; 1\n97; 2\n143; 3");
    let said = words(&h);
    assert!(
        said.contains("How low the plate comes follows these 3 points"),
        "{said}"
    );
    click(&mut h, "Use in this supply");
    let drawn = |h: &Harness<'_, App>| {
        h.query_by_role_and_label(Role::GraphicsObject, "Curves of the tube")
            .is_some()
    };
    assert!(drawn(&h));
    click(&mut h, "Pentode");
    assert!(!drawn(&h), "nor while its fields are filled");
}

#[test]
fn saving_under_a_built_in_name_says_so_before() {
    let mut h = window();
    click(&mut h, "Pass tubes");
    pick(&mut h, "Pass tube type", "6080");
    click(&mut h, "Edit a copy…");
    type_in(&mut h, "Tube name", "6080", Key::Tab);
    let said = words(&h);
    assert!(
        said.contains("in place of the built-in 6080 in the lists"),
        "{said}"
    );
}

#[test]
fn a_long_name_does_not_widen_the_editor() {
    let mut h = window_of(None, Folders::default(), SMALLEST);
    open_editor(&mut h, "Pass tubes");
    let close = |h: &Harness<'_, App>| h.get_by_role_and_label(Role::Button, "Close window").rect();
    let before = close(&h);
    type_here(&mut h, &"a tube with a long name, ".repeat(20));
    click(&mut h, "Start afresh");
    steps(&mut h);
    let earlier = h
        .get_by_role_and_label(Role::Button, "Earlier draft")
        .rect();
    assert!(
        earlier.right() <= before.right() + 4.0,
        "{earlier:?} {before:?}"
    );
    assert_eq!(close(&h), before);
}
