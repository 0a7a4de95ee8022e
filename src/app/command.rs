//! The one door through which the document and the view change.
//!
//! Panels push [`Command`]s; [`apply`] carries them out in order. An edit brings a whole new part, so there are
//! about ten of them and not two hundred setters.

use std::path::PathBuf;

use crate::app::document::{Document, Kept, Scene, Trying, View};
use crate::app::ghosts::MOST;
use crate::app::history::{Change, History, Moment};
use crate::app::shortcuts::Action;
use crate::app::tubes::TubeWish;
use crate::parts::{
    Dummy, Filter, Mains, Output, PassStage, Rectifier, Regulator, Stage, Transformer, Work,
};
use crate::physics::limit::Limit;

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
    /// One more dummy at the end.
    AddDummy(Dummy),
    /// Another dummy in this place.
    Dummy(usize, Dummy),
    /// The dummy in this place goes.
    RemoveDummy(usize),
}

/// Something that a panel, the plot, or a key asks for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Command {
    /// Change the supply.
    Edit(Box<Edit>, Change),
    /// Open this card, or close all.
    OpenCard(Option<Stage>),
    /// Put the point there (A, V).
    MovePoint([f64; 2]),
    /// The pointer rests there in the plane (A, V), or nowhere.
    PointAt(Option<[f64; 2]>),
    /// Move the point along this dummy's line.
    SelectDummy(Option<usize>),
    /// Show or hide the selected dummy's values.
    OpenDummy(bool),
    /// Show this below the envelope.
    Look(Scene),
    /// Shade the envelope by the tightest limit, or not.
    ShadeMargins(bool),
    /// Say or hide why, and what moves the tightest limit.
    OpenWhy(bool),
    /// Explain this limit at the point; none for the one that is met first.
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
    /// Call the ghost in this place so.
    NameGhost(usize, String),
    /// The ghost in this place goes.
    RemoveGhost(usize),
    /// List the changes since this ghost, or none.
    SelectGhost(Option<usize>),
    /// Show the variant at this share of the way from the ghost (0) to now (1).
    GoAlong(f64),
    /// A list of parts is open, or none is.
    Try(Option<Box<Trying>>),
    /// Whatever has a place in a menu or a key of its own.
    Do(Action),
}

/// The three things that commands change.
pub(crate) struct Ledger<'a> {
    /// The supply.
    pub(crate) document: &'a mut Document,
    /// What is looked at.
    pub(crate) view: &'a mut View,
    /// The steps.
    pub(crate) history: &'a mut History,
}

/// Carries out a command that changes the document or the view. What needs files or the window is left to the
/// application.
pub(crate) fn apply(command: Command, ledger: &mut Ledger<'_>, moment: Moment) {
    match command {
        Command::Edit(edit, change) => {
            let mut work = ledger.document.work.clone();
            edit_work(*edit, &mut work, ledger.view);
            if work != ledger.document.work {
                ledger.history.record(change, &ledger.document.work, moment);
                ledger.document.work = work;
            }
        }
        Command::OpenCard(stage) => ledger.view.open = stage,
        Command::MovePoint([amps, volts]) => {
            if amps.is_finite() && volts.is_finite() {
                ledger.view.point = [amps.max(0.0), volts.max(0.0)];
            }
        }
        Command::PointAt(at) => ledger.view.pointed = at,
        Command::SelectDummy(dummy) => {
            if ledger.view.dummy != dummy {
                ledger.view.dummy_open = false;
            }
            ledger.view.dummy = dummy;
        }
        Command::Look(scene) | Command::Do(Action::Show(scene)) => ledger.view.scene = scene,
        Command::ShadeMargins(map) => ledger.view.map = map,
        Command::OpenWhy(open) => {
            ledger.view.why_open = open;
            ledger.view.about = None;
        }
        Command::Explain(about) => {
            ledger.view.about = about;
            ledger.view.why_open = true;
        }
        Command::OpenDummy(open) => ledger.view.dummy_open = open,
        Command::Do(Action::Undo) => {
            if let Some(work) = ledger.history.undo(&ledger.document.work) {
                ledger.document.work = work;
            }
        }
        Command::Do(Action::Redo) => {
            if let Some(work) = ledger.history.redo(&ledger.document.work) {
                ledger.document.work = work;
            }
        }
        Command::Do(Action::KeepGhost) => keep_ghost(ledger),
        Command::NameGhost(place, name) => {
            if let Some(ghost) = ledger.view.ghosts.get_mut(place) {
                ghost.name = name;
            }
        }
        Command::RemoveGhost(place) => {
            if place < ledger.view.ghosts.len() {
                ledger.view.ghosts.remove(place);
                select_ghost(ledger.view, None);
            }
        }
        Command::SelectGhost(ghost) => select_ghost(ledger.view, ghost),
        Command::GoAlong(share) => ledger.view.along = share.clamp(0.0, 1.0),
        Command::Try(trying) => ledger.view.trying = trying.map(|t| *t),
        Command::OpenPath(_)
        | Command::OpenPreset(_)
        | Command::Define(_)
        | Command::EditTube(_)
        | Command::Dismiss(_)
        | Command::Accept(_)
        | Command::Do(_) => {}
    }
    let dummies = ledger.document.work.dummies.len();
    ledger.view.dummy = ledger.view.dummy.filter(|d| *d < dummies);
}

fn select_ghost(view: &mut View, ghost: Option<usize>) {
    view.ghost = ghost.filter(|g| *g < view.ghosts.len());
    view.along = 1.0;
}

/// Keeps the work as it is; it is called by the change that led to it. The oldest goes when there are too many.
fn keep_ghost(ledger: &mut Ledger<'_>) {
    let work = ledger.document.work.clone();
    let view = &mut *ledger.view;
    if view.ghosts.iter().any(|g| g.work == work) {
        return;
    }
    let base = ledger.history.undo_label().unwrap_or("As opened");
    let taken = |name: &str| view.ghosts.iter().any(|g| g.name == name);
    let name = std::iter::once(base.to_owned())
        .chain((2..=99_u8).map(|n| format!("{base} ({n})")))
        .find(|name| !taken(name))
        .unwrap_or_else(|| base.to_owned());
    view.ghosts.push(Kept { name, work });
    if view.ghosts.len() > MOST {
        view.ghosts.remove(0);
        let selected = view.ghost.and_then(|g| g.checked_sub(1));
        select_ghost(view, selected);
    }
}

fn edit_work(edit: Edit, work: &mut Work, view: &mut View) {
    let supply = &mut work.supply;
    match edit {
        Edit::Whole(whole) => *work = *whole,
        Edit::Name(name) => work.name = name,
        Edit::Notes(notes) => work.notes = notes,
        Edit::Mains(mains) => supply.mains = mains,
        Edit::Transformer(transformer) => supply.transformer = transformer,
        Edit::Rectifier(rectifier) => supply.rectifier = rectifier,
        Edit::Filter(filter) => supply.filter = filter,
        Edit::PassStage(pass_stage) => supply.pass_stage = pass_stage,
        Edit::Regulator(regulator) => supply.regulator = *regulator,
        Edit::Output(output) => supply.output = output,
        Edit::AddDummy(dummy) => {
            work.dummies.push(dummy);
            view.dummy = Some(work.dummies.len() - 1);
            view.dummy_open = true;
        }
        Edit::Dummy(place, dummy) => {
            if let Some(old) = work.dummies.get_mut(place) {
                *old = dummy;
            }
        }
        Edit::RemoveDummy(place) => {
            if place < work.dummies.len() {
                work.dummies.remove(place);
                view.dummy = None;
                view.dummy_open = false;
            }
        }
    }
}
