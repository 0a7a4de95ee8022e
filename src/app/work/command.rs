//! The one door through which the document and the view change.
//!
//! Panels push [`Command`]s; [`Ledger::apply`] carries them out in order. An edit brings a whole new part, so there are
//! about ten of them and not two hundred setters.

use std::path::PathBuf;

use crate::app::work::action::Action;
use crate::app::work::document::{Document, Origin};
use crate::app::work::history::{Change, History, Moment};
use crate::app::work::theme_choice::ThemeChoice;
use crate::app::work::view::{DrawerAsk, Kept, LETTERS, Layer, Named, Scene, Switch, Trying, View};
use crate::explain::change::variant::what_it_has;
use crate::parts::guessed::forget_what_changed;
use crate::parts::readings::Bench;
use crate::parts::spread::{Condition, Spread, StatedSpread};
use crate::parts::tube_draft::Purpose;
use crate::parts::{
    Accepted, AsFound, Drawer, Dummy, Filter, Mains, Output, PassStage, Primary, Rectifier,
    Regulator, Stage, Transformer, Work,
};
use crate::physics::limit::Limit;

/// Most variants that are kept.
const MOST: usize = LETTERS.len();

/// What one wants to do with a type of tube.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum TubeWish {
    /// Describe a new one.
    New(Purpose),
    /// Begin with a copy of this one.
    Copy(Purpose, String),
}

/// A new part in place of the old one.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Edit {
    /// All of it, as a ghost had it.
    Whole(Box<Work>),
    /// The supply's name.
    Name(String),
    /// The free notes.
    Notes(String),
    /// The mains.
    Mains(Mains),
    /// The transformer.
    Transformer(Transformer),
    /// The primary side.
    Primary(Box<Primary>),
    /// The rectifier.
    Rectifier(Rectifier),
    /// The filter.
    Filter(Filter),
    /// The pass stage.
    PassStage(PassStage),
    /// The regulator; `None` if it is no longer described.
    Regulator(Box<Option<Regulator>>),
    /// The output.
    Output(Output),
    /// The ratings accepted as built.
    Accepted(Vec<Accepted>),
    /// What was found of the parts.
    AsFound(Box<AsFound>),
    /// Meters, plan and readings.
    Bench(Box<Bench>),
    /// This field is right as it was guessed.
    NoGuess(String),
    /// How far the value of this field may be off; `None` as is usual of its kind.
    Spread(String, Option<Spread>),
    /// How worn the parts are taken to be.
    Condition(Condition),
    /// Both, one after the other.
    Both(Box<Self>, Box<Self>),
    /// One more dummy at the end.
    AddDummy(Dummy),
    /// Another dummy in this place.
    Dummy(usize, Dummy),
    /// The dummy in the first place goes to the second; those between close up.
    MoveDummy(usize, usize),
    /// The dummy in this place goes.
    RemoveDummy(usize),
}

/// Something that a panel, the plot, or a key asks for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Command {
    /// Change the supply.
    Edit(Box<Edit>, Change),
    /// Another drawer of resistors in place of this one; the words say what was done.
    EditDrawer(Box<Drawer>, String),
    /// Look in the drawer for this.
    AskDrawer(DrawerAsk),
    /// Ask where the drawer is to go as a table.
    SaveDrawer,
    /// Open this card, or close all.
    OpenCard(Option<Stage>),
    /// Put the point there (A, V).
    MovePoint([f64; 2]),
    /// The pointer rests there in the plane (A, V), or nowhere.
    PointAt(Option<[f64; 2]>),
    /// Move the point along this dummy's line.
    SelectDummy(Option<usize>),
    /// Show this in the dock.
    Look(Scene),
    /// Look at this set of readings, by its place.
    SelectSet(usize),
    /// Close the switch so.
    Switch(Switch),
    /// Show this layer of the plane, or leave it out.
    ShowLayer(Layer, bool),
    /// Fold or unfold the dock; `None` leaves that to the size of the window.
    UnfoldDock(Option<bool>),
    /// Unfold why, and what moves it, below this limit's row; none folds it.
    Explain(Option<Limit>),
    /// Open this file.
    OpenPath(PathBuf),
    /// Open this preset, by its place in the list.
    OpenPreset(usize),
    /// Look this word up in the glossary.
    Define(&'static str),
    /// Describe a tube of one's own.
    EditTube(TubeWish),
    /// Put this notice away, by its place.
    Dismiss(usize),
    /// Take up what this notice offers, by its place.
    Accept(usize),
    /// Call the ghost in this place so; with an empty name by what it has again.
    NameGhost(usize, String),
    /// Show the ghost in this place on the plot, or leave it out.
    ShowGhost(usize, bool),
    /// The ghost in this place goes.
    RemoveGhost(usize),
    /// List the changes since this ghost, or none.
    SelectGhost(Option<usize>),
    /// Show the variant at this share of the way from the ghost (0) to now (1).
    GoAlong(f64),
    /// A list of parts is open, or none is.
    Try(Option<Box<Trying>>),
    /// Wear this theme.
    Wear(ThemeChoice),
    /// Whatever has a place in a menu or a key of its own.
    Do(Action),
}

/// What the file of unsaved work has, that was left behind.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Saved {
    /// The work with which the unsaved one began.
    AsBegun(Work),
    /// Another work: someone has changed the file since.
    Otherwise(Work),
    /// Nothing that can be read, or there is no file.
    NotKnown,
}

/// What is open, what is looked at, and the steps between. Only this file writes any of the three.
#[derive(Debug, Clone)]
pub(crate) struct Ledger {
    document: Document,
    view: View,
    history: History,
    drawer: Drawer,
}

impl Ledger {
    /// This work as it was read.
    pub(crate) fn of(work: Work, origin: Origin) -> Self {
        Self {
            view: View::first(&work),
            document: Document::opened(work, origin, 0),
            history: History::default(),
            drawer: Drawer::default(),
        }
    }

    /// The same with these resistors in the drawer.
    #[must_use]
    pub(crate) fn with_drawer(self, drawer: Drawer) -> Self {
        Self { drawer, ..self }
    }

    /// The resistors one owns, whatever work is open.
    pub(crate) fn drawer(&self) -> &Drawer {
        &self.drawer
    }

    /// What is saved and undone.
    pub(crate) fn document(&self) -> &Document {
        &self.document
    }

    /// What is looked at.
    pub(crate) fn view(&self) -> &View {
        &self.view
    }

    /// The steps.
    pub(crate) fn history(&self) -> &History {
        &self.history
    }

    /// Another work in place of this one.
    pub(crate) fn open(&mut self, work: Work, origin: Origin) {
        let serial = self.document.serial + 1;
        let (dock, tolerance) = (self.view.dock, self.view.layers.tolerance);
        let drawer = std::mem::take(&mut self.drawer);
        *self = Self::of(work, origin).with_drawer(drawer);
        self.document.serial = serial;
        // The dock is furniture of the window; and whoever wants to know how sure it is wants that of every supply.
        self.view.dock = dock;
        self.view.layers.tolerance = tolerance;
    }

    /// Work, view and steps as they once were, in place of these.
    pub(crate) fn put_back(&mut self, before: Self) {
        let serial = self.document.serial + 1;
        let drawer = std::mem::take(&mut self.drawer);
        *self = before.with_drawer(drawer);
        self.document.serial = serial;
    }

    /// A work that was never on the disk: it is unsaved from the first.
    pub(crate) fn begin(&mut self, work: Work) {
        self.open(work, Origin::default());
        self.document.on_disk = None;
    }

    /// The work as it is now is in this file.
    pub(crate) fn is_saved_in(&mut self, origin: Origin) {
        self.document.origin = origin;
        self.give_up_changes();
    }

    /// Nothing of the work needs to be saved any more.
    pub(crate) fn give_up_changes(&mut self) {
        self.document.on_disk = Some(self.document.work.clone());
    }

    /// Goes on with unsaved work that was left behind; `saved` is what its file has, if it can be read. It is a step:
    /// undo leads back to what stood there before, or to the file as it was saved. Work of another file does not come back
    /// by undo, for it would be saved in this one.
    pub(crate) fn go_on_with(&mut self, left: Work, origin: Origin, saved: Saved) {
        let goes_on = self.document.origin.path == origin.path;
        let before = match (&saved, goes_on || origin.path.is_none()) {
            (_, true) => Some(self.document.work.clone()),
            (Saved::AsBegun(work) | Saved::Otherwise(work), false) => Some(work.clone()),
            (Saved::NotKnown, false) => None,
        };
        let history = std::mem::take(&mut self.history);
        // It must read as changed against what is on the disk; what was never in a file of its own, as begun there.
        let on_disk = match saved {
            Saved::AsBegun(work) => Some(work),
            Saved::NotKnown if origin.path.is_none() => self.document.on_disk.take(),
            Saved::Otherwise(_) | Saved::NotKnown => None,
        };
        self.open(left, origin);
        self.document.on_disk = on_disk;
        if goes_on {
            self.history = history;
        }
        self.record_from(before, "Unsaved work taken up");
    }

    /// Takes up what the document's file has become by another's hand. It is a step: undo brings back what stood here.
    pub(crate) fn reload(&mut self, work: Work, text: String) {
        let before = std::mem::replace(&mut self.document.work, work);
        self.document.origin.text = Some(text);
        self.give_up_changes();
        self.record_from(Some(before), "Reloaded from the disk");
        self.name_ghosts();
    }

    fn record_from(&mut self, before: Option<Work>, label: &str) {
        if let Some(before) = before.filter(|before| *before != self.document.work) {
            let change = Change {
                label: label.to_owned(),
                control: None,
            };
            let moment = Moment {
                seconds: 0.0,
                held: false,
            };
            self.history.record(change, &before, moment);
        }
    }

    /// Puts a work on the plot as a ghost of this name, in place of an earlier one of the name, and lists what differs.
    pub(crate) fn compare_with(&mut self, name: &str, work: Work) {
        let view = &mut self.view;
        view.ghosts.retain(|ghost| ghost.name != name);
        let given = (name.to_owned(), Named::Given);
        add_ghost(view, given, name.to_owned(), work);
        let last = view.ghosts.len().checked_sub(1);
        select_ghost(view, last);
    }

    /// The pointer has let go of its control.
    pub(crate) fn let_go(&mut self) {
        self.history.let_go();
    }

    /// Carries out a command that changes the document or the view. What needs files or the window is left to the
    /// application.
    pub(crate) fn apply(&mut self, command: Command, moment: Moment) {
        let renames = matches!(
            command,
            Command::Edit(..)
                | Command::NameGhost(..)
                | Command::Do(Action::Undo | Action::Redo | Action::KeepGhost)
        );
        match command {
            Command::Edit(edit, change) => {
                let mut work = self.document.work.clone();
                let is_whole = matches!(*edit, Edit::Whole(_));
                edit_work(*edit, &mut work, &mut self.view);
                if !is_whole {
                    forget_what_changed(&mut work, &self.document.work.supply);
                }
                if work != self.document.work {
                    self.history.record(change, &self.document.work, moment);
                    self.document.work = work;
                }
            }
            Command::EditDrawer(drawer, label) => {
                if *drawer != self.drawer {
                    self.history.record_drawer(label, &self.drawer);
                    self.drawer = *drawer;
                }
            }
            Command::AskDrawer(ask) => {
                self.view.drawer_ask = ask;
                self.view.dock.look_at(Scene::Networks);
            }
            Command::OpenCard(stage) => self.view.open = stage,
            Command::MovePoint([amps, volts]) => {
                if amps.is_finite() && volts.is_finite() {
                    self.view.point = [amps.max(0.0), volts.max(0.0)];
                }
            }
            Command::PointAt(at) => self.view.pointed = at,
            Command::SelectDummy(dummy) => self.view.dummy = dummy,
            Command::Look(scene) => self.view.dock.look_at(scene),
            Command::Do(Action::Show(page)) => {
                let stop = self.view.dock.stop_of(page);
                self.view.dock.look_at(stop);
            }
            Command::Switch(switch) => self.view.switch = switch,
            Command::UnfoldDock(unfolded) => self.view.dock.unfolded = unfolded,
            Command::ShowLayer(layer, on) => self.view.layers.show(layer, on),
            Command::SelectSet(place) => self.view.set = place,
            Command::Explain(about) => self.view.about = about,
            Command::Do(Action::Undo) => self.undo(),
            Command::Do(Action::Redo) => self.redo(),
            Command::Do(Action::KeepGhost) => self.keep_ghost(),
            Command::NameGhost(place, name) => {
                if let Some(ghost) = self.view.ghosts.get_mut(place) {
                    ghost.named = if name.is_empty() {
                        Named::ByDifference
                    } else {
                        Named::Given
                    };
                    ghost.name = name;
                }
            }
            Command::ShowGhost(place, shown) => {
                if let Some(ghost) = self.view.ghosts.get_mut(place) {
                    ghost.shown = shown;
                }
            }
            Command::RemoveGhost(place) => {
                if place < self.view.ghosts.len() {
                    self.view.ghosts.remove(place);
                    select_ghost(&mut self.view, None);
                }
            }
            Command::SelectGhost(ghost) => select_ghost(&mut self.view, ghost),
            Command::GoAlong(share) => self.view.along = share.clamp(0.0, 1.0),
            Command::Try(trying) => self.view.trying = trying.map(|t| *t),
            Command::OpenPath(_)
            | Command::OpenPreset(_)
            | Command::Define(_)
            | Command::SaveDrawer
            | Command::EditTube(_)
            | Command::Dismiss(_)
            | Command::Accept(_)
            | Command::Wear(_)
            | Command::Do(_) => {}
        }
        let dummies = self.document.work.dummies.len();
        self.view.dummy = self.view.dummy.filter(|d| *d < dummies);
        let sets = self.document.work.bench.sets.len();
        self.view.set = self.view.set.min(sets.saturating_sub(1));
        if renames {
            self.name_ghosts();
        }
    }

    /// Takes back the last step, of the drawer or of the work.
    fn undo(&mut self) {
        if let Some(drawer) = self.history.undo_drawer(&self.drawer) {
            self.drawer = drawer;
        } else if let Some(work) = self.history.undo(&self.document.work) {
            self.document.work = work;
        }
    }

    fn redo(&mut self) {
        if let Some(drawer) = self.history.redo_drawer(&self.drawer) {
            self.drawer = drawer;
        } else if let Some(work) = self.history.redo(&self.document.work) {
            self.document.work = work;
        }
    }

    /// Keeps the work as it is.
    fn keep_ghost(&mut self) {
        let work = self.document.work.clone();
        if self.view.ghosts.iter().any(|g| g.work == work) {
            return;
        }
        let since = self.history.undo_label().unwrap_or("As opened").to_owned();
        add_ghost(
            &mut self.view,
            (String::new(), Named::ByDifference),
            since,
            work,
        );
    }

    /// Calls each ghost by what it has and the work as it is now has not, unless it was given a name.
    fn name_ghosts(&mut self) {
        for ghost in &mut self.view.ghosts {
            if ghost.named == Named::ByDifference {
                ghost.name = what_it_has(&ghost.work, &self.document.work);
            }
        }
    }
}

/// One more ghost with the first letter that is free; the oldest goes when there are too many.
fn add_ghost(view: &mut View, (name, named): (String, Named), since: String, work: Work) {
    if view.ghosts.len() >= MOST {
        view.ghosts.remove(0);
        let selected = view.ghost.and_then(|g| g.checked_sub(1));
        select_ghost(view, selected);
    }
    let is_free = |letter: &char| view.ghosts.iter().all(|ghost| ghost.letter != *letter);
    let [first, ..] = LETTERS;
    view.ghosts.push(Kept {
        letter: LETTERS.into_iter().find(is_free).unwrap_or(first),
        name,
        named,
        since,
        shown: true,
        work,
    });
}

fn select_ghost(view: &mut View, ghost: Option<usize>) {
    view.ghost = ghost.filter(|g| *g < view.ghosts.len());
    view.along = 1.0;
}

fn edit_work(edit: Edit, work: &mut Work, view: &mut View) {
    let supply = &mut work.supply;
    match edit {
        Edit::Whole(whole) => *work = *whole,
        Edit::Name(name) => work.name = name,
        Edit::Notes(notes) => work.notes = notes,
        Edit::Mains(mains) => supply.mains = mains,
        Edit::Primary(primary) => work.primary = *primary,
        Edit::Transformer(transformer) => supply.transformer = transformer,
        Edit::Rectifier(rectifier) => supply.rectifier = rectifier,
        Edit::Filter(filter) => supply.filter = filter,
        Edit::PassStage(pass_stage) => supply.pass_stage = pass_stage,
        Edit::Regulator(regulator) => supply.regulator = *regulator,
        Edit::Output(output) => supply.output = output,
        Edit::Accepted(accepted) => supply.accepted = accepted,
        Edit::AsFound(found) => supply.as_found = *found,
        Edit::Bench(bench) => work.bench = *bench,
        Edit::NoGuess(field) => work.guessed.retain(|guessed| *guessed != field),
        Edit::Spread(field, spread) => {
            if spread.is_some() {
                // Whoever knows how far it may be off did not guess it.
                work.guessed.retain(|guessed| *guessed != field);
            }
            state(&mut work.spreads, field, spread);
        }
        Edit::Condition(condition) => work.condition = condition,
        Edit::Both(first, second) => {
            edit_work(*first, work, view);
            edit_work(*second, work, view);
        }
        Edit::AddDummy(dummy) => {
            work.dummies.push(dummy);
            view.dummy = Some(work.dummies.len() - 1);
        }
        Edit::Dummy(place, dummy) => {
            if let Some(old) = work.dummies.get_mut(place) {
                *old = dummy;
            }
        }
        Edit::MoveDummy(from, to) => {
            if from < work.dummies.len() && to < work.dummies.len() {
                let dummy = work.dummies.remove(from);
                work.dummies.insert(to, dummy);
                view.dummy = view.dummy.map(|selected| moved(selected, from, to));
            }
        }
        Edit::RemoveDummy(place) => {
            if place < work.dummies.len() {
                work.dummies.remove(place);
                view.dummy = match view.dummy {
                    Some(selected) if selected > place => Some(selected - 1),
                    Some(selected) if selected == place => None,
                    other => other,
                };
            }
        }
    }
}

/// States the spread of a field where it stood before, or at the end; or takes it away.
fn state(spreads: &mut Vec<StatedSpread>, field: String, spread: Option<Spread>) {
    let before = spreads.iter_mut().find(|stated| stated.field == field);
    match (spread, before) {
        (Some(spread), Some(stated)) => stated.spread = spread,
        (Some(spread), None) => spreads.push(StatedSpread { field, spread }),
        (None, _) => spreads.retain(|stated| stated.field != field),
    }
}

/// Where what stood in a place of a list is, once one of the list went from one place to another.
fn moved(place: usize, from: usize, to: usize) -> usize {
    if place == from {
        to
    } else if from < place && place <= to {
        place - 1
    } else if to <= place && place < from {
        place + 1
    } else {
        place
    }
}

#[cfg(test)]
mod tests;
