//! Real changes of the presets, their words read for truth and tone.

use crate::physics::Model;
use std::fmt::Write as _;

use crate::bench::change::{Variant, compare};
use crate::bench::load_line::load_line;
use crate::explain::change::{findings, rows, what_differs};
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_work;
use crate::parts::{Dummy, Farads, Supply, Volts, Work};
use crate::physics::envelope::envelope;

fn preset(file: &str) -> Work {
    let (_, text) = presets().iter().find(|(name, _)| *name == file).unwrap();
    read_work(text, &Catalogue::built_in()).unwrap()
}

fn said(before: &Supply, after: &Supply, dummies: &[Dummy], at: [f64; 2]) -> String {
    let [a, b] = [before, after].map(|supply| {
        let model = Model::of(supply).unwrap();
        let envelope = envelope(&model).unwrap();
        let point = envelope.point(&model, at[0], at[1]).unwrap();
        let lines: Vec<_> = dummies.iter().map(|d| load_line(&envelope, d)).collect();
        (model, envelope, point, lines)
    });
    let variant = |of: &'static str| {
        let (model, envelope, point, load_lines) = if of == "before" { &a } else { &b };
        Variant {
            model,
            envelope,
            point,
            dummies,
            load_lines,
        }
    };
    let comparison = compare(&variant("before"), &variant("after"));
    let mut text = format!("{}\n", what_differs(&comparison, before, after));
    for finding in findings(&comparison, before, after) {
        writeln!(text, "  {:?}: {}", finding.severity, finding.sentence).unwrap();
    }
    assert!(!rows(&comparison, after).is_empty());
    text
}

fn changed(file: &str, at: [f64; 2], change: impl Fn(&mut Supply, &Catalogue)) -> String {
    let Work {
        supply: before,
        dummies,
        ..
    } = preset(file);
    let mut after = before.clone();
    change(&mut after, &Catalogue::built_in());
    said(&before, &after, &dummies, at)
}

#[test]
fn the_laboratory_supply() {
    let file = "school-laboratory.ron";
    let at = [0.08, 200.0];
    let text = [
        changed(file, at, |s, _| {
            s.filter.input_capacitor.as_mut().unwrap().unit = Farads(470e-6);
        }),
        changed(file, at, |s, c| {
            s.rectifier.kind = c.rectifier("5Y3-GT").unwrap().clone();
        }),
        changed(file, at, |s, _| s.mains.present = Volts(100.0)),
        changed(file, [0.1, 10.0], |s, _| s.pass_stage.units = 1),
        changed(file, [0.16, 10.0], |s, _| s.pass_stage.units = 4),
    ]
    .join("\n");
    insta::assert_snapshot!(text, @r"
    The larger C1
      Over: First capacitor 34 → 235 µF, now over its 40 µF: the larger C1 breaks the rectifier's rating
      Over: 10 kΩ · 25 W was good to 250 V and is now good nowhere
      Over: 2.2 kΩ · 50 W was good to 182 V and is now good nowhere
      Over: 1 kΩ · 100 W was good to 169 V and is now good nowhere
      Remark: Bus ripple 89.8 → 12.9 mV

    The 5Y3-GT in place of the 5U4-GB
      Over: First capacitor 34 of 40 µF → 34 of 20 µF, now over its 20 µF: the 5Y3-GT in place of the 5U4-GB breaks the rectifier's rating
      Over: Supply resistance 40, least 21 Ω → 40, least 50 Ω, now under its 50 Ω: the 5Y3-GT in place of the 5U4-GB breaks the rectifier's rating
      Over: 10 kΩ · 25 W was good to 250 V and is now good nowhere
      Over: 2.2 kΩ · 50 W was good to 182 V and is now good nowhere
      Over: 1 kΩ · 100 W was good to 169 V and is now good nowhere
      Remark: Rectifier output current 45.9 of 150 mA → 45.4 of 62.5 mA
      Remark: Rectifier peak 385 mA of 1 A → 309 of 400 mA
      Remark: Largest current allowed 169 → 115 mA
      Remark: The envelope loses 32 % of its area
      Remark: Dropout line at 80 mA 270 → 227 V
      Remark: Plate volts 135 → 91.2 V of 425 V
      Remark: Plate and screen dissipation 6.43 → 4.33 W of 25 W
      Remark: Bus ripple 89.8 → 82.6 mV
      Remark: Winding rms 117 → 104 mA of 210 mA
      Remark: Ripple current, C1 142 → 119 mA of 420 mA
      Remark: Peak inverse, no load 814 V of 1.55 kV → 799 V of 1.4 kV
      Remark: Bus without load at high mains 414 → 398 V
      Remark: Screen dissipation 835 → 563 mW of 8 W
      Remark: C1 volts, no load 208 → 200 V of 225 V
      Remark: Bus volts, no load 207 → 199 V of 225 V
      Remark: C1 surge volts, no load 208 → 200 V of 258 V
      Remark: Bus surge volts, no load 207 → 199 V of 258 V

    The lower mains
      Over: Rail reference, least, no load 8.66 → 4.91 mA, now under its 5 mA: the lower mains breaks the reference's range
      Over: 10 kΩ · 25 W was good to 250 V and is now good nowhere
      Over: 2.2 kΩ · 50 W was good to 182 V and is now good nowhere
      Over: 1 kΩ · 100 W was good to 169 V and is now good nowhere
      Remark: Dropout line at 80 mA 270 → 205 V
      Remark: The envelope loses 13 % of its area
      Remark: Rail winding rms 35.9 → 26.6 mA of 75 mA
      Remark: Rail rectifier output current 15.3 → 11.1 mA of 35 mA
      Remark: Rail rectifier peak 106 → 81.1 mA of 210 mA
      Remark: Plate volts 135 → 85.9 V of 425 V
      Remark: Rail rectifier heater–cathode volts 354 → 310 V of 450 V
      Remark: Plate and screen dissipation 6.43 → 4.08 W of 25 W
      Remark: Rail reference, starting volts 336 → 294 V of 210 V
      Remark: Peak inverse, no load 814 → 712 V of 1.55 kV
      Remark: Rail rectifier peak inverse 631 → 559 V of 1.25 kV
      Remark: Screen dissipation 835 → 530 mW of 8 W
      Remark: Largest current allowed 169 → 176 mA
      Remark: Bus ripple 89.8 → 86.9 mV
      Remark: Lowest regulated output 8.32 of 254 V → 775 mV of 253 V
      Remark: Rectifier peak 385 → 364 mA of 1 A

    The step from 2 to 1 pass tube units
      Over: Plate and screen dissipation 18.4 → 31.8 W, now over its 25 W: the step from 2 to 1 pass tube units breaks the pass tube's rating
      Remark: Lowest volts allowed at 100 mA 0 → 78.6 V
      Remark: Pass tube grid resistor 540 → 270 kΩ of 700 kΩ
      Remark: The envelope loses 35 % of its area
      Remark: Cathode current 60 → 104 mA of 150 mA
      Remark: Screen dissipation 2.39 → 4.14 W of 8 W
      Remark: Dropout line at 100 mA 250 → 200 V
      Remark: 1 kΩ · 100 W good to 169 → 144 V
      Remark: Largest current allowed 169 → 146 mA
      Remark: Lowest regulated output 24.4 of 64.7 V → 19.3 of 65.8 V

    The step from 2 to 4 pass tube units
      Over: Pass tube grid resistor 540 kΩ → 1.08 MΩ, now over its 700 kΩ: the step from 2 to 4 pass tube units breaks the pass tube's rating
      Over: 10 kΩ · 25 W was good to 250 V and is now good nowhere
      Over: 2.2 kΩ · 50 W was good to 182 V and is now good nowhere
      Over: 1 kΩ · 100 W was good to 169 V and is now good nowhere
      Fine: Plate and screen dissipation 26.7 → 13.4 W, back within its 25 W: the step from 2 to 4 pass tube units mends the pass tube's rating
      Remark: Lowest volts allowed at 160 mA 28.1 → 0 V
      Remark: Cathode current 94.5 → 47.2 mA of 150 mA
      Remark: Screen dissipation 3.47 → 1.74 W of 8 W
      Remark: Dropout line at 160 mA 194 → 236 V
      Remark: Lowest regulated output 18.7 of 65.5 V → 23.2 of 64.6 V
      Remark: The envelope gains 7 % of its area
    ");
}

#[test]
fn the_other_presets() {
    let text = [
        changed("choke-input.ron", [0.09, 200.0], |s, _| {
            s.filter.sections[0].capacitor.unit = Farads(10e-6);
            s.pass_stage.units += 1;
        }),
        changed("silicon-bridge.ron", [0.04, 400.0], |s, c| {
            s.pass_stage.tube = c.pass_tube("6V6-GT").unwrap_or(&s.pass_stage.tube).clone();
            s.mains.high = Volts(260.0);
        }),
        changed("small-fixed-range.ron", [0.02, 200.0], |s, _| {
            s.filter.bleeder = None;
        }),
        changed("half-wave.ron", [0.02, 100.0], |s, _| {
            for stack in s.filter.stacks_mut() {
                stack.unit = Farads(stack.unit.0 * 0.2);
            }
        }),
    ]
    .join("\n");
    insta::assert_snapshot!(text, @r"
    The smaller bus capacitor, the step from 4 to 5 pass tube units
      Remark: Bus ripple 1.22 → 12.5 V
      Remark: Pass tube grid resistor 720 → 900 kΩ of 1 MΩ
      Remark: Lowest regulated output 56.7 of 96.2 V → 62.8 of 95.9 V
      Remark: Plate dissipation 4.2 → 3.37 W of 13 W
      Remark: The envelope loses 6 % of its area
      Remark: Plate current 28.3 → 22.7 mA of 125 mA
      Remark: Plate volts 154 → 162 V of 250 V
      Remark: Lowest volts allowed at 90 mA 176 → 180 V

    High mains of 260 V, the 6V6-GT in place of the EL34
      Over: C1 volts, no load 344 → 353 V, now over its 350 V: high mains of 260 V breaks the capacitor's rating
      Over: Bus volts, no load 342 → 352 V, now over its 350 V: high mains of 260 V breaks the capacitor's rating
      Over: 10 kΩ · 50 W was good to 500 V and is now good nowhere
      Over: 23.5 kΩ · 35 W was good to 500 V and is now good nowhere
      Remark: Cathode current is no longer judged: the rating is not known
      Remark: The envelope loses 40 % of its area
      Remark: Lowest volts allowed at 40 mA 200 → 296 V
      Remark: Plate volts 181 of 425 V → 181 of 285 V
      Remark: Plate and screen dissipation 4.31 of 25 W → 4.31 of 12 W
      Remark: Screen dissipation 560 mW of 8 W → 392 mW of 2 W
      Remark: Dropout line at 40 mA 538 → 504 V
      Remark: Bus without load at high mains 685 → 704 V
      Near: C1 surge volts, no load 344 → 353 V of 385 V
      Near: Bus surge volts, no load 342 → 352 V of 385 V

    The missing bleeder
      Remark: Bus ripple 3.91 → 3.64 V
      Remark: Rectifier output current 15.4 → 14.2 mA of 35 mA; reached at 59.8 → 61.8 mA of output
      Remark: Largest current allowed 59.8 → 61.8 mA
      Remark: Rectifier peak 114 → 108 mA of 210 mA
      Remark: Winding rms 37.2 → 34.8 mA of 85 mA
      Remark: The envelope gains 3 % of its area
      Remark: Bus without load at high mains 446 → 457 V
      Near: Bus volts, no load 223 → 228 V of 250 V
      Remark: Rectifier heater–cathode volts, no load 326 → 335 V of 450 V
      Near: C1 volts, no load 448 → 458 V of 500 V

    The smaller C1, the smaller bus capacitor
      Remark: Bus ripple 673 mV → 9.95 V
      Remark: Dropout line at 20 mA 133 → 125 V
      Remark: 4.7 kΩ · 5 W good to 120 → 115 V
      Remark: Rectifier peak 259 → 251 mA
      Remark: The envelope loses 3 % of its area
    ");
}

/// What a change does to a limit that is exceeded either way: more volts over the tubes burn more watts in them.
#[test]
fn what_is_still_over_is_said_to_be_further_or_less() {
    let mut low = preset("school-laboratory.ron").supply;
    low.pass_stage.units = 1;
    let mut high = low.clone();
    for volts in [&mut high.mains.nominal, &mut high.mains.present] {
        volts.0 *= 1.05;
    }
    let at = [0.1, 10.0];
    for (before, after, trend) in [
        (&low, &high, ", over before and now further"),
        (&high, &low, ", less than before and still over"),
        (&low, &low, ", over before and still"),
    ] {
        let mut after = after.clone();
        // Something has to differ.
        after.output.set_high.0 += 1.0;
        let text = said(before, &after, &[], at);
        let line = text
            .lines()
            .find(|l| l.contains("Plate and screen dissipation"));
        assert!(line.unwrap().ends_with(trend), "{trend}\n{text}");
    }
}

#[test]
fn nothing_changed_says_nothing() {
    let supply = preset("school-laboratory.ron").supply;
    let model = Model::of(&supply).unwrap();
    let envelope = envelope(&model).unwrap();
    let point = envelope.point(&model, 0.05, 200.0).unwrap();
    let variant = Variant {
        model: &model,
        envelope: &envelope,
        point: &point,
        dummies: &[],
        load_lines: &[],
    };
    let comparison = compare(&variant, &variant);
    assert!(findings(&comparison, &supply, &supply).is_empty());
    assert!(rows(&comparison, &supply).is_empty());
    assert_eq!(what_differs(&comparison, &supply, &supply), "");
}

#[test]
fn the_mains_are_said_in_three_figures() {
    // As a tenth more comes out of a computer: 138.60000000000002 V.
    let said = changed("school-laboratory.ron", [0.08, 200.0], |s, _| {
        s.mains.high = Volts(1.1 * s.mains.high.0);
    });
    assert!(said.contains("high mains of 139 V"), "{said}");
}
