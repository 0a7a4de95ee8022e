//! Why, and what moves it: found by name, worked out beside the frames, and copied as a page.

use std::time::{Duration, Instant};

use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use sagline::app::App;

use crate::{click, follow, says_outside, type_in, window, words};

#[test]
fn what_moves_the_tightest_limit_is_said_once_it_is_worked_out() {
    let mut h = window();
    let found = |h: &Harness<'_, App>| h.query_by_label_contains("What moves ").is_some();
    assert!(!found(&h), "closed at first");
    follow(&mut h, "Why, and what moves it");
    assert!(words(&h).contains("valley of the bus"), "{}", words(&h));
    let since = Instant::now();
    while !found(&h) && since.elapsed() < Duration::from_mins(1) {
        std::thread::sleep(Duration::from_millis(50));
        h.run();
    }
    assert!(found(&h), "{}", words(&h));
    assert!(words(&h).contains("Met at"), "{}", words(&h));
    assert!(words(&h).contains(" gets as far as "), "{}", words(&h));
    follow(&mut h, "Copy worked page");
}

/// The card that is lit, by its title.
fn lit(h: &Harness<'_, App>) -> Vec<&'static str> {
    let titles = [
        "Mains",
        "Transformer",
        "Rectifier",
        "Filter",
        "Pass tubes",
        "Output",
    ];
    titles
        .into_iter()
        .filter(|title| {
            let card = h.get_by_role_and_label(egui::Role::Button, title);
            card.value().is_some_and(|v| v.contains("is explained"))
        })
        .collect()
}

/// The line above the plane that says what is at the pointer; empty without one.
fn tip(h: &Harness<'_, App>) -> String {
    let is_tip = |line: &&str| {
        line.contains("A: works, but")
            || line.contains("A: out of reach")
            || line.contains("A: inside")
    };
    words(h)
        .replace('\u{a0}', " ")
        .lines()
        .find(is_tip)
        .unwrap_or_default()
        .to_owned()
}

#[test]
fn a_pointer_that_rests_in_the_plane_is_told_why_and_the_card_lights_up() {
    let mut h = window();
    // The caution stands over the lower edge of the plot until it is read, and what is offered then.
    click(&mut h, "Understood");
    click(&mut h, "No, thank you");
    let plot = h
        .get_by_role_and_label(egui::Role::GraphicsObject, "Operating envelope")
        .rect();
    let before = h.state().point();
    let rest = |h: &mut Harness<'_, App>, across: f32, up: f32| {
        let at = plot.left_bottom() + egui::vec2(across * plot.width(), -up * plot.height());
        h.hover_at(at);
        for _ in 0..6 {
            h.step();
        }
    };
    // Low volts at a high current: the pass tubes.
    rest(&mut h, 0.785, 0.06);
    let said = tip(&h);
    assert!(said.contains("works, but over a rating: plate"), "{said}");
    assert_eq!(lit(&h), ["Pass tubes"]);
    // More current than the transformer's winding may carry.
    rest(&mut h, 0.86, 0.25);
    assert_eq!(lit(&h), ["Transformer"], "{}", words(&h));
    assert_eq!(h.state().point(), before, "pointing moves nothing");
    h.hover_at(egui::pos2(2.0, 2.0));
    for _ in 0..3 {
        h.step();
    }
    assert_eq!(tip(&h), "", "{}", words(&h));
}

#[test]
fn a_point_moved_outside_by_the_keyboard_says_why_and_lights_the_card() {
    let mut h = window();
    assert!(lit(&h).is_empty(), "{:?}", lit(&h));
    type_in(&mut h, "Output volts", "10", egui::Key::Enter);
    type_in(&mut h, "Output current", "165mA", egui::Key::Enter);
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::L);
    h.run();
    h.key_press(egui::Key::ArrowDown);
    h.run();
    assert!(h.state().point()[1] < 10.0, "{:?}", h.state().point());
    assert_eq!(lit(&h), ["Pass tubes"]);
    let plot = h.get_by_role_and_label(egui::Role::GraphicsObject, "Operating envelope");
    let value = plot.accesskit_node().value().unwrap_or_default();
    assert!(says_outside(&value) && value.contains("it may"), "{value}");
}
