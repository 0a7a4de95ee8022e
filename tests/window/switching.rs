//! Switching on in the dock: the closing follows the hand, many closings are drawn behind the frames, and can be stopped.

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use sagline::app::App;
use sagline::app::settings::Folders;
use sagline::parts::{FuseKind, Ohms};

use crate::{click, pick, show, type_in, undo_label, window, window_of};

const NAME: &str = "Switching on";

fn said(h: &Harness<'_, App>) -> String {
    h.get_by_role_and_label(egui::Role::GraphicsObject, NAME)
        .value()
        .unwrap_or_default()
}

fn switching_on(size: [f32; 2]) -> Harness<'static, App> {
    let mut h = window_of(None, Folders::default(), size);
    click(&mut h, "Understood");
    show(&mut h, "In time", Some("switching on"));
    h
}

#[test]
fn a_closing_is_drawn_with_the_hand_and_its_crest_follows() {
    let mut h = switching_on([1440.0, 900.0]);
    let before = said(&h);
    assert!(
        before.contains("Closed at 0°") && before.contains("Crest "),
        "{before}"
    );
    let area = h
        .get_by_role_and_label(egui::Role::GraphicsObject, NAME)
        .rect();
    let from = area.center();
    h.drag_at(from);
    h.run();
    h.hover_at(from + egui::vec2(0.25 * area.width(), 0.0));
    h.run();
    h.drop_at(from + egui::vec2(0.25 * area.width(), 0.0));
    h.run();
    let after = said(&h);
    assert!(after.contains("Closed at 90°"), "{after}");
    assert_ne!(before, after);
    // Looking at a closing is no change of the work.
    assert_eq!(undo_label(&h), undo_label(&window()));
}

#[test]
fn drawing_many_can_be_stopped_and_begun_again() {
    let mut h = switching_on([1440.0, 900.0]);
    click(&mut h, "Stop switch-ons");
    assert!(
        h.query_by_role_and_label(egui::Role::Button, "Stop switch-ons")
            .is_none()
    );
    click(&mut h, "Draw switch-ons");
    h.get_by_role_and_label(egui::Role::Button, "Stop switch-ons");
    h.get_by_role_and_label(egui::Role::RadioButton, "Switched on hot")
        .click();
    h.run();
    assert!(said(&h).contains("Closed at 0°"));
}

#[test]
fn the_primary_side_is_set_in_the_transformers_card() {
    let mut h = window_of(None, Folders::default(), [1440.0, 2400.0]);
    click(&mut h, "Transformer");
    h.get_by_label("Core, limiter and fuse").click();
    h.run();
    type_in(&mut h, "Mains ohms", "0.4", egui::Key::Enter);
    assert_eq!(h.state().work().primary.mains_resistance, Some(Ohms(0.4)));
    assert!(undo_label(&h).contains("mains ohms"), "{}", undo_label(&h));
    type_in(&mut h, "Fuse", "1.6", egui::Key::Enter);
    pick(&mut h, "Fuse kind", "UL, slow-blow");
    let fuse = h.state().work().primary.fuse;
    assert_eq!(fuse.map(|fuse| fuse.kind), Some(FuseKind::UlSlow));
    click(&mut h, "Undo");
    assert_eq!(
        h.state().work().primary.fuse.map(|fuse| fuse.kind),
        Some(FuseKind::TimeLagGlass)
    );
    // What cannot be is said at its row.
    type_in(&mut h, "Saturates at", "100 V", egui::Key::Enter);
    assert!(
        crate::words(&h).contains("draws amperes for good"),
        "{}",
        crate::words(&h)
    );
}

#[test]
fn the_picture_fits_every_window() {
    for size in [[1024.0, 700.0], [1920.0, 1080.0]] {
        let h = switching_on(size);
        let area = h
            .get_by_role_and_label(egui::Role::GraphicsObject, NAME)
            .rect();
        assert!(
            area.width() > 150.0 && area.height() > 60.0,
            "{size:?}: {area:?}"
        );
        assert!(
            area.max.x <= size[0] && area.max.y <= size[1],
            "{size:?}: {area:?}"
        );
        for name in ["Instant of closing", "Residual flux"] {
            h.get_by_role_and_label(egui::Role::Slider, name);
        }
    }
}
