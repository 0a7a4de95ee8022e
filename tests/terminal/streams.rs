//! What goes in and out: encodings, streams that are full or never end, names and values that would upset a terminal, too many of
//! something, and no threads.

use std::fs;
use std::io::Read as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use crate::{complains, numbers, sagline, said};

const DEMO: &str = "presets/school-laboratory.ron";

/// The four things that are written to standard output, and help.
const ANSWERS: [&[&str]; 5] = [
    &["numbers", DEMO],
    &["explain", DEMO, "--at", "20mA,200V"],
    &["explain", DEMO, "--at", "20mA,200V", "--worked"],
    &["curves", DEMO],
    &["--help"],
];

/// The program with these arguments, to be run away from any display and settings.
fn program(arguments: &[&str]) -> Command {
    let mut program = Command::new(env!("CARGO_BIN_EXE_sagline"));
    program
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .env("HOME", env!("CARGO_TARGET_TMPDIR"))
        .env("XDG_CONFIG_HOME", env!("CARGO_TARGET_TMPDIR"))
        .env("XDG_DATA_HOME", env!("CARGO_TARGET_TMPDIR"));
    program
}

fn demo() -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(DEMO)).expect("the demo")
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_output_is_one_sentence_and_a_closed_one_is_none() {
    for arguments in ANSWERS {
        let full = fs::OpenOptions::new().write(true).open("/dev/full");
        let output = program(arguments)
            .stdout(full.expect("a device that is always full"))
            .output()
            .expect("the program runs");
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert_eq!(
            said(&output),
            "sagline: standard output: found no space left on the disk, expected room for all of the answer\n",
            "{arguments:?}"
        );
        // Whoever reads has gone before anything comes.
        let mut child = program(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program runs");
        drop(child.stdout.take());
        let mut words = String::new();
        let mut stderr = child.stderr.take().expect("its standard error");
        stderr.read_to_string(&mut words).expect("text");
        let status = child.wait().expect("it ends");
        assert_eq!(
            (status.code(), words.as_str()),
            (Some(0), ""),
            "{arguments:?}"
        );
    }
}

/// Where the system gives no thread, all is done in the first one; a window, which needs some, is refused with a sentence.
/// That threads cannot be had is brought about by asking for more stack than there is.
#[cfg(target_os = "linux")]
#[test]
fn without_threads_the_answers_are_the_same() {
    let alone = |arguments: &[&str]| -> Output {
        program(arguments)
            .env("RUST_MIN_STACK", "1000000000000000000")
            .output()
            .expect("the program runs")
    };
    for arguments in ANSWERS {
        let output = alone(arguments);
        assert!(output.status.success(), "{arguments:?}: {}", said(&output));
        assert!(output.stdout == sagline(arguments).stdout, "{arguments:?}");
    }
    let output = program(&[])
        .env("RUST_MIN_STACK", "1000000000000000000")
        .env("DISPLAY", ":nowhere")
        .output()
        .expect("the program runs");
    assert_eq!(output.status.code(), Some(2));
    let words = said(&output);
    // On a machine without the libraries of a window these are what is said.
    assert!(
        words.contains("no thread to be had") || words.contains("apt-get install"),
        "{words}"
    );
    assert!(!words.contains("panicked"), "{words}");
}

#[test]
fn encodings_are_read_or_named() {
    let folder = tempfile::tempdir().expect("a folder");
    let demo = demo();
    let written = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        fs::write(&path, bytes).expect("written");
        path.to_string_lossy().into_owned()
    };
    let marked = written("marked.ron", format!("\u{feff}{demo}").as_bytes());
    let output = sagline(&["curves", &marked]);
    assert!(output.status.success(), "{}", said(&output));
    assert_eq!(output.stdout, sagline(&["curves", DEMO]).stdout);
    let units = || demo.encode_utf16();
    let little: Vec<u8> = units().flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = units().flat_map(u16::to_be_bytes).collect();
    for (name, bytes) in [
        ("little.ron", [&[0xff, 0xfe], little.as_slice()].concat()),
        ("big.ron", [&[0xfe, 0xff], big.as_slice()].concat()),
        ("little-bare.ron", little),
        ("big-bare.ron", big),
    ] {
        let path = written(name, &bytes);
        complains(
            &["numbers", &path],
            &[name, "found UTF-16, expected UTF-8: save it as UTF-8"],
        );
    }
    let letters = "(\n    format: 1,\n    name: \"47 µF\",\n".chars();
    let latin: Vec<u8> = letters.map(|c| u8::try_from(c).expect("Latin")).collect();
    let path = written("latin.ron", &latin);
    complains(
        &["numbers", &path],
        &[
            "latin.ron: line 3: found bytes that are no UTF-8",
            "saved as UTF-8",
        ],
    );
}

#[test]
fn a_fault_of_the_whole_supply_is_told_with_the_lines_of_its_parts() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("low.ron");
    let low = demo().replacen("OpenCircuit(\"290 V\")", "OpenCircuit(\"2 V\")", 1);
    fs::write(&path, &low).expect("written");
    let line = |part: &str| {
        1 + low
            .lines()
            .position(|l| l.starts_with(part))
            .expect("there")
    };
    let (transformer, rectifier) = (line("    transformer:"), line("    rectifier:"));
    let place = format!(
        "low.ron: lines {transformer} and {rectifier}, transformer and rectifier: found no voltage"
    );
    let path = path.to_string_lossy();
    let picture = folder.path().join("x.png").to_string_lossy().into_owned();
    for arguments in [
        &["numbers", &path][..],
        &["explain", &path, "--at", "1mA,1V"],
        &["curves", &path],
        &["picture", &path, "-o", &picture],
        &["picture", DEMO, "-o", &picture, "--with", &path],
    ] {
        complains(arguments, &[&place]);
    }
}

/// Nothing that a terminal obeys comes from a file's name, from what stands in it, or from an argument.
#[cfg(unix)]
#[test]
fn control_characters_are_shown_and_not_sent() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a\u{1b}[31m\nb\u{9b}.ron");
    let shown = "a\\u{1b}[31m\\nb\\u{9b}.ron";
    let name = path.to_string_lossy().into_owned();
    complains(&["numbers", &name], &[shown, "found nothing there"]);
    let bad = demo().replacen("60 Hz", "60 \u{1b}[2J Hz", 1);
    fs::write(&path, bad).expect("written");
    complains(
        &["numbers", &name],
        &[shown, "mains.frequency: found \"60 \\u{1b}[2J Hz\""],
    );
    let field = demo().replacen("bleeder:", "bleeder\u{202e}:", 1);
    fs::write(&path, field).expect("written");
    complains(&["numbers", &name], &[shown]);
    let named = demo().replacen("name: \"", "name: \"\\u{1b}]0;x\\u{7}\\u{7f}\\u{9b}", 1);
    fs::write(&path, named).expect("written");
    let no_picture = folder
        .path()
        .join("x.\u{1b}[1m")
        .to_string_lossy()
        .into_owned();
    for arguments in [
        &["numbers", &name][..],
        &["explain", &name, "--at", "20mA,200V"],
        &["explain", &name, "--at", "20mA,200V", "--worked"],
        &["curves", &name],
        &["numbers", &name, "--at", "1mA\u{1b}[2J,5V"],
        &["numbers", &name, "--amps", "\u{9b}2J"],
        &["numbers", &name, "--\u{1b}[2J"],
        &["\u{1b}[2J", &name],
        &["picture", &name, "-o", &no_picture],
    ] {
        let output = sagline(arguments);
        let words = String::from_utf8(output.stdout.clone()).expect("text") + &said(&output);
        assert!(!words.is_empty(), "{arguments:?}");
        let obeyed = |c: char| c != '\n' && (c.is_control() || c == '\u{202e}');
        assert!(!words.contains(obeyed), "{arguments:?}: {words:?}");
    }
    // Programs that read the JSON get the name as it is.
    assert_eq!(numbers(&[&name])["file"], name.as_str());
}

#[test]
fn values_are_cut_and_more_than_the_most_is_refused() {
    let long = "7x".repeat(30_000);
    for arguments in [
        &["numbers", DEMO, "--at", &long][..],
        &["numbers", DEMO, "--amps", &long],
        &["numbers", DEMO, &format!("--{long}")],
        &["picture", DEMO, "-o", "x.png", "--width", &long],
        &["picture", DEMO, "-o", "x.png", "--theme", &long],
    ] {
        let output = sagline(arguments);
        let words = said(&output);
        assert_eq!(output.status.code(), Some(2), "{words}");
        assert!(
            words.contains('…') && words.len() < 1000,
            "{} bytes",
            words.len()
        );
    }
    let many = |each: &str, times: usize| vec![each; times].join(",");
    complains(
        &["numbers", DEMO, "--amps", &many("1mA", 1001)],
        &["--amps", "found \"1001 currents\", expected at most 1000"],
    );
    let points = [&["numbers", DEMO][..], &["--at=0,0"; 1001]].concat();
    complains(&points, &["--at: found 1001 points, expected at most 1000"]);
    let folder = tempfile::tempdir().expect("a folder");
    let with_dummies = |dummies: usize, resistance: &str| {
        let path = folder.path().join(format!("{dummies}.ron"));
        let dummy = format!("(resistance: \"{resistance}\")");
        let list = format!(
            "dummies: [\n{},\n",
            many(&dummy, dummies).replace("),", "),\n")
        );
        let text = demo().replacen("dummies: [\n", &list, 1);
        assert!(text.contains(&list));
        fs::write(&path, text).expect("written");
        path.to_string_lossy().into_owned()
    };
    // The demo has some of its own.
    let own = numbers(&[DEMO])["dummies"].as_array().map_or(0, Vec::len);
    let all = numbers(&[&with_dummies(200 - own, "1k")]);
    assert_eq!(all["dummies"].as_array().map(Vec::len), Some(200));
    complains(
        &["numbers", &with_dummies(201 - own, "1k")],
        &["dummies: found 201 dummy loads, expected at most 200"],
    );
    // Each of them at fault: the first are told, and how many more there are.
    let output = sagline(&["numbers", &with_dummies(900, "-1k")]);
    let words = said(&output);
    assert_eq!(words.lines().count(), 21, "{words}");
    assert!(
        words.ends_with("found 881 more faults, expected none\n"),
        "{words}"
    );
}

/// What never ends or never answers is said, neither read nor replaced; a supply may come by standard input.
#[cfg(unix)]
#[test]
fn pipes_and_devices_are_said_and_standard_input_is_read() {
    use std::os::unix::fs::FileTypeExt as _;
    let folder = tempfile::tempdir().expect("a folder");
    let pipe = folder.path().join("pipe.svg");
    let mode = rustix::fs::Mode::from_raw_mode(0o666);
    rustix::fs::mkfifoat(rustix::fs::CWD, &pipe, mode).expect("a pipe");
    let named = pipe.to_string_lossy();
    let demo = "presets/school-laboratory.ron";
    complains(
        &["numbers", &named],
        &["found a pipe, expected a text file"],
    );
    complains(&["numbers", "/dev/zero"], &["/dev/zero: found a device"]);
    for task in ["picture", "curves"] {
        complains(&[task, demo, "-o", &named], &["found a pipe, expected"]);
    }
    let kind = fs::metadata(&pipe).expect("there").file_type();
    assert!(kind.is_fifo());
    let by_standard_input = |file: fs::File| {
        Command::new(env!("CARGO_BIN_EXE_sagline"))
            .args(["curves", "-"])
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .env("HOME", folder.path())
            .env("XDG_CONFIG_HOME", folder.path())
            .stdin(file)
            .output()
            .expect("the program runs")
    };
    let demo_file = Path::new(env!("CARGO_MANIFEST_DIR")).join(demo);
    let read = by_standard_input(fs::File::open(demo_file).expect("the demo"));
    assert!(read.status.success(), "{}", said(&read));
    assert_eq!(read.stdout, sagline(&["curves", demo]).stdout);
    let endless = by_standard_input(fs::File::open("/dev/zero").expect("a device"));
    assert_eq!(endless.status.code(), Some(2));
    let error = said(&endless);
    assert!(error.contains("-: found more than 4 MB"), "{error}");
}
