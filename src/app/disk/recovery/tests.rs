use super::*;
use crate::app::disk::presets;

fn demo() -> (Work, Catalogue) {
    let catalogue = Catalogue::built_in();
    let demo = presets::demo(&catalogue).expect("the demo supply");
    (demo, catalogue)
}

fn noted(document: &mut Document, note: &str) {
    note.clone_into(&mut document.work.notes);
}

/// Carries out what is due, and says whether anything was.
fn run(due: Result<Due, DiskError>) -> bool {
    match due.expect("a place") {
        Due::Nothing | Due::In(_) => false,
        Due::Now(task) => {
            task.run().expect("done");
            true
        }
    }
}

#[test]
fn one_who_never_rests_has_a_copy_all_the_same() {
    let folder = tempfile::tempdir().expect("a folder");
    let (work, types) = demo();
    let mut recovery = Recovery::in_folder(Some(folder.path()));
    let mut document = Document::opened(work, Origin::default(), 0);
    assert!(!run(recovery.keep(&document, &types, 0.0)));
    let mut written = Vec::new();
    // A change in every frame of three seconds.
    for frame in 0..180 {
        noted(&mut document, &format!("frame {frame}"));
        let now = f64::from(frame) / 60.0;
        if run(recovery.keep(&document, &types, now)) {
            written.push(now);
        }
    }
    let gaps = written.windows(2).map(|pair| pair[1] - pair[0]);
    assert!(
        written[0] < 0.5 && gaps.clone().all(|gap| gap < 0.5 && gap > 0.39),
        "{written:?}"
    );
    // The last change has its copy a moment later, and then nothing is due.
    assert!(run(recovery.keep(&document, &types, 4.0)));
    assert!(!run(recovery.keep(&document, &types, 5.0)));
    document.on_disk = Some(document.work.clone());
    assert!(run(recovery.keep(&document, &types, 6.0)), "it goes");
    assert_eq!(files::ron_files(folder.path()), Vec::<PathBuf>::new());
    drop(recovery);
    assert_eq!(files::all_in(folder.path()), Vec::<PathBuf>::new());
}

#[test]
fn a_copy_is_left_behind_when_nobody_holds_its_lock_whatever_its_number() {
    let folder = tempfile::tempdir().expect("a folder");
    let (work, types) = demo();
    let mut document = Document::opened(work, Origin::default(), 0);
    noted(&mut document, "of one that runs");
    let mut running = Recovery::in_folder(Some(folder.path()));
    assert!(run(running.copy_now(&document, &types)));
    assert_eq!(left_behind(folder.path(), &types), (vec![], vec![]));
    // The number of this very process, and no lock: another process had it before.
    let copy = running.place().expect("a place").expect("a folder");
    drop(running);
    let (found, unreadable) = left_behind(folder.path(), &types);
    assert!(unreadable.is_empty());
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].work, document.work);
    assert_eq!(found[0].copy, copy);
    // A program of the same number writes beside it.
    let mut next = Recovery::in_folder(Some(folder.path()));
    noted(&mut document, "taken up");
    next.takes_up(copy.clone());
    assert!(copy.exists(), "until one's own copy stands");
    assert!(run(next.copy_now(&document, &types)));
    assert!(!copy.exists());
    assert_eq!(files::ron_files(folder.path()).len(), 1);
}

#[test]
fn an_unreadable_copy_is_named_and_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let (_, types) = demo();
    let half = folder.path().join("4194305.ron");
    files::write_text(&half, "// unsaved work of a new supply\n(format: 1, na").expect("written");
    files::write_text(&folder.path().join("report.ron"), "mine").expect("written");
    files::write_text(&folder.path().join("4194306.lock"), "").expect("written");
    let (found, unreadable) = left_behind(folder.path(), &types);
    assert!(found.is_empty());
    assert_eq!(unreadable.len(), 1);
    for part in ["4194305.ron: line 2", "it is kept"] {
        assert!(unreadable[0].contains(part), "{unreadable:?}");
    }
    assert_eq!(files::ron_files(folder.path()).len(), 2);
    assert!(!folder.path().join("4194306.lock").exists(), "of no use");
}

#[cfg(unix)]
#[test]
fn a_pipe_named_as_a_copy_keeps_nobody_waiting() {
    let folder = tempfile::tempdir().expect("a folder");
    let (work, types) = demo();
    let mode = rustix::fs::Mode::from_raw_mode(0o666);
    for name in ["4194305.ron", "4194306.lock"] {
        let path = folder.path().join(name);
        rustix::fs::mkfifoat(rustix::fs::CWD, path, mode).expect("a pipe");
    }
    let (found, unreadable) = left_behind(folder.path(), &types);
    assert!(found.is_empty());
    assert!(
        unreadable[0].contains("4194305.ron: found a pipe"),
        "{unreadable:?}"
    );
    // In place of one's own lock: said, not waited for.
    let lock = folder.path().join(format!("{}.lock", std::process::id()));
    rustix::fs::mkfifoat(rustix::fs::CWD, lock, mode).expect("a pipe");
    let mut recovery = Recovery::in_folder(Some(folder.path()));
    let mut document = Document::opened(work, Origin::default(), 0);
    noted(&mut document, "changed");
    let said = recovery.copy_now(&document, &types).expect_err("no place");
    assert!(said.to_string().contains("found a pipe"), "{said}");
}

/// The first line of a copy names the file; a name that goes on over two lines would be read as the supply.
#[cfg(unix)]
#[test]
fn a_file_with_a_new_line_in_its_name_costs_no_work() {
    let folder = tempfile::tempdir().expect("a folder");
    let (work, types) = demo();
    let path = folder.path().join("two\nlines.ron");
    let origin = Origin {
        path: Some(path),
        text: None,
    };
    let mut document = Document::opened(work, origin, 0);
    let mut recovery = Recovery::in_folder(Some(folder.path()));
    noted(&mut document, "worth keeping");
    assert!(!run(recovery.keep(&document, &types, 0.0)));
    assert!(run(recovery.keep(&document, &types, 1.0)));
    let copy = files::ron_files(folder.path()).pop().expect("a copy");
    let text = files::read_text(&copy).expect("readable");
    let kept = file::read_work(&text, &types).expect("the work");
    assert_eq!(kept, document.work);
}
