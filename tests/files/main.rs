//! Texts that come from people: the presets, and files with every fault that we could think of.

use sagline::parts::catalogue::{BUILT_IN_FILES, Catalogue, presets};
use sagline::parts::check::check_work;
use sagline::parts::file::{FileError, read_work, read_work_checked, write};
use sagline::parts::tube_draft::{Purpose, SheetData, TubeDraft};

mod bad;
mod ranges;

#[test]
fn presets_read_check_clean_and_come_back_the_same() {
    let catalogue = Catalogue::built_in();
    for (file, text) in presets() {
        let work = match read_work_checked(text, &catalogue) {
            Ok(work) => work,
            Err(faults) => panic!("{file}: {}", sentences(&faults)),
        };
        assert!(check_work(&work).is_empty(), "{file}");
        let written = write(&work, &catalogue);
        assert_eq!(
            read_work(&written, &catalogue),
            Ok(work),
            "{file} as written:\n{written}"
        );
    }
}

#[test]
fn a_preset_reads_without_the_catalogue_once_its_types_are_written_out() {
    let catalogue = Catalogue::built_in();
    let none = Catalogue::default();
    for (file, text) in presets() {
        let work = read_work(text, &catalogue).unwrap();
        let written = write(&work, &none);
        assert_eq!(read_work(&written, &none), Ok(work), "{file}:\n{written}");
    }
}

#[test]
fn built_in_types_all_load() {
    let mut catalogue = Catalogue::default();
    for (file, text) in BUILT_IN_FILES {
        let faults = catalogue.add(text);
        assert!(faults.is_empty(), "{file}: {}", sentences(&faults));
    }
    assert_eq!(catalogue, Catalogue::built_in());
    assert_eq!(catalogue.rectifiers.len(), 26);
    assert_eq!(catalogue.pass_tubes.len(), 30);
    assert_eq!(catalogue.control_tubes.len(), 8);
    assert_eq!(catalogue.gas_tubes.len(), 8);
}

#[test]
fn every_name_of_the_format_is_still_read_and_written() {
    let text = include_str!("every-field.ron");
    let work = read_work(text, &Catalogue::default()).unwrap();
    let names = |text: &str| -> Vec<String> {
        let words = text.split(|c: char| !c.is_alphanumeric() && !matches!(c, '_' | ':'));
        let mut names: Vec<String> = (words.filter(|word| word.ends_with(':')))
            .map(str::to_owned)
            .collect();
        names.sort();
        names.dedup();
        names
    };
    assert_eq!(names(&write(&work, &Catalogue::default())), names(text));
    let law = "Law(mu: 2.0, exponent: 1.4, kg1: 600.0, kp: 20.0, kvb: 300.0)";
    let tube = format!("(name: \"L\", units: 1, characteristic: {law})");
    let faults = Catalogue::default().add(&format!("(format: 1, pass_tubes: [{tube}])"));
    assert_eq!(faults, []);
}

#[test]
fn a_draft_kept_by_an_earlier_version_is_for_the_same_tube() {
    let text = "(place: Control, known: Pentode, name: \"A\")";
    let draft: TubeDraft = ron::from_str(text).unwrap();
    let read = (draft.purpose, draft.known, draft.name.as_str());
    assert_eq!(read, (Purpose::Control, SheetData::Pentode, "A"));
}

fn sentences(faults: &[FileError]) -> String {
    let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
    lines.join("\n")
}
