//! Texts that come from people: the presets, and files with every fault that we could think of.

use sagline::parts::catalogue::{BUILT_IN_FILES, Catalogue, presets};
use sagline::parts::check::check_work;
use sagline::parts::file::{FileError, read_work, read_work_checked, write};
use sagline::parts::tube_draft::{Purpose, SheetData, TubeDraft};

mod bad;
mod bad_primary;
mod bad_rail;
mod drawer;
mod ranges;
mod spreads;

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
    assert_eq!(catalogue.rectifiers.len(), 59);
    assert_eq!(catalogue.pass_tubes.len(), 59);
    assert_eq!(catalogue.control_tubes.len(), 33);
    assert_eq!(catalogue.gas_tubes.len(), 34);
}

/// How many numbers of the built-in types stand there with each word for how sure they are.
fn numbers_by_sureness() -> Vec<(&'static str, usize)> {
    let words = [
        "Seen",
        "Quoted",
        "CrossChecked",
        "MemoryHigh",
        "MemoryMedium",
        "MemoryLow",
        "Calculated",
    ];
    let code = BUILT_IN_FILES.iter().flat_map(|(_, text)| text.lines());
    let code = code.map(|line| line.split("//").next().unwrap_or_default());
    let written: Vec<&str> = code
        .flat_map(|line| line.split(|c: char| !c.is_alphanumeric()))
        .collect();
    (words.into_iter())
        .map(|word| (word, written.iter().filter(|w| **w == word).count()))
        .collect()
}

#[test]
fn the_readme_says_how_many_numbers_of_the_types_are_from_memory() {
    let readme = include_str!("../../README.md");
    let counted = numbers_by_sureness();
    let of = |wanted: &[&str]| -> usize {
        let chosen = counted.iter().filter(|(word, _)| wanted.contains(word));
        chosen.map(|(_, count)| count).sum()
    };
    let all: usize = counted.iter().map(|(_, count)| count).sum();
    let memory = ["CrossChecked", "MemoryHigh", "MemoryMedium", "MemoryLow"];
    let sentence = format!(
        "Of {all} numbers {} were read on a maker's sheet, {} on a page that quotes one, {} follow from others, and {} are from memory \
         ({} with high confidence, {} with medium, {} with low)",
        of(&["Seen"]),
        of(&["Quoted"]),
        of(&["Calculated"]),
        of(&memory),
        of(&["CrossChecked", "MemoryHigh"]),
        of(&["MemoryMedium"]),
        of(&["MemoryLow"]),
    );
    assert!(readme.contains(&sentence), "{sentence}");
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
