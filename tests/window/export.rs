//! Pictures, curves and the clipboard, as a user asks for them.

use egui_kittest::Harness;
use sagline::app::App;

use crate::{click, type_in, window, words};

/// Picks a picture's kind or theme in the question.
fn ask(h: &mut Harness<'_, App>) {
    click(h, "Menu");
    click(h, "Export");
    click(h, "Export picture…");
}

#[test]
fn a_picture_is_written_where_and_as_it_is_asked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, begins) in [
        ("a.png", &b"\x89PNG"[..]),
        ("a.svg", b"<svg"),
        ("a.pdf", b"%PDF-1."),
    ] {
        let path = folder.path().join(name);
        let mut h = window();
        ask(&mut h);
        click(&mut h, "print");
        type_in(&mut h, "Picture caption", "As found", egui::Key::Tab);
        type_in(
            &mut h,
            "Picture file",
            &path.to_string_lossy(),
            egui::Key::Tab,
        );
        click(&mut h, "Write the file");
        let bytes = std::fs::read(&path).expect(name);
        assert!(bytes.starts_with(begins), "{name}");
        if name == "a.svg" {
            assert!(String::from_utf8_lossy(&bytes).contains(">As found</text>"));
        }
        assert!(words(&h).contains("The picture is in"), "{}", words(&h));
    }
}

#[test]
fn a_file_that_cannot_be_written_is_said_in_the_question() {
    let mut h = window();
    ask(&mut h);
    type_in(&mut h, "Picture file", "a.bmp", egui::Key::Tab);
    click(&mut h, "Write the file");
    assert!(words(&h).contains("found .bmp"), "{}", words(&h));
    type_in(
        &mut h,
        "Picture file",
        "/no/such/folder/a.pdf",
        egui::Key::Tab,
    );
    click(&mut h, "Write the file");
    assert!(
        words(&h).contains("expected a file that may be written"),
        "{}",
        words(&h)
    );
    h.key_press(egui::Key::Escape);
    h.run();
    assert!(!words(&h).contains("Export picture"), "it is put away");
}

#[test]
fn picture_and_table_go_to_the_clipboard() {
    let mut h = window();
    ask(&mut h);
    click_once(&mut h, "Copy picture");
    let copied = |h: &Harness<'_, App>| h.output().platform_output.commands.clone();
    assert!(
        copied(&h).iter().any(
            |c| matches!(c, egui::OutputCommand::CopyImage(image) if image.size == [1000, 700])
        ),
        "{} commands",
        copied(&h).len()
    );
    h.run();
    click(&mut h, "Menu");
    click(&mut h, "Export");
    click_once(&mut h, "Copy table");
    let text = copied(&h)
        .into_iter()
        .find_map(|c| match c {
            egui::OutputCommand::CopyText(text) => Some(text),
            _ => None,
        })
        .expect("a text");
    assert!(text.contains("limit\tactual\tallowed\tuse\twhy"), "{text}");
    assert!(text.contains("dropout\t"), "{text}");
    h.run();
    click(&mut h, "Menu");
    click(&mut h, "Export");
    click_once(&mut h, "Copy table");
    h.run();
    let said = words(&h).matches("are on the clipboard").count();
    assert_eq!(
        said, 1,
        "what was done before makes room for what is done now"
    );
}

/// Clicks, and stops at the frame in which it took effect.
fn click_once(h: &mut Harness<'_, App>, name: &str) {
    use egui_kittest::kittest::Queryable as _;
    h.get_by_role_and_label(egui::Role::Button, name).click();
    h.step();
}
