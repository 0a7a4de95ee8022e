//! The window, driven as a user drives it: controls are found by role and accessible name only.
//!
//! No display is needed. That a control is found here also proves that a screen reader finds it.

#![expect(
    clippy::expect_used,
    clippy::disallowed_methods,
    clippy::float_cmp,
    reason = "a test stops where something is missing, writes files as a user's editor does, and types exact numbers"
)]

mod accepted;
mod calculation;
mod dock;
mod drawer;
mod every_field;
mod export;
mod fields;
mod files;
mod ghosts;
mod guide;
mod how_sure;
mod keyboard;
mod layout;
mod new_supply;
mod readings;
mod regulator;
mod right_panel;
mod saving;
mod switching;
mod tube_keys;
mod tubes;
mod views;
mod why;

use std::path::PathBuf;
use std::time::Duration;

use egui_kittest::Harness;
use egui_kittest::kittest::{By, NodeT as _, Queryable as _};
use sagline::app::App;
use sagline::app::settings::Folders;

/// A window of usual size on the demo supply, that leaves no traces on the disk.
pub(crate) fn window() -> Harness<'static, App> {
    window_of(None, Folders::default(), [1440.0, 900.0])
}

/// A window on this file.
pub(crate) fn window_of(
    file: Option<PathBuf>,
    folders: Folders,
    size: [f32; 2],
) -> Harness<'static, App> {
    // On a busy machine a frame waits as long as it takes: what is shown must not depend on that.
    let patient = move || {
        let app = App::open(file, folders).expect("the demo supply");
        app.with_patience(Duration::from_mins(5))
    };
    window_on(patient, size)
}

/// A window of this program.
pub(crate) fn window_on(open: impl FnOnce() -> App, size: [f32; 2]) -> Harness<'static, App> {
    let mut harness = Harness::builder()
        .with_size(size)
        .with_theme(egui::Theme::Dark)
        .with_max_steps(200)
        .build_eframe(move |context| {
            let app = open();
            app.dress(&context.egui_ctx);
            app
        });
    harness.run();
    harness
}

/// What a verdict begins with where the point is not inside.
pub(crate) const OUTSIDE: [&str; 2] = ["Works, but over a rating: ", "Out of reach: "];

/// True where such a verdict is said.
pub(crate) fn says_outside(said: &str) -> bool {
    OUTSIDE.iter().any(|words| said.contains(words))
}

/// Clicks the button of this name, after scrolling to it.
pub(crate) fn click(harness: &mut Harness<'_, App>, name: &str) {
    harness
        .get_by_role_and_label(egui::Role::Button, name)
        .scroll_to_me();
    harness.run();
    harness
        .get_by_role_and_label(egui::Role::Button, name)
        .click();
    harness.run();
}

/// Follows the link of this name, after scrolling to it.
pub(crate) fn follow(harness: &mut Harness<'_, App>, name: &str) {
    harness
        .get_by_role_and_label(egui::Role::Link, name)
        .scroll_to_me();
    harness.run();
    harness
        .get_by_role_and_label(egui::Role::Link, name)
        .click();
    harness.run();
}

/// Unfolds what the list of limits has folded away.
pub(crate) fn unfold_limits(harness: &mut Harness<'_, App>) {
    let folded = By::new().predicate(|node| {
        let label = node.label().unwrap_or_default();
        label.contains(" more, no") && label.contains(" above ")
    });
    let all: Vec<String> = (harness.query_all(folded))
        .filter_map(|node| node.accesskit_node().label())
        .collect();
    for fold in all {
        harness.get_by_label(&fold).scroll_to_me();
        harness.run();
        harness.get_by_label(&fold).click();
        harness.run();
    }
}

/// Shows a page of the dock, at one of its stops.
pub(crate) fn show(harness: &mut Harness<'_, App>, page: &str, stop: Option<&str>) {
    harness.get_by_role_and_label(egui::Role::Tab, page).click();
    harness.run();
    if let Some(stop) = stop {
        harness
            .get_by_role_and_label(egui::Role::RadioButton, stop)
            .click();
        harness.run();
    }
}

/// Picks from the list of this name.
pub(crate) fn pick(harness: &mut Harness<'_, App>, list: &str, option: &str) {
    harness
        .get_by_role_and_label(egui::Role::ComboBox, list)
        .scroll_to_me();
    harness.run();
    harness
        .get_by_role_and_label(egui::Role::ComboBox, list)
        .click();
    harness.run();
    click(harness, option);
}

/// Types into the field of this name, in place of what stands there, and leaves it with this key.
pub(crate) fn type_in(harness: &mut Harness<'_, App>, name: &str, text: &str, leave: egui::Key) {
    harness
        .get_by_role_and_label(egui::Role::TextInput, name)
        .focus();
    harness.run();
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    harness.run();
    harness
        .get_by_role_and_label(egui::Role::TextInput, name)
        .type_text(text);
    harness.run();
    harness.key_press(leave);
    harness.run();
}

/// What stands in the field of this name.
pub(crate) fn text_in(harness: &Harness<'_, App>, name: &str) -> String {
    harness
        .get_by_role_and_label(egui::Role::TextInput, name)
        .value()
        .unwrap_or_default()
}

/// All words that the window shows now, one text a line.
pub(crate) fn words(harness: &Harness<'_, App>) -> String {
    harness
        .get_all_by_role(egui::Role::Label)
        .filter_map(|node| {
            node.accesskit_node()
                .value()
                .or(node.accesskit_node().label())
        })
        .collect::<Vec<_>>()
        .join("\n")
}

/// What undo would take back.
pub(crate) fn undo_label(harness: &Harness<'_, App>) -> String {
    harness
        .get_by_role_and_label(egui::Role::Button, "Undo")
        .value()
        .unwrap_or_default()
}
