//! Undo and redo, each step with the words of what it undoes. Moving one control in one go is one step.

use crate::parts::{Drawer, Work};

/// Steps kept.
const DEEPEST: usize = 200;
/// Changes of one control that follow each other within this time belong together (s): arrow keys on a slider.
const TOGETHER_SECONDS: f64 = 0.8;

/// What was changed, said for people, and by which control.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Change {
    /// For the undo button: `Filter, C1 unit 47 µF`.
    pub(crate) label: String,
    /// The control that did it; successive changes by one control are one step. `None` never merges.
    pub(crate) control: Option<String>,
}

/// One step: what it changed, as it was on its other side.
#[derive(Debug, Clone, PartialEq)]
struct Step {
    label: String,
    other: Other,
}

/// What a step changed.
#[derive(Debug, Clone, PartialEq)]
enum Other {
    /// The work.
    Work(Box<Work>),
    /// The drawer of resistors, which belongs to no work.
    Drawer(Drawer),
}

/// The control whose step may still grow.
#[derive(Debug, Clone, PartialEq)]
struct Growing {
    control: String,
    held: bool,
    last_seconds: f64,
}

/// All steps back and forth.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct History {
    undo: Vec<Step>,
    redo: Vec<Step>,
    growing: Option<Growing>,
}

impl History {
    /// Takes down that `before` was changed at `now_seconds`; `held` while the pointer still holds the control.
    pub(crate) fn record(&mut self, change: Change, before: &Work, moment: Moment) {
        self.redo.clear();
        let same_step = match (&self.growing, &change.control) {
            (Some(growing), Some(control)) => {
                growing.control == *control
                    && (growing.held || moment.seconds - growing.last_seconds < TOGETHER_SECONDS)
            }
            _ => false,
        };
        match self.undo.last_mut() {
            Some(step) if same_step => step.label = change.label,
            _ => self.undo.push(Step {
                label: change.label,
                other: Other::Work(Box::new(before.clone())),
            }),
        }
        if self.undo.len() > DEEPEST {
            self.undo.remove(0);
        }
        self.growing = change.control.map(|control| Growing {
            control,
            held: moment.held,
            last_seconds: moment.seconds,
        });
    }

    /// Takes down that the drawer was changed.
    pub(crate) fn record_drawer(&mut self, label: String, before: &Drawer) {
        self.redo.clear();
        self.growing = None;
        self.undo.push(Step {
            label,
            other: Other::Drawer(before.clone()),
        });
        if self.undo.len() > DEEPEST {
            self.undo.remove(0);
        }
    }

    /// One step back from `now`, if it was one of the drawer.
    pub(crate) fn undo_drawer(&mut self, now: &Drawer) -> Option<Drawer> {
        self.growing = None;
        go_drawer(&mut self.undo, &mut self.redo, now)
    }

    /// One step forth from `now`, if it is one of the drawer.
    pub(crate) fn redo_drawer(&mut self, now: &Drawer) -> Option<Drawer> {
        self.growing = None;
        go_drawer(&mut self.redo, &mut self.undo, now)
    }

    /// The pointer has let go: the next change starts a step of its own, unless it follows at once.
    pub(crate) fn let_go(&mut self) {
        if let Some(growing) = &mut self.growing
            && growing.held
        {
            self.growing = None;
        }
    }

    /// The names of all steps that undo would take back, the first step first.
    pub(crate) fn labels(&self) -> impl Iterator<Item = &str> {
        self.undo.iter().map(|step| step.label.as_str())
    }

    /// What undo would take back.
    pub(crate) fn undo_label(&self) -> Option<&str> {
        self.undo.last().map(|s| s.label.as_str())
    }

    /// What redo would bring again.
    pub(crate) fn redo_label(&self) -> Option<&str> {
        self.redo.last().map(|s| s.label.as_str())
    }

    /// One step back from `now`, if it was one of the work.
    pub(crate) fn undo(&mut self, now: &Work) -> Option<Work> {
        self.growing = None;
        go_work(&mut self.undo, &mut self.redo, now)
    }

    /// One step forth from `now`, if it is one of the work.
    pub(crate) fn redo(&mut self, now: &Work) -> Option<Work> {
        self.growing = None;
        go_work(&mut self.redo, &mut self.undo, now)
    }
}

/// Takes a step of the work from one list to the other.
fn go_work(from: &mut Vec<Step>, to: &mut Vec<Step>, now: &Work) -> Option<Work> {
    let step = from.pop_if(|step| matches!(step.other, Other::Work(_)))?;
    let Other::Work(work) = step.other else {
        return None;
    };
    to.push(Step {
        label: step.label,
        other: Other::Work(Box::new(now.clone())),
    });
    Some(*work)
}

/// Takes a step of the drawer from one list to the other.
fn go_drawer(from: &mut Vec<Step>, to: &mut Vec<Step>, now: &Drawer) -> Option<Drawer> {
    let step = from.pop_if(|step| matches!(step.other, Other::Drawer(_)))?;
    let Other::Drawer(drawer) = step.other else {
        return None;
    };
    to.push(Step {
        label: step.label,
        other: Other::Drawer(now.clone()),
    });
    Some(drawer)
}

/// When a change came, and whether the pointer still holds its control.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Moment {
    /// Time since the start (s).
    pub(crate) seconds: f64,
    /// True while a pointer button is down.
    pub(crate) held: bool,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::Volts;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_work;

    fn change(label: &str) -> Change {
        Change {
            label: label.to_owned(),
            control: Some("mains".to_owned()),
        }
    }

    #[test]
    fn keys_that_follow_each_other_are_one_step_and_later_ones_another() {
        let mut history = History::default();
        let mut work = read_work(presets()[0].1, &Catalogue::built_in()).expect("the demo supply");
        for (seconds, volts) in [(0.0, 121.0), (0.5, 122.0), (1.0, 123.0), (9.0, 124.0)] {
            let moment = Moment {
                seconds,
                held: false,
            };
            history.record(change(&format!("Mains {volts} V")), &work, moment);
            work.supply.mains.present = Volts(volts);
        }
        let back = history.undo(&work).expect("the later key");
        assert_eq!(back.supply.mains.present, Volts(123.0));
        assert_eq!(history.undo_label(), Some("Mains 123 V"));
        let start = history.undo(&back).expect("the first keys");
        assert_eq!(history.undo_label(), None);
        // Something else is done: what was undone does not come again.
        let later = Moment {
            seconds: 20.0,
            held: false,
        };
        history.record(change("Mains 119 V"), &start, later);
        assert_eq!(history.redo_label(), None);
    }

    #[test]
    fn a_drag_is_one_step_and_the_next_drag_another() {
        let mut history = History::default();
        let mut work = read_work(presets()[0].1, &Catalogue::built_in()).expect("the demo supply");
        let start = work.clone();
        for (drag, volts) in [(0.0, [121.0, 122.0]), (5.0, [118.0, 117.0])] {
            for (step, v) in volts.into_iter().enumerate() {
                let moment = Moment {
                    seconds: drag + step as f64 * 2.0,
                    held: true,
                };
                history.record(change(&format!("Mains {v} V")), &work, moment);
                work.supply.mains.present = Volts(v);
            }
            history.let_go();
        }
        assert_eq!(history.undo_label(), Some("Mains 117 V"));
        let after_first = history.undo(&work).expect("second drag");
        assert_eq!(after_first.supply.mains.present, Volts(122.0));
        assert_eq!(history.undo_label(), Some("Mains 122 V"));
        let back = history.undo(&after_first).expect("first drag");
        assert_eq!(back, start);
        assert_eq!(history.undo(&back), None);
        assert_eq!(history.redo(&back), Some(after_first));
        assert_eq!(history.redo_label(), Some("Mains 117 V"));
    }
}
