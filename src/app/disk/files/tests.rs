use super::*;

#[test]
fn a_text_is_written_whole_and_read_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("supply.ron");
    write_text(&path, "first").expect("new");
    write_text(&path, "second, 47 µF").expect("over it");
    assert_eq!(read_text(&path).expect("there"), "second, 47 µF");
    assert_eq!(ron_files(folder.path()), vec![path.clone()]);
    remove(&path).expect("gone");
    remove(&path).expect("gone already");
}

#[test]
#[expect(
    clippy::disallowed_methods,
    reason = "a file that is no text cannot be written by our own means"
)]
fn what_cannot_be_read_is_named() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("noise.ron");
    std::fs::write(&path, [b'\n', 0x80, 0xff]).expect("written");
    let error = read_text(&path).expect_err("no text").to_string();
    assert!(
        error.contains("noise.ron: line 2: found bytes that are no UTF-8 text"),
        "{error}"
    );
    for bytes in [
        [0xff, 0xfe, b'(', 0],
        [0xfe, 0xff, 0, b'('],
        [b'(', 0, b'f', 0],
        [0, b'(', 0, b'f'],
    ] {
        std::fs::write(&path, bytes).expect("written");
        let error = read_text(&path).expect_err("other text").to_string();
        let words = "found UTF-16, expected UTF-8: save it as UTF-8";
        assert!(error.ends_with(words), "{error}");
    }
    let error = read_text(&folder.path().join("none.ron")).expect_err("none");
    assert!(
        error
            .to_string()
            .ends_with("none.ron: found nothing there, expected a text file that may be read"),
        "{error}"
    );
    let error = read_text(folder.path()).expect_err("a folder").to_string();
    assert!(error.contains("found a folder, expected"), "{error}");
    let far = folder.path().join("none").join("supply.ron");
    let error = write_text(&far, "text").expect_err("no folder").to_string();
    assert!(
        error.contains("found nothing there, expected a file that may be written"),
        "{error}"
    );
}

#[test]
fn a_full_disk_is_told_apart_from_a_name_that_cannot_be_written() {
    let told = |kind: ErrorKind| io(Path::new("a.ron"), WRITE)(kind.into()).to_string();
    let full = told(ErrorKind::StorageFull);
    assert!(full.contains("no space left on the disk") && full.contains(ROOM));
    assert!(told(ErrorKind::PermissionDenied).contains(WRITE));
}

#[test]
fn a_typed_path_may_be_quoted() {
    assert_eq!(typed_path(" \"a b.ron\" "), Some(PathBuf::from("a b.ron")));
    assert_eq!(typed_path("  "), None);
    assert_eq!(
        with_extension(PathBuf::from("bench"), "ron"),
        PathBuf::from("bench.ron")
    );
    assert_eq!(
        with_extension(PathBuf::from("bench.txt"), "ron"),
        PathBuf::from("bench.txt")
    );
}

/// What a write that was cut short leaves, and what one that goes on looks like.
#[test]
#[expect(
    clippy::disallowed_methods,
    reason = "a write that is cut short cannot be had by our own means"
)]
fn what_a_crash_left_beside_a_file_is_swept_away_and_no_more() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    write_text(&at("supply.ron"), "mine").expect("written");
    std::fs::write(at(".sagline-abc.new"), "hal").expect("written");
    std::fs::write(at(".other-abc.new"), "of another program").expect("written");
    let going_on = named_like_a_new_file()
        .tempfile_in(folder.path())
        .expect("made");
    going_on.as_file().try_lock().expect("free");
    sweep(folder.path());
    assert!(!at(".sagline-abc.new").exists());
    assert!(going_on.path().exists() && at(".other-abc.new").exists());
    assert_eq!(read_text(&at("supply.ron")).expect("there"), "mine");
}

#[test]
fn a_held_file_has_one_holder_and_goes_with_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("1.lock");
    assert_eq!(holder(&path), Holder::NotKnown);
    let held = Held::take(&path).expect("made").expect("free");
    assert_eq!(holder(&path), Holder::Running);
    assert!(Held::take(&path).expect("there").is_none());
    drop(held);
    assert!(!path.exists());
    assert!(Held::take(&path).expect("made").is_some());
}

#[cfg(unix)]
mod pipes_devices_and_links {
    use std::os::unix::fs::{PermissionsExt as _, symlink};

    use super::*;

    fn pipe(path: &Path) {
        let mode = rustix::fs::Mode::from_raw_mode(0o666);
        rustix::fs::mkfifoat(rustix::fs::CWD, path, mode).expect("a pipe");
    }

    #[test]
    fn what_may_never_end_is_not_opened() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("pipe.ron");
        pipe(&path);
        let said = read_text(&path).expect_err("a pipe").to_string();
        assert!(
            said.ends_with("pipe.ron: found a pipe, expected a text file that may be read"),
            "{said}"
        );
        let said = read_text(Path::new("/dev/zero")).expect_err("a device");
        assert_eq!(
            said.to_string(),
            "/dev/zero: found a device, expected a text file that may be read"
        );
        assert_eq!(holder(&path), Holder::NotKnown);
        assert!(Held::take(&path).is_err());
    }

    #[test]
    fn a_text_is_read_up_to_the_limit_and_no_further() {
        let endless = std::io::repeat(b'x');
        let said = text_of(Path::new("endless"), endless).expect_err("too large");
        assert_eq!(
            said.to_string(),
            "endless: found more than 4 MB, expected the text file of a supply, a few thousand bytes"
        );
    }

    #[test]
    fn what_is_no_file_is_not_replaced_by_one() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("pipe");
        pipe(&path);
        let said = write_text(&path, "text").expect_err("a pipe").to_string();
        assert!(
            said.ends_with("pipe: found a pipe, expected a file, or a name that is not taken yet"),
            "{said}"
        );
        let kind = std::fs::metadata(&path).expect("there").file_type();
        assert_eq!(called(kind), "a pipe");
        let said = write_text(Path::new("/dev/null"), "text").expect_err("a device");
        assert!(said.to_string().contains("found a device"), "{said}");
        let said = write_text(folder.path(), "text").expect_err("a folder");
        assert!(said.to_string().contains("found a folder"), "{said}");
        assert_eq!(all_in(folder.path()), [path]);
    }

    #[test]
    fn a_read_only_file_is_said_and_stays() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("kept.ron");
        write_text(&path, "kept").expect("written");
        std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o444)).expect("set");
        let said = write_text(&path, "other").expect_err("read only");
        assert!(said.to_string().ends_with("kept.ron: found a file that is read only, expected one that may be written; it was left as it is"), "{said}");
        assert_eq!(read_text(&path).expect("there"), "kept");
        assert_eq!(all_in(folder.path()), [path]);
    }

    #[test]
    fn a_link_is_followed_even_where_it_leads_to_nothing_yet() {
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        make_folder(&at("deep")).expect("made");
        symlink("deep/second.ron", at("first.ron")).expect("a link");
        symlink("real.ron", at("deep/second.ron")).expect("a link");
        for text in ["new", "over it"] {
            write_text(&at("first.ron"), text).expect("written");
            assert_eq!(read_text(&at("deep/real.ron")).expect("there"), text);
        }
        for link in ["first.ron", "deep/second.ron"] {
            let known = std::fs::symlink_metadata(at(link)).expect("there");
            assert!(known.is_symlink(), "{link}");
        }
        symlink("b", at("a")).expect("a link");
        symlink("a", at("b")).expect("a link");
        let said = write_text(&at("a"), "text").expect_err("a circle");
        assert!(said.to_string().contains("in a circle"), "{said}");
    }
}
