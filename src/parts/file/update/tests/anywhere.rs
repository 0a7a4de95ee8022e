//! Comments may stand wherever they like.

use super::*;

/// The same values with blanks, new lines and comments wherever they may stand.
fn sprinkled(text: &str, random: &mut Random) -> String {
    let mut scan = Scan::of(text);
    let mut out = String::new();
    loop {
        scan.skip();
        let start = scan.at;
        if scan.is_quote() {
            assert!(scan.quoted().is_ok());
        } else if scan.word().is_empty() && scan.next().is_none() {
            return out;
        }
        out.push_str(scan.since(start));
        out.push_str(match random.of(0..14_u8) {
            0 => "\n",
            1 => "\r\n",
            2 => " /* aside */ ",
            3 => "/*a*/",
            4 => " // to the end\n",
            5 => "\n    // alone\n",
            6 => "\n\n\t",
            7 => " /* over\n two */\n",
            _ => " ",
        });
    }
}

#[test]
fn comments_may_stand_anywhere() {
    let catalogue = Catalogue::built_in_ones();
    let mut random = Random::new(catalogue);
    for _ in 0..150 {
        let (before, mut work) = (random.work(), random.work());
        let text = sprinkled(&write(&before, catalogue), &mut random);
        assert_eq!(read_it(&text), before, "{text}");
        // Some of it stays as it was.
        if random.of(0..2_u8) == 0 {
            work.supply.regulator = before.supply.regulator;
            work.supply.filter = before.supply.filter;
        }
        let made = updated(&text, &work, catalogue);
        let made = made.unwrap_or_else(|| panic!("{work:?}\nin\n{text}"));
        assert_eq!(read_it(&made), work, "{text}\n{made}");
    }
}

/// Values alone are changed: every comment is there still, in its order.
#[test]
fn comments_anywhere_outlive_a_change_of_values() {
    let catalogue = Catalogue::built_in_ones();
    let mut random = Random::new(catalogue);
    for (_, preset) in presets() {
        for _ in 0..30 {
            let text = sprinkled(preset, &mut random);
            let new = after(&text, |work| {
                let supply = &mut work.supply;
                work.name = random.of("[a-z ]{1,9}");
                supply.mains.nominal = Volts(100.0);
                supply.mains.present = Volts(101.0);
                supply.transformer.auxiliary.0 += 1.0;
                supply.rectifier.in_parallel += 1;
                supply.pass_stage.tube_spread = Some(Fraction(0.1));
                supply.pass_stage.heater = Some(HeaterTie::Elevated(Volts(60.0)));
                supply.output.set_high.0 += 1.0;
                supply.filter.bleeder = Some(Ohms(12e3));
                for section in &mut supply.filter.sections {
                    section.capacitor.in_series += 1;
                    section.series = match &section.series {
                        SeriesElement::Resistor(ohms) => {
                            SeriesElement::Resistor(Ohms(2.0 * ohms.0))
                        }
                        choke @ SeriesElement::Choke { .. } => choke.clone(),
                    };
                }
                if let Some(regulator) = &mut supply.regulator {
                    regulator.plate_load.0 *= 2.0;
                    regulator.preload = Some(Ohms(1e5));
                }
                work.dummies.push(dummy("d", 4e3));
            });
            let (mut before, mut now) = (all_comments(&text), all_comments(&new));
            // Those in a value of another kind come to stand before it.
            before.sort_unstable();
            now.sort_unstable();
            assert_eq!(before, now, "{text}\n{new}");
        }
    }
}
