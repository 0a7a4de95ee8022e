//! Accepting a rating as built, by name: offered, done, bounded, explained, undone.

use egui_kittest::kittest::Queryable as _;

use crate::{click, text_in, type_in, undo_label, window, words};

/// What the window shows, whatever keeps its words on one line.
fn said(h: &egui_kittest::Harness<'_, sagline::app::App>) -> String {
    words(h).replace('\u{a0}', " ")
}

/// On a point beyond the winding's rating, with its explanation open.
fn over_the_winding() -> egui_kittest::Harness<'static, sagline::app::App> {
    let mut h = window();
    type_in(&mut h, "Output current", "185mA", egui::Key::Enter);
    type_in(&mut h, "Output volts", "120", egui::Key::Enter);
    let shown = said(&h);
    assert!(
        shown.contains("Works, but over a rating: winding rms"),
        "{shown}"
    );
    click(&mut h, "About winding rms");
    h
}

fn accept_button(h: &egui_kittest::Harness<'_, sagline::app::App>) -> Option<String> {
    let all = h.query_all_by_role(egui::Role::Button);
    all.filter_map(|node| egui_kittest::kittest::NodeT::accesskit_node(&node).label())
        .find(|label| label.starts_with("Accept as built"))
}

#[test]
fn a_rating_is_accepted_with_a_bound_and_a_reason_and_that_is_undone() {
    let mut h = over_the_winding();
    let offer = accept_button(&h).unwrap();
    assert!(offer.contains("mA"), "{offer}");
    click(&mut h, &offer);
    let shown = said(&h);
    assert!(
        shown.contains("Inside, ") && shown.contains("one rating over the book as accepted"),
        "{shown}"
    );
    assert!(shown.contains("by the book 210 mA"), "{shown}");
    assert!(
        shown.contains("fuse protects the transformer"),
        "no caution: {shown}"
    );
    assert_eq!(text_in(&h, "Why this is accepted"), "as its maker built it");
    assert!(undo_label(&h).contains("winding rms: accepted as built"));
    assert_eq!(accept_button(&h), None);
    // Over a bound of one's own it counts again.
    type_in(&mut h, "Accepted up to", "212 mA", egui::Key::Enter);
    let shown = said(&h);
    assert!(
        shown.contains("Works, but over a rating: winding rms"),
        "{shown}"
    );
    click(&mut h, "Undo");
    assert!(said(&h).contains("Inside, "));
    click(&mut h, "Judge it by the book again");
    assert!(said(&h).contains("Works, but over a rating: winding rms"));
    click(&mut h, "Undo");
    click(&mut h, "Undo");
    assert!(said(&h).contains("Works, but over a rating: winding rms"));
    assert!(h.query_by_label("Judge it by the book again").is_none());
}

#[test]
fn what_is_always_there_stands_in_a_group_of_its_own() {
    let h = window();
    let shown = said(&h);
    let place = |words: &str| {
        shown
            .find(words)
            .unwrap_or_else(|| panic!("no {words:?} in {shown}"))
    };
    assert!(place("Moves with the point") < place("Always there: nothing connected"));
    // The filter stands higher than anything that moves, and the verdict is about what moves.
    assert!(
        shown.contains("Inside, ") && shown.contains("first met: output range, 50 V up"),
        "{shown}"
    );
}
