//! The dummy loads as a table: a row each, with what it reaches and what stops it; below it, always in the same place, the other
//! values of the selected one.

mod columns;
mod row;
mod values;

use egui::{Align, Layout, RichText, ScrollArea, Ui};

use crate::app::panels::loads::columns::Columns;
use crate::app::panels::loads::row::{Load, row_ui};
use crate::app::panels::loads::values::{HEIGHT as VALUES, values_ui};
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{keep_seen, name_it};
use crate::app::widgets::term::{Stop, term_ui};
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::app::work::view::DrawerAsk;
use crate::bench::preferred::{COMMON_WATTS, load_for};
use crate::explain::{glossary, load_line};
use crate::parts::{Dummy, Fraction, Mounting, Ohms, Watts};

/// Height of the row with the heading (points).
const HEAD: f32 = 26.0;
/// How much of a rating a resistor may use until its owner says otherwise.
const DERATING: f64 = 1.0;

/// Draws the page.
pub(crate) fn loads_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let dummies = &shown.document.work.dummies;
    ui.spacing_mut().item_spacing.y = 2.0;
    ui.horizontal(|ui| {
        ui.set_min_height(HEAD);
        let heading = RichText::new("Dummy loads")
            .font(theme::strong_font(theme::SMALL))
            .color(shown.theme.middle);
        let word = term_ui(ui, heading, glossary::named("dummy load"), Stop::None);
        commands.extend(word.map(Command::Define));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            add_ui(ui, shown, commands);
            from_drawer_ui(ui, commands);
        });
    });
    if dummies.is_empty() {
        ui.weak("None yet: add the resistor that you will load the supply with");
        return;
    }
    let columns = Columns::of(ui.available_width());
    columns::heads_ui(ui, shown, &columns);
    let room = (ui.available_height() - VALUES - 2.0).max(columns.row_height);
    ScrollArea::vertical()
        .id_salt("dummies")
        .max_height(room)
        .min_scrolled_height(room)
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            rows_ui(ui, shown, commands, &columns);
        });
    values_ui(ui, shown, commands);
}

fn rows_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands, columns: &Columns) {
    let dummies = &shown.document.work.dummies;
    let top = ui.cursor().top();
    let step = columns.row_height + ui.spacing().item_spacing.y;
    let mut carried = None;
    for (place, dummy) in dummies.iter().enumerate() {
        let row = Load {
            place,
            dummy,
            last: dummies.len() - 1,
        };
        if let Some(at) = row_ui(ui, shown, commands, (columns, &row)) {
            carried = Some((place, at));
        }
    }
    let Some((from, carry)) = carried else {
        return;
    };
    // Between which rows it would come to lie.
    let gap = ((carry.y - top) / step)
        .round()
        .clamp(0.0, dummies.len() as f32);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the number of rows"
    )]
    let gap = gap as usize;
    let to = if gap > from { gap - 1 } else { gap };
    match carry.ends {
        row::Ends::Not => {
            let y = top + gap as f32 * step - 1.0;
            let line = egui::Stroke::new(2.0, shown.theme.dropout);
            ui.painter().hline(ui.max_rect().x_range(), y, line);
        }
        row::Ends::Here if to != from => {
            commands.extend(dummies.get(from).map(|dummy| moved(dummy, from, to)));
        }
        row::Ends::Here => {}
    }
}

/// A dummy goes from one row to another.
fn moved(dummy: &Dummy, from: usize, to: usize) -> Command {
    let way = if to < from { "up" } else { "down" };
    let change = Change {
        label: format!("Dummy {} moved {way}", dummy.resistance),
        control: None,
    };
    Command::Edit(Box::new(Edit::MoveDummy(from, to)), change)
}

/// A dummy goes.
fn removed(dummy: &Dummy, place: usize) -> Command {
    let change = Change {
        label: format!("Dummy {} removed", dummy.resistance),
        control: None,
    };
    Command::Edit(Box::new(Edit::RemoveDummy(place)), change)
}

fn add_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let at = shown.view.point;
    let proposal = load_for(at, DERATING);
    let dummy = new_dummy(proposal.map(|proposal| {
        let largest = COMMON_WATTS.iter().copied().fold(0.0, f64::max);
        (proposal.ohms, proposal.power_watts.unwrap_or(largest))
    }));
    let name = load_line::name(&dummy);
    let text = RichText::new(format!("+ Add {name}")).font(theme::font(theme::SMALL));
    let add = ui.add(egui::Button::new(text));
    name_it(ui.ctx(), add.id, "Add a dummy load", Some(&name));
    keep_seen(ui, &add);
    let hover = proposal.map_or_else(
        || "One more resistor to load the supply with".to_owned(),
        |proposal| load_line::proposed(&proposal, at),
    );
    if add.on_hover_text(theme::tied(&hover)).clicked() {
        let change = Change {
            label: format!("Dummy {} added", dummy.resistance),
            control: None,
        };
        commands.push(Command::Edit(Box::new(Edit::AddDummy(dummy)), change));
    }
}

/// The way to what of the drawer makes a load.
fn from_drawer_ui(ui: &mut Ui, commands: &mut Commands) {
    let text = RichText::new("From the drawer…").font(theme::font(theme::SMALL));
    let button = ui.add(egui::Button::new(text));
    name_it(ui.ctx(), button.id, "From the drawer", None);
    keep_seen(ui, &button);
    let hover = "What of the resistors that you have makes a load for the point";
    if button.on_hover_text(hover).clicked() {
        commands.push(Command::AskDrawer(DrawerAsk::Point));
    }
}

/// A resistor of these ohms and watts, else one that does for most supplies.
fn new_dummy(ohms_and_watts: Option<(f64, f64)>) -> Dummy {
    let (ohms, watts) = ohms_and_watts.unwrap_or((10e3, 25.0));
    Dummy {
        name: String::new(),
        resistance: Ohms(ohms),
        power: Some(Watts(watts)),
        working_volts: None,
        tolerance: Fraction(0.05),
        derating: None,
        kind: None,
        mounting: Mounting::default(),
        made_of: None,
    }
}
