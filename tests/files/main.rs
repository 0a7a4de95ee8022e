//! Texts that come from people: the presets, and files with every fault that we could think of.

use sagline::parts::catalogue::{BUILT_IN_FILES, Catalogue, presets};
use sagline::parts::check::check_work;
use sagline::parts::file::{FileError, read_work, read_work_checked, write};

mod bad;

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

fn sentences(faults: &[FileError]) -> String {
    let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
    lines.join("\n")
}
