//! The values of the selected load that are not in its row, in a strip of their own: nothing moves when another is selected.

use egui::{Align, Label, Layout, RichText, Ui};

use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{Empty, Face, Named, Typed, fault, typed_field};
use crate::app::widgets::text_field::{TextLook, text_field};
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::parts::Dummy;
use crate::parts::quantity::Quantity;

/// Height of the strip (points).
pub(super) const HEIGHT: f32 = 46.0;
/// Between two fields (points).
const GAP: f32 = 10.0;

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
            width: ((ui.available_width() - 4.0 * GAP) / 5.0).max(40.0),
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
    /// Of a field (points).
    width: f32,
    shown: Shown<'a>,
    change: Option<Change>,
}

impl Strip<'_> {
    fn fields_ui(&mut self, ui: &mut Ui, dummy: &mut Dummy) {
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
        self.quantity(
            ui,
            (
                "Derating",
                "Share of the rated power allowed where it is mounted: 100 % in free air or on its heat sink, \
                 50 % boxed in or without the heat sink its rating asks for",
            ),
            &mut dummy.derating,
        );
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

    fn quantity<Q: Quantity>(&mut self, ui: &mut Ui, (name, hover): (&str, &str), value: &mut Q) {
        if let Typed::Value(new) = self.typed(ui, (name, hover), Some(*value), Empty::Never) {
            self.note(&format!("{} {new}", name.to_lowercase()));
            *value = new;
        }
    }

    fn optional<Q: Quantity>(
        &mut self,
        ui: &mut Ui,
        (name, hover): (&str, &str),
        value: &mut Option<Q>,
    ) {
        let empty = Empty::Means("not known");
        match self.typed(ui, (name, hover), *value, empty) {
            Typed::Unchanged => {}
            Typed::Value(new) | Typed::WithSpread(new, _) => {
                self.note(&format!("{} {new}", name.to_lowercase()));
                *value = Some(new);
            }
            Typed::Cleared => {
                self.note(&format!("{} not known", name.to_lowercase()));
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
