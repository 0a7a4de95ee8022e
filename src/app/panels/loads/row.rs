//! A row of the table of loads: selected by a click, carried by its grip or with the keyboard.

use egui::text::{LayoutJob, TextWrapping};
use egui::{
    Align2, Color32, CursorIcon, Id, Pos2, Rect, RichText, Sense, Stroke, TextFormat, Ui,
    WidgetInfo,
};

use crate::app::panels::loads::columns::Columns;
use crate::app::panels::loads::{moved, removed};
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{
    Empty, Face, Named, Typed, fault, keep_in_view, keep_seen, typed_field,
};
use crate::app::work::action::{LOAD_DOWN, LOAD_REMOVE, LOAD_UP};
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::explain::Severity;
use crate::explain::load_line::{self, Cell, Row};
use crate::parts::{Dummy, Ohms};

/// A load and its place in the table.
pub(super) struct Load<'a> {
    /// Which row, from 0.
    pub(super) place: usize,
    /// The load.
    pub(super) dummy: &'a Dummy,
    /// The last row.
    pub(super) last: usize,
}

/// Where a row is carried.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Carry {
    /// How far down the window (points).
    pub(super) y: f32,
    /// Whether it is let go of.
    pub(super) ends: Ends,
}

/// Whether a row that is carried is let go of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ends {
    /// It is still carried.
    Not,
    /// It is let go of in this frame.
    Here,
}

/// The id of a row: where it stands, and not which load it is of.
fn row_id(shown: Shown<'_>, place: usize) -> Id {
    Id::unique(("dummy row", place, shown.document.serial))
}

/// Draws a row; says where it is carried, if it is.
pub(super) fn row_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    (columns, row): (&Columns, &Load<'_>),
) -> Option<Carry> {
    let Load { place, dummy, .. } = *row;
    let size = egui::vec2(ui.available_width(), columns.row_height);
    let (area, _) = ui.allocate_exact_size(size, Sense::hover());
    let response = ui.interact(area, row_id(shown, place), Sense::click());
    let selected = shown.view.dummy == Some(place);
    let name = format!("{} {}", dummy.resistance, described(dummy));
    let name = name.trim();
    let finding = result(shown, place, dummy);
    response.widget_info(|| WidgetInfo {
        // What the cells say, for those who cannot see them.
        current_text_value: finding.as_ref().map(|found| found.sentence.clone()),
        ..WidgetInfo::selected(egui::Role::Button, true, selected, name)
    });
    keep_in_view(&response);
    let theme = shown.theme;
    let (width, edge) = match (response.has_focus(), selected) {
        (true, _) => (1.5, theme.dropout),
        (false, true) => (1.5, theme.ink),
        (false, false) => (1.0, theme.line),
    };
    let edge = Stroke::new(width, edge);
    let inside = egui::StrokeKind::Inside;
    ui.painter().rect(area, 4.0, theme.card, edge, inside);
    cells_ui(ui, shown, columns, area, (dummy, finding.as_ref()));
    let carry = grip_ui(ui, shown, Columns::cell(area, columns.grip), row);
    ohms_ui(ui, shown, commands, (columns, area, row));
    remove_ui(
        ui,
        shown,
        commands,
        (Columns::cell(area, columns.remove), row),
    );
    keys_ui(ui, shown, commands, (&response, row));
    let response = response.on_hover_ui(|ui| {
        ui.set_max_width(320.0);
        ui.label(RichText::new(name).font(theme::strong_font(theme::BODY)));
        if let Some(found) = &finding {
            ui.label(theme::tied(&found.sentence));
        }
        for more in load_line::more_about(dummy, finding.as_ref()) {
            ui.label(theme::tied(&more));
        }
    });
    if response.clicked() {
        commands.push(Command::SelectDummy(Some(place)));
    }
    carry
}

/// The words of a load, if the answers are of this very load.
fn result(shown: Shown<'_>, place: usize, dummy: &Dummy) -> Option<Row> {
    let picture = shown.answers.picture.as_ref()?;
    let line = picture.load_lines.get(place)?;
    (picture.dummies.get(place) == Some(dummy))
        .then(|| load_line::row(line, dummy, &picture.supply))
}

/// What is printed on it and what it is called.
fn described(dummy: &Dummy) -> String {
    let power = dummy.power.map(|power| power.to_string());
    format!("{} {}", power.unwrap_or_default(), dummy.name)
        .trim()
        .to_owned()
}

/// The cells of a row: one line each, or in a narrow table two.
fn cells_ui(
    ui: &Ui,
    shown: Shown<'_>,
    columns: &Columns,
    area: Rect,
    (dummy, row): (&Dummy, Option<&Row>),
) {
    let theme = shown.theme;
    let cell = |column| Columns::cell(area, column);
    // Small letters for what is printed on it, with a name or without: the values of the other cells are what is read first.
    let printed = load_line::resistor(dummy);
    let printed = Cell {
        text: String::new(),
        about: match columns.resistor {
            Some(_) => format!("{}  {}", printed.text, printed.about),
            None => described(dummy),
        },
    };
    let below_the_ohms = || cell(columns.ohms).with_min_y(area.top() + 26.0);
    let at = columns.resistor.map_or_else(below_the_ohms, cell);
    line(ui, at, &printed, (theme.middle, theme.middle));
    let Some(row) = row else {
        return;
    };
    let draw = if columns.resistor.is_some() {
        line
    } else {
        stacked
    };
    let (own, watts) = if let Some(column) = columns.watts {
        (row.own.clone(), Some((column, &row.watts)))
    } else {
        // The watts stand above the rating that they are of.
        let own = Cell {
            text: row.watts.text.clone(),
            about: format!("{} {}", row.own.text, row.own.about),
        };
        (own, None)
    };
    let stops_for = severity_text(shown, row.severity);
    let cells = [
        (columns.reaches, &row.reaches, theme.middle),
        (columns.stops, &row.stops, stops_for),
        (columns.own, &own, theme.middle),
    ];
    let watts = watts.map(|(column, watts)| (column, watts, theme.middle));
    for (column, words, second) in cells.into_iter().chain(watts) {
        draw(ui, cell(column), words, (theme.ink, second));
    }
}

/// A cell in one line: its value, then what it is about, cut where the column ends.
fn line(ui: &Ui, area: Rect, cell: &Cell, (first, second): (Color32, Color32)) {
    let mut job = LayoutJob::default();
    let part = |size, color| TextFormat {
        font_id: theme::font(size),
        color,
        valign: egui::Align::Center,
        ..TextFormat::default()
    };
    job.append(&cell.text, 0.0, part(size_of(cell), first));
    if !cell.about.is_empty() {
        let gap = if cell.text.is_empty() { 0.0 } else { 6.0 };
        job.append(&cell.about, gap, part(theme::SMALL, second));
    }
    paint(ui, area, job);
}

/// A text without a value is small.
fn size_of(cell: &Cell) -> f32 {
    if cell.text.starts_with(|c: char| c.is_ascii_digit()) {
        theme::BODY
    } else {
        theme::SMALL
    }
}

/// A cell in two lines.
fn stacked(ui: &Ui, area: Rect, cell: &Cell, (first, second): (Color32, Color32)) {
    let (upper, lower) = area.split_top_bottom_at_y(area.top() + 22.0);
    let plain = |text: &str| Cell {
        text: text.to_owned(),
        about: String::new(),
    };
    line(ui, upper, &plain(&cell.text), (first, first));
    let mut job =
        LayoutJob::simple_singleline(cell.about.clone(), theme::font(theme::SMALL), second);
    job.wrap = TextWrapping::truncate_at_width(area.width());
    let galley = ui.painter().layout_job(job);
    ui.painter()
        .galley(lower.left_top() + egui::vec2(0.0, 1.0), galley, second);
}

/// Cut at the column's end; all of it is in the hover text of the row.
fn paint(ui: &Ui, area: Rect, mut job: LayoutJob) {
    job.wrap = TextWrapping::truncate_at_width(area.width());
    let galley = ui.painter().layout_job(job);
    let at = Align2::LEFT_CENTER.anchor_size(area.left_center(), galley.size());
    ui.painter().galley(at.min, galley, Color32::WHITE);
}

fn severity_text(shown: Shown<'_>, severity: Severity) -> Color32 {
    match severity {
        Severity::Fine => shown.theme.envelope_text,
        Severity::Remark => shown.theme.middle,
        Severity::Near => shown.theme.near_text,
        Severity::Over => shown.theme.over_text,
    }
}

/// What a row is carried by.
fn grip_ui(ui: &Ui, shown: Shown<'_>, area: Rect, row: &Load<'_>) -> Option<Carry> {
    let id = row_id(shown, row.place).with("grip");
    let sense = Sense::DRAG | Sense::HOVER;
    let response = ui.interact(area, id, sense);
    let ink = if response.hovered() || response.dragged() {
        shown.theme.ink
    } else {
        shown.theme.dim
    };
    for (x, y) in [-2.5, 2.5]
        .into_iter()
        .flat_map(|x| [-5.0, 0.0, 5.0].map(|y| (x, y)))
    {
        let at = area.center() + egui::vec2(x, y);
        ui.painter().circle_filled(at, 1.2, ink);
    }
    let pointer = response.interact_pointer_pos();
    let dragged = response.dragged();
    let stopped = response.drag_stopped();
    let hover = format!(
        "Carry it to another row, or {} and {}",
        ui.ctx().format_shortcut(&LOAD_UP),
        ui.ctx().format_shortcut(&LOAD_DOWN)
    );
    response
        .on_hover_cursor(CursorIcon::Grab)
        .on_hover_text(hover);
    let Pos2 { y, .. } = pointer?;
    if dragged {
        Some(Carry { y, ends: Ends::Not })
    } else if stopped {
        Some(Carry {
            y,
            ends: Ends::Here,
        })
    } else {
        None
    }
}

fn ohms_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    (columns, area, row): (&Columns, Rect, &Load<'_>),
) {
    let Load { place, dummy, .. } = *row;
    let mut cell = Columns::cell(area, columns.ohms);
    if columns.resistor.is_none() {
        cell.max.y = cell.min.y + 25.0;
    }
    let id = row_id(shown, place).with("ohms");
    let selected = shown.view.dummy == Some(place);
    // The selected one is called as it always was, the others by their row.
    let name = if selected {
        "Resistance".to_owned()
    } else {
        format!("Resistance of load {}", place + 1)
    };
    let mut inner =
        ui.new_child(egui::UiBuilder::new().max_rect(cell.shrink2(egui::vec2(0.0, 2.0))));
    inner.spacing_mut().interact_size.y = 22.0;
    let named = Named { name: &name, id };
    let wrong = fault::<Ohms>(&inner, id, Empty::Never);
    let typed = typed_field(
        &mut inner,
        named,
        Some(dummy.resistance),
        Empty::Never,
        Face::Field,
    );
    if let Some(wrong) = wrong {
        // A row has no room for a second line; it is said where one types.
        let text = RichText::new(wrong).color(shown.theme.over_text);
        egui::Tooltip::always_open(
            ui.ctx().clone(),
            ui.layer_id(),
            id.with("wrong"),
            egui::PopupAnchor::ParentRect(cell),
        )
        .show(|ui| ui.label(text));
    }
    if let Typed::Value(ohms) = typed {
        let mut new = dummy.clone();
        new.resistance = ohms;
        // Its resistors gave the old value.
        new.made_of = None;
        let change = Change {
            label: format!("Dummy, resistance {ohms}"),
            control: None,
        };
        commands.push(Command::Edit(Box::new(Edit::Dummy(place, new)), change));
    }
}

fn remove_ui(ui: &Ui, shown: Shown<'_>, commands: &mut Commands, (area, row): (Rect, &Load<'_>)) {
    let Load { place, dummy, .. } = *row;
    let button = Rect::from_center_size(area.center(), egui::vec2(22.0, 22.0));
    let id = row_id(shown, place).with("remove");
    let response = ui.interact(button, id, Sense::click());
    let ink = if response.hovered() || response.has_focus() {
        shown.theme.ink
    } else {
        shown.theme.dim
    };
    let cross = Rect::from_center_size(button.center(), egui::vec2(8.0, 8.0));
    let stroke = Stroke::new(1.4, ink);
    ui.painter()
        .line_segment([cross.left_top(), cross.right_bottom()], stroke);
    ui.painter()
        .line_segment([cross.right_top(), cross.left_bottom()], stroke);
    keep_seen(ui, &response);
    let name = if shown.view.dummy == Some(place) {
        "Remove this dummy".to_owned()
    } else {
        format!("Remove load {}", place + 1)
    };
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, name.as_str()));
    let hover = format!(
        "Remove this load {}",
        ui.ctx().format_shortcut(&LOAD_REMOVE)
    );
    if response.on_hover_text(hover).clicked() {
        commands.push(removed(dummy, place));
    }
}

/// What the row does while it has the keyboard.
fn keys_ui(
    ui: &Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    (response, row): (&egui::Response, &Load<'_>),
) {
    if !response.has_focus() {
        return;
    }
    let Load { place, dummy, last } = *row;
    let pressed = |key| ui.input_mut(|input| input.consume_shortcut(key));
    let to = if pressed(&LOAD_UP) {
        place.checked_sub(1)
    } else if pressed(&LOAD_DOWN) {
        Some(place + 1).filter(|to| *to <= last)
    } else if pressed(&LOAD_REMOVE) {
        commands.push(removed(dummy, place));
        None
    } else {
        None
    };
    if let Some(to) = to {
        commands.push(moved(dummy, place, to));
        // The keyboard goes with the load.
        let id = row_id(shown, to);
        ui.memory_mut(|memory| memory.request_focus(id));
    }
}
