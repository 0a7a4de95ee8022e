//! Rows of a card: name, slider, typed value; a rating with its system and source; a choice. The rows note which of
//! them was changed, in words for the undo button.

use egui::{Align, ComboBox, Id, Label, Layout, RichText, Ui, UiBuilder};

use crate::app::theme::{self, Theme};
use crate::app::widgets::choice::choice_box;
use crate::app::widgets::hanging_list::HangingList;
use crate::app::widgets::quantity_field::{
    Count, Empty, Face, Named, Span, Typed, bare_words, fault_beside, field_width, keep_in_view,
    keep_seen, name_it, slider, typed_field, wrong_line,
};
use crate::app::widgets::spread_field::{said, spread_field};
use crate::app::widgets::term::meaning_on_hover;
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::app::work::view::Trying;
use crate::explain::new_supply::why_guessed;
use crate::explain::{ended, glossary};
use crate::parts::quantity::Quantity;
use crate::parts::spread::{Measured, Spread};
use crate::parts::{Confidence, Figure, Rating, RatingSystem, Source};

/// Height of a row (points).
const ROW: f32 = 24.0;
/// Width of a row's name (points).
const NAME: f32 = 94.0;
/// Height of the mark of a guess (points).
const MARK: f32 = 14.0;
/// Width of the typed value (points).
const VALUE: f32 = 72.0;

/// What a row is about.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Field<'n> {
    /// Its name, unique within the card; also its accessible name.
    pub(crate) name: &'n str,
    /// What it is, where to read it on the real thing, what it moves.
    pub(crate) hover: &'n str,
    /// The slider's range.
    pub(crate) span: Span,
}

/// The rows of one card.
pub(crate) struct Fields<'u> {
    ui: &'u mut Ui,
    card: &'static str,
    key: Id,
    change: Option<Change>,
    trying: Option<Trying>,
    asks: Option<Command>,
    marks: Vec<Mark>,
    faults: Vec<Fault>,
    spreads: Vec<SpreadRow>,
    also: Option<Edit>,
}

/// A row whose value cannot be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Fault {
    /// The row's name.
    pub(crate) row: String,
    /// The folds around it: they open.
    pub(crate) folds: Vec<String>,
    /// What is wrong, and what would do.
    pub(crate) words: String,
}

/// A row whose value has a spread.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SpreadRow {
    /// The row's name.
    pub(crate) row: String,
    /// The field, as the file names it.
    pub(crate) field: String,
    /// What the spread is of.
    pub(crate) value: Measured,
    /// What is stated.
    pub(crate) stated: Option<Spread>,
    /// What it is taken for where nothing is stated, and why; empty where it is taken as exact.
    pub(crate) taken: [String; 2],
}

/// A row whose value was guessed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Mark {
    /// The row's name.
    pub(crate) row: String,
    /// The field, as the file names it.
    pub(crate) field: String,
}

impl<'u> Fields<'u> {
    /// Rows for the card of this name. `key` is the same in every frame and another for every document.
    pub(crate) fn new(ui: &'u mut Ui, card: &'static str, key: Id) -> Self {
        Self {
            ui,
            card,
            key,
            change: None,
            trying: None,
            asks: None,
            marks: Vec::new(),
            faults: Vec::new(),
            spreads: Vec::new(),
            also: None,
        }
    }

    /// The same rows, some of them at fault.
    pub(crate) fn at_fault(self, faults: Vec<Fault>) -> Self {
        Self { faults, ..self }
    }

    /// The same rows, some of them marked as guessed.
    pub(crate) fn marked(self, marks: Vec<Mark>) -> Self {
        Self { marks, ..self }
    }

    /// The same rows, with the spreads of some.
    pub(crate) fn spread(self, spreads: Vec<SpreadRow>) -> Self {
        Self { spreads, ..self }
    }

    /// What changes with the part, if anything does.
    pub(crate) fn also(&mut self) -> Option<Edit> {
        self.also.take()
    }

    /// What is to be said of a row without a typed value, below it: as [`Self::say`], and its spread.
    pub(crate) fn mark(&mut self, row: &str) {
        self.say(row);
        if let Some(spread) = self.spread_of(row) {
            self.spread_line(&spread);
        }
    }

    fn spread_of(&self, row: &str) -> Option<SpreadRow> {
        self.spreads.iter().find(|one| one.row == row).cloned()
    }

    /// The spread of a row in a small field below it.
    fn spread_line(&mut self, spread: &SpreadRow) {
        let theme = Theme::of(self.ui.ctx());
        let [usual, why] = &spread.taken;
        let hover = ended(&format!("{why}. {STATE}"));
        let name = format!("{}, spread", spread.row);
        let named = Named {
            name: &name,
            id: self.key.with((&spread.field, "spread")),
        };
        let right = Layout::right_to_left(Align::Center);
        let room = egui::vec2(self.ui.available_width(), MARK);
        let drawn = self.ui.allocate_ui_with_layout(room, right, |ui| {
            ui.spacing_mut().interact_size.y = MARK;
            ui.spacing_mut().item_spacing.x = 2.0;
            let answer = spread_field(ui, named, (spread.stated, spread.value), usual);
            let word = RichText::new("spread")
                .font(theme::font(theme::SMALL))
                .color(theme.dim);
            ui.label(word).on_hover_text(hover);
            answer
        });
        let (typed, wrong) = drawn.inner;
        if let Some(wrong) = wrong {
            wrong_line(self.ui, &wrong, theme.over_text);
        }
        let new = match typed {
            Typed::Value(new) => Some(new),
            Typed::Cleared => None,
            Typed::Unchanged | Typed::WithSpread(..) => return,
        };
        if new == spread.stated {
            return;
        }
        let words = new.map_or_else(|| "spread as usual".to_owned(), said);
        let change = Change {
            label: format!("{}, {} {words}", self.card, lower(&spread.row)),
            control: None,
        };
        let edit = Edit::Spread(spread.field.clone(), new);
        self.asks = Some(Command::Edit(Box::new(edit), change));
    }

    /// What is to be said of a row, below its value: what is wrong with it, and that it was guessed; a click on that says that the
    /// guess is right.
    fn say(&mut self, row: &str) {
        let theme = Theme::of(self.ui.ctx());
        for fault in self.faults.iter().filter(|fault| fault.row == row) {
            wrong_line(self.ui, &fault.words, theme.over_text);
        }
        let Some(mark) = self.marks.iter().find(|mark| mark.row == row) else {
            return;
        };
        let words = RichText::new("guessed")
            .font(theme::font(theme::SMALL))
            .color(theme.near_text);
        let right = Layout::right_to_left(Align::Min);
        let room = egui::vec2(self.ui.available_width(), MARK);
        let button = self.ui.allocate_ui_with_layout(room, right, |ui| {
            ui.spacing_mut().interact_size.y = MARK;
            ui.spacing_mut().button_padding = egui::vec2(4.0, 0.0);
            ui.add(egui::Button::new(words).frame(false))
        });
        let button = button.inner;
        let name = format!("{row}, guessed");
        name_it(self.ui.ctx(), button.id, &name, None);
        keep_seen(self.ui, &button);
        let button = button.on_hover_text(why_guessed(&mark.field));
        if button.clicked() {
            let change = Change {
                label: format!("{}, {} as guessed", self.card, lower(row)),
                control: None,
            };
            let edit = Edit::NoGuess(mark.field.clone());
            self.asks = Some(Command::Edit(Box::new(edit), change));
        }
    }

    /// A control in these rows asks for something that is no change of the part.
    pub(crate) fn ask(&mut self, command: Command) {
        self.asks = Some(command);
    }

    /// What was asked for, if anything was.
    pub(crate) fn asked(&mut self) -> Option<Command> {
        self.asks.take()
    }

    /// A list of parts is open in this card.
    pub(crate) fn is_trying(&mut self, trying: Trying) {
        self.trying = Some(trying);
    }

    /// The list of parts that is open, if one is.
    pub(crate) fn trying(&mut self) -> Option<Trying> {
        self.trying.take()
    }

    /// The last change made in these rows, if any.
    pub(crate) fn change(self) -> Option<Change> {
        self.change
    }

    /// For what is not a row.
    pub(crate) fn ui(&mut self) -> &mut Ui {
        self.ui
    }

    /// Notes a change made by a control that is not one of the rows here; it never merges with another.
    pub(crate) fn note(&mut self, what: &str) {
        self.change = Some(Change {
            label: format!("{}, {what}", self.card),
            control: None,
        });
    }

    /// A quantity that is always there.
    pub(crate) fn quantity<Q: Quantity>(&mut self, field: Field<'_>, value: &mut Q) {
        let mut some = Some(*value);
        self.row(field, &mut some, Empty::Never);
        if let Some(new) = some {
            *value = new;
        }
    }

    /// A quantity that may be missing; `missing` says what an empty field means.
    pub(crate) fn optional<Q: Quantity>(
        &mut self,
        field: Field<'_>,
        value: &mut Option<Q>,
        missing: &'static str,
    ) {
        self.row(field, value, Empty::Means(missing));
    }

    /// A whole number of things, at least 1.
    pub(crate) fn count(&mut self, field: Field<'_>, value: &mut u8) {
        let mut count = Some(Count(*value));
        self.row(field, &mut count, Empty::Never);
        if let Some(Count(new)) = count {
            *value = new;
        }
    }

    /// A rating: its number, the system it is meant in, where it is from. An empty field means: not known.
    pub(crate) fn rating<Q: Quantity>(
        &mut self,
        field: Field<'_>,
        rating: &mut Option<Rating<Q>>,
        system: RatingSystem,
    ) {
        let mut value = rating.as_ref().map(|r| r.value);
        self.row(field, &mut value, Empty::Means("not known"));
        match (value, rating.as_mut()) {
            (Some(new), Some(old)) if new != old.value => {
                // A number of one's own no longer has the maker's document behind it.
                *rating = Some(Rating::own(new, old.system));
            }
            (Some(new), None) => *rating = Some(Rating::own(new, system)),
            (None, _) => *rating = None,
            _ => {}
        }
        if let Some(rating) = rating {
            self.provenance(field.name, rating);
        }
    }

    /// A published figure that is no rating: its number and where it is from. An empty field means: not known.
    pub(crate) fn figure<Q: Quantity>(&mut self, field: Field<'_>, figure: &mut Option<Figure<Q>>) {
        let before = figure.as_ref().map(|f| f.value);
        let mut value = before;
        self.row(field, &mut value, Empty::Means("not known"));
        if value != before {
            *figure = value.map(Figure::own);
        }
        if let Some(figure) = figure {
            self.remark(&source_text(&figure.source));
        }
    }

    /// One of several.
    pub(crate) fn choice<T: PartialEq + Copy>(
        &mut self,
        name: &str,
        hover: &str,
        value: &mut T,
        options: &[(T, &str)],
    ) {
        let mut picked = None;
        let key = self.key.with(name);
        self.ui.scope_builder(row_builder(self.ui, key), |ui| {
            name_ui(ui, name, hover);
            picked = choice_box(ui, (self.card, name), (name, hover), (*value, options));
        });
        self.mark(name);
        if let Some((option, text)) = picked {
            *value = option;
            self.note(&format!("{} {text}", lower(name)));
        }
    }

    /// What is said of a type in one quiet line: the parts of it that are there, and whether its numbers are still those of
    /// the `known` type of its name. Nothing where there is nothing to say.
    pub(crate) fn about_type<T: PartialEq>(&mut self, said: &[&str], own: &T, known: Option<&T>) {
        let changed = known.filter(|known| *known != own);
        let parts: Vec<&str> = (said.iter().copied())
            .filter(|part| !part.trim().is_empty())
            .chain(changed.map(|_| "its numbers were changed here"))
            .collect();
        if !parts.is_empty() {
            self.remark(&parts.join("; "));
        }
    }

    /// A line of quiet text.
    pub(crate) fn remark(&mut self, text: &str) {
        let theme = Theme::of(self.ui.ctx());
        self.ui.add(
            Label::new(
                RichText::new(text)
                    .font(theme::font(theme::SMALL))
                    .color(theme.dim),
            )
            .wrap(),
        );
    }

    /// A heading between rows.
    pub(crate) fn heading(&mut self, text: &str) {
        let theme = Theme::of(self.ui.ctx());
        self.ui.add_space(4.0);
        let heading = self.ui.label(
            RichText::new(text)
                .font(theme::strong_font(theme::SMALL))
                .color(theme.middle),
        );
        if let Some(term) = glossary::within(text) {
            meaning_on_hover(heading, term);
        }
    }

    /// A heading under which rows fold away.
    pub(crate) fn folded(&mut self, title: &str, add: impl FnOnce(&mut Fields<'_>)) {
        let (card, key) = (self.card, self.key);
        let (marks, faults) = (self.marks.clone(), self.faults.clone());
        let spreads = self.spreads.clone();
        let is_around = |fault: &Fault| fault.folds.iter().any(|fold| fold == title);
        // A fold opens over what is wrong in it.
        let opens = faults.iter().any(is_around).then_some(true);
        let folded = egui::CollapsingHeader::new(title)
            .id_salt((card, title))
            .open(opens)
            .show_unindented(self.ui, |ui| {
                let mut inner = Fields::new(ui, card, key)
                    .marked(marks)
                    .at_fault(faults)
                    .spread(spreads);
                add(&mut inner);
                (inner.change.zip(Some(inner.also)), inner.trying, inner.asks)
            });
        keep_seen(self.ui, &folded.header_response);
        if let Some((change, trying, asks)) = folded.body_returned {
            self.asks = asks.or(self.asks.take());
            if let Some((change, also)) = change {
                self.change = Some(change);
                self.also = also;
            }
            self.trying = trying.or(self.trying.take());
        }
    }

    fn row<Q: Quantity>(&mut self, field: Field<'_>, value: &mut Option<Q>, empty: Empty) {
        let mut typed = Typed::Unchanged;
        let mut moved = None;
        let spread = self.spread_of(field.name);
        let face = match spread.as_ref().map(|one| one.value) {
            Some(Measured::In(size)) => Face::WithSpread(size.unit),
            _ => Face::Field,
        };
        let key = self.key.with(field.name);
        let named = Named {
            name: field.name,
            id: key.with("typed"),
        };
        self.ui.scope_builder(row_builder(self.ui, key), |ui| {
            let hover = match bare_words(*value) {
                Some(words) => format!("{} {words}", ended(field.hover)),
                None => field.hover.to_owned(),
            };
            name_ui(ui, field.name, &with_spread(hover, spread.as_ref()));
            // What is being typed is to be seen whole.
            let kept: Option<String> = ui.data(|data| data.get_temp(named.id));
            let shown = kept.unwrap_or_else(|| value.map_or_else(String::new, |v| v.to_string()));
            let room = ui.available_width() - theme::GAP;
            let rail = (room - field_width(ui, &shown).max(VALUE)).max(24.0);
            ui.allocate_ui_with_layout(
                egui::vec2(rail, ROW),
                Layout::left_to_right(Align::Center),
                |ui| moved = slider(ui, field.name, *value, field.span),
            );
            typed = typed_field(ui, named, *value, empty, face);
        });
        let theme = Theme::of(self.ui.ctx());
        if let Some(wrong) = fault_beside(self.ui, named.id, empty, (*value, face)) {
            wrong_line(self.ui, &wrong, theme.over_text);
        }
        self.say(field.name);
        if let Some(stated) = spread.as_ref().filter(|one| one.stated.is_some()) {
            self.spread_line(stated);
        }
        let control = moved
            .is_some()
            .then(|| format!("{} {}", self.card, field.name));
        if let (Typed::WithSpread(new, behind), Some(spread)) = (&typed, &spread) {
            if Some(*new) != *value || Some(*behind) != spread.stated {
                *value = Some(*new);
                self.change = Some(Change {
                    label: format!(
                        "{}, {} {new} {}",
                        self.card,
                        lower(field.name),
                        said(*behind)
                    ),
                    control: None,
                });
                self.also = Some(Edit::Spread(spread.field.clone(), Some(*behind)));
            }
            return;
        }
        let new = match (typed, moved) {
            (Typed::Value(new) | Typed::WithSpread(new, _), _) | (Typed::Unchanged, Some(new)) => {
                Some(new)
            }
            (Typed::Cleared, _) => None,
            (Typed::Unchanged, None) => return,
        };
        if new != *value {
            *value = new;
            let text = new.map_or_else(|| "none".to_owned(), |v| v.to_string());
            self.change = Some(Change {
                label: format!("{}, {} {text}", self.card, lower(field.name)),
                control,
            });
        }
    }

    fn provenance<Q>(&mut self, name: &str, rating: &mut Rating<Q>) {
        let theme = Theme::of(self.ui.ctx());
        let mut picked = None;
        let key = self.key.with((name, "source"));
        self.ui.scope_builder(row_builder(self.ui, key), |ui| {
            ui.add_space(theme::GAP);
            let small = |text: &str| {
                RichText::new(text)
                    .font(theme::font(theme::SMALL))
                    .color(theme.dim)
            };
            let label = format!("{name}, rating system");
            let mut list = HangingList::of(ui, &label);
            let combo = ComboBox::from_id_salt((self.card, name, "system"))
                .width(96.0)
                .selected_text(small(system_text(rating.system)))
                .show_ui(ui, |ui| {
                    theme::choices(ui);
                    for system in SYSTEMS {
                        let text = system_text(system);
                        let entry = ui.selectable_label(system == rating.system, text);
                        if system == rating.system {
                            list.entry_in_use(&entry);
                        } else {
                            list.entry(&entry);
                        }
                        if entry.clicked() {
                            picked = Some(system);
                            ui.close();
                        }
                    }
                });
            list.end(&combo.response);
            name_it(
                ui.ctx(),
                combo.response.id,
                &label,
                Some(system_text(rating.system)),
            );
            keep_in_view(&combo.response);
            combo.response.on_hover_text(SYSTEM_HOVER);
            let source = source_text(&rating.source);
            ui.add(Label::new(small(&source)).truncate())
                .on_hover_text(&source);
        });
        if let Some(system) = picked
            && system != rating.system
        {
            rating.system = system;
            self.note(&format!("{} {}", lower(name), system_text(system)));
        }
    }
}

/// How a spread is stated in its small field.
const STATE: &str = "Type how far it may be off, such as ±10 %; empty it is as usual";

/// What a row says of itself, and how far its value is taken to be off.
fn with_spread(hover: String, spread: Option<&SpreadRow>) -> String {
    let Some(SpreadRow {
        value: Measured::In(size),
        taken: [_, why],
        ..
    }) = spread
    else {
        return hover;
    };
    let why = if why.is_empty() {
        String::new()
    } else {
        ended(why)
    };
    format!(
        "{}\n{why} To say it better, type it behind the value: {size} ± 2 %.",
        ended(&hover)
    )
}

/// The rating systems, to choose from.
pub(crate) const SYSTEMS: [RatingSystem; 3] = [
    RatingSystem::DesignCentre,
    RatingSystem::DesignMaximum,
    RatingSystem::AbsoluteMaximum,
];

/// What they mean.
pub(crate) const SYSTEM_HOVER: &str = "How the maker means the rating (IEC 60134). Design-centre: judged at nominal mains, \
     normal swing is allowed for. Design-maximum: judged at the worst mains. Absolute maximum: judged at the worst \
     corner of mains and tolerances. Older receiving-tube sheets are design-centre; capacitors and silicon are absolute.";

/// The name of a rating system.
pub(crate) fn system_text(system: RatingSystem) -> &'static str {
    match system {
        RatingSystem::DesignCentre => "design-centre",
        RatingSystem::DesignMaximum => "design-maximum",
        RatingSystem::AbsoluteMaximum => "absolute maximum",
    }
}

/// Where a number is from and how sure it is, in words.
pub(crate) fn source_text(source: &Source) -> String {
    let sure = match source.confidence {
        Confidence::Seen => "read on it",
        Confidence::Quoted => "quoted from it",
        Confidence::CrossChecked => "from memory, found again by calculation",
        Confidence::MemoryHigh => "from memory, likely right",
        Confidence::MemoryMedium => "from memory, check it",
        Confidence::MemoryLow => "from memory, unsure",
        Confidence::Calculated => "worked out from the same sheet",
        Confidence::Own => "entered by you",
    };
    if source.document.is_empty() {
        sure.to_owned()
    } else {
        format!("{}: {sure}", source.document)
    }
}

/// A row with an id of its own, no higher than it must be.
fn row_builder(ui: &Ui, id: Id) -> UiBuilder {
    let room = egui::vec2(ui.available_width(), ROW);
    UiBuilder::new()
        .scope_id(id)
        .max_rect(egui::Rect::from_min_size(ui.cursor().min, room))
        .layout(Layout::left_to_right(Align::Center))
}

fn name_ui(ui: &mut Ui, name: &str, hover: &str) {
    let theme = Theme::of(ui.ctx());
    ui.allocate_ui_with_layout(
        egui::vec2(NAME, ROW),
        Layout::left_to_right(Align::Center),
        |ui| {
            ui.set_min_width(NAME);
            let width = |font| {
                let galley = ui
                    .painter()
                    .layout_no_wrap(name.to_owned(), font, theme.middle);
                galley.size().x
            };
            // A long name is set smaller before it is cut.
            let size = if width(theme::font(theme::BODY)) > NAME {
                theme::SMALL
            } else {
                theme::BODY
            };
            let text = RichText::new(name)
                .font(theme::font(size))
                .color(theme.middle);
            ui.add(Label::new(text).truncate()).on_hover_text(hover);
        },
    );
}

/// A name inside a sentence: `C1 unit` keeps its capital, `Bleeder` does not.
fn lower(name: &str) -> String {
    let mut letters = name.chars();
    match (letters.next(), letters.next()) {
        (Some(first), Some(second)) if second.is_lowercase() => first
            .to_lowercase()
            .chain(std::iter::once(second))
            .chain(letters)
            .collect(),
        _ => name.to_owned(),
    }
}
