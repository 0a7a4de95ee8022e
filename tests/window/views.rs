//! What the dock shows of the point: chosen by name, in words for those who cannot see it, the envelope always there.

use egui_kittest::kittest::{NodeT as _, Queryable as _};
use sagline::app::settings::Folders;

use crate::{click, show, type_in, window, window_of};

fn value(harness: &egui_kittest::Harness<'_, sagline::app::App>, name: &str) -> String {
    harness
        .get_by_role_and_label(egui::Role::GraphicsObject, name)
        .value()
        .unwrap_or_default()
}

#[test]
fn the_cycle_says_trough_conduction_and_dropout() {
    let mut h = window();
    show(&mut h, "In time", None);
    let words = value(&h, "One mains cycle");
    for part in ["Bus from", "dropout at", "conducts", "peak of"] {
        assert!(words.contains(part), "{words}");
    }
    type_in(&mut h, "Output current", "100 mA", egui::Key::Enter);
    assert_ne!(words, value(&h, "One mains cycle"), "it follows the point");
    show(&mut h, "Bench", None);
    assert!(
        h.query_by_role_and_label(egui::Role::GraphicsObject, "One mains cycle")
            .is_none()
    );
}

#[test]
fn after_switch_off_says_how_long_and_what_an_open_bleeder_does() {
    let mut h = window();
    show(&mut h, "In time", Some("after switch-off"));
    let said = value(&h, "Volts after switch-off");
    for part in [
        "stored",
        "Tubes cold: 60 V after",
        "Bleeder open",
        "From the point",
    ] {
        assert!(said.contains(part), "{said}");
    }
    let on_screen = crate::words(&h);
    for part in ["to 60 V", "Discharge every capacitor through a resistor"] {
        assert!(on_screen.contains(part), "{on_screen}");
    }
    // Its tab leads back to it.
    show(&mut h, "Bench", None);
    show(&mut h, "In time", None);
    assert_eq!(said, value(&h, "Volts after switch-off"));
}

#[test]
fn the_energy_flow_names_load_and_pass_tubes_and_follows_the_volts() {
    let mut h = window();
    show(&mut h, "Workings", Some("where the watts go"));
    let words = value(&h, "Where the watts go");
    assert!(
        words.contains("from the mains") && words.contains("load") && words.contains("pass tubes"),
        "{words}"
    );
    type_in(&mut h, "Output volts", "50 V", egui::Key::Enter);
    assert_ne!(words, value(&h, "Where the watts go"));
    type_in(&mut h, "Output volts", "2 kV", egui::Key::Enter);
    assert!(crate::words(&h).contains("cannot come out"));
}

#[test]
fn the_envelope_stays_beside_every_view() {
    for size in [[1024.0, 700.0], [1440.0, 900.0], [1920.0, 1080.0]] {
        let mut h = window_of(None, Folders::default(), size);
        click(&mut h, "Understood");
        for (page, stop) in [
            ("In time", None),
            ("In time", Some("after switch-off")),
            ("Workings", Some("where the watts go")),
            ("Workings", Some("how the output is held")),
        ] {
            let view = stop.unwrap_or(page);
            show(&mut h, page, stop);
            let plots: Vec<egui::Rect> = h
                .get_all_by_role(egui::Role::GraphicsObject)
                .map(|n| n.rect())
                .collect();
            assert_eq!(plots.len(), 2, "{view} {size:?}");
            for plot in plots {
                assert!(
                    plot.height() > 0.2 * size[1] && plot.width() > 0.36 * size[0],
                    "{view} {size:?}: {plot:?}"
                );
            }
        }
    }
}

#[test]
fn the_margin_map_is_off_at_first_and_comes_and_goes_by_its_switch() {
    let mut h = window();
    let toggle = |h: &egui_kittest::Harness<'_, sagline::app::App>| {
        h.get_by_role_and_label(egui::Role::CheckBox, "Shade by margin")
            .accesskit_node()
            .toggled()
    };
    let off = toggle(&h);
    for _ in 0..2 {
        h.get_by_role_and_label(egui::Role::CheckBox, "Shade by margin")
            .click();
        h.run();
    }
    assert_eq!(off, toggle(&h));
    h.get_by_role_and_label(egui::Role::CheckBox, "Shade by margin")
        .click();
    h.run();
    assert_ne!(off, toggle(&h));
}

#[test]
fn every_view_has_a_key() {
    let mut h = window();
    for (key, name) in [
        (egui::Key::Num2, "One mains cycle"),
        (egui::Key::Num3, "Where the watts go"),
    ] {
        h.key_press_modifiers(egui::Modifiers::COMMAND, key);
        h.run();
        h.get_by_role_and_label(egui::Role::GraphicsObject, name);
    }
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Num1);
    h.run();
    let plots = h.get_all_by_role(egui::Role::GraphicsObject).count();
    assert_eq!(plots, 1, "the envelope alone");
}

#[test]
fn the_regulation_view_is_read_off_under_the_pointer() {
    let mut h = window();
    show(&mut h, "Workings", Some("how the output is held"));
    assert!(!crate::words(&h).contains(", loop gain "));
    let view = h
        .get_by_role_and_label(egui::Role::GraphicsObject, "How the output is held")
        .rect();
    for (across, unit) in [(0.15, "lower than with no load"), (0.45, "mA: held")] {
        h.hover_at(view.left_top() + egui::vec2(across * view.width(), 0.5 * view.height()));
        for _ in 0..3 {
            h.step();
        }
        let said = crate::words(&h);
        for part in [unit, "output resistance ", ", hum ", ", loop gain "] {
            assert!(said.contains(part), "{across}: no {part} in\n{said}");
        }
    }
    h.hover_at(egui::pos2(2.0, 2.0));
    for _ in 0..3 {
        h.step();
    }
    assert!(!crate::words(&h).contains(", loop gain "));
}

#[test]
fn low_and_high_mains_are_a_layer_that_comes_and_goes() {
    let mut h = window();
    let on = |h: &egui_kittest::Harness<'_, sagline::app::App>| {
        h.get_by_role_and_label(egui::Role::CheckBox, "Show low and high mains")
            .accesskit_node()
            .toggled()
    };
    let shown = on(&h);
    assert_eq!(shown, Some(true.into()));
    h.get_by_role_and_label(egui::Role::CheckBox, "Show low and high mains")
        .click();
    h.run();
    assert_ne!(on(&h), shown);
    // By the keyboard as well.
    h.get_by_role_and_label(egui::Role::CheckBox, "Show low and high mains")
        .focus();
    h.run();
    h.key_press(egui::Key::Space);
    h.run();
    assert_eq!(on(&h), shown);
}

#[test]
fn the_place_under_the_pointer_is_said_in_one_line_above_the_plane_at_every_size() {
    for size in [[1024.0, 700.0], [1440.0, 900.0], [1920.0, 1080.0]] {
        let mut h = window_of(None, Folders::default(), size);
        click(&mut h, "Understood");
        click(&mut h, "No, thank you");
        let plot = h
            .get_by_role_and_label(egui::Role::GraphicsObject, "Operating envelope")
            .rect();
        let switches = h
            .get_by_role_and_label(egui::Role::Button, "Keep as ghost")
            .rect();
        for [across, up] in [[0.3, 0.6], [0.9, 0.1], [0.5, 0.95], [0.02, 0.02]] {
            h.hover_at(plot.left_top() + egui::vec2(across, 1.0 - up) * plot.size());
            for _ in 0..6 {
                h.step();
            }
            let said: Vec<(String, egui::Rect)> = h
                .get_all_by_role(egui::Role::Label)
                .filter_map(|node| Some((node.value()?.replace('\u{a0}', " "), node.rect())))
                .filter(|(said, _)| said.contains(" mA: ") || said.contains(" A: "))
                .collect();
            let [(said, line)] = said.as_slice() else {
                panic!("{size:?}, {across} {up}: {said:?}");
            };
            let verdicts = ["inside, ", "works, but over a rating: ", "out of reach: "];
            assert!(
                verdicts.iter().any(|verdict| said.contains(verdict)),
                "{said}"
            );
            assert!(
                line.top() >= switches.bottom() && line.bottom() <= plot.top(),
                "{size:?}: {line:?} between {switches:?} and {plot:?}"
            );
            assert!(
                line.height() < 20.0 && line.right() <= plot.right() + 130.0,
                "{line:?}"
            );
        }
    }
}
