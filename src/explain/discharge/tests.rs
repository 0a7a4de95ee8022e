use super::*;
use crate::bench::run_down::run_down;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_checked;
use crate::physics::Model;
use crate::physics::envelope::envelope;

fn said_of(name: &str, change: impl Fn(&mut Supply)) -> Vec<String> {
    let Some((_, text)) = presets().iter().find(|(n, _)| *n == name) else {
        return Vec::new();
    };
    let Ok(mut supply) = read_checked(text, &Catalogue::built_in()) else {
        return Vec::new();
    };
    change(&mut supply);
    let found = Model::of(&supply).and_then(|model| {
        let envelope = envelope(&model)?;
        run_down(&model, &envelope, [0.05, 200.0])
    });
    found.map_or_else(
        |why| vec![format!("{why:?}")],
        |found| {
            let beside = beside(&found, &supply)
                .into_iter()
                .map(|pair| pair.join(": "));
            titles(&found).into_iter().chain(beside).collect()
        },
    )
}

#[test]
fn the_words_beside_the_curves() {
    let school = said_of("school-laboratory.ron", |_| ());
    let open = said_of("school-laboratory.ron", |supply| {
        supply.filter.bleeder = None;
        for stack in supply.filter.stacks_mut() {
            stack.balancing = None;
        }
    });
    insta::assert_snapshot!([school, open].concat().join("\n"), @r"
        ");
}
