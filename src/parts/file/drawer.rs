//! The drawer as text and back: `(format: 1, resistors: [(count: 4, resistance: "10 kΩ", power: "25 W", kind: WireWound), …])`.

use crate::parts::catalogue::Catalogue;
use crate::parts::check;
use crate::parts::drawer::{Drawer, MOST, Owned};
use crate::parts::escape::shortened;
use crate::parts::file::fault::{Fault, Lines};
use crate::parts::file::fields::Fields;
use crate::parts::file::layout::Text;
use crate::parts::file::notation::{
    Notation, Reading, Record, Sources, put, read_record, record, write_record,
};
use crate::parts::file::tree::{Tree, Value};
use crate::parts::file::{FORMAT, FileError, refuse_newer};
use crate::parts::rating::RatingSystem;
use crate::parts::resistor::Resistor;

record!(Owned, "owned", context, {
    count or 1,
    @with resistor: Resistor,
});

/// Reads a drawer and checks it.
///
/// # Errors
/// The one fault for which the text cannot be read, or else every value that is out of its range: line, field, found, expected.
pub fn read_drawer(text: &str) -> Result<Drawer, Vec<FileError>> {
    let tree = Tree::of(text);
    refuse_newer(text, &tree).map_err(|newer| vec![newer])?;
    let lines = Lines::of(text);
    let (sources, none) = (Sources::new(), Catalogue::default());
    let context = Reading {
        is_broken: tree.fault.is_some(),
        ..Reading::of(&sources, &none)
    };
    let drawer = tree
        .read(|file| read_file(file, &context))
        .map_err(|fault| vec![fault.in_text(&lines, tree.start(""))])?;
    let problems = check::drawer(&drawer);
    if problems.is_empty() {
        return Ok(drawer);
    }
    let located = problems.into_iter().map(|problem| FileError {
        line: Some(lines.at(tree.start(&problem.field))),
        field: problem.field,
        found: problem.found,
        expected: problem.expected,
    });
    Err(located.collect())
}

fn read_file(file: &Value<'_>, context: &Reading<'_>) -> Result<Drawer, Fault> {
    let fields = Fields::of(file, "drawer", &["format", "resistors"])?;
    fields.get_by("format", None, |version| version.number::<u32>("1"))?;
    let resistors: Vec<Owned> = fields.get("resistors", context, Some(Vec::new()))?;
    if resistors.len() > usize::from(MOST) {
        let found = shortened(&format!("{} entries", resistors.len()));
        return Err(Fault::at(file.start, found, format!("at most {MOST}")));
    }
    fields.end(Drawer { resistors })
}

/// Writes a drawer so that [`read_drawer`] gives the same back.
pub fn write_drawer(drawer: &Drawer) -> String {
    let mut file = vec![Text::Plain(FORMAT.to_string()).field("format")];
    put(&mut file, "resistors", &drawer.resistors, None);
    Text::group("", file).lines()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::drawer::read_lines;

    #[test]
    fn a_drawer_comes_back_as_it_was_written() {
        let mut drawer = Drawer::default();
        let jotted = "4 × 10k 25 W wire-wound\n2 x 4k7K 50W 1250V alu on a plate \"left \\ shelf\"\nR47 7W cement boxed";
        for (_, owned) in read_lines(jotted).read {
            drawer.put(owned);
        }
        let text = write_drawer(&drawer);
        assert_eq!(read_drawer(&text), Ok(drawer), "{text}");
        assert_eq!(read_drawer("(format: 1)"), Ok(Drawer::default()));
    }
}
