//! Cards, typed values, sliders, undo, pickers, dummies, the point.

use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use sagline::app::App;
use sagline::parts::{Copper, CrestFactor, Ohms, SecondaryVolts, Volts};
use sagline::physics::Case;
use sagline::physics::steady_state::operate;

use crate::{OUTSIDE, click, pick, text_in, type_in, undo_label, window, words};

#[test]
fn four_k_seven_is_read_as_4700_ohms_and_undone_by_name() {
    let mut h = window();
    let before = h.state().supply().filter.bleeder;
    click(&mut h, "Filter");
    type_in(&mut h, "Bleeder", "4k7", egui::Key::Enter);
    assert_eq!(h.state().supply().filter.bleeder, Some(Ohms(4700.0)));
    assert_eq!(text_in(&h, "Bleeder"), "4.7 kΩ");
    assert_eq!(undo_label(&h), "Filter, bleeder 4.7 kΩ");
    click(&mut h, "Undo");
    assert_eq!(h.state().supply().filter.bleeder, before);
    click(&mut h, "Redo");
    assert_eq!(h.state().supply().filter.bleeder, Some(Ohms(4700.0)));
}

#[test]
fn the_shape_of_the_mains_and_cold_copper_are_set_in_their_cards() {
    let mut h = window();
    click(&mut h, "Mains");
    let bus = |h: &Harness<'_, App>| {
        operate(&h.state().supply().raw(), Case::Present, 0.05)
            .unwrap()
            .bus
            .mean_volts
    };
    let before = bus(&h);
    assert_eq!(text_in(&h, "Crest factor"), "1.414");
    type_in(&mut h, "Crest factor", "1,37", egui::Key::Enter);
    assert_eq!(h.state().supply().mains.crest_factor, CrestFactor(1.37));
    assert_eq!(undo_label(&h), "Mains, crest factor 1.37");
    let flat = bus(&h);
    assert!(flat < before - 1.0, "{flat} {before}");
    // As typed, that is a clean sine, and no shape of its own.
    type_in(&mut h, "Crest factor", "1.414", egui::Key::Enter);
    assert_eq!(h.state().supply().mains.crest_factor, CrestFactor::SINE);
    assert!((bus(&h) - before).abs() < 1e-9);
    click(&mut h, "Mains");
    click(&mut h, "Transformer");
    pick(&mut h, "Winding was", "measured cold");
    assert_eq!(
        h.state().supply().transformer.secondary_measured,
        Copper::Cold
    );
    assert_eq!(undo_label(&h), "Transformer, winding was measured cold");
    assert!(words(&h).contains("at work"), "{}", words(&h));
    assert!(bus(&h) < before);
}

/// A slider takes both halves along, and what no bridge can be is said where it stands.
#[test]
fn halves_of_the_winding_are_typed_as_they_are_marked() {
    let mut h = window();
    click(&mut h, "Transformer");
    let bus =
        |h: &Harness<'_, App>| operate(&h.state().supply().raw(), Case::Present, 0.05).unwrap();
    let [volts, _] = h.state().supply().transformer.stated_halves();
    let before = bus(&h).bus;
    type_in(
        &mut h,
        "Winding volts",
        &format!("{0}-0-{0}", volts.0),
        egui::Key::Enter,
    );
    let halves = |h: &Harness<'_, App>| h.state().supply().transformer.secondary_volts();
    assert_eq!(halves(&h), SecondaryVolts::Halves(volts, volts));
    // The same winding, written otherwise.
    assert_eq!(bus(&h).bus, before);
    type_in(&mut h, "Winding volts", "355–0–362", egui::Key::Enter);
    assert_eq!(
        halves(&h),
        SecondaryVolts::Halves(Volts(355.0), Volts(362.0))
    );
    assert_eq!(text_in(&h, "Winding volts"), "355-0-362 V");
    assert_eq!(undo_label(&h), "Transformer, winding volts 355-0-362 V");
    assert!(words(&h).contains("355–0–362 V"), "{}", words(&h));
    let [first, second] = bus(&h).by_half.unwrap();
    assert!(second.mean_amps > first.mean_amps);
    type_in(&mut h, "Second half", "190", egui::Key::Enter);
    assert_eq!(
        h.state().supply().transformer.second_half_resistance,
        Some(Ohms(190.0))
    );
    click(&mut h, "Transformer");
    click(&mut h, "Rectifier");
    pick(&mut h, "Connection", "bridge");
    let said = "the whole winding in one figure, such as \"717 V\"";
    assert!(words(&h).contains(said), "{}", words(&h));
}

#[test]
fn half_typed_text_stays_with_what_is_wrong_and_changes_nothing() {
    let mut h = window();
    click(&mut h, "Filter");
    let before = h.state().supply().clone();
    type_in(&mut h, "Bleeder", "4k7 volts", egui::Key::Tab);
    assert_eq!(h.state().supply(), &before);
    assert_eq!(text_in(&h, "Bleeder"), "4k7 volts");
    assert!(words(&h).contains("expected a value in Ω"), "{}", words(&h));
    // Not even closing the card loses it.
    click(&mut h, "Filter");
    click(&mut h, "Filter");
    assert_eq!(text_in(&h, "Bleeder"), "4k7 volts");
    type_in(&mut h, "Bleeder", "47k", egui::Key::Enter);
    assert_eq!(h.state().supply().filter.bleeder, Some(Ohms(47e3)));
}

#[test]
fn escape_brings_the_old_value_back() {
    let mut h = window();
    click(&mut h, "Filter");
    let shown = text_in(&h, "Bleeder");
    type_in(&mut h, "Bleeder", "nonsense", egui::Key::Escape);
    assert_eq!(text_in(&h, "Bleeder"), shown);
}

#[test]
fn an_emptied_bleeder_is_no_bleeder() {
    let mut h = window();
    click(&mut h, "Filter");
    type_in(&mut h, "Bleeder", " ", egui::Key::Enter);
    assert_eq!(h.state().supply().filter.bleeder, None);
    assert_eq!(undo_label(&h), "Filter, bleeder none");
}

#[test]
fn a_drag_of_the_mains_is_one_step_and_the_words_follow() {
    let mut h = window();
    let words_before = words(&h);
    let before = h.state().supply().mains.present;
    let slider = h
        .get_by_role_and_label(egui::Role::Slider, "Mains now")
        .rect();
    let from = slider.center();
    h.drag_at(from);
    h.step();
    for step in 1..=5_u8 {
        h.hover_at(from + egui::vec2(f32::from(step) * 8.0, 0.0));
        h.step();
    }
    h.drop_at(from + egui::vec2(40.0, 0.0));
    h.run();
    let after = h.state().supply().mains.present;
    assert!(after.0 > before.0, "{before} → {after}");
    assert_eq!(undo_label(&h), format!("Mains, now {after}"));
    assert_ne!(words(&h), words_before);
    click(&mut h, "Undo");
    assert_eq!(h.state().supply().mains.present, before, "one step");
    assert_eq!(words(&h), words_before);
}

#[test]
fn sliders_move_by_keyboard_and_by_assistive_technology() {
    let mut h = window();
    let before = h.state().supply().mains.present;
    h.get_by_role_and_label(egui::Role::Slider, "Mains now")
        .focus();
    h.run();
    h.key_press(egui::Key::ArrowRight);
    h.run();
    assert!(h.state().supply().mains.present.0 > before.0);
    h.get_by_role_and_label(egui::Role::Slider, "Mains now")
        .set_value_accesskit(117.0);
    h.run();
    assert_eq!(h.state().supply().mains.present, Volts(117.0));
}

#[test]
fn the_words_follow_a_slider_in_the_same_frame() {
    let mut h = window();
    let before = words(&h);
    h.get_by_role_and_label(egui::Role::Slider, "Mains now")
        .set_value_accesskit(126.0);
    h.step();
    assert_eq!(h.state().supply().mains.present, Volts(126.0));
    let after = words(&h);
    assert_ne!(after, before, "one frame");
    h.run();
    assert_eq!(words(&h), after, "nothing was left for a later frame");
}

#[test]
fn every_card_opens_by_keyboard() {
    let mut h = window();
    for card in [
        "Mains",
        "Transformer",
        "Rectifier",
        "Filter",
        "Pass tubes",
        "Output",
    ] {
        h.get_by_role_and_label(egui::Role::Button, card).focus();
        h.run();
        let sliders = h.get_all_by_role(egui::Role::Slider).count();
        h.key_press(egui::Key::Enter);
        h.run();
        assert!(
            h.get_all_by_role(egui::Role::Slider).count() > 1,
            "{card}: {sliders}"
        );
    }
}

#[test]
fn another_rectifier_is_picked_and_can_be_undone() {
    let mut h = window();
    let before = h.state().supply().rectifier.kind.name.clone();
    let words_before = words(&h);
    click(&mut h, "Rectifier");
    let other = if before == "5R4-GY" {
        "5U4-GB"
    } else {
        "5R4-GY"
    };
    pick(&mut h, "Rectifier type", other);
    assert_eq!(h.state().supply().rectifier.kind.name, other);
    assert_eq!(undo_label(&h), format!("Rectifier, {other}"));
    assert_ne!(words(&h), words_before);
    click(&mut h, "Undo");
    assert_eq!(h.state().supply().rectifier.kind.name, before);
}

#[test]
fn sections_are_added_and_removed() {
    let mut h = window();
    click(&mut h, "Filter");
    let before = h.state().supply().filter.clone();
    let n_before = before.sections.len();
    click(&mut h, "Add R–C section");
    assert_eq!(h.state().supply().filter.sections.len(), n_before + 1);
    type_in(
        &mut h,
        &format!("R{}", n_before + 1),
        "330R",
        egui::Key::Enter,
    );
    click(&mut h, &format!("Remove section {}", n_before + 1));
    assert_eq!(h.state().supply().filter, before);
    pick(&mut h, "Input", "choke or resistor");
    assert_eq!(h.state().supply().filter.input_capacitor, None);
}

#[test]
fn a_dummy_is_added_changed_and_removed() {
    let mut h = window();
    let before = h.state().work().dummies.len();
    click(&mut h, "Add a dummy load");
    assert_eq!(h.state().work().dummies.len(), before + 1);
    type_in(&mut h, "Resistance", "3k3", egui::Key::Enter);
    assert_eq!(h.state().work().dummies[before].resistance, Ohms(3300.0));
    assert_eq!(undo_label(&h), "Dummy, resistance 3.3 kΩ");
    let row = h.get_all_by_role(egui::Role::Button).find(|node| {
        let label = node.accesskit_node().label();
        label.is_some_and(|label| label.starts_with("3.3 kΩ "))
    });
    let said = row.and_then(|row| row.accesskit_node().value());
    assert!(
        said.is_some_and(|said| said.contains(" V")),
        "what its line says"
    );
    click(&mut h, "Remove this dummy");
    assert_eq!(h.state().work().dummies.len(), before);
}

#[test]
fn the_tightest_limit_changes_with_the_point() {
    let mut h = window();
    let first = words(&h);
    type_in(&mut h, "Output current", "160 mA", egui::Key::Enter);
    type_in(&mut h, "Output volts", "5 V", egui::Key::Enter);
    assert_eq!(h.state().point(), [0.16, 5.0]);
    let second = words(&h);
    let verdict = |words: &str| {
        words
            .lines()
            .find(|l| l.starts_with("Inside") || OUTSIDE.iter().any(|words| l.starts_with(words)))
            .map(str::to_owned)
    };
    assert!(verdict(&first).is_some(), "{first}");
    assert_ne!(verdict(&first), verdict(&second), "{second}");
}

#[test]
fn a_supply_that_cannot_be_keeps_the_last_picture_and_says_why() {
    let mut h = window();
    click(&mut h, "Transformer");
    type_in(&mut h, "Winding volts", "0 V", egui::Key::Enter);
    let said = words(&h);
    assert!(said.contains("The picture was not updated"), "{said}");
    assert!(said.contains("Winding volts: 0 V; give"), "{said}");
    assert!(
        said.contains("Moves with the point, the tightest first"),
        "{said}"
    );
    click(&mut h, "Undo");
    assert!(!words(&h).contains("The picture was not updated"));
}

#[test]
fn the_point_moves_by_arrow_keys_when_the_plot_has_the_keyboard() {
    let mut h = window();
    let before = h.state().point();
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::L);
    h.run();
    h.key_press(egui::Key::ArrowDown);
    h.run();
    assert_ne!(h.state().point(), before);
}

#[test]
fn an_idle_window_asks_for_no_more_frames() {
    let h = window();
    let delay = h.output().viewport_output[&egui::ViewportId::ROOT].repaint_delay;
    assert!(delay > std::time::Duration::from_mins(1), "{delay:?}");
}

/// Working and surge volts of a capacitor are changed one after the other: in between the last good picture stays, and what is wrong
/// stands at its field, in a fold that opens.
#[test]
fn two_values_that_must_agree_are_changed_one_after_the_other() {
    let mut h = window();
    click(&mut h, "Filter");
    let surge = |h: &Harness<'_, App>| h.query_all_by_label("C1 surge").count() > 0;
    assert!(!surge(&h), "the fold is closed");
    type_in(&mut h, "C1 volts", "300 V", egui::Key::Enter);
    let said = words(&h).replace('\u{a0}', " ");
    let wrong = "C1 surge: 258 V; give at least the working volts of 300 V";
    assert!(
        said.contains(&format!("The picture was not updated, because of {wrong}")),
        "{said}"
    );
    assert_eq!(
        said.matches(wrong).count(),
        2,
        "beside its field too: {said}"
    );
    assert!(surge(&h), "its fold is open");
    type_in(&mut h, "C1 surge", "350 V", egui::Key::Enter);
    let said = words(&h);
    assert!(
        !said.contains("was not updated") && !said.contains("; give"),
        "{said}"
    );
    click(&mut h, "Undo");
    assert!(words(&h).contains(wrong));
}
