//! Nothing is cut off in the smallest window, and the plot is the largest thing in it.

use egui_kittest::kittest::{NodeT as _, Queryable as _};
use sagline::app::settings::Folders;

use crate::{click, window_of};

#[test]
fn nothing_is_cut_off_at_1024_by_700() {
    let screen = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1024.0, 700.0));
    let mut h = window_of(None, Folders::default(), [screen.width(), screen.height()]);
    click(&mut h, "Understood");
    for card in ["Mains", "Transformer", "Filter", "Pass tubes", "Regulator"] {
        click(&mut h, card);
        for role in [
            egui::Role::Button,
            egui::Role::Slider,
            egui::Role::TextInput,
        ] {
            for node in h.get_all_by_role(role) {
                let rect = node.rect();
                let name = node.accesskit_node().label().unwrap_or_default();
                // What scrolls may lie below or beside the part shown, never across the window's sides.
                assert!(
                    rect.left() >= -0.5 && rect.width() > 4.0 && rect.height() > 4.0,
                    "{card}: {role:?} {name} {rect:?}"
                );
                if !name.starts_with("Add a dummy") && !name.contains('Ω') {
                    assert!(
                        rect.right() <= screen.right() + 0.5,
                        "{card}: {role:?} {name} {rect:?}"
                    );
                }
            }
        }
    }
}

#[test]
fn the_plot_is_the_largest_thing() {
    for size in [[1024.0, 700.0], [1440.0, 900.0], [1920.0, 1080.0]] {
        let mut h = window_of(None, Folders::default(), size);
        click(&mut h, "Understood");
        let plot = h.get_by_role(egui::Role::GraphicsObject).rect();
        // The axes' numbers stand beside it; the dock below it, or on a low window over it.
        let high = if size[1] < 780.0 { 0.7 } else { 0.47 };
        assert!(
            plot.width() > 0.36 * size[0] && plot.height() > high * size[1],
            "{size:?}: {plot:?}"
        );
        let dock = size[1] - plot.bottom();
        assert!(plot.height() > dock, "{size:?}: {plot:?}");
    }
}
