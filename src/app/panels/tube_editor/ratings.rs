//! Heater and ratings of the tube that is typed: each number with its system, or in that of the whole sheet.

use egui::{ComboBox, RichText, Ui, vec2};

use crate::app::panels::tube_editor::fields::{Caption, Form, NAME, Row, lower};
use crate::app::theme;
use crate::app::theme::Theme;
use crate::app::widgets::fields::{SYSTEM_HOVER, SYSTEMS, system_text};
use crate::app::widgets::hanging_list::HangingList;
use crate::app::widgets::quantity_field::{keep_in_view, name_it};
use crate::parts::rating::RatingSystem;
use crate::parts::tube_draft::{Purpose, RatingText, RatingTexts, TubeDraft};

const HEATER: [Row; 2] = [
    (
        "Heater volts",
        "Of the heater or filament of one bulb",
        |d| &mut d.ratings.heater_volts,
    ),
    (
        "Heater current",
        "Of the heater or filament of one bulb, at its rated volts",
        |d| &mut d.ratings.heater_amps,
    ),
];

/// A rating: its name, where to read it, for which tubes it is asked.
type RatingRow = (
    &'static str,
    &'static str,
    fn(&mut RatingTexts) -> &mut RatingText,
    Option<Purpose>,
);

const RATINGS: [RatingRow; 8] = [
    (
        "Dissipation",
        "Highest plate dissipation of one section",
        |r| &mut r.plate_dissipation,
        None,
    ),
    (
        "Whole bulb",
        "Highest dissipation of all sections of one bulb together, where it is less than their sum",
        |r| &mut r.envelope_dissipation,
        Some(Purpose::Pass),
    ),
    (
        "Highest plate volts",
        "Of plate or screen, whichever is less, if they are tied together",
        |r| &mut r.plate_volts,
        None,
    ),
    (
        "Highest current",
        "Highest plate (cathode) current of one section",
        |r| &mut r.plate_current,
        Some(Purpose::Pass),
    ),
    (
        "Highest screen volts",
        "Highest volts from screen to cathode, for a pentode",
        |r| &mut r.screen_volts,
        Some(Purpose::Control),
    ),
    (
        "Screen dissipation",
        "Highest screen dissipation, for a beam tube or pentode",
        |r| &mut r.screen_dissipation,
        None,
    ),
    (
        "Heater–cathode",
        "Highest volts between heater and cathode",
        |r| &mut r.heater_cathode,
        None,
    ),
    (
        "Grid resistor",
        "Largest resistance in the grid circuit, with cathode bias",
        |r| &mut r.grid_resistor,
        None,
    ),
];

/// Width of a choice of system (points).
const SYSTEM: f32 = 88.0;

impl Form {
    /// Draws them.
    pub(super) fn ratings_ui(&mut self, ui: &mut Ui, draft: &mut TubeDraft) {
        self.rows_ui(ui, draft, &HEATER);
        ui.add_space(4.0);
        ui.horizontal(|ui| {
            let heading = RichText::new("Ratings").font(theme::strong_font(theme::BODY));
            name_ui(ui, heading);
            let system = &mut draft.ratings.system;
            let text = system_text(*system);
            let mut list = HangingList::of(ui, "tube rating system");
            let combo = ComboBox::from_id_salt("tube rating system")
                .width(ui.available_width())
                .selected_text(text)
                .show_ui(ui, |ui| {
                    theme::choices(ui);
                    for other in SYSTEMS {
                        choice_ui(ui, &mut list, system, other, system_text(other));
                    }
                });
            list.end(&combo.response);
            name_it(
                ui.ctx(),
                combo.response.id,
                "Tube rating system",
                Some(text),
            );
            keep_in_view(&combo.response);
            combo
                .response
                .on_hover_text(format!("How this sheet means its ratings. {SYSTEM_HOVER}"));
        });
        let purpose = draft.purpose;
        for (name, hover, rating, only) in RATINGS {
            if only.is_none_or(|only| only == purpose) {
                let usual = draft.ratings.system;
                let rating = rating(&mut draft.ratings);
                let caption = Caption {
                    name,
                    hint: "not known".to_owned(),
                    hover,
                };
                ui.horizontal(|ui| self.rating_ui(ui, caption, rating, usual));
            }
        }
    }

    fn rating_ui(
        &mut self,
        ui: &mut Ui,
        caption: Caption<'_>,
        rating: &mut RatingText,
        usual: RatingSystem,
    ) {
        let theme = Theme::of(ui.ctx());
        let name = caption.name;
        name_ui(ui, RichText::new(name).color(theme.middle)).on_hover_text(caption.hover);
        let room = ui.available_width() - SYSTEM - ui.spacing().item_spacing.x;
        ui.allocate_ui(vec2(room, ui.spacing().interact_size.y), |ui| {
            self.text_ui(ui, caption, &mut rating.text);
        });
        let known = !rating.text.trim().is_empty();
        ui.add_enabled_ui(known, |ui| system_ui(ui, name, &mut rating.system, usual));
    }
}

/// A name, as wide as all of them.
fn name_ui(ui: &mut Ui, name: RichText) -> egui::Response {
    let size = vec2(NAME, ui.spacing().interact_size.y);
    let left = egui::Layout::left_to_right(egui::Align::Center);
    ui.allocate_ui_with_layout(size, left, |ui| {
        ui.set_min_width(NAME);
        ui.label(name)
    })
    .inner
}

/// The system of one rating, quiet while it is that of the sheet.
fn system_ui(ui: &mut Ui, name: &str, system: &mut Option<RatingSystem>, usual: RatingSystem) {
    let theme = Theme::of(ui.ctx());
    let shown = short(system.unwrap_or(usual));
    let ink = if system.is_some() {
        theme.ink
    } else {
        theme.dim
    };
    let mut list = HangingList::of(ui, name);
    let combo = ComboBox::from_id_salt(("tube rating system", name))
        .width(SYSTEM)
        .selected_text(
            RichText::new(shown)
                .font(theme::font(theme::SMALL))
                .color(ink),
        )
        .show_ui(ui, |ui| {
            theme::choices(ui);
            let sheet = format!("as the sheet, {}", system_text(usual));
            choice_ui(ui, &mut list, system, None, &sheet);
            for other in SYSTEMS {
                choice_ui(ui, &mut list, system, Some(other), system_text(other));
            }
        });
    list.end(&combo.response);
    name_it(
        ui.ctx(),
        combo.response.id,
        &format!("Tube {}, rating system", lower(name)),
        Some(system_text(system.unwrap_or(usual))),
    );
    keep_in_view(&combo.response);
    combo
        .response
        .on_hover_text(SYSTEM_HOVER)
        .on_disabled_hover_text("First the rating itself");
}

/// One entry of a list of systems.
fn choice_ui<T: PartialEq>(
    ui: &mut Ui,
    list: &mut HangingList,
    chosen: &mut T,
    choice: T,
    text: &str,
) {
    let in_use = *chosen == choice;
    let entry = ui.selectable_label(in_use, text);
    if in_use {
        list.entry_in_use(&entry);
    } else {
        list.entry(&entry);
    }
    if entry.clicked() {
        *chosen = choice;
    }
}

/// The name of a system where there is little room.
fn short(system: RatingSystem) -> &'static str {
    match system {
        RatingSystem::DesignCentre => "centre",
        RatingSystem::DesignMaximum => "maximum",
        RatingSystem::AbsoluteMaximum => "absolute",
    }
}
