use super::*;
use crate::parts::Volts;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_work;

fn demo() -> Ledger {
    let work = read_work(presets()[0].1, &Catalogue::built_in()).expect("the demo supply");
    Ledger::of(work, Origin::default())
}

fn apply(ledger: &mut Ledger, command: Command) {
    let moment = Moment {
        seconds: 0.0,
        held: false,
    };
    ledger.apply(command, moment);
}

/// Keeps as many ghosts, each of other mains.
fn keep(ledger: &mut Ledger, volts: std::ops::RangeInclusive<u8>) {
    for volts in volts {
        let mut mains = ledger.document().work.supply.mains.clone();
        mains.present = Volts(f64::from(volts));
        let change = Change {
            label: format!("{volts} V"),
            control: None,
        };
        apply(ledger, Command::Edit(Box::new(Edit::Mains(mains)), change));
        apply(ledger, Command::Do(Action::KeepGhost));
    }
}

#[test]
fn the_oldest_ghost_goes_and_the_one_that_is_looked_at_stays() {
    let mut ledger = demo();
    keep(&mut ledger, 100..=103);
    apply(&mut ledger, Command::SelectGhost(Some(3)));
    keep(&mut ledger, 104..=105);
    let view = ledger.view();
    let names: Vec<&str> = view.ghosts.iter().map(|g| g.since.as_str()).collect();
    assert_eq!(names, ["102 V", "103 V", "104 V", "105 V"]);
    assert_eq!(view.ghost.map(|g| names[g]), Some("103 V"));
    let letters: String = view.ghosts.iter().map(|g| g.letter).collect();
    assert_eq!(
        letters, "cdab",
        "each keeps its letter, the new take those that are free"
    );
}

#[test]
fn a_ghost_is_called_by_what_it_has_and_the_work_as_it_is_now_has_not() {
    let mut ledger = demo();
    keep(&mut ledger, 115..=116);
    let names = |ledger: &Ledger| -> Vec<String> {
        ledger
            .view()
            .ghosts
            .iter()
            .map(|g| g.name.clone())
            .collect()
    };
    assert_eq!(names(&ledger), ["115 V mains", "as now"]);
    apply(&mut ledger, Command::Do(Action::Undo));
    assert_eq!(names(&ledger), ["as now", "116 V mains"]);
    apply(&mut ledger, Command::NameGhost(0, "winter".to_owned()));
    apply(&mut ledger, Command::Do(Action::Undo));
    assert_eq!(names(&ledger), ["winter", "116 V mains"]);
    apply(&mut ledger, Command::NameGhost(0, String::new()));
    assert_eq!(names(&ledger), ["115 V mains", "116 V mains"]);
}

#[test]
fn a_ghost_that_is_gone_is_no_longer_looked_at() {
    let mut ledger = demo();
    keep(&mut ledger, 100..=102);
    apply(&mut ledger, Command::SelectGhost(Some(1)));
    apply(&mut ledger, Command::GoAlong(0.5));
    apply(&mut ledger, Command::RemoveGhost(1));
    let view = ledger.view();
    assert_eq!((view.ghosts.len(), view.ghost), (2, None));
    assert!((view.along - 1.0).abs() < 1e-12, "{}", view.along);
}

#[test]
fn work_left_behind_is_unsaved_where_its_file_cannot_be_read() {
    let mut ledger = demo();
    let left = ledger.document().work.clone();
    let origin = Origin {
        path: Some(PathBuf::from("/bench/other.ron")),
        text: None,
    };
    // Just what stands here already: that is no file of this name.
    ledger.go_on_with(left.clone(), origin.clone(), Saved::NotKnown);
    assert!(ledger.document().is_changed());
    assert_eq!(ledger.history().undo_label(), None);
    // A file that another has changed since: undo leads there, and that is not saved either.
    let mut there = left.clone();
    "by another".clone_into(&mut there.notes);
    let mut ledger = demo();
    ledger.go_on_with(left, origin, Saved::Otherwise(there.clone()));
    apply(&mut ledger, Command::Do(Action::Undo));
    assert_eq!(ledger.document().work, there);
    assert!(ledger.document().is_changed());
}

#[test]
fn steps_of_the_drawer_and_of_the_work_are_undone_in_their_order() {
    let mut ledger = demo();
    let put_in = |text: &str| {
        let mut drawer = Drawer::default();
        for (_, owned) in crate::parts::drawer::read_lines(text).read {
            drawer.put(owned);
        }
        Command::EditDrawer(Box::new(drawer), text.to_owned())
    };
    let counted = |ledger: &Ledger| (ledger.drawer().count(), ledger.history().labels().count());
    apply(&mut ledger, put_in("4 x 10k 25W"));
    keep(&mut ledger, 111..=111);
    apply(&mut ledger, put_in("2 x 10k 25W"));
    // Nothing changed: no step.
    apply(&mut ledger, put_in("2 x 10k 25W"));
    assert_eq!(counted(&ledger), (2, 3));
    let changed = |ledger: &Ledger| ledger.document().is_changed();
    for (count, is_changed) in [(4, true), (4, false), (0, false)] {
        apply(&mut ledger, Command::Do(Action::Undo));
        assert_eq!(
            (ledger.drawer().count(), changed(&ledger)),
            (count, is_changed)
        );
    }
    for (count, is_changed) in [(4, false), (4, true), (2, true)] {
        apply(&mut ledger, Command::Do(Action::Redo));
        assert_eq!(
            (ledger.drawer().count(), changed(&ledger)),
            (count, is_changed)
        );
    }
    // Another supply: the drawer stays.
    let work = ledger.document().work.clone();
    ledger.open(work, Origin::default());
    assert_eq!(counted(&ledger), (2, 0));
}

#[test]
fn what_is_compared_with_is_one_ghost_however_often() {
    let mut ledger = demo();
    keep(&mut ledger, 100..=103);
    let work = ledger.document().work.clone();
    for note in ["first", "second"] {
        let mut there = work.clone();
        note.clone_into(&mut there.notes);
        ledger.compare_with("on disk", there);
    }
    let view = ledger.view();
    let names: Vec<&str> = view.ghosts.iter().map(|g| g.since.as_str()).collect();
    assert_eq!(names, ["101 V", "102 V", "103 V", "on disk"]);
    let looked_at = view.ghost.and_then(|g| view.ghosts.get(g));
    assert_eq!(looked_at.map(|g| g.work.notes.as_str()), Some("second"));
}
