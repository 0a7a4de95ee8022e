//! The user's own types: read from the folder of types, what is wrong with them said.

use crate::app::disk::files;
use crate::app::disk::settings::Folders;
use crate::explain::tube;
use crate::parts::catalogue::Catalogue;
use crate::parts::own_catalogue::{TubeEntry, tube_entries};
use crate::parts::{ControlTubeKind, PlateCharacteristic};
use crate::physics::device::triode_fit;

/// The built-in types and the user's own. Every fault of an own file is a sentence with file, line and field; what is
/// sound in it is read all the same.
pub(crate) fn catalogue(folders: &Folders) -> (Catalogue, Vec<String>) {
    let mut catalogue = Catalogue::built_in();
    let mut faults = Vec::new();
    for path in folders.types().iter().flat_map(|f| files::ron_files(f)) {
        let text = match files::read_text(&path) {
            Ok(text) => text,
            Err(error) => {
                faults.push(error.to_string());
                continue;
            }
        };
        let mut own = Catalogue::default();
        let mut said: Vec<String> = own.add(&text).iter().map(ToString::to_string).collect();
        if let Some(last) = said.last_mut()
            && own != Catalogue::default()
        {
            last.push_str("; the sound types of this file are in use");
        }
        said.extend(doubts(&text, &own));
        faults.extend(files::told_of(&path, &said));
        // The same text once more, over the built-in types: what is wrong with it was said.
        let _said = catalogue.add(&text);
    }
    (catalogue, faults)
}

/// The tubes of a text whose points no triode has, or whose points are in the wrong order.
fn doubts(text: &str, own: &Catalogue) -> Vec<String> {
    let doubt = |at: TubeEntry| {
        let known = if at.is_pass {
            own.pass_tube(&at.name).map(|tube| &tube.characteristic)
        } else {
            own.control_tube(&at.name)
                .and_then(|tube| match &tube.kind {
                    ControlTubeKind::Triode(known) => Some(known),
                    ControlTubeKind::Pentode { .. } => None,
                })
        };
        let Some(PlateCharacteristic::Published {
            points,
            small_signal,
        }) = known
        else {
            return None;
        };
        let fit = triode_fit::fit(points, small_signal);
        let said = tube::own_type_doubt(fit.as_ref(), points, &at.points)?;
        let line = at
            .line
            .map(|line| format!("line {line}, "))
            .unwrap_or_default();
        Some(format!("{line}{}, {}: {said}", at.path, at.name))
    };
    tube_entries(text).into_iter().filter_map(doubt).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is said about a file of own types, and what is read.
    fn said(text: &str) -> (Vec<String>, Catalogue) {
        let folder = tempfile::tempdir().expect("a folder");
        let folders = Folders {
            config: Some(folder.path().to_owned()),
            recovery: None,
        };
        let types = folders.types().expect("a folder of types");
        files::make_folder(&types).expect("made");
        let path = types.join("own-tubes.ron");
        files::write_text(&path, text).expect("written");
        let (catalogue, said) = catalogue(&folders);
        let shown = format!("{}: ", path.display());
        let said = said
            .iter()
            .map(|line| {
                line.strip_prefix(&shown)
                    .expect("names the file")
                    .to_owned()
            })
            .collect();
        (said, catalogue)
    }

    #[test]
    fn a_slip_costs_one_type_and_is_said() {
        let (said, catalogue) = said(
            "(format: 1, pass_tubes: [\n(name: \"A\", units 1),\n(name: \"B\", units: 1, characteristic: ZeroBias([(\"0 V\", \"0 A\"), (\"40 V\", \"150 mA\")])),\n])",
        );
        assert_eq!(
            said,
            [
                "line 2, pass_tubes[0]: found `1)`, expected a colon between a field's name and its value; the sound types of this file are in use"
            ]
        );
        assert!(catalogue.pass_tube("B").is_some() && catalogue.pass_tube("6080").is_some());
    }

    #[test]
    fn points_that_no_triode_has_are_named_with_their_lines() {
        let points = |last: &str| {
            format!(
                "(format: 1, pass_tubes: [(name: \"A\", units: 1, characteristic: Published(points: [\n\
                 (plate: \"150 V\", grid: \"-20 V\", current: \"32 mA\"),\n\
                 (plate: \"200 V\", grid: \"-30 V\", current: \"42 mA\"),\n\
                 (plate: \"250 V\", grid: \"-45 V\", current: \"38 mA\"),\n\
                 (plate: \"250 V\", grid: \"-35 V\", current: \"72 mA\"),\n\
                 (plate: \"255 V\", grid: \"-45 V\", current: \"{last}\"),\n])),])"
            )
        };
        assert_eq!(said(&points("40 mA")).0, Vec::<String>::new());
        let (falling, catalogue) = said(&points("20 mA"));
        assert_eq!(
            falling,
            [
                "line 1, pass_tubes[0], A: All other points are of one triode, which passes 41.8 mA at line 6 (255 V, −45 V): is a number or a unit misread there? The type is in the list, but its curve is not known"
            ]
        );
        assert!(catalogue.pass_tube("A").is_some());
        let (swapped, _) = said(&points("35.5 mA"));
        assert!(
            swapped.len() == 1
                && swapped[0].contains("though the volts are no lower: is one of them misread?"),
            "{swapped:?}"
        );
    }
}
