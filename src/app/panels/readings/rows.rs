//! A row a reading: those that were taken, then those that the plan asks for; the value is typed, all else stands beside it.

use egui::{Align2, Color32, ComboBox, Id, Rect, RichText, Sense, Ui};

use crate::app::export::day::time_now;
use crate::app::panels::readings::{answer, edit, is_of_now, set_of, with_set};
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::hanging_list::HangingList;
use crate::app::widgets::quantity_field::{
    Empty, Face, Named, Typed, keep_seen, name_it, typed_field,
};
use crate::app::widgets::text_field::{TextLook, text_field};
use crate::bench::diagnosis::{Compared, OFF};
use crate::bench::expected::{Spot, usual_setting};
use crate::explain::{readings, sentence_case};
use crate::parts::quantity::Quantity;
use crate::parts::readings::{Connected, Meter, Reading, What};
use crate::parts::spread::{Size, Spread, Unit};
use crate::parts::{Amps, Farads, Fraction, Ohms, Supply, Volts};

/// Height of a row: a field for fingers that are at a bench (points).
const ROW: f32 = 30.0;
/// Height of the second line of a reading that was taken (points).
const SECOND: f32 = 24.0;
/// Width of the value's field (points).
const VALUE: f32 = 96.0;
/// Width of what removes a reading (points).
const REMOVE: f32 = 26.0;

/// A row of the table.
struct Row<'a> {
    spot: Spot,
    /// The reading with its number; none yet where the plan asks for it.
    taken: Option<(usize, &'a Reading)>,
    /// What is expected, with its standard deviation.
    expected: Option<[f64; 2]>,
    compared: Option<&'a Compared>,
}

/// Draws the rows.
pub(super) fn rows_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let all = rows(shown);
    if all.is_empty() {
        let why = answer(shown).err().unwrap_or_default();
        ui.weak(why);
        return;
    }
    for row in &all {
        row_ui(ui, shown, commands, row);
        if let Some((number, reading)) = row.taken {
            second_ui(ui, shown, commands, (number, reading));
        }
    }
    meters_ui(ui, shown, commands);
}

fn rows(shown: Shown<'_>) -> Vec<Row<'_>> {
    let supply = &shown.document.work.supply;
    let known = answer(shown).ok();
    let diagnosis = known.and_then(|known| known.diagnosis.as_ref());
    let diagnosis = diagnosis.filter(|_| is_of_now(shown));
    let mut all: Vec<Row<'_>> = Vec::new();
    for (number, reading) in set_of(shown)
        .iter()
        .flat_map(|set| set.readings.iter().enumerate())
    {
        let compared = diagnosis.and_then(|found| {
            let mut all = found.compared.iter();
            all.find(|one| one.number == number)
        });
        all.push(Row {
            spot: Spot::of(reading, supply),
            taken: Some((number, reading)),
            expected: compared.and_then(|one| Some([one.expected?, one.sigma])),
            compared,
        });
    }
    for step in known.into_iter().flat_map(|known| &known.plan) {
        for figure in &step.figures {
            let usual = usual_setting(supply);
            let spot = Spot {
                what: figure.what,
                load: step.step.load,
                set_volts: step.step.set.map_or(usual, |volts| volts.0),
            };
            let is_there = all.iter().any(|row| {
                row.spot.what == spot.what
                    && (row.spot.load == spot.load || !spot.what.depends_on_load())
            });
            if !is_there {
                all.push(Row {
                    spot,
                    taken: None,
                    expected: Some([figure.value, figure.sigma]),
                    compared: None,
                });
            }
        }
    }
    all
}

fn row_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands, row: &Row<'_>) {
    let theme = shown.theme;
    let supply = &shown.document.work.supply;
    let size = egui::vec2(ui.available_width(), ROW);
    let (area, _) = ui.allocate_exact_size(size, Sense::hover());
    let edge = egui::Stroke::new(1.0, theme.line);
    (ui.painter()).rect(area, 4.0, theme.card, edge, egui::StrokeKind::Inside);
    let name = sentence_case(&readings::spot(row.spot, supply));
    let right = area.right() - REMOVE - 4.0;
    let free = (right - area.left() - VALUE - 24.0).max(60.0);
    let [names, expects, verdicts] = [0.5, 0.26, 0.24].map(|share| share * free);
    let mut left = area.left() + 8.0;
    let mut cell = |width: f32| {
        let cell = Rect::from_min_size(egui::pos2(left, area.top()), egui::vec2(width, ROW));
        left += width + 4.0;
        cell
    };
    text(ui, cell(names), &name, theme.ink);
    let expected = row.expected.map_or_else(String::new, |[value, sigma]| {
        readings::band(row.spot.what, value, sigma)
    });
    text(ui, cell(expects), &expected, theme.middle);
    let field = cell(VALUE);
    value_ui(ui, shown, commands, (field, row, &name));
    let (verdict, ink) = verdict(shown, row);
    text(ui, cell(verdicts), &verdict, ink);
    if let Some((number, reading)) = row.taken {
        let area = area.with_min_x(right);
        remove_ui(ui, shown, commands, (area, number, reading));
    }
}

/// Mains, meter and note of a reading.
fn second_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    (number, reading): (usize, &Reading),
) {
    let size = egui::vec2(ui.available_width(), SECOND);
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    ui.allocate_ui_with_layout(size, layout, |ui| {
        ui.spacing_mut().interact_size.y = SECOND - 4.0;
        ui.add_space(16.0);
        let id = |what: &str| Id::unique((what, shown.view.set, shown.document.serial, number));
        let mut changed = reading.clone();
        if !reading.what.is_cold() {
            ui.weak(RichText::new("at").font(theme::font(theme::SMALL)));
            ui.scope(|ui| {
                ui.set_max_width(64.0);
                let name = format!("Mains of reading {}", number + 1);
                let named = Named {
                    name: &name,
                    id: id("reading mains"),
                };
                let shown_mains = reading.mains.or(set_of(shown).and_then(|set| set.mains));
                let empty = Empty::Means("mains");
                match typed_field::<Volts>(ui, named, shown_mains, empty, Face::Field) {
                    Typed::Unchanged => {}
                    Typed::Value(volts) | Typed::WithSpread(volts, _) => {
                        changed.mains = Some(volts);
                    }
                    Typed::Cleared => changed.mains = None,
                }
            });
        }
        meter_ui(ui, shown, number, &mut changed);
        let look = TextLook {
            font: theme::font(theme::SMALL),
            width: (ui.available_width() - 16.0).max(40.0),
            bare: true,
            rows: 1,
            hint: "Note",
        };
        let name = format!("Note of reading {}", number + 1);
        let named = Named {
            name: &name,
            id: id("reading note"),
        };
        let note = reading.note.clone().unwrap_or_default();
        if let Some(text) = text_field(ui, named, &note, look) {
            changed.note = (!text.trim().is_empty()).then_some(text);
        }
        if changed != *reading {
            let bench = with_set(shown, |set| {
                if let Some(one) = set.readings.get_mut(number) {
                    *one = changed;
                }
            });
            commands.push(edit(bench, format!("Reading {}", number + 1)));
        }
    });
}

/// What an unnamed meter is.
const USUAL_METER: &str = "hand multimeter";

/// With which meter it was taken.
fn meter_ui(ui: &mut Ui, shown: Shown<'_>, number: usize, reading: &mut Reading) {
    let meters = &shown.document.work.bench.meters;
    if meters.is_empty() {
        return;
    }
    let name = format!("Meter of reading {}", number + 1);
    let now = reading.meter.clone();
    let text = now.clone().unwrap_or_else(|| USUAL_METER.to_owned());
    let mut list = HangingList::of(ui, &name);
    let combo = ComboBox::from_id_salt(&name)
        .width(110.0)
        .truncate()
        .selected_text(RichText::new(&text).font(theme::font(theme::SMALL)))
        .show_ui(ui, |ui| {
            theme::choices(ui);
            let names = meters.iter().map(|meter| Some(meter.name.clone()));
            for one in std::iter::once(None).chain(names) {
                let said = one.clone().unwrap_or_else(|| USUAL_METER.to_owned());
                let entry = ui.selectable_label(one == now, said);
                if one == now {
                    list.entry_in_use(&entry);
                } else {
                    list.entry(&entry);
                }
                if entry.clicked() {
                    reading.meter = one;
                    ui.close();
                }
            }
        });
    list.end(&combo.response);
    name_it(ui.ctx(), combo.response.id, &name, Some(&text));
}

/// The meters with their accuracy, and one more.
fn meters_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    ui.add_space(theme::GAP);
    let mut bench = shown.document.work.bench.clone();
    let mut label = None;
    for (place, meter) in bench.meters.iter_mut().enumerate() {
        ui.horizontal(|ui| {
            ui.weak(RichText::new("Meter").font(theme::font(theme::SMALL)));
            let look = |hint: &'static str, width: f32| TextLook {
                font: theme::font(theme::SMALL),
                width,
                bare: false,
                rows: 1,
                hint,
            };
            let id = |what: &str| Id::unique((what, place, shown.document.serial));
            let name = format!("Accuracy of meter {}", place + 1);
            let named = Named {
                name: &name,
                id: id("meter accuracy"),
            };
            ui.label(RichText::new(&meter.name).font(theme::font(theme::SMALL)));
            let text = meter.accuracy.to_string();
            if let Some(text) = text_field(ui, named, &text, look("2 % of 300 V", 190.0))
                && let Ok(accuracy) = text.parse()
            {
                meter.accuracy = accuracy;
                label = Some(format!("Meter {}, accuracy", meter.name));
            }
        });
    }
    let add = ui.button(RichText::new("+ Panel meter").font(theme::font(theme::SMALL)));
    name_it(ui.ctx(), add.id, "Add a panel meter", None);
    keep_seen(ui, &add);
    let hover = "A meter whose accuracy is stated, as a share of its full scale or of the reading; the others count as a hand multimeter";
    if add.on_hover_text(hover).clicked() {
        let scale = shown.document.work.supply.output.meter_scale;
        bench.meters.push(Meter {
            name: format!("panel {}", bench.meters.len() + 1),
            accuracy: Spread::OfFullScale(
                Fraction(0.02),
                Size {
                    si: scale.map_or(300.0, |volts| volts.0),
                    unit: Unit::Volts,
                },
            ),
        });
        label = Some("Panel meter added".to_owned());
    }
    if let Some(label) = label {
        commands.push(edit(bench, label));
    }
}

fn verdict(shown: Shown<'_>, row: &Row<'_>) -> (String, Color32) {
    let theme = shown.theme;
    match (row.taken, row.compared) {
        (None, _) => (String::new(), theme.middle),
        (Some(_), None) => ("…".to_owned(), theme.middle),
        (Some(_), Some(one)) => {
            let ink = match one.off_by.abs() {
                _ if one.expected.is_none() => theme.middle,
                off if off <= OFF => theme.envelope_text,
                off if off <= 2.0 * OFF => theme.near_text,
                _ => theme.over_text,
            };
            (readings::verdict(one), ink)
        }
    }
}

fn text(ui: &Ui, area: Rect, text: &str, ink: Color32) {
    let mut job =
        egui::text::LayoutJob::simple_singleline(text.to_owned(), theme::font(theme::SMALL), ink);
    job.wrap = egui::text::TextWrapping::truncate_at_width(area.width());
    let galley = ui.painter().layout_job(job);
    let at = Align2::LEFT_CENTER.anchor_size(area.left_center(), galley.size());
    ui.painter().galley(at.min, galley, ink);
}

fn value_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    (area, row, name): (Rect, &Row<'_>, &str),
) {
    let place = format!("{:?} {}", row.spot.what, row.spot.load);
    let number = row.taken.map(|(number, _)| number);
    let id = Id::unique((
        "reading",
        shown.view.set,
        shown.document.serial,
        number,
        place,
    ));
    let mut inner =
        ui.new_child(egui::UiBuilder::new().max_rect(area.shrink2(egui::vec2(0.0, 3.0))));
    inner.spacing_mut().interact_size.y = ROW - 6.0;
    let value = row.taken.map(|(_, reading)| reading.value.si);
    let named = Named { name, id };
    let typed = match row.spot.what.unit() {
        Unit::Amps => typed::<Amps>(&mut inner, named, value),
        Unit::Ohms => typed::<Ohms>(&mut inner, named, value),
        Unit::Farads => typed::<Farads>(&mut inner, named, value),
        _ => typed::<Volts>(&mut inner, named, value),
    };
    let si = match typed {
        None => return,
        Some(Entered::Value(si)) => Some(si),
        Some(Entered::Nothing) => None,
    };
    let supply = &shown.document.work.supply;
    let bench = with_set(shown, |set| match (number, si) {
        (Some(number), Some(si)) => {
            if let Some(reading) = set.readings.get_mut(number) {
                reading.value.si = si;
            }
        }
        (Some(number), None) => {
            if number < set.readings.len() {
                set.readings.remove(number);
            }
        }
        (None, Some(si)) => {
            let mains = set.mains;
            set.readings.push(of_row(row.spot, si, mains, supply));
        }
        (None, None) => {}
    });
    let value = si.map(|si| Size {
        si,
        unit: row.spot.what.unit(),
    });
    let said = value.map_or_else(|| "removed".to_owned(), |value| value.to_string());
    commands.push(edit(bench, format!("{name}, {said}")));
}

/// A reading as it was typed just now.
fn of_row(spot: Spot, si: f64, mains: Option<Volts>, supply: &Supply) -> Reading {
    let is_usual = (spot.set_volts - usual_setting(supply)).abs() < 1e-9;
    let has_setting = spot.what.depends_on_load() && !matches!(spot.what, What::KnobUp);
    Reading {
        load: if spot.what.depends_on_load() {
            spot.load
        } else {
            Connected::Nothing
        },
        set: (has_setting && !is_usual).then_some(Volts(spot.set_volts)),
        mains: if spot.what.is_cold() { None } else { mains },
        time: Some(time_now()),
        ..Reading::of(spot.what, si)
    }
}

/// What was done in the field of a value.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Entered {
    /// A value was typed (SI).
    Value(f64),
    /// It was emptied.
    Nothing,
}

/// A typed value; `None` if nothing is new.
fn typed<Q: Quantity>(ui: &mut Ui, named: Named<'_>, value: Option<f64>) -> Option<Entered> {
    let value = value.map(Q::from_si);
    let empty = Empty::Means("type a reading");
    match typed_field::<Q>(ui, named, value, empty, Face::Field) {
        Typed::Unchanged => None,
        Typed::Value(value) | Typed::WithSpread(value, _) => Some(Entered::Value(value.si())),
        Typed::Cleared => Some(Entered::Nothing),
    }
}

fn remove_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    (area, number, reading): (Rect, usize, &Reading),
) {
    let mut inner = ui.new_child(egui::UiBuilder::new().max_rect(area.shrink(3.0)));
    let cross = RichText::new("×").color(shown.theme.middle);
    let button = inner.add(egui::Button::new(cross).frame(false));
    let supply = &shown.document.work.supply;
    let name = format!("Remove reading {}", number + 1);
    name_it(ui.ctx(), button.id, &name, None);
    keep_seen(ui, &button);
    let noted = [reading.time.as_deref(), reading.note.as_deref()];
    let noted: Vec<&str> = noted.into_iter().flatten().collect();
    let hover = format!(
        "{}. {}",
        sentence_case(&readings::name(reading, supply)),
        noted.join(", ")
    );
    if button.on_hover_text(hover).clicked() {
        let bench = with_set(shown, |set| {
            if number < set.readings.len() {
                set.readings.remove(number);
            }
        });
        commands.push(edit(bench, format!("Reading {} removed", number + 1)));
    }
}
