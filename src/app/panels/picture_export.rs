//! The question about a picture file: what, how large, for which ground, with which words, and where.

use egui::{DragValue, Id, Modal, RichText, Ui};

use crate::app::export::picture::{PictureOptions, PictureTheme};
use crate::app::export::picture_file::PictureKind;
use crate::app::export::view::PictureView;
use crate::app::theme;
use crate::app::widgets::quantity_field::name_it;

/// A picture being asked for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PictureRequest {
    /// What it shows.
    pub(crate) view: PictureView,
    /// Size, sharpness, colours.
    pub(crate) options: PictureOptions,
    /// A line of one's own.
    pub(crate) caption: String,
    /// A second, smaller one.
    pub(crate) legend: String,
    /// The file as typed; its end says the kind.
    pub(crate) path: String,
    /// What is wrong with the last try.
    pub(crate) wrong: Option<String>,
}

/// What was answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum PictureAnswer {
    /// Write it.
    Write,
    /// Put it on the clipboard.
    Copy,
    /// Choose the file in the desktop's own dialog.
    Choose,
    /// Neither.
    Cancel,
}

/// Draws the question; `None` while it is not answered.
pub(crate) fn picture_export_ui(
    ctx: &egui::Context,
    request: &mut PictureRequest,
) -> Option<PictureAnswer> {
    let mut answer = None;
    let modal = Modal::new(Id::unique("picture"))
        .frame(theme::question(ctx))
        .show(ctx, |ui| {
            ui.set_width(480.0);
            ui.label(RichText::new("Export picture").font(theme::strong_font(theme::HEADING)));
            ui.add_space(4.0);
            egui::Grid::new("picture export")
                .num_columns(2)
                .spacing([16.0, 8.0])
                .show(ui, |ui| {
                    if rows_ui(ui, request) == Chosen::File {
                        answer = Some(PictureAnswer::Choose);
                    }
                });
            if let Some(wrong) = &request.wrong {
                let colour = theme::Theme::of(ui.ctx()).over_text;
                ui.label(RichText::new(wrong).color(colour));
            }
            ui.add_space(theme::GAP);
            ui.horizontal(|ui| {
                for (text, hint, means) in [
                    (
                        "Write the file",
                        "A file of this name is replaced",
                        PictureAnswer::Write,
                    ),
                    (
                        "Copy picture",
                        "Puts the pixels on the clipboard",
                        PictureAnswer::Copy,
                    ),
                    ("Cancel", "Nothing is written", PictureAnswer::Cancel),
                ] {
                    if ui.button(text).on_hover_text(hint).clicked() {
                        answer = Some(means);
                    }
                }
            });
        });
    if modal.should_close() && answer.is_none() {
        answer = Some(PictureAnswer::Cancel);
    }
    answer
}

/// Whether the file is to be chosen in a dialog.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Chosen {
    Nothing,
    File,
}

fn rows_ui(ui: &mut Ui, request: &mut PictureRequest) -> Chosen {
    ui.label("View");
    ui.horizontal(|ui| {
        theme::choices(ui);
        for view in PictureView::ALL {
            let choice = ui.selectable_value(&mut request.view, view, view.text());
            // The question begins with the keyboard at its first answer.
            if view == request.view && ui.memory(|memory| memory.focused().is_none()) {
                choice.request_focus();
            }
        }
    });
    ui.end_row();
    ui.label("Kind");
    ui.horizontal(|ui| {
        theme::choices(ui);
        kind_ui(ui, request);
    });
    ui.end_row();
    ui.label("Theme");
    ui.horizontal(|ui| {
        theme::choices(ui);
        for (theme, text, hint) in [
            (PictureTheme::Light, "light", "Paper-white"),
            (PictureTheme::Dark, "dark", "Near-black"),
            (
                PictureTheme::Print,
                "print",
                "White with dark ink, for paper",
            ),
        ] {
            ui.selectable_value(&mut request.options.theme, theme, text)
                .on_hover_text(hint);
        }
    });
    ui.end_row();
    ui.label("Size");
    ui.horizontal(|ui| {
        let size = &mut request.options;
        whole_ui(ui, &mut size.width, 300..=8000, "Picture width");
        ui.label("×");
        whole_ui(ui, &mut size.height, 200..=8000, "Picture height");
        ui.label("points, times");
        let field = ui.add(DragValue::new(&mut size.scale).speed(0.01).range(0.5..=4.0));
        name_it(ui.ctx(), field.id, "Pixels per point", None);
        field.on_hover_text("Only a PNG has pixels");
    });
    ui.end_row();
    for (name, text, hint) in [
        (
            "Caption",
            &mut request.caption,
            "a line of your own under the plot",
        ),
        (
            "Legend",
            &mut request.legend,
            "a second one: how to read it",
        ),
    ] {
        ui.label(name);
        words_ui(ui, name, text, hint);
        ui.end_row();
    }
    ui.label("File");
    let chosen = ui
        .with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let choose = ui
                .button("Choose…")
                .on_hover_text("In the file dialog of the desktop");
            name_it(ui.ctx(), choose.id, "Choose the picture's file…", None);
            words_ui(ui, "File", &mut request.path, "ends in .png, .svg or .pdf");
            choose.clicked()
        })
        .inner;
    ui.end_row();
    if chosen {
        Chosen::File
    } else {
        Chosen::Nothing
    }
}

fn words_ui(ui: &mut Ui, name: &str, text: &mut String, hint: &str) {
    let field = ui.add(
        egui::TextEdit::singleline(text)
            .hint_text(hint)
            .desired_width(f32::INFINITY),
    );
    let name = format!("Picture {}", name.to_lowercase());
    name_it(ui.ctx(), field.id, &name, None);
}

/// The kind follows the file's name, and choosing one changes its end.
fn kind_ui(ui: &mut Ui, request: &mut PictureRequest) {
    let path = std::path::PathBuf::from(request.path.trim());
    let now = PictureKind::of(&path).ok();
    for kind in PictureKind::ALL {
        let text = kind.end().to_uppercase();
        if ui.selectable_label(now == Some(kind), text).clicked() && !request.path.trim().is_empty()
        {
            request.path = path.with_extension(kind.end()).display().to_string();
        }
    }
}

fn whole_ui(ui: &mut Ui, value: &mut u32, range: std::ops::RangeInclusive<u32>, name: &str) {
    let field = ui.add(DragValue::new(value).range(range));
    name_it(ui.ctx(), field.id, name, None);
    field.on_hover_text("In points; type or drag.");
}
