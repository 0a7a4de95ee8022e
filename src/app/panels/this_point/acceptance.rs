//! Accepting a rating as built: the question where one rating takes most of the reach, and bound and reason where it is explained.

use egui::{Frame, Id, Label, Margin, RichText, Ui};

use crate::app::answers::Standing;
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{
    Empty, Face, Named, Typed, fault, keep_in_view, typed_field, wrong_line,
};
use crate::app::widgets::text_field::{TextLook, text_field};
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::explain::{accepted, limits};
use crate::parts::quantity::Quantity;
use crate::parts::{Accepted, Amount, Supply};
use crate::physics::limit::{Limit, acceptance};

/// Asks about the rating that alone takes most of what the supply does; gives the wish to look at it.
pub(super) fn question_ui(ui: &mut Ui, shown: Shown<'_>, supply: &Supply) -> Option<Command> {
    let picture = shown.answers.picture.as_ref()?;
    let (limit, question) = accepted::question(&picture.taken, supply)?;
    let mut asked = None;
    Frame::new()
        .fill(shown.theme.card)
        .corner_radius(theme::RADIUS - 2)
        .inner_margin(Margin::symmetric(10, 6))
        .show(ui, |ui| {
            ui.set_min_width(ui.available_width());
            let text = RichText::new(theme::tied(&question))
                .font(theme::font(theme::SMALL))
                .color(shown.theme.ink);
            ui.add(Label::new(text).wrap());
            let look = ui
                .button("Look at this rating")
                .on_hover_text("Its numbers, what would move it, and how to accept it as built");
            keep_in_view(&look);
            if look.clicked() {
                asked = Some(Command::Explain(Some(limit)));
            }
        });
    ui.add_space(4.0);
    asked
}

/// Under the formula of a rating: accept it as built, or what was accepted.
pub(super) fn acceptance_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    supply: &Supply,
    commands: &mut Commands,
) {
    let Some((limit, _)) = shown.answers.explained else {
        return;
    };
    // What is drawn may be older than what is typed.
    let now = &shown.document.work.supply;
    if let Some(one) = acceptance(limit, now) {
        accepted_ui(ui, shown, (limit, one), commands);
        return;
    }
    // A bound that was worked out for the supply before would be wrong in the file of this one.
    let is_of_now = limit.is_rating() && shown.answers.standing == Standing::Now;
    let Some(bound) = shown.answers.as_built.filter(|_| is_of_now) else {
        return;
    };
    let name = limits::name(limit, supply);
    let bound = limit.measure().amount(bound);
    let accept = ui
        .button(format!("Accept as built, up to {bound}"))
        .on_hover_ui(|ui| {
            ui.set_max_width(320.0);
            ui.label(accepted::WHAT_IT_MEANS);
            ui.separator();
            ui.label(accepted::caution(limit));
        });
    keep_in_view(&accept);
    if accept.clicked() {
        let mut all = now.accepted.clone();
        // One that says nothing any more gives way.
        all.retain(|one| one.rating != limit.key());
        all.push(Accepted {
            rating: limit.key(),
            up_to: bound,
            reason: accepted::USUAL_REASON.to_owned(),
        });
        push(commands, all, format!("{name}: accepted as built"));
    }
    ui.add_space(4.0);
}

/// Bound, reason and caution of what was accepted, and the way back.
fn accepted_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    (limit, one): (Limit, &Accepted),
    commands: &mut Commands,
) {
    let now = &shown.document.work.supply;
    let name = limits::name(limit, now);
    let mut with = |new: Option<Accepted>, label: String| {
        let mut all = now.accepted.clone();
        let place = all.iter().position(|other| other == one);
        match (new, place) {
            (Some(new), Some(place)) => {
                if let Some(old) = all.get_mut(place) {
                    *old = new;
                }
            }
            (None, Some(place)) => drop(all.remove(place)),
            (_, None) => return,
        }
        push(commands, all, label);
    };
    ui.horizontal(|ui| {
        ui.label(RichText::new("Accepted up to").font(theme::font(theme::SMALL)));
        if let Some(up_to) = amount_ui(ui, shown, one.up_to) {
            let label = format!("{name}: accepted up to {up_to}");
            with(
                Some(Accepted {
                    up_to,
                    ..one.clone()
                }),
                label,
            );
        }
    });
    let look = TextLook {
        font: theme::font(theme::BODY),
        width: ui.available_width() - 14.0,
        bare: false,
        rows: 1,
        hint: "Why this is accepted",
    };
    let named = Named {
        name: "Why this is accepted",
        id: Id::unique(("why accepted", limit)),
    };
    if let Some(reason) = text_field(ui, named, &one.reason, look) {
        let label = format!("{name}: why it is accepted");
        with(
            Some(Accepted {
                reason,
                ..one.clone()
            }),
            label,
        );
    }
    small(ui, shown, accepted::caution(limit));
    let back = ui
        .button("Judge it by the book again")
        .on_hover_text("The published rating counts again; undo brings the acceptance back.");
    keep_in_view(&back);
    if back.clicked() {
        with(None, format!("{name}: judged by the book again"));
    }
    ui.add_space(4.0);
}

/// The bound as a typed value; gives another one.
fn amount_ui(ui: &mut Ui, shown: Shown<'_>, amount: Amount) -> Option<Amount> {
    match amount {
        Amount::Volts(v) => typed(ui, shown, v).map(Amount::Volts),
        Amount::Amps(a) => typed(ui, shown, a).map(Amount::Amps),
        Amount::Watts(w) => typed(ui, shown, w).map(Amount::Watts),
        Amount::Ohms(r) => typed(ui, shown, r).map(Amount::Ohms),
        Amount::Farads(c) => typed(ui, shown, c).map(Amount::Farads),
    }
}

fn typed<Q: Quantity>(ui: &mut Ui, shown: Shown<'_>, value: Q) -> Option<Q> {
    let id = Id::unique("accepted up to");
    let named = Named {
        name: "Accepted up to",
        id,
    };
    let size = theme::BODY;
    let new = typed_field(ui, named, Some(value), Empty::Never, Face::Figure(size));
    if let Some(wrong) = fault::<Q>(ui, id, Empty::Never) {
        wrong_line(ui, &wrong, shown.theme.over_text);
    }
    match new {
        Typed::Value(new) => Some(new),
        _ => None,
    }
}

fn small(ui: &mut Ui, shown: Shown<'_>, text: &str) {
    let text = RichText::new(theme::tied(text))
        .font(theme::font(theme::SMALL))
        .color(shown.theme.middle);
    ui.add(Label::new(text).wrap());
}

fn push(commands: &mut Commands, all: Vec<Accepted>, label: String) {
    let change = Change {
        label,
        control: None,
    };
    commands.push(Command::Edit(Box::new(Edit::Accepted(all)), change));
}
