//! How well the output is held at the point: the loop's figures, curves against current and against volts, the
//! reference and the rail at low, present and high mains, and what the knob's lower end really gives.
//!
//! Ohms stand at the left edge of each pane and millivolts at its right one, each on a scale of ratios of its own.

mod gauges;
mod pane;

use egui::{
    Align2, Label, Painter, PopupAnchor, Pos2, Rect, Response, RichText, Sense, Tooltip, Ui, vec2,
};

use crate::app::plots::regulation::gauges::{Gauge, paint_gauge};
use crate::app::plots::regulation::pane::{Curve, PaneSheet, Stop, along, paint_pane, paint_read};
use crate::app::theme;
use crate::app::theme::Theme;
use crate::bench::holding::{Holding, ReferenceRange};
use crate::explain::{Finding, Number, Severity, number, regulation as words};
use crate::parts::Supply;
use crate::physics::regulator::feedback::Regulation;

/// Height of the strip of figures (points).
const STRIP: f32 = 38.0;
/// From this width of the curves' part on, its panes stand side by side.
const SIDE_BY_SIDE: f32 = 520.0;

/// What is drawn, put together from the physics and its words.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct RegulationSheet {
    figures: Vec<Number>,
    panes: Vec<PaneSheet>,
    /// What each pane's curves stand for, along its axis.
    rows: Vec<Vec<(Regulation, Option<f64>)>>,
    gauges: Vec<Gauge>,
    findings: Vec<Finding>,
    value: String,
}

impl RegulationSheet {
    /// Puts words and curves together.
    pub(crate) fn of(holding: &Holding, supply: &Supply) -> Self {
        Self {
            figures: words::figures(holding),
            panes: vec![over_amps(holding), over_volts(holding)],
            rows: rows(holding),
            gauges: gauges(holding, supply),
            findings: words::findings(holding, supply),
            value: words::in_words(holding, supply),
        }
    }
}

/// The working points of both panes; over the current with the fall from no load, as far as it is known.
fn rows(holding: &Holding) -> Vec<Vec<(Regulation, Option<f64>)>> {
    let falls = holding.fall_volts.iter().copied().map(Some);
    let falls = falls.chain(std::iter::repeat(None));
    let over_amps = holding.over_amps.iter().copied().zip(falls).collect();
    let over_volts = holding.over_volts.iter().map(|at| (*at, None)).collect();
    vec![over_amps, over_volts]
}

/// Ohms and millivolts of a row of working points, along `axis`.
fn curves(along: &[Regulation], here: &Regulation, axis: fn(&Regulation) -> f64) -> Vec<Curve> {
    let [ohms, hum] = words::CURVES;
    let curve = |[name, unit]: [&'static str; 2], value: fn(&Regulation) -> f64| Curve {
        name,
        unit,
        points: along.iter().map(|at| [axis(at), value(at)]).collect(),
        here: Some([axis(here), value(here)]),
    };
    vec![
        curve(ohms, |at| at.output_ohms),
        curve(hum, |at| 1e3 * at.hum_volts),
    ]
}

fn over_amps(holding: &Holding) -> PaneSheet {
    let [at, _] = holding.at;
    let last = holding.over_amps.last().map_or(at, |r| r.amps);
    let end = last.max(1.05 * at).max(1e-3);
    let floor = holding.floor_amps.map(|to| Stop {
        from: 0.0,
        to,
        name: words::FLOOR,
    });
    let dropout = holding.dropout_amps.map(|from| Stop {
        from,
        to: end,
        name: words::DROPOUT,
    });
    PaneSheet {
        title: words::over_amps(holding),
        unit: "mA",
        end,
        at,
        curves: curves(&holding.over_amps, &holding.here, |r| r.amps),
        stops: stops(floor, holding.ceiling_amps, dropout, end),
    }
}

fn over_volts(holding: &Holding) -> PaneSheet {
    let [_, at] = holding.at;
    let last = holding.over_volts.last().map_or(at, |r| r.volts);
    let end = last.max(1.05 * at).max(1.0);
    let floor = holding.floor_volts.filter(|v| *v > 0.0).map(|to| Stop {
        from: 0.0,
        to,
        name: words::FLOOR,
    });
    let dropout = holding.dropout_volts.map(|from| Stop {
        from,
        to: end,
        name: words::DROPOUT,
    });
    PaneSheet {
        title: words::over_volts(holding),
        unit: "V",
        end,
        at,
        curves: curves(&holding.over_volts, &holding.here, |r| r.volts),
        stops: stops(floor, holding.ceiling_volts, dropout, end),
    }
}

/// Where nothing holds the output: below the floor, above the control-grid ceiling, beyond dropout.
fn stops(floor: Option<Stop>, ceiling: Option<f64>, dropout: Option<Stop>, end: f64) -> Vec<Stop> {
    let fully_on = ceiling.map(|from| Stop {
        from: from.max(floor.as_ref().map_or(0.0, |s| s.to)),
        to: dropout.as_ref().map_or(end, |s| s.from),
        name: words::CEILING,
    });
    let fully_on = fully_on.filter(|s| s.from < s.to);
    (floor.into_iter().chain(fully_on).chain(dropout)).collect()
}

/// The negative rail and the gas tubes, as far as there are any.
fn gauges(holding: &Holding, supply: &Supply) -> Vec<Gauge> {
    let Some(regulator) = &supply.regulator else {
        return Vec::new();
    };
    let rail = holding.rail_volts.map(|volts| Gauge {
        name: words::RAIL.to_owned(),
        words: words::three(volts, number::volts),
        values: volts.map(f64::abs),
        range: None,
        range_words: String::new(),
    });
    let of = |range: &ReferenceRange, name: String| Gauge {
        name,
        words: words::three(range.least_amps, number::amps),
        values: range.least_amps,
        range: Some(range.allowed_amps),
        range_words: words::range_words(range.allowed_amps),
    };
    let negative = holding.negative.as_ref();
    let positive = holding.positive.as_ref();
    rail.into_iter()
        .chain(negative.map(|range| of(range, words::on_rail(regulator))))
        .chain(positive.map(|range| of(range, words::positive(regulator))))
        .collect()
}

/// Draws the view in all the room that `ui` has.
pub(crate) fn regulation_plot_ui(ui: &mut Ui, sheet: &RegulationSheet) -> Response {
    let theme = Theme::of(ui.ctx());
    let (area, response) = ui.allocate_exact_size(ui.available_size(), Sense::hover());
    let painter = ui.painter().with_clip_rect(area.intersect(ui.clip_rect()));
    let (strip, below) = area.split_top_bottom_at_y(area.top() + STRIP);
    paint_figures(&painter, strip, &sheet.figures, &theme);
    let column = (0.36 * area.width()).clamp(170.0, 330.0);
    let (left, right) = below.split_left_right_at_x(below.right() - column);
    let places = places(left, sheet.panes.len());
    for (pane, place) in sheet.panes.iter().zip(&places) {
        paint_pane(&painter, *place, pane, &theme);
    }
    read_out_ui(&response, sheet, &places, &theme);
    let mut column = right.with_min_x(right.left() + 12.0);
    if !sheet.gauges.is_empty() {
        painter.text(
            column.right_top(),
            Align2::RIGHT_TOP,
            words::MAINS,
            theme::font(theme::SMALL),
            theme.dim,
        );
        column.min.y += 17.0;
    }
    for gauge in &sheet.gauges {
        let place = Rect::from_min_size(column.min, vec2(column.width(), gauges::HEIGHT));
        paint_gauge(&painter, place, gauge, &theme);
        column.min.y = place.bottom();
    }
    paint_findings(&painter, column, &sheet.findings, &theme);
    response.widget_info(|| {
        let mut info =
            egui::WidgetInfo::labeled(egui::Role::GraphicsObject, ui.is_enabled(), words::NAME);
        info.current_text_value = Some(sheet.value.clone());
        info
    });
    response
}

/// The figures at the point, side by side: the name small, the number below it.
fn paint_figures(painter: &Painter, area: Rect, figures: &[Number], theme: &Theme) {
    let wanted: Vec<f32> = figures
        .iter()
        .map(|figure| {
            let width = |text: &str, font| {
                let galley = painter.layout_no_wrap(text.to_owned(), font, theme.ink);
                galley.size().x
            };
            width(&figure.what, theme::font(theme::SMALL))
                .max(width(&figure.text, theme::strong_font(theme::BODY)))
        })
        .collect();
    let spare = area.width() - wanted.iter().sum::<f32>();
    let gap = (spare / (wanted.len().max(2) - 1) as f32).clamp(6.0, 40.0);
    let mut x = area.left();
    for (figure, width) in figures.iter().zip(wanted) {
        // A figure that would be cut is left out; the picture in words has it.
        if x + width > area.right() + 0.5 {
            break;
        }
        let top = Pos2::new(x, area.top());
        painter.text(
            top,
            Align2::LEFT_TOP,
            &figure.what,
            theme::font(theme::SMALL),
            theme.middle,
        );
        painter.text(
            top + vec2(0.0, 14.0),
            Align2::LEFT_TOP,
            &figure.text,
            theme::strong_font(theme::BODY),
            theme.ink,
        );
        x += width + gap;
    }
}

/// Where the panes stand: side by side, or one below the other where there is no width for that.
fn places(area: Rect, panes: usize) -> Vec<Rect> {
    let count = panes.max(1) as f32;
    (0..panes)
        .map(|place| {
            let place = place as f32;
            if area.width() >= SIDE_BY_SIDE {
                let width = area.width() / count;
                let left = area.left() + place * width;
                Rect::from_x_y_ranges(left..=left + width, area.y_range())
            } else {
                let height = area.height() / count;
                let top = area.top() + place * height;
                Rect::from_x_y_ranges(area.x_range(), top..=top + height)
            }
        })
        .collect()
}

/// What the curves say where the pointer is: the nearest place that was worked out.
fn read_out_ui(response: &Response, sheet: &RegulationSheet, places: &[Rect], theme: &Theme) {
    let Some(pointer) = response.hover_pos() else {
        return;
    };
    let panes = sheet.panes.iter().zip(&sheet.rows).zip(places).enumerate();
    for (number, ((pane, row), place)) in panes {
        let Some(wanted) = along(*place, pane, pointer) else {
            continue;
        };
        let axis = |at: &Regulation| if number == 0 { at.amps } else { at.volts };
        let far = |(at, _): &&(Regulation, Option<f64>)| (axis(at) - wanted).abs();
        let Some((nearest, fall)) = row.iter().min_by(|a, b| far(a).total_cmp(&far(b))) else {
            continue;
        };
        let painter = Painter::new(response.ctx.clone(), response.layer_id, response.rect);
        paint_read(&painter, *place, pane, axis(nearest), theme);
        let [where_it_is, figures] = words::read_out(nearest, *fall);
        Tooltip::always_open(
            response.ctx.clone(),
            response.layer_id,
            response.id.with("read out"),
            PopupAnchor::Pointer,
        )
        .gap(14.0)
        .show(|ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            let first =
                RichText::new(theme::tied(&where_it_is)).font(theme::strong_font(theme::BODY));
            ui.add(Label::new(first.color(theme.ink)).extend());
            let second = RichText::new(theme::tied(&figures)).color(theme.ink);
            ui.add(Label::new(second).extend());
        });
    }
}

/// Sentences one below the other, as far as there is room.
fn paint_findings(painter: &Painter, area: Rect, findings: &[Finding], theme: &Theme) {
    let mut top = area.top() + 2.0;
    for finding in findings {
        let ink = match finding.severity {
            Severity::Fine | Severity::Remark => theme.middle,
            Severity::Near => theme.near_text,
            Severity::Over => theme.over_text,
        };
        let galley = painter.layout(
            theme::sentence(&finding.sentence),
            theme::font(theme::SMALL),
            ink,
            area.width(),
        );
        let height = galley.size().y;
        // Half a line is worse than none; the worst comes first.
        if top + height > area.bottom() {
            break;
        }
        painter.galley(Pos2::new(area.left(), top), galley, ink);
        top += height + 4.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::export::picture::{PictureOptions, PictureTheme, draw_without_display, png};
    use crate::parts::Stage;

    fn stop(from: f64, to: f64, name: &'static str) -> Stop {
        Stop { from, to, name }
    }

    /// Nothing is shaded twice, and a ceiling beyond dropout is not shaded at all.
    #[test]
    fn the_ceiling_is_shaded_between_floor_and_dropout() {
        let parts = |ceiling: Option<f64>, dropout: Option<Stop>| -> Vec<(f64, f64)> {
            let all = stops(Some(stop(0.0, 50.0, words::FLOOR)), ceiling, dropout, 400.0);
            all.iter().map(|s| (s.from, s.to)).collect()
        };
        let dropout = || Some(stop(350.0, 400.0, words::DROPOUT));
        let both = [(0.0, 50.0), (350.0, 400.0)];
        assert_eq!(parts(None, dropout()), both);
        assert_eq!(parts(Some(360.0), dropout()), both);
        assert_eq!(
            parts(Some(20.0), dropout()),
            [both[0], (50.0, 350.0), both[1]]
        );
        assert_eq!(parts(Some(90.0), None), [both[0], (90.0, 400.0)]);
    }

    fn sheet() -> RegulationSheet {
        let number = |what: &str, text: &str| Number {
            what: what.to_owned(),
            text: text.to_owned(),
        };
        let curve = |[name, unit]: [&'static str; 2], scale: f64, [end, at]: [f64; 2]| {
            let value = |x: f64| scale * (1.0 + (x / (0.82 * end)).powi(12) * 40.0);
            Curve {
                name,
                unit,
                points: (0..=50)
                    .map(|k| f64::from(k) / 50.0 * end)
                    .map(|x| [x, value(x)])
                    .collect(),
                here: Some([at, value(at)]),
            }
        };
        let pane = |title: &str, unit, end: f64, at: f64, floor: f64| PaneSheet {
            title: title.to_owned(),
            unit,
            end,
            at,
            curves: vec![
                curve(words::CURVES[0], 0.31, [end, at]),
                curve(words::CURVES[1], 2.2, [end, at]),
            ],
            stops: vec![
                Stop {
                    from: 0.0,
                    to: floor,
                    name: words::FLOOR,
                },
                Stop {
                    from: 0.86 * end,
                    to: end,
                    name: words::DROPOUT,
                },
            ],
        };
        let gauge = |name: &str, words: &str, values, range, range_words: &str| Gauge {
            name: name.to_owned(),
            words: words.to_owned(),
            values,
            range,
            range_words: range_words.to_owned(),
        };
        let finding = |severity, sentence: &str| Finding {
            about: Stage::Output,
            severity,
            sentence: sentence.to_owned(),
            numbers: Vec::new(),
        };
        RegulationSheet {
            figures: vec![
                number("output resistance", "310 mΩ"),
                number("loop gain", "94"),
                number("hum at the output", "2.2 mV rms"),
                number("no load to here", "−25 mV"),
                number("low to high mains", "+0.9 V"),
            ],
            panes: vec![
                pane("Against output current, at 250 V", "mA", 0.15, 0.04, 0.0),
                pane("Against output volts, at 40 mA", "V", 420.0, 250.0, 12.0),
            ],
            gauges: vec![
                gauge(
                    "bias rail",
                    "−148 · −156 · −164 V",
                    [148.0, 156.0, 164.0],
                    None,
                    "",
                ),
                gauge(
                    "0A2 on the rail",
                    "3.1 · 6.0 · 9.2 mA",
                    [0.0031, 0.006, 0.0092],
                    Some([0.005, 0.03]),
                    "5 to 30 mA",
                ),
            ],
            findings: vec![
                finding(
                    Severity::Over,
                    "At low mains the reference tube gets 3.1 mA; it needs 5 mA: the output is no longer held",
                ),
                finding(
                    Severity::Remark,
                    "Turned down, the output stands at 1.2 V at low mains and at −0.8 V at high mains; from 2 V up it never reverses",
                ),
            ],
            rows: Vec::new(),
            value: "words".to_owned(),
        }
    }

    #[test]
    fn the_view_draws_at_every_size_without_display() {
        let sheet = sheet();
        for (width, height) in [(300, 200), (456, 290), (900, 400), (1200, 520)] {
            for theme in [PictureTheme::Dark, PictureTheme::Light] {
                let options = PictureOptions {
                    width,
                    height,
                    scale: 1.0,
                    theme,
                };
                let image = draw_without_display(options, |ui| {
                    regulation_plot_ui(ui, &sheet);
                })
                .unwrap();
                if let Some(folder) = std::env::var_os("SAGLINE_SHEETS") {
                    let file = std::path::Path::new(&folder)
                        .join(format!("regulation-{theme:?}-{width}.png"));
                    #[expect(clippy::disallowed_methods, reason = "a scratch picture to look at")]
                    std::fs::write(file, png(&image).unwrap()).unwrap();
                }
            }
        }
    }
}
