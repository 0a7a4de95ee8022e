//! Lines as people write them.

use super::*;

fn only(text: &str) -> Owned {
    let lines = read_lines(text);
    assert_eq!(lines.faults, [], "{text}");
    assert_eq!(lines.read.len(), 1, "{text}: {lines:?}");
    lines.read[0].1.clone()
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * b.abs()
}

#[test]
fn an_entry_reads_in_other_peoples_spellings() {
    for text in [
        "4 × 10k 25 W wire-wound",
        "4x 10k/25W ww",
        "10k 25W x4 wirewound",
        "4 pcs 10 kΩ 25W ww",
        "4x10k 25W, wire wound",
        "10 K 25 watts (4 off) vitreous",
        "4 10k 25W wire-wound",
        "10kohm 25 W qty 4 tubular",
        "25W 10k0 *4 WW",
        "4pcs 10000 ohm 25W ww // from the surplus shop",
        "10,0k 25W x4 ww",
        "\u{2022}4 × 10k 25 W wire-wound".trim_start_matches('\u{2022}'),
    ] {
        let owned = only(text);
        assert_eq!(owned.count, 4, "{text}");
        assert!(near(owned.resistor.resistance.0, 10e3), "{text}: {owned:?}");
        assert!(near(owned.resistor.power.0, 25.0), "{text}: {owned:?}");
        assert_eq!(owned.resistor.kind, Some(ResistorKind::WireWound), "{text}");
    }
}

#[test]
fn letters_of_the_standard_and_words_for_the_rest() {
    let owned = only("2x 4k7J 50W 1250V aluminium-clad on a plate \"left shelf\"");
    let resistor = &owned.resistor;
    assert!(near(resistor.resistance.0, 4700.0) && near(resistor.tolerance.0, 0.05));
    assert_eq!(resistor.working_volts, Some(Volts(1250.0)));
    assert_eq!(resistor.kind, Some(ResistorKind::AluminiumHoused));
    assert_eq!(resistor.mounting, Mounting::OnPlate);
    assert_eq!(resistor.name, "left shelf");
    for (text, ohms, tolerance) in [
        ("R47 5W", 0.47, 0.05),
        ("4R7K 5W", 4.7, 0.10),
        ("1M 2W M", 1e6, 0.20),
        ("10k ±1% 1/2 W", 10e3, 0.01),
        ("470R 10 % 7W", 470.0, 0.10),
        ("1M5F 0.5W", 1.5e6, 0.01),
        ("470 7W", 470.0, 0.05),
        ("10 kΩ G 2W", 10e3, 0.02),
    ] {
        let resistor = only(text).resistor;
        assert!(near(resistor.resistance.0, ohms), "{text}: {resistor:?}");
        assert!(
            near(resistor.tolerance.0, tolerance),
            "{text}: {resistor:?}"
        );
    }
    assert!(near(only("10k 1/2 W").resistor.power.0, 0.5));
    assert!(near(only("10/25W").resistor.resistance.0, 10.0));
}

#[test]
fn what_cannot_be_read_is_asked_about_with_its_line() {
    let text = "4 x 10k 25W\n\n10k\n25 W\n10k 25W wirewund\n0 x 10k 5W\n10k 22k 5W\n4,10k,25W\n10k 25W 300 x\n10k 25W \"open\n10k -5W";
    let lines = read_lines(text);
    assert_eq!(lines.read.len(), 1);
    assert_eq!(lines.read[0].0, 1);
    let at: Vec<usize> = lines.faults.iter().map(|fault| fault.line).collect();
    assert_eq!(at, [3, 4, 5, 6, 7, 8, 9, 10, 11], "{:#?}", lines.faults);
    assert!(
        lines
            .faults
            .iter()
            .all(|fault| !fault.expected.is_empty() && !fault.found.is_empty())
    );
    insta::assert_snapshot!(lines.faults[2].to_string(), @"line 5: found wirewund, expected a value with its unit, a kind (wire-wound, aluminium-housed, cement, metal oxide, metal film, carbon composition), a mounting (bare, on a plate, boxed in), or a name in quotes");
}

#[test]
fn an_entry_is_written_as_it_is_read() {
    for text in [
        "4 × 10k 25 W wire-wound",
        "2 x 4k7K 50W 1250V alu on a plate derated 30 % \"left shelf\"",
        "R47 0.5W cement boxed",
        "100 MΩ 2W 20 % carbon comp",
        "1G 0.25W 1%",
    ] {
        let owned = only(text);
        assert_eq!(only(&write_line(&owned)), owned, "{}", write_line(&owned));
    }
    let text = "qty\tohms\twatts\n1\t10k\t5\n2\tten\t5\n3\t20k\t5";
    let lines = read_lines(text);
    assert_eq!(leftover(text, &lines), "qty\tohms\twatts\n2\tten\t5");
    assert_eq!(leftover("1k 5W", &read_lines("1k 5W")), "");
}

#[test]
fn no_text_makes_it_panic() {
    for text in [
        "×",
        "4 ×",
        "x",
        "±",
        "%",
        "\"",
        "R",
        ".",
        "1..2 W",
        "1e999 W",
        "é×é",
        "4 pcs",
        "qty",
        "Ω",
        "10Ω Ω W W",
        "½",
        "-",
    ] {
        let lines = read_lines(text);
        assert!(lines.read.is_empty(), "{text}: {lines:?}");
        assert_eq!(lines.faults.len(), 1, "{text}: {lines:?}");
    }
}
