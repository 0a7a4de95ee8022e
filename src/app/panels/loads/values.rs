//! The values of the selected load that are not in its row, in a strip of their own: nothing moves when another is selected.

use egui::{Align, Label, Layout, RichText, Ui};

use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::choice::choice_box;
use crate::app::widgets::network::network_ui;
use crate::app::widgets::quantity_field::{Empty, Face, Named, Typed, fault, typed_field};
use crate::app::widgets::text_field::{TextLook, text_field};
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::bench::networks::{Network, Wanted};
use crate::explain::{networks, resistor};
use crate::parts::quantity::Quantity;
use crate::parts::{Dummy, Fraction, MadeOf, Mounting, ResistorKind};

/// Height of the strip (points).
pub(super) const HEIGHT: f32 = 46.0;
/// Between two fields (points).
const GAP: f32 = 10.0;
/// What a field of a few figures takes of the strip, what one of words takes, and all of them together.
const FIGURES: f32 = 1.0;
const WORDS: f32 = 1.45;
const SHARES: f32 = 4.0 * FIGURES + 3.0 * WORDS;

/// Draws the strip.
pub(super) fn values_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let size = egui::vec2(ui.available_width(), HEIGHT);
    let layout = Layout::left_to_right(Align::Min);
    ui.allocate_ui_with_layout(size, layout, |ui| {
        ui.set_min_size(size);
        let dummies = &shown.document.work.dummies;
        let selected = (shown.view.dummy).and_then(|place| Some((place, dummies.get(place)?)));
        let Some((place, dummy)) = selected else {
            ui.vertical(|ui| {
                ui.add_space(14.0);
                ui.weak("Select a load for its power, working volts, tolerance and mounting");
            });
            return;
        };
        let mut strip = Strip {
            key: egui::Id::unique(("dummy", place, shown.document.serial)),
            unit: ((ui.available_width() - 6.0 * GAP) / SHARES).max(36.0),
            width: 0.0,
            shown,
            change: None,
        };
        ui.spacing_mut().item_spacing.x = GAP;
        let mut new = dummy.clone();
        strip.fields_ui(ui, &mut new);
        if let Some(change) = strip.change {
            commands.push(Command::Edit(Box::new(Edit::Dummy(place, new)), change));
        }
    });
}

/// The fields side by side, each below its name.
struct Strip<'a> {
    key: egui::Id,
    /// What the shares of the fields are of (points).
    unit: f32,
    /// Of the next field (points).
    width: f32,
    shown: Shown<'a>,
    change: Option<Change>,
}

impl Strip<'_> {
    fn fields_ui(&mut self, ui: &mut Ui, dummy: &mut Dummy) {
        self.width = FIGURES * self.unit;
        match dummy.made_of.clone() {
            Some(made_of) => self.wired_ui(ui, &made_of),
            None => self.own_ui(ui, dummy),
        }
        self.width = WORDS * self.unit;
        let (key, width) = (self.key, self.width);
        let typed = self.field(
            ui,
            (
                "Name",
                "What you call it: its kind, or what is written on it",
            ),
            |ui| {
                let look = TextLook {
                    font: theme::font(theme::BODY),
                    width,
                    bare: false,
                    rows: 1,
                    hint: "if you like",
                };
                let named = Named {
                    name: "Name of the dummy",
                    id: key.with("name"),
                };
                text_field(ui, named, &dummy.name, look)
            },
        );
        if let Some(name) = typed {
            self.note(&format!("name {name}"));
            dummy.name = name;
        }
    }

    /// The ratings of a load that is one resistor.
    fn own_ui(&mut self, ui: &mut Ui, dummy: &mut Dummy) {
        self.optional(
            ui,
            ("Power", "Rated power, printed on it"),
            &mut dummy.power,
        );
        self.optional(
            ui,
            (
                "Working volts",
                "Highest volts across it, whatever the power. In its sheet; matters for high resistances",
            ),
            &mut dummy.working_volts,
        );
        self.quantity(
            ui,
            (
                "Tolerance",
                "Spread of the resistance, ± this. Printed on it",
            ),
            &mut dummy.tolerance,
        );
        self.width = WORDS * self.unit;
        self.kind_ui(ui, dummy);
        self.mounting_ui(ui, dummy);
        self.width = FIGURES * self.unit;
        self.optional_or(
            ui,
            "usual",
            (
                "Derating",
                "Share of the rated power that you allow. Empty, what is usual of its kind and mounting; of an unknown kind all of it",
            ),
            &mut dummy.derating,
        );
    }

    /// How a load of several resistors is wired; its circuit, with the watts at the end of its line, hangs from it.
    fn wired_ui(&self, ui: &mut Ui, made_of: &MadeOf) {
        let place = self.shown.view.dummy.unwrap_or_default();
        let picture = self.shown.answers.picture.as_ref();
        let line = picture.and_then(|picture| picture.load_lines.get(place));
        let end = line.and_then(|line| line.stretches.last().or(line.reach.last()));
        let wanted = Wanted {
            ohms: made_of.ohms(),
            volts: end.map(|end| end.to[1]),
        };
        let names = (
            "Wired of",
            "The resistors that it was put together from; other ohms in its row undo that",
        );
        let wide = Strip {
            key: self.key,
            unit: self.unit,
            width: (SHARES - WORDS) * self.unit + 5.0 * GAP,
            shown: self.shown,
            change: None,
        };
        wide.field(ui, names, |ui| {
            let network = Network::of(made_of.clone(), wanted);
            let all: Vec<String> = network.elements.iter().map(networks::element).collect();
            let text = format!("{}: {}", networks::wiring(made_of), all.join("; "));
            let label = Label::new(RichText::new(text).font(theme::font(theme::SMALL)));
            ui.add(label.truncate()).on_hover_ui(|ui| {
                network_ui(ui, &network);
            });
        });
    }

    /// How it is made. What it bears goes by that from then on, unless a share of one's own stands there.
    fn kind_ui(&mut self, ui: &mut Ui, dummy: &mut Dummy) {
        let mut options = vec![(None, "not known")];
        options.extend(ResistorKind::ALL.map(|kind| (Some(kind), resistor::kind(kind))));
        let names = (
            "Kind",
            "How it is made: what it bears for long, and how hot it gets, goes by that",
        );
        let salt = self.key.with("kind");
        let picked = self.field(ui, names, |ui| {
            choice_box(ui, salt, names, (dummy.kind, options.as_slice()))
        });
        if let Some((kind, text)) = picked {
            self.note(&text);
            // All of its power was what stands there for an unknown kind.
            let is_whole = |share: &Fraction| share.0 >= 1.0;
            dummy.derating = dummy.derating.filter(|share| !is_whole(share));
            dummy.kind = kind;
        }
    }

    fn mounting_ui(&mut self, ui: &mut Ui, dummy: &mut Dummy) {
        let options = Mounting::ALL.map(|mounting| (mounting, resistor::mounting_choice(mounting)));
        let names = (
            "Mounting",
            "Where it gets rid of its heat. Matters once its kind is known",
        );
        let salt = self.key.with("mounting");
        let picked = self.field(ui, names, |ui| {
            choice_box(ui, salt, names, (dummy.mounting, options.as_slice()))
        });
        if let Some((mounting, text)) = picked {
            self.note(&text);
            dummy.mounting = mounting;
        }
    }

    fn quantity<Q: Quantity>(&mut self, ui: &mut Ui, (name, hover): (&str, &str), value: &mut Q) {
        if let Typed::Value(new) = self.typed(ui, (name, hover), Some(*value), Empty::Never) {
            self.note(&format!("{} {new}", name.to_lowercase()));
            *value = new;
        }
    }

    fn optional<Q: Quantity>(&mut self, ui: &mut Ui, names: (&str, &str), value: &mut Option<Q>) {
        self.optional_or(ui, "not known", names, value);
    }

    /// A value that may be left out, and what that means.
    fn optional_or<Q: Quantity>(
        &mut self,
        ui: &mut Ui,
        left_out: &'static str,
        (name, hover): (&str, &str),
        value: &mut Option<Q>,
    ) {
        let empty = Empty::Means(left_out);
        match self.typed(ui, (name, hover), *value, empty) {
            Typed::Unchanged => {}
            Typed::Value(new) | Typed::WithSpread(new, _) => {
                self.note(&format!("{} {new}", name.to_lowercase()));
                *value = Some(new);
            }
            Typed::Cleared => {
                self.note(&format!("{} {left_out}", name.to_lowercase()));
                *value = None;
            }
        }
    }

    fn typed<Q: Quantity>(
        &self,
        ui: &mut Ui,
        (name, hover): (&str, &str),
        value: Option<Q>,
        empty: Empty,
    ) -> Typed<Q> {
        let id = self.key.with(name);
        let wrong = fault::<Q>(ui, id, empty);
        let over = self.shown.theme.over_text;
        self.field(ui, (name, hover), |ui| {
            let typed = typed_field(ui, Named { name, id }, value, empty, Face::Field);
            if let Some(wrong) = wrong {
                egui::Tooltip::always_open(
                    ui.ctx().clone(),
                    ui.layer_id(),
                    id.with("wrong"),
                    egui::PopupAnchor::ParentRect(ui.min_rect()),
                )
                .show(|ui| ui.label(RichText::new(wrong).color(over)));
            }
            typed
        })
    }

    /// A name with a field below it.
    fn field<T>(
        &self,
        ui: &mut Ui,
        (name, hover): (&str, &str),
        add: impl FnOnce(&mut Ui) -> T,
    ) -> T {
        let size = egui::vec2(self.width, HEIGHT);
        let middle = self.shown.theme.middle;
        ui.allocate_ui_with_layout(size, Layout::top_down(Align::LEFT), |ui| {
            ui.set_width(size.x);
            ui.spacing_mut().item_spacing.y = 1.0;
            let text = RichText::new(name).font(theme::font(theme::SMALL));
            ui.add(Label::new(text.color(middle)).truncate().selectable(false))
                .on_hover_text(hover);
            add(ui)
        })
        .inner
    }

    fn note(&mut self, what: &str) {
        self.change = Some(Change {
            label: format!("Dummy, {what}"),
            control: None,
        });
    }
}
