//! What the draft comes to in words: what is wrong, how sure the law is, how far it is from each point.

use egui::{Grid, Label, RichText, Ui};

use crate::app::panels::tube_editor::Judged;
use crate::app::theme;
use crate::app::theme::Theme;
use crate::explain::{Finding, Severity, sentence, tube};
use crate::parts::pass_stage::PlateCharacteristic;
use crate::parts::tube_draft::DraftCurrents;
use crate::physics::device::triode_fit::Fit;

/// Draws it.
pub(super) fn verdict_ui(ui: &mut Ui, judged: &Judged) {
    let colours = Theme::of(ui.ctx());
    let currents = match &judged.currents {
        Ok(currents) => currents,
        Err(faults) => {
            for fault in faults {
                // What is not typed yet is no mistake.
                let ink = if fault.is_empty_field() {
                    colours.middle
                } else {
                    colours.over_text
                };
                line_ui(ui, &tube::fault(fault), ink);
            }
            return;
        }
    };
    match (&judged.fit, currents) {
        (Some(Ok(fit)), _) => fitted_ui(ui, judged, fit),
        (
            Some(Err(error)),
            DraftCurrents::Triode {
                characteristic,
                lines,
            },
        ) => {
            let points = match characteristic {
                PlateCharacteristic::Published { points, .. } => points.as_slice(),
                _ => &[],
            };
            line_ui(ui, &tube::refusal(error, points, lines), colours.over_text);
        }
        (_, DraftCurrents::Triode { characteristic, .. }) => {
            if let PlateCharacteristic::ZeroBias(table) = characteristic {
                finding_ui(
                    ui,
                    &tube::zero_bias_table(table.len(), judged.draft.purpose),
                );
            }
        }
        (_, DraftCurrents::Pentode(_)) => {
            line_ui(ui, tube::PENTODE, colours.middle);
        }
    }
}

fn fitted_ui(ui: &mut Ui, judged: &Judged, fit: &Fit) {
    if let Some(line) = &judged.line {
        finding_ui(ui, &tube::zero_bias(line)).on_hover_text(tube::SPREAD_HOVER);
    }
    finding_ui(ui, &tube::fit(fit));
    let dissipation = judged.draft.highest_dissipation().map(|watts| watts.0);
    for doubt in [tube::doubt(fit, dissipation), tube::wrong_order(fit)]
        .into_iter()
        .flatten()
    {
        finding_ui(ui, &doubt);
    }
    let colours = Theme::of(ui.ctx());
    if let Ok(DraftCurrents::Triode {
        characteristic: PlateCharacteristic::Published { points, .. },
        ..
    }) = &judged.currents
        && let Some(text) = tube::idle(points.len().saturating_sub(fit.points.len()))
    {
        line_ui(ui, &text, colours.middle);
    }
    let small = |text: String, ink| {
        RichText::new(text)
            .font(theme::font(theme::SMALL))
            .color(ink)
    };
    ui.spacing_mut().interact_size.y = 16.0;
    Grid::new("misses")
        .num_columns(3)
        .spacing([18.0, 2.0])
        .min_row_height(16.0)
        .show(ui, |ui| {
            for (point, miss) in fit.points.iter().zip(&fit.misses) {
                ui.label(small(tube::place(point), colours.middle));
                ui.label(small(
                    crate::explain::number::amps(point.current.0),
                    colours.ink,
                ));
                let ink = match tube::severity_of(miss) {
                    Severity::Near | Severity::Over => colours.near_text,
                    Severity::Fine | Severity::Remark => colours.middle,
                };
                ui.label(small(format!("law {}", tube::off(miss)), ink));
                ui.end_row();
            }
            if let Ok(DraftCurrents::Triode {
                characteristic: PlateCharacteristic::Published { small_signal, .. },
                ..
            }) = &judged.currents
            {
                for (published, law) in small_signal.iter().zip(&fit.figures) {
                    for (given, got) in tube::figures(published, law) {
                        ui.label(small(given, colours.middle));
                        ui.label("");
                        ui.label(small(got, colours.middle));
                        ui.end_row();
                    }
                }
            }
        });
}

fn finding_ui(ui: &mut Ui, finding: &Finding) -> egui::Response {
    let colours = Theme::of(ui.ctx());
    let ink = match finding.severity {
        Severity::Fine => colours.envelope_text,
        Severity::Remark => colours.ink,
        Severity::Near => colours.near_text,
        Severity::Over => colours.over_text,
    };
    line_ui(ui, &sentence(&finding.sentence), ink)
}

fn line_ui(ui: &mut Ui, text: &str, ink: egui::Color32) -> egui::Response {
    ui.add(Label::new(RichText::new(theme::tied(text)).color(ink)).wrap())
}
