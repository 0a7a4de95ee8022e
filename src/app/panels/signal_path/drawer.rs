//! The drawer of resistors as the last card: what one types in bulk is put in, each entry is a line that one may type over.

use egui::{Id, Label, RichText, TextEdit, Ui};

use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{Named, keep_seen, name_it, wrong_line};
use crate::app::widgets::text_field::{TextLook, text_field};
use crate::app::work::command::Command;
use crate::app::work::view::DrawerAsk;
use crate::explain::resistor;
use crate::parts::drawer::{MOST, leftover, read_lines, write_line, write_table};
use crate::parts::escape::escaped;
use crate::parts::{Drawer, Owned};

/// Accessible name of the field in which entries are typed.
const ENTRY: &str = "Resistors to put in";
/// Grey words while it is empty.
const HINT: &str = "4 × 10k 25 W wire-wound";

/// What the closed card says.
pub(super) fn summary(drawer: &Drawer) -> String {
    if drawer.resistors.is_empty() {
        return "empty; what you have for loads".to_owned();
    }
    resistor::in_short(&drawer.resistors)
}

/// What stands in the open card.
pub(super) fn rows(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    entry_ui(ui, shown, commands);
    for place in 0..shown.drawer.resistors.len() {
        owned_ui(ui, shown, commands, place);
    }
    if shown.drawer.resistors.is_empty() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        let find = small_button(ui, "Find a load…", "What of it makes a load for the point");
        if find.clicked() {
            commands.push(Command::AskDrawer(DrawerAsk::Point));
        }
        let copy = small_button(
            ui,
            "Copy as table",
            "Puts the drawer on the clipboard as comma-separated values; such a table may be pasted above",
        );
        if copy.clicked() {
            ui.ctx().copy_text(write_table(shown.drawer));
        }
        let save = small_button(
            ui,
            "Save as table…",
            "Writes it to a file of comma-separated values; such a file dropped on the window is put in",
        );
        if save.clicked() {
            commands.push(Command::SaveDrawer);
        }
    });
}

fn small_button(ui: &mut Ui, text: &str, hover: &str) -> egui::Response {
    let label = RichText::new(text).font(theme::font(theme::SMALL));
    let button = ui.add(egui::Button::new(label));
    name_it(ui.ctx(), button.id, text, None);
    keep_seen(ui, &button);
    button.on_hover_text(hover)
}

/// Another drawer with what was done to it.
fn edited(drawer: Drawer, what: &str) -> Command {
    Command::EditDrawer(Box::new(drawer), format!("Drawer, {what}"))
}

/// The field for many lines at once. What cannot be read stays in it, with why.
fn entry_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let id = Id::unique("drawer entry");
    let asked = id.with("asked about");
    let mut text: String = ui.data(|data| data.get_temp(id)).unwrap_or_default();
    let by_key = ui.memory(|memory| memory.has_focus(id))
        && ui.input_mut(|input| input.consume_key(egui::Modifiers::COMMAND, egui::Key::Enter));
    let field = ui.add(
        TextEdit::multiline(&mut text)
            .id(id)
            .hint_text(HINT)
            .desired_rows(2)
            .desired_width(ui.available_width() - 12.0)
            .margin(egui::Margin::symmetric(6, 3)),
    );
    name_it(ui.ctx(), field.id, ENTRY, None);
    field.on_hover_text(
        "A line each: how many, ohms, watts, and if you like tolerance, volts, kind and mounting, in any order. A table with headings may be \
         pasted. Ctrl+Enter puts them in.",
    );
    let put_in = ui.add_enabled_ui(!text.trim().is_empty(), |ui| {
        small_button(ui, "Put in", "Puts these resistors into the drawer")
    });
    if put_in.inner.clicked() || by_key {
        let lines = read_lines(&text);
        let mut drawer = shown.drawer.clone();
        let mut many = 0;
        for (_, owned) in lines.read.iter().take(room(shown.drawer)) {
            drawer.put(owned.clone());
            many += 1;
        }
        if many > 0 {
            let what = if many == 1 { "entry" } else { "entries" };
            commands.push(edited(drawer, &format!("{many} {what} put in")));
        }
        text = leftover(&text, &lines);
        ui.data_mut(|data| data.insert_temp(asked, text.clone()));
    }
    let asked_about: Option<String> = ui.data(|data| data.get_temp(asked));
    if asked_about.as_deref() == Some(text.as_str()) {
        for fault in read_lines(&text).faults.iter().take(FEW) {
            wrong_line(ui, &fault.to_string(), shown.theme.over_text);
        }
    }
    ui.data_mut(|data| data.insert_temp(id, text));
}

/// Faults that are told at once.
const FEW: usize = 5;

/// How many entries a drawer still takes.
fn room(drawer: &Drawer) -> usize {
    usize::from(MOST).saturating_sub(drawer.resistors.len())
}

/// An entry: its line to be typed over, what it bears, the button that takes it out.
fn owned_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands, place: usize) {
    let Some(owned) = shown.drawer.resistors.get(place) else {
        return;
    };
    let id = Id::unique(("drawer", place));
    let name = format!("Entry {} of the drawer", place + 1);
    let line = write_line(owned);
    ui.horizontal(|ui| {
        let look = TextLook {
            font: theme::font(theme::BODY),
            width: ui.available_width() - 34.0,
            bare: true,
            rows: 1,
            hint: HINT,
        };
        let named = Named { name: &name, id };
        if let Some(typed) = text_field(ui, named, &line, look) {
            typed_over(ui, shown, commands, (place, id, &typed));
        }
        let remove = ui.add(egui::Button::new("×").frame(false));
        let called = format!("Remove entry {}", place + 1);
        name_it(ui.ctx(), remove.id, &called, Some(&line));
        keep_seen(ui, &remove);
        if remove.on_hover_text("Takes it out of the drawer").clicked() {
            commands.push(without(shown.drawer, place));
        }
    });
    let wrong: Option<(String, String)> = ui.data(|data| data.get_temp(id.with("wrong")));
    if let Some((_, why)) = wrong.filter(|(of, _)| *of == line) {
        wrong_line(ui, &why, shown.theme.over_text);
    }
    let about = RichText::new(resistor::about(&owned.resistor))
        .font(theme::font(theme::SMALL))
        .color(shown.theme.middle);
    ui.add(Label::new(about).wrap());
}

fn without(drawer: &Drawer, place: usize) -> Command {
    let mut left = drawer.clone();
    let what = if place < left.resistors.len() {
        resistor::owned(&left.resistors.remove(place))
    } else {
        String::new()
    };
    edited(left, &format!("{what} taken out"))
}

/// Takes over what was typed in place of an entry; what cannot be read stays in the field, with why.
fn typed_over(
    ui: &Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    (place, id, typed): (usize, Id, &str),
) {
    if typed.trim().is_empty() {
        commands.push(without(shown.drawer, place));
        return;
    }
    let mut lines = read_lines(typed);
    let wrong = id.with("wrong");
    match (lines.faults.first(), lines.read.pop()) {
        (None, Some((_, owned))) if lines.read.is_empty() => {
            let said = resistor::owned(&owned);
            let mut drawer = shown.drawer.clone();
            if let Some(old) = drawer.resistors.get_mut(place) {
                *old = owned;
            }
            ui.data_mut(|data| data.remove::<(String, String)>(wrong));
            commands.push(edited(drawer, &said));
        }
        (fault, _) => {
            let why = fault.map_or_else(
                || format!("found {}, expected one entry", escaped(typed)),
                |fault| {
                    format!(
                        "found {}, expected {}",
                        escaped(&fault.found),
                        fault.expected
                    )
                },
            );
            let of: Option<&Owned> = shown.drawer.resistors.get(place);
            let of = of.map(write_line).unwrap_or_default();
            ui.data_mut(|data| {
                data.insert_temp(id, typed.to_owned());
                data.insert_temp(wrong, (of, why));
            });
        }
    }
}
