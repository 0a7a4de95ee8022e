//! What of the drawer makes a load: for the point, for the ohms of the selected load, or the few loads that show the envelope. Each
//! network as a small circuit; one click makes a load of it.

use egui::{Align, Button, Layout, RichText, ScrollArea, Stroke, Ui, WidgetInfo};

use crate::app::answers::networks::{Answer, Sought, sought};
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::network::network_ui;
use crate::app::widgets::quantity_field::{keep_seen, name_it};
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::app::work::view::{DrawerAsk, Scene};
use crate::bench::networks::{Network, USUAL_MARGIN};
use crate::bench::showing::Shows;
use crate::explain::plot::CALCULATING;
use crate::explain::{networks as words, number, sentence};
use crate::parts::{Dummy, Fraction, Mounting, Ohms};

/// Height of the row above the list (points).
const HEAD: f32 = 26.0;

/// Draws the page.
pub(crate) fn networks_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    head_ui(ui, shown, commands);
    let work = &shown.document.work;
    if shown.drawer.resistors.is_empty() {
        ui.weak("The drawer is empty: open its card on the left, below Output, and put in the resistors that you have.");
        return;
    }
    let Some(wanted) = sought(shown.view, work, shown.answers) else {
        ui.weak(match shown.view.drawer_ask {
            DrawerAsk::Load => "Select a load in the table first",
            _ => "No load leads to a point without current or without volts",
        });
        return;
    };
    let answered = shown.networks.answered();
    let is_current = answered
        .is_some_and(|(request, _)| request.sought == wanted && request.drawer == *shown.drawer);
    let about = match wanted {
        Sought::Load(wanted) => format!(
            "{}. {}.",
            words::wanted(wanted),
            words::margin(USUAL_MARGIN)
        ),
        Sought::Envelope => {
            "Each load with what is rewired, coming from the one before.".to_owned()
        }
    };
    // In a line that is there anyway: nothing moves when it goes.
    let age = if is_current || answered.is_none() {
        ""
    } else {
        " As of a moment ago."
    };
    small(ui, &format!("{about}{age}"), shown.theme.middle);
    let Some((request, Some(answer))) = answered else {
        ui.weak(CALCULATING);
        return;
    };
    let fits = matches!(
        (answer, wanted),
        (Answer::Load(_), Sought::Load(_)) | (Answer::Envelope(_), Sought::Envelope)
    );
    if !fits {
        ui.weak(CALCULATING);
        return;
    }
    ScrollArea::both()
        .id_salt("networks")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 4.0;
            match answer {
                Answer::Load(found) => {
                    if let (true, Sought::Load(wanted)) =
                        (found.networks.is_empty(), request.sought)
                    {
                        ui.label(sentence(&words::none(found, wanted, &request.drawer)));
                    }
                    for (place, network) in found.networks.iter().enumerate() {
                        one_ui(
                            ui,
                            shown,
                            commands,
                            (&format!("network {}", place + 1), network),
                        );
                    }
                }
                Answer::Envelope(shows) => shows_ui(ui, shown, commands, shows),
            }
            small(ui, &format!("{}.", words::CAUTION), shown.theme.near_text);
        });
}

fn head_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    ui.horizontal(|ui| {
        ui.set_min_height(HEAD);
        let heading = RichText::new("From the drawer, for")
            .font(theme::strong_font(theme::SMALL))
            .color(shown.theme.middle);
        ui.add(egui::Label::new(heading).selectable(false));
        ui.spacing_mut().item_spacing.x = 4.0;
        for (ask, text, hover) in [
            (DrawerAsk::Point, "the point", "Loads that lead to the point"),
            (
                DrawerAsk::Load,
                "the load",
                "The same ohms as the selected load, as far as the supply goes on them",
            ),
            (
                DrawerAsk::Envelope,
                "the envelope",
                "A light load, mid range, dropout and the hottest corner, with as little rewiring as can be",
            ),
        ] {
            let chosen = shown.view.drawer_ask == ask;
            let (ink, edge) = if chosen {
                (shown.theme.ink, shown.theme.dropout)
            } else {
                (shown.theme.middle, shown.theme.line)
            };
            let label = RichText::new(text).font(theme::font(theme::SMALL)).color(ink);
            let button = Button::new(label)
                .fill(shown.theme.card)
                .stroke(Stroke::new(1.5, edge));
            let response = ui.add(button).on_hover_text(hover);
            keep_seen(ui, &response);
            response.widget_info(|| WidgetInfo::selected(egui::Role::RadioButton, true, chosen, text));
            if response.clicked() {
                commands.push(Command::AskDrawer(ask));
            }
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let text = RichText::new("Back").font(theme::font(theme::SMALL));
            let back = ui.add(Button::new(text));
            name_it(ui.ctx(), back.id, "Back to the loads", None);
            keep_seen(ui, &back);
            let back = back.on_hover_text("Back to the loads");
            if back.clicked() {
                commands.push(Command::Look(Scene::Loads));
            }
        });
    });
}

fn shows_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands, shows: &[Shows]) {
    if shows.is_empty() {
        ui.weak("This supply has no envelope to be shown");
    }
    for one in shows {
        let purpose = words::purpose(one.purpose);
        let at = format!(
            "{} at {}",
            number::volts(one.at[1]),
            number::amps(one.at[0])
        );
        if let Some(network) = &one.network {
            let said = format!("{purpose}, {at}: {}", words::changes(one.changes));
            small(ui, &said, shown.theme.ink);
            one_ui(ui, shown, commands, (purpose, network));
        } else {
            let said = format!("{purpose}, {at}: nothing in the drawer bears it");
            small(ui, &said, shown.theme.near_text);
        }
    }
}

/// A network: what it comes to, the button that makes a load of it, its circuit.
fn one_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    (name, network): (&str, &Network),
) {
    ui.horizontal(|ui| {
        let text = RichText::new("Use").font(theme::font(theme::SMALL));
        let button = ui.add(Button::new(text));
        name_it(
            ui.ctx(),
            button.id,
            &format!("Use {name}"),
            Some(&words::in_short(network)),
        );
        keep_seen(ui, &button);
        if button
            .on_hover_text("Makes a load of it, in the table")
            .clicked()
        {
            use_it(shown, commands, network);
        }
        ui.label(words::in_short(network));
        let bears = words::bears(network).map_or_else(String::new, |bears| format!("; {bears}"));
        let text = format!("{}{bears}", words::between(network));
        small(ui, &text, shown.theme.middle);
    });
    let circuit = network_ui(ui, network);
    circuit.on_hover_ui(|ui| {
        for element in &network.elements {
            ui.label(words::element(element));
        }
    });
}

/// Makes a load of a network: in place of the selected one, if one of its ohms was asked for.
fn use_it(shown: Shown<'_>, commands: &mut Commands, network: &Network) {
    let dummy = load_of(network);
    let change = Change {
        label: format!("Dummy {} from the drawer", dummy.resistance),
        control: None,
    };
    let edit = match (shown.view.drawer_ask, shown.view.dummy) {
        (DrawerAsk::Load, Some(place)) => Edit::Dummy(place, dummy),
        _ => Edit::AddDummy(dummy),
    };
    commands.push(Command::Edit(Box::new(edit), change));
    commands.push(Command::Look(Scene::Loads));
}

fn load_of(network: &Network) -> Dummy {
    let [low, high] = network.between_ohms;
    let spread = (high / network.ohms - 1.0).max(1.0 - low / network.ohms);
    // To a tenth of a per cent, as one would write it.
    let tolerance = (spread * 1000.0).round() / 1000.0;
    Dummy {
        name: words::wiring(&network.made_of),
        resistance: Ohms(network.made_of.rounded_ohms()),
        power: None,
        working_volts: None,
        tolerance: Fraction(tolerance),
        derating: None,
        kind: None,
        mounting: Mounting::default(),
        made_of: Some(network.made_of.clone()),
    }
}

fn small(ui: &mut Ui, text: &str, ink: egui::Color32) {
    let text = RichText::new(theme::tied(text))
        .font(theme::font(theme::SMALL))
        .color(ink);
    ui.add(egui::Label::new(text));
}
