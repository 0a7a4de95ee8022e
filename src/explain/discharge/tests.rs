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
        After switch-off (nothing connected, 126 V mains before, tubes cold): 8.37 J, about 8.43 s to 60 V; the rail stays charged
        Nothing connected, 126 V mains: 8.37 J, about 8.43 s to 60 V; the rail stays charged
        8.37 J, about 8.43 s to 60 V; the rail stays charged
        Tubes cold: 60 V after 8.43 s, 10 V after 16.3 s
        Still warm: 60 V after 3.96 s, 10 V after 5.51 s; 60 V between 3.91 s and 3.99 s by how slowly they cool
        Bleeder open: 60 V after 35.7 s, 10 V after 1 min 9 s
        Negative rail: stays at about 180 V: nothing bleeds it any further
        From the point: load left on, 60 V after 651 ms, 10 V after 1.23 s
        With no load: as long as one likes, within all working volts
        After switch-off (nothing connected, 126 V mains before, tubes cold): 8.82 J, stays charged, nothing bleeds it
        Nothing connected, 126 V mains: 8.82 J, stays charged, nothing bleeds it
        8.82 J, stays charged, nothing bleeds it
        Tubes cold: stays at 427 V: nothing bleeds it
        Still warm: 60 V after 8.24 s, 10 V after 10.3 s; it may stay charged if they cool faster
        Bleeder: there is none
        Negative rail: stays at about 180 V: nothing bleeds it any further
        From the point: load left on, 60 V after 717 ms, 10 V after 1.35 s
        With no load: half a minute at a time (judgement): above working volts
        ");
}
