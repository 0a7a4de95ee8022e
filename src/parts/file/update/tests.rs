//! What was not changed stays letter by letter.

mod anywhere;

use super::*;
use crate::parts::catalogue::presets;
use crate::parts::file::tests::Random;
use crate::parts::file::{read_work, updated, write};
use crate::parts::{
    Amps, Dummy, Fraction, GasReference, HeaterTie, Mounting, Ohms, Rating, RatingSystem,
    ReferenceFeed, SecondaryVolts, SeriesElement, Volts, Watts, WindingVolts,
};

fn read_it(text: &str) -> Work {
    read_work(text, Catalogue::built_in_ones()).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

fn preset(name: &str) -> &'static str {
    let found = presets().iter().find(|(file, _)| *file == name);
    found.map(|(_, text)| *text).unwrap()
}

/// The text after this change; it reads as the changed work.
fn after(text: &str, change: impl FnOnce(&mut Work)) -> String {
    let mut work = read_it(text);
    change(&mut work);
    let new = updated(text, &work, Catalogue::built_in_ones()).unwrap();
    assert_eq!(read_it(&new), work, "{new}");
    new
}

/// The lines that went and those that came, each list in its order; all others are in both, in one order.
fn difference<'a>(old: &'a str, new: &'a str) -> (Vec<&'a str>, Vec<&'a str>) {
    let (a, b): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    let mut longest = vec![vec![0_usize; b.len() + 1]; a.len() + 1];
    for i in (0..a.len()).rev() {
        for j in (0..b.len()).rev() {
            longest[i][j] = if a[i] == b[j] {
                longest[i + 1][j + 1] + 1
            } else {
                longest[i + 1][j].max(longest[i][j + 1])
            };
        }
    }
    let (mut gone, mut come, mut i, mut j) = (Vec::new(), Vec::new(), 0, 0);
    while i < a.len() || j < b.len() {
        if i < a.len() && j < b.len() && a[i] == b[j] {
            (i, j) = (i + 1, j + 1);
        } else if j < b.len() && (i == a.len() || longest[i][j + 1] > longest[i + 1][j]) {
            come.push(b[j]);
            j += 1;
        } else {
            gone.push(a[i]);
            i += 1;
        }
    }
    (gone, come)
}

fn all_comments(text: &str) -> Vec<&str> {
    comments(text)
        .into_iter()
        .filter_map(|range| text.get(range))
        .collect()
}

/// Each value in a preset, one at a time: the new text is the old one with other letters in that place, and nowhere else.
#[test]
fn a_changed_value_changes_its_own_letters_alone() {
    fn places(value: &Value<'_>, found: &mut Vec<Range<usize>>) {
        let is_name = |item: &&Item<'_>| {
            let name = item.name.as_deref().unwrap_or_default();
            !["format", "kind", "tube", "control_tube", "tubes", "name"].contains(&name)
        };
        for item in value.items().iter().filter(is_name) {
            places(&item.value, found);
        }
        let is_number = |text: &str| text.starts_with(|c: char| c.is_ascii_digit());
        if is_number(value.text.trim_start_matches('"')) {
            found.push(value.start..value.start + value.text.len());
        }
    }
    let mut count = 0;
    for (_, text) in presets() {
        let mut found = Vec::new();
        places(Tree::of(text).value.as_ref().unwrap(), &mut found);
        for range in found {
            let old = text.get(range.clone()).unwrap();
            // Another number in front of the same unit, in the letters that this program would write.
            let new = match old.trim_matches('"').split_once(' ') {
                Some((_, unit)) => format!("\"3 {unit}\""),
                None if old.contains("-0-") => "\"3-0-3 V\"".to_owned(),
                None if old.starts_with('"') => "\"3 Ω\"".to_owned(),
                None if old.contains('.') => "3.0".to_owned(),
                None => "3".to_owned(),
            };
            let (before, behind) = (text.get(..range.start), text.get(range.end..));
            let typed = [before.unwrap(), &new, behind.unwrap()].concat();
            let work = read_it(&typed);
            let made = updated(text, &work, Catalogue::built_in_ones());
            assert_eq!(made.as_deref(), Some(typed.as_str()));
            count += 1;
        }
    }
    assert!(count > 150, "{count}");
}

#[test]
fn any_work_can_be_put_into_any_text() {
    let catalogue = Catalogue::built_in_ones();
    let mut random = Random::new(catalogue);
    for (_, preset) in presets() {
        let mut text = (*preset).to_owned();
        for _ in 0..60 {
            let work = random.work();
            let made = updated(&text, &work, catalogue);
            let made = made.unwrap_or_else(|| panic!("{work:?}\nin\n{text}"));
            assert_eq!(read_it(&made), work, "{made}");
            // What stands above the stages says something to all that may come there.
            for line in preset
                .lines()
                .filter(|line| line.starts_with("//") || line.starts_with("    //"))
            {
                assert!(made.lines().any(|l| l == line), "{line}\n{made}");
            }
            text = made;
        }
    }
}

/// A few parts of another work in place of those of this one; comments go with what goes, and with nothing else.
#[test]
fn comments_of_what_stays_stay() {
    let catalogue = Catalogue::built_in_ones();
    let mut random = Random::new(catalogue);
    for (file, text) in presets() {
        let tree = Tree::of(text);
        let of_stage = |text: &str, stage: &str| -> Vec<String> {
            let tree = Tree::of(text);
            let value = tree.find(stage);
            let of = |value: &Value<'_>| {
                all_comments(value.text)
                    .into_iter()
                    .map(str::to_owned)
                    .collect()
            };
            value.map(of).unwrap_or_default()
        };
        for _ in 0..60 {
            let (mut work, other) = (read_it(text), random.work());
            let which = random.of(1_u16..1024);
            let is_changed = |stage: u16| which & (1 << stage) != 0;
            let (supply, new) = (&mut work.supply, other.supply);
            let mut changed = Vec::new();
            let mut take = |stage: u16, name: &'static str, change: &mut dyn FnMut()| {
                if is_changed(stage) {
                    changed.push(name);
                    change();
                }
            };
            take(0, "mains", &mut || supply.mains = new.mains.clone());
            take(1, "transformer", &mut || {
                supply.transformer = new.transformer.clone();
            });
            take(2, "rectifier", &mut || {
                supply.rectifier = new.rectifier.clone();
            });
            take(3, "filter", &mut || supply.filter = new.filter.clone());
            take(4, "pass_stage", &mut || {
                supply.pass_stage = new.pass_stage.clone();
            });
            take(5, "regulator", &mut || {
                supply.regulator = new.regulator.clone();
            });
            take(6, "output", &mut || supply.output = new.output.clone());
            take(7, "dummies", &mut || work.dummies = other.dummies.clone());
            take(8, "name", &mut || work.name = other.name.clone());
            take(9, "notes", &mut || work.notes = other.notes.clone());
            let made = updated(text, &work, catalogue).unwrap();
            assert_eq!(read_it(&made), work, "{made}");
            for item in tree.value.as_ref().unwrap().items() {
                let stage = item.name.as_deref().unwrap();
                // A primary that is not described is wound for the nominal mains.
                let follows = stage == "transformer" && changed.contains(&"mains");
                if changed.contains(&stage) || follows {
                    continue;
                }
                let made_tree = Tree::of(&made);
                let now = made_tree.find(stage).unwrap();
                assert_eq!(now.text, item.value.text, "{file} {stage} {changed:?}");
            }
            let gone: usize = (changed.iter())
                .map(|stage| {
                    of_stage(text, stage)
                        .len()
                        .saturating_sub(of_stage(&made, stage).len())
                })
                .sum();
            // Behind a stage that goes its own comment may go; a regulator alone can.
            let goes = usize::from(changed.contains(&"regulator"));
            let (before, now) = (all_comments(text).len(), all_comments(&made).len());
            assert!(
                now + gone + goes >= before,
                "{file} {changed:?}: {before} {now}\n{made}"
            );
        }
    }
}

#[test]
fn what_means_the_same_stays_as_it_was_typed() {
    let text = preset("choke-input.ron")
        .replace("\"10 kΩ\", // 14 W", "\"10k\" /* typed */, // 14 W")
        .replace("\"400 V\"", "\"0.4 kV\"");
    let new = after(&text, |work| work.supply.output.set_high = Volts(260.0));
    assert_eq!(
        difference(&text, &new),
        (
            vec!["        set_high: \"250 V\","],
            vec!["        set_high: \"260 V\","]
        )
    );
    assert!(new.contains("bleeder: \"10k\" /* typed */, // 14 W"));
    // Nothing changed: not a letter is.
    assert_eq!(after(&text, |_| ()), text);
}

#[test]
fn a_new_field_comes_behind_its_neighbour_and_one_that_goes_takes_its_line() {
    let text = preset("choke-input.ron");
    let new = after(text, |work| {
        work.supply.filter.bleeder = None;
        work.supply.pass_stage.tube_spread = Some(Fraction(0.2));
        work.supply.output.set_low = Volts(0.0);
        work.supply.mains.present = Volts(225.0);
    });
    assert_eq!(
        difference(text, &new),
        (
            vec![
                "        bleeder: \"10 kΩ\", // 14 W: a 25 W resistor",
                "        set_low: \"150 V\","
            ],
            vec![
                "        present: \"225 V\",",
                "        tube_spread: \"20 %\",",
                "        set_low: \"0 V\","
            ]
        )
    );
    let lines: Vec<&str> = new.lines().map(str::trim_start).collect();
    for pair in [
        [
            "nominal: \"230 V\", // low and high: 10 % either way (IEC 60038)",
            "present: \"225 V\",",
        ],
        ["imbalance: \"15 %\",", "tube_spread: \"20 %\","],
    ] {
        assert!(
            lines.windows(2).any(|two| two == pair),
            "{pair:?} in\n{new}"
        );
    }
    let new = after(text, |work| {
        work.supply.rectifier.plate_resistor = Ohms(47.0);
    });
    assert!(
        new.contains("    rectifier: (kind: \"GZ34\", plate_resistor: \"47 Ω\"),\n"),
        "{new}"
    );
}

#[test]
fn a_whole_stage_comes_and_goes() {
    let text = preset("choke-input.ron");
    let without = after(text, |work| work.supply.regulator = None);
    assert!(
        without.contains("// A fixed range. A µ of 2 wants much"),
        "{without}"
    );
    let regulator = read_it(text).supply.regulator;
    let again = after(&without, |work| work.supply.regulator = regulator);
    let at = |part: &str| again.find(part).unwrap();
    assert!(at("    pass_stage: (") < at("    regulator: (\n        control_tube: \"6AU6\",\n"));
    assert!(at("    regulator: (") < at("    output: ("), "{again}");
}

/// Both halves as the person wrote them stay so, until those volts are changed; one figure stays one.
#[test]
fn a_winding_keeps_the_way_in_which_it_is_written() {
    let plain = preset("choke-input.ron");
    let figure = plain.split("OpenCircuit(\"").nth(1).unwrap();
    let figure = figure.split('"').next().unwrap();
    let spelt = "360V – 0 – 360";
    let text = plain.replacen(
        &format!("OpenCircuit(\"{figure}"),
        &format!("OpenCircuit(\"{spelt}"),
        1,
    );
    let other = after(&text, |work| work.supply.transformer.auxiliary.0 += 1.0);
    assert!(other.contains(spelt), "{other}");
    let wider = |work: &mut Work| {
        let winding = &mut work.supply.transformer.winding;
        let (WindingVolts::OpenCircuit(volts) | WindingVolts::Loaded { volts, .. }) = winding;
        *volts = volts.with(*volts, |of, _| of + 5.0);
    };
    assert!(after(&text, wider).contains("\"365-0-365 V\""));
    assert!(!after(plain, wider).contains("-0-"));
}

#[test]
fn a_change_of_kind_keeps_the_comments_around_and_in_it() {
    let text = preset("choke-input.ron").replace(
        "series: Choke(inductance: \"10 H\",",
        "series: Choke( // from the drawer\n                    inductance: \"10 H\", /* measured */",
    );
    let new = after(&text, |work| {
        work.supply.filter.sections[0].series = SeriesElement::Resistor(Ohms(470.0));
        work.supply.pass_stage.heater = Some(HeaterTie::Elevated(Volts(60.0)));
        work.supply.transformer.winding = WindingVolts::Loaded {
            volts: SecondaryVolts::One(Volts(380.0)),
            amps: Amps(0.2),
        };
    });
    for part in [
        "                // from the drawer\n                /* measured */\n                series: Resistor(\"470 Ω\"),\n",
        "heater: Elevated(\"60 V\"), // a winding of their own",
        "        winding: Loaded(volts: \"380 V\", amps: \"200 mA\"),\n",
    ] {
        assert!(new.contains(part), "no {part} in\n{new}");
    }
    assert_eq!(all_comments(&new).len(), all_comments(&text).len());
}

fn dummy(name: &str, ohms: f64) -> Dummy {
    Dummy {
        name: name.to_owned(),
        resistance: Ohms(ohms),
        power: Some(Watts(50.0)),
        working_volts: None,
        tolerance: Fraction(0.05),
        derating: Some(Fraction(1.0)),
        kind: None,
        mounting: Mounting::FreeAir,
        made_of: None,
    }
}

const DUMMIES: &str = "    dummies: [
        // from the surplus shop
        (name: \"a\", resistance: \"1k\", power: \"50 W\"), // of a
        // hums
        (name: \"b\", resistance: \"2k\", power: \"50 W\"), // of b
        (name: \"c\", resistance: \"3k\", power: \"50 W\"), // of c
        // no more to come
    ],
";

fn with_dummies() -> String {
    let text = preset("choke-input.ron");
    let at = text.find("    dummies: [").unwrap();
    format!("{}{DUMMIES})\n", text.get(..at).unwrap())
}

/// What is done to the dummies.
type Change = fn(&mut Vec<Dummy>);

#[test]
fn elements_of_a_list_come_go_and_move_with_their_comments() {
    let text = with_dummies();
    let lines = |wanted: [&str; 7]| -> String {
        let known = DUMMIES.lines().skip(1).take(6);
        let known: Vec<(&str, &str)> = known.map(|line| (line.trim(), line)).collect();
        let line = |w: &str| {
            known
                .iter()
                .find(|(k, _)| *k == w)
                .map_or_else(|| format!("        {w}"), |(_, l)| (*l).to_owned())
        };
        let lines: Vec<String> = wanted
            .iter()
            .filter(|w| !w.is_empty())
            .map(|w| line(w))
            .collect();
        format!("    dummies: [\n{}\n    ],\n)\n", lines.join("\n"))
    };
    let [a, b, c] = ["a", "b", "c"].map(|n| {
        let line = DUMMIES.lines().find(|l| l.contains(&format!("\"{n}\"")));
        line.unwrap().trim()
    });
    let (shop, hums, end) = ("// from the surplus shop", "// hums", "// no more to come");
    let added = "(name: \"d\", resistance: \"4 kΩ\", power: \"50 W\", tolerance: \"5 %\", derating: \"100 %\"),";
    let cases: [(&str, Change, [&str; 7]); 6] = [
        (
            "added at the end",
            |d| d.push(dummy("d", 4e3)),
            [shop, a, hums, b, c, added, end],
        ),
        (
            "added before all",
            |d| d.insert(0, dummy("d", 4e3)),
            [added, shop, a, hums, b, c, end],
        ),
        (
            "removed in the middle",
            |d| drop(d.remove(1)),
            [shop, a, hums, c, end, "", ""],
        ),
        (
            "removed at the end",
            |d| drop(d.remove(2)),
            [shop, a, hums, b, end, "", ""],
        ),
        (
            "moved down",
            |d| d.swap(1, 2),
            [shop, a, hums, b, c, end, ""],
        ),
        ("all removed", Vec::clear, [shop, hums, end, "", "", "", ""]),
    ];
    for (what, change, wanted) in cases {
        let made = after(&text, |work| change(&mut work.dummies));
        let at = made.find("    dummies: [").unwrap();
        let tail = made.get(at..).unwrap();
        if what == "moved down" {
            // Either of the two may be said to have moved; each has its comments still.
            let orders = [
                [shop, a, c, hums, b, end, ""],
                [shop, a, hums, c, b, end, ""],
            ];
            assert!(
                orders.iter().any(|order| tail == lines(*order)),
                "{what}\n{tail}"
            );
        } else {
            assert_eq!(tail, lines(wanted), "{what}");
        }
    }
}

#[test]
fn one_of_many_that_changed_is_found_by_its_name() {
    let text = with_dummies();
    let made = after(&text, |work| {
        work.dummies.remove(0);
        work.dummies[0].resistance = Ohms(2200.0);
        work.dummies.push(dummy("d", 4e3));
    });
    let (gone, come) = difference(&text, &made);
    assert_eq!(gone.len(), 2, "{made}");
    assert_eq!(come.len(), 2, "{made}");
    assert!(
        made.contains("(name: \"b\", resistance: \"2.2 kΩ\", power: \"50 W\"), // of b\n"),
        "{made}"
    );
}

#[test]
fn sections_and_tubes_in_lists_come_and_go() {
    let text = preset("choke-input.ron");
    let two = after(text, |work| {
        let mut section = work.supply.filter.sections[0].clone();
        section.series = SeriesElement::Resistor(Ohms(100.0));
        work.supply.filter.sections.push(section);
        let tube = Catalogue::built_in_ones().gas_tubes[0].clone();
        let reference: &mut Option<GasReference> =
            &mut work.supply.regulator.as_mut().unwrap().reference;
        reference.as_mut().unwrap().tubes.push(tube);
    });
    let (gone, _) = difference(text, &two);
    assert_eq!(
        gone,
        ["        reference: (tubes: [\"85A2\"], feed_resistor: \"27 kΩ\", fed_from: Output),"]
    );
    assert!(two.contains("            (\n                series: Resistor(\"100 Ω\"),\n                capacitor: (\n"), "{two}");
    let one = after(&two, |work| {
        work.supply.filter.sections.remove(0);
        work.supply
            .regulator
            .as_mut()
            .unwrap()
            .reference
            .as_mut()
            .unwrap()
            .tubes
            .remove(0);
    });
    assert!(one.contains("(tubes: [\""), "{one}");
    let none = after(&one, |work| work.supply.filter.sections.clear());
    assert!(none.contains("        sections: [\n        ],\n"), "{none}");
    let again = after(&none, |work| {
        work.supply.filter.sections = read_it(text).supply.filter.sections;
    });
    assert_eq!(read_it(&again), {
        let mut w = read_it(&two);
        w.supply.filter.sections.pop();
        w.supply.regulator = read_it(&one).supply.regulator;
        w
    });
}

#[test]
fn a_rating_keeps_what_else_is_said_of_it() {
    let text = preset("choke-input.ron").replace(
        "(\"220 mA\", DesignCentre)",
        "(\"220 mA\", DesignCentre /* its plate */)",
    );
    let new = after(&text, |work| {
        let rating: &mut Option<Rating<Amps>> = &mut work.supply.transformer.winding_rating;
        rating.as_mut().unwrap().value = Amps(0.25);
    });
    assert!(
        new.contains("winding_rating: (\"250 mA\", DesignCentre /* its plate */),"),
        "{new}"
    );
    let new = after(&text, |work| {
        let rating = work.supply.transformer.winding_rating.as_mut().unwrap();
        rating.system = RatingSystem::AbsoluteMaximum;
    });
    assert!(
        new.contains("winding_rating: (\"220 mA\", AbsoluteMaximum /* its plate */),"),
        "{new}"
    );
}

#[test]
fn own_types_stay_come_and_change() {
    let catalogue = Catalogue::built_in_ones();
    let mut work = read_it(preset("choke-input.ron"));
    "my GZ34".clone_into(&mut work.supply.rectifier.kind.name);
    let plain = write(&work, catalogue);
    let text = plain.replace(
        "            (\n                name: \"my GZ34\",",
        "            ( // old stock\n                name: \"my GZ34\", // mine",
    );
    assert_ne!(text, plain);
    assert_eq!(all_comments(&text).len(), 2, "{text}");
    // Another is chosen: the type stays where it was described.
    let kind = read_it(preset("choke-input.ron")).supply.rectifier.kind;
    let new = after(&text, |work| work.supply.rectifier.kind = kind.clone());
    assert_eq!(difference(&text, &new).0.len(), 1, "{new}");
    assert!(new.contains("name: \"my GZ34\", // mine"), "{new}");
    // It is changed.
    let new = after(&text, |work| work.supply.rectifier.kind.plates = 1);
    assert_eq!(difference(&text, &new).0.len(), 1, "{new}");
    // One of the catalogue's name that is not the catalogue's, and then the catalogue's again.
    let named = text.replace("my GZ34", "GZ34");
    let named = named.replace("plates: 2", "plates: 1");
    let new = after(&named, |work| work.supply.rectifier.kind = kind);
    assert!(!new.contains("name: \"GZ34\""), "{new}");
    // One more, of another kind.
    let new = after(&text, |work| {
        "my tube".clone_into(&mut work.supply.pass_stage.tube.name);
    });
    assert_eq!(difference(&text, &new).0.len(), 1, "{new}");
}

#[test]
fn the_files_own_lines_are_kept() {
    let windows = preset("choke-input.ron").replace('\n', "\r\n");
    let new = after(&windows, |work| {
        work.supply.pass_stage.tube_spread = Some(Fraction(0.2));
        work.supply.regulator = None;
        work.dummies.push(dummy("d", 4e3));
    });
    assert_eq!(
        new.matches('\n').count(),
        new.matches("\r\n").count(),
        "{new:?}"
    );
    let narrow = preset("choke-input.ron").replace("    ", "\t");
    let regulator = read_it(&narrow).supply.regulator;
    let new = after(&narrow, |work| work.supply.regulator = None);
    let new = after(&new, |work| work.supply.regulator = regulator);
    assert!(
        new.contains("\n\tregulator: (\n\t\tcontrol_tube: \"6AU6\",\n"),
        "{new}"
    );
    assert!(!new.contains("    "), "{new}");
    // All on one line.
    let usual = write(
        &read_it(preset("half-wave.ron")),
        Catalogue::built_in_ones(),
    );
    let lines: Vec<&str> = usual.lines().map(str::trim).collect();
    let line = lines.join(" ");
    let new = after(&line, |work| {
        work.supply.filter.bleeder = None;
        work.supply.pass_stage.heater = Some(HeaterTie::Cathode);
        work.dummies.push(dummy("d", 4e3));
        work.dummies.remove(0);
    });
    assert_eq!(new.lines().count(), 1, "{new}");
}

#[test]
fn odd_but_lawful_texts_are_understood() {
    let text = preset("choke-input.ron")
        .replace("bleeder: \"10 kΩ\",", "bleeder: Some(\"10 kΩ\"),")
        .replace("heater: Cathode,", "heater: None,")
        .replace(
            "    dummies: [",
            "    accepted: [], // none yet\n    dummies: [",
        )
        .replace(
            "foot: Common)",
            "foot: Common /* the foot */ , // and so on\n        )",
        )
        .replace(
            "reference: (tubes",
            "reference: ( // gas\n            tubes",
        );
    let all = all_comments(&text).len();
    let new = after(&text, |work| {
        work.supply.filter.bleeder = Some(Ohms(12e3));
        work.supply.pass_stage.heater = Some(HeaterTie::Common);
        let regulator = work.supply.regulator.as_mut().unwrap();
        regulator.divider.foot = crate::parts::Tap::BiasRail;
        let reference = regulator.reference.as_mut().unwrap();
        reference.drawn = Amps(0.001);
        reference.fed_from = ReferenceFeed::Bus;
    });
    assert!(new.contains("bleeder: Some(\"12 kΩ\"), // 14 W"), "{new}");
    assert!(
        new.contains("foot: BiasRail /* the foot */ , // and so on\n"),
        "{new}"
    );
    assert_eq!(all_comments(&new).len(), all, "{new}");
}

#[test]
fn no_text_is_made_where_none_can_be() {
    let catalogue = Catalogue::built_in_ones();
    let work = read_it(preset("half-wave.ron"));
    for text in ["", "my notes", "(format: 1, // mine\n)", "(format: 9)"] {
        assert_eq!(updated(text, &work, catalogue), None, "{text}");
    }
}

#[test]
fn comments_are_told_from_what_only_looks_like_them() {
    let text = "// one\n(a: \"no // comment\", /* two /* in it */ */ b: r#\"/* no \" */\"#, c: r, // three\n)";
    assert_eq!(
        all_comments(text),
        ["// one", "/* two /* in it */ */", "// three"]
    );
    assert_eq!(all_comments("\"open // text"), Vec::<&str>::new());
    assert_eq!(all_comments("/* open"), Vec::<&str>::new());
}

/// A type of one's own folder is written into the file: the file is to be read where there is no such folder.
#[test]
fn a_type_that_is_not_built_in_comes_with_the_file() {
    let (_, text) = presets()[1];
    let mut own = Catalogue::built_in();
    let mut tube = own.pass_tubes[3].clone();
    "my tube".clone_into(&mut tube.name);
    own.pass_tubes.push(tube.clone());
    let mut work = read_it(text);
    work.supply.pass_stage.tube = tube;
    let new = updated(text, &work, &own).unwrap();
    assert_eq!(read_it(&new), work);
    assert_eq!(read_it(&write(&work, &own)), work);
    // Another of a built-in name in one's own folder: the file goes on meaning the built-in one.
    own.pass_tubes.iter_mut().for_each(|tube| tube.units = 7);
    let new = after(text, |work| work.supply.output.set_high = Volts(260.0));
    let mut work = read_it(&new);
    work.supply.output.set_high = Volts(270.0);
    let newer = updated(&new, &work, &own).unwrap();
    assert_eq!(read_work(&newer, &own).as_ref(), Ok(&work));
    assert_eq!(read_it(&newer), work);
}
