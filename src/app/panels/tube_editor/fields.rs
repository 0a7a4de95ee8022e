//! The left side of the editor: name, what is known, ratings, all as typed texts.

use egui::{Grid, RichText, TextEdit, Ui};

use crate::app::theme;
use crate::app::theme::Theme;
use crate::app::widgets::quantity_field::{keep_in_view, name_it};
use crate::parts::tube_draft::{DraftFault, Purpose, SheetData, TubeDraft};

/// A field of one line: its name, what it means, where to read it.
pub(super) type Row = (
    &'static str,
    &'static str,
    fn(&mut TubeDraft) -> &mut String,
);

/// What is said about a field of one line.
pub(super) struct Caption<'a> {
    /// Its name.
    pub(super) name: &'a str,
    /// What would do, in the empty field.
    pub(super) hint: String,
    /// What it means, and where to read it.
    pub(super) hover: &'a str,
}

/// Width of a name (points).
pub(super) const NAME: f32 = 136.0;

const PLATE: Row = (
    "Plate volts",
    "From plate to cathode at the tube itself. Some sheets print the supply: take off what the cathode resistor drops.",
    |d| &mut d.plate,
);
const GRID: Row = (
    "Grid volts",
    "From grid to cathode: negative, or 0 V.",
    |d| &mut d.grid,
);
const CURRENT: Row = (
    "Plate current",
    "Of one section; with the screen tied to the plate both currents together.",
    |d| &mut d.current,
);
const MU: Row = (
    "µ",
    "Amplification factor: how many plate volts one grid volt makes up for.",
    |d| &mut d.mu,
);
const RP: Row = (
    "Plate resistance",
    "Internal resistance rp at that point",
    |d| &mut d.plate_resistance,
);
const GM: Row = (
    "Transconductance",
    "gm at that point; 1000 micromhos are 1 mS, and so is 1 mA/V",
    |d| &mut d.transconductance,
);
const SCREEN: Row = ("Screen volts", "From screen to cathode", |d| &mut d.screen);
const SCREEN_CURRENT: Row = ("Screen current", "At that point", |d| &mut d.screen_current);
const SCREEN_SHARE: Row = (
    "Screen share",
    "Screen current in per cent of plate and screen current, from a row with both at the same volts; judges the screen's own dissipation.",
    |d| &mut d.screen_share,
);
const SCREEN_MU: Row = (
    "Screen µ",
    "Amplification factor from control grid to screen; the µ of the triode connection is near it.",
    |d| &mut d.screen_mu,
);
/// Draws them; true while one of them has the keyboard.
pub(super) fn fields_ui(
    ui: &mut Ui,
    draft: &mut TubeDraft,
    since: u64,
    faults: Vec<DraftFault>,
) -> bool {
    let mut form = Form {
        faults,
        since,
        typing: false,
    };
    form.rows_ui(
        ui,
        draft,
        &[
            (
                "Name",
                "Type designation, as it stands in the list of types",
                |d| &mut d.name,
            ),
            (
                "About",
                "A few words: what it is and how it is connected.",
                |d| &mut d.about,
            ),
            (
                "Sections",
                "Units in one bulb: two for a twin triode. All numbers here are those of one.",
                |d| &mut d.units,
            ),
        ],
    );
    if draft.purpose == Purpose::Pass {
        ui.checkbox(&mut draft.triode_connected, "Screen tied to the plate")
            .on_hover_text(
                "A beam tube or pentode used as a triode: currents are plate and screen together, and the screen has a limit of its own.",
            );
        if draft.triode_connected {
            form.rows_ui(ui, draft, &[SCREEN_SHARE]);
        }
    }
    ui.add_space(4.0);
    known_ui(ui, draft);
    match draft.known {
        SheetData::Points => {
            let hint = hint(draft, "Points");
            form.lines_ui(ui, "Points", &mut draft.points, &hint);
            explained(
                ui,
                "Plate volts, grid volts, current; one point a line, typed or pasted. Plain numbers are V, V, mA, or what a header line says.",
            );
            let figures = [PLATE, GRID, MU, RP, GM];
            ui.label(
                RichText::new("Figures at one point, if published")
                    .color(Theme::of(ui.ctx()).middle),
            );
            form.rows_ui(ui, draft, &figures);
        }
        SheetData::OnePoint => form.rows_ui(ui, draft, &[PLATE, GRID, CURRENT, MU, RP, GM]),
        SheetData::ZeroBias => {
            let hint = hint(draft, "Zero-bias curve");
            form.lines_ui(ui, "Zero-bias curve", &mut draft.zero_bias, &hint);
            explained(
                ui,
                "Plate volts and current with the grid at the cathode; one point a line, typed or pasted.",
            );
        }
        SheetData::Pentode => {
            let figures = [
                PLATE,
                SCREEN,
                GRID,
                CURRENT,
                SCREEN_CURRENT,
                RP,
                GM,
                SCREEN_MU,
            ];
            form.rows_ui(ui, draft, &figures);
            ui.label(RichText::new("Knee, if known").color(Theme::of(ui.ctx()).middle));
            let hint = hint(draft, "Knee");
            form.lines_ui(ui, "Knee", &mut draft.knee, &hint);
            explained(
                ui,
                "Plate volts, grid volts, current where the plate curves bend, at these screen volts; one point a line. Without one it is not known how far the tube can pull its plate down.",
            );
        }
    }
    ui.add_space(4.0);
    form.ratings_ui(ui, draft);
    form.typing
}

/// What is known of the tube, to choose from.
fn known_ui(ui: &mut Ui, draft: &mut TubeDraft) {
    ui.horizontal(|ui| {
        theme::choices(ui);
        ui.spacing_mut().item_spacing.x = 2.0;
        for (known, text, hint) in [
            (
                SheetData::Points,
                "Points",
                "Points of the plate family, read off the curves",
            ),
            (
                SheetData::OnePoint,
                "One point",
                "Typical operation with µ, rp and gm; two of the three are enough.",
            ),
            (
                SheetData::ZeroBias,
                "Zero bias",
                "Only the curve with the grid at the cathode, published or measured",
            ),
            (
                SheetData::Pentode,
                "Pentode",
                "Typical operation with the screen at volts of its own",
            ),
        ] {
            if known == SheetData::Pentode && draft.purpose == Purpose::Pass {
                continue;
            }
            ui.selectable_value(&mut draft.known, known, text)
                .on_hover_text(hint);
        }
    });
}

fn explained(ui: &mut Ui, text: &str) {
    let colour = Theme::of(ui.ctx()).dim;
    ui.label(
        RichText::new(text)
            .font(theme::font(theme::SMALL))
            .color(colour),
    );
}

/// What stands in an empty field in grey.
fn hint(draft: &TubeDraft, field: &str) -> String {
    match field {
        "About" => return "what it is".to_owned(),
        "Sections" => return "1".to_owned(),
        "Screen µ" => return "not known".to_owned(),
        _ => {}
    }
    match (draft.example(field), draft.next_example(field)) {
        (Some(first), Some(second)) => format!("such as\n{first}\n{second}\n…"),
        (Some(only), None) => format!("such as {only}"),
        (None, _) => String::new(),
    }
}

/// The field of the name, the first one, of the editor that is drawn since this frame.
pub(super) fn name_field(since: u64) -> egui::Id {
    field_id("Name", since)
}

fn field_id(name: &str, since: u64) -> egui::Id {
    egui::Id::unique(("tube field", name, since))
}

/// The fields with what is wrong in them.
pub(super) struct Form {
    faults: Vec<DraftFault>,
    /// Frame in which the editor opened.
    since: u64,
    typing: bool,
}

impl Form {
    pub(super) fn rows_ui(&mut self, ui: &mut Ui, draft: &mut TubeDraft, rows: &[Row]) {
        let theme = Theme::of(ui.ctx());
        Grid::new(("tube fields", rows.first().map(|r| r.0), rows.len()))
            .num_columns(2)
            .min_col_width(NAME)
            .spacing([8.0, 4.0])
            .show(ui, |ui| {
                for (name, hover, text) in rows {
                    ui.label(RichText::new(*name).color(theme.middle))
                        .on_hover_text(*hover);
                    let caption = Caption {
                        name,
                        hint: hint(draft, name),
                        hover,
                    };
                    self.text_ui(ui, caption, text(draft));
                    ui.end_row();
                }
            });
    }

    /// One field of one line; it fills the room that is left.
    pub(super) fn text_ui(
        &mut self,
        ui: &mut Ui,
        Caption { name, hint, hover }: Caption<'_>,
        text: &mut String,
    ) {
        let theme = Theme::of(ui.ctx());
        let mut edit = TextEdit::singleline(text)
            .id(field_id(name, self.since))
            .hint_text(RichText::new(hint).color(theme.dim))
            .desired_width(f32::INFINITY)
            .margin(egui::Margin::symmetric(6, 3));
        if self.faults.iter().any(|fault| fault.field == name) {
            edit = edit.text_color(theme.over_text);
        }
        let response = ui.add(edit);
        name_it(
            ui.ctx(),
            response.id,
            &format!("Tube {}", lower(name)),
            None,
        );
        keep_in_view(&response);
        self.typing |= response.has_focus();
        response.on_hover_text(hover);
    }

    fn lines_ui(&mut self, ui: &mut Ui, name: &str, text: &mut String, hint: &str) {
        let theme = Theme::of(ui.ctx());
        let response = ui.add(
            TextEdit::multiline(text)
                .id(field_id(name, self.since))
                .hint_text(RichText::new(hint).color(theme.dim))
                .desired_rows(7)
                .desired_width(f32::INFINITY)
                .margin(egui::Margin::symmetric(6, 4)),
        );
        name_it(
            ui.ctx(),
            response.id,
            &format!("Tube {}", lower(name)),
            None,
        );
        self.typing |= response.has_focus();
        response.on_hover_text(
            "Type, or paste from a table: tabs, semicolons, commas and blanks all part the columns.",
        );
    }
}

/// A name inside a name: `Plate volts` is `plate volts`, `µ` stays.
pub(super) fn lower(name: &str) -> String {
    let mut letters = name.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}
