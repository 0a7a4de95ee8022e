//! Points and figures as they really come from a keyboard or a spreadsheet: what is fitted, what is refused.
//!
//! Expected answers are built backwards: the points are those of a planted law with one fault in them.

use sagline::explain::tube;
use sagline::parts::pass_stage::{PlatePoint, SmallSignal};
use sagline::parts::{Amps, Ohms, Siemens, Source, TriodeCoefficients, Volts};
use sagline::physics::device::triode;
use sagline::physics::device::triode_fit::{Coverage, Fit, FitError, fit};

fn at(plate: f64, grid: f64, amps: f64) -> PlatePoint {
    PlatePoint {
        plate: Volts(plate),
        grid: Volts(grid),
        current: Amps(amps),
        source: Source::default(),
    }
}

fn figures(
    plate: f64,
    grid: f64,
    (mu, rp, gm): (Option<f64>, Option<f64>, Option<f64>),
) -> SmallSignal {
    SmallSignal {
        plate: Volts(plate),
        grid: Volts(grid),
        mu,
        plate_resistance: rp.map(Ohms),
        transconductance: gm.map(Siemens),
        source: Source::default(),
    }
}

fn law(mu: f64, kg1: f64) -> TriodeCoefficients {
    TriodeCoefficients {
        mu,
        exponent: 1.45,
        kg1,
        kp: 10.0 * mu,
        kvb: 300.0,
        grid_offset: Volts(0.0),
    }
}

/// A family of a planted law, noise as a factor by turns.
fn family(law: &TriodeCoefficients, most: f64, noise: &[f64]) -> Vec<PlatePoint> {
    let mut points = Vec::new();
    let mut k = 0;
    for g in 0..6 {
        for p in 1..=6 {
            let plate = most * f64::from(p) / 6.0;
            let grid = -most / law.mu * f64::from(g) / 7.0;
            let amps = triode::plate_amps(law, plate, grid);
            if amps > 1e-5 {
                points.push(at(plate, grid, amps * noise[k % noise.len()]));
                k += 1;
            }
        }
    }
    points
}

/// The law of an invented power triode, and its points.
fn planted() -> Vec<PlatePoint> {
    family(&law(4.2, 1900.0), 300.0, &[1.0])
}

fn scaled(points: &[PlatePoint], factor: f64) -> Vec<PlatePoint> {
    points
        .iter()
        .map(|p| at(p.plate.0, p.grid.0, factor * p.current.0))
        .collect()
}

/// Currents along grid lines, each as a share of the one at the right end.
fn flat(lines: &[(f64, f64)], shares: &[(f64, f64)]) -> Vec<PlatePoint> {
    lines
        .iter()
        .flat_map(|&(grid, amps)| {
            shares
                .iter()
                .map(move |&(plate, share)| at(plate, grid, amps * share))
        })
        .collect()
}

type Answer = Result<Fit, FitError>;
/// Points, figures, what the answer must be.
type Case = (
    &'static str,
    Vec<PlatePoint>,
    Vec<SmallSignal>,
    fn(&Answer) -> bool,
);

fn spread(answer: &Answer) -> f64 {
    let Ok(fit) = answer else { return f64::NAN };
    let most = fit.points.iter().map(|p| p.current.0).fold(0.0, f64::max);
    fit.zero_bias(most).map_or(f64::NAN, |line| line.spread)
}

fn known(answer: &Answer, amps: f64) -> Option<Coverage> {
    answer
        .as_ref()
        .ok()?
        .zero_bias(amps)
        .map(|line| line.coverage)
}

fn check(cases: Vec<Case>) {
    let mut wrong = String::new();
    for (name, points, figures, right) in cases {
        let answer = fit(&points, &figures);
        if !right(&answer) {
            wrong += &format!(
                "{name}: {:?}, spread {}\n",
                answer.as_ref().map(|f| f.law),
                spread(&answer)
            );
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn too_little_is_refused_or_said_to_be_unsure() {
    let steep = figures(250.0, -45.0, (Some(4.2), Some(800.0), None));
    check(vec![
        (
            "one grid line",
            vec![
                at(100.0, -20.0, 0.01),
                at(150.0, -20.0, 0.03),
                at(200.0, -20.0, 0.06),
            ],
            vec![],
            |a| *a == Err(FitError::NoGridEffect),
        ),
        (
            "one point five times",
            vec![at(250.0, -45.0, 0.06); 5],
            vec![],
            |a| *a == Err(FitError::NoGridEffect),
        ),
        (
            "two points",
            vec![at(250.0, -45.0, 0.06), at(300.0, -60.0, 0.05)],
            vec![],
            |a| spread(a) > 0.15,
        ),
        // A point does not grow surer by being pasted again.
        (
            "one point five times, with µ and rp",
            vec![at(250.0, -45.0, 0.06); 5],
            vec![steep.clone()],
            |a| spread(a) > 0.1,
        ),
        (
            "only near cut-off",
            [
                (150.0, -40.0),
                (200.0, -52.0),
                (250.0, -66.0),
                (300.0, -78.0),
            ]
            .iter()
            .map(|&(p, g)| at(p, g, triode::plate_amps(&law(4.2, 1900.0), p, g)))
            .collect(),
            vec![],
            |a| spread(a) > 0.5,
        ),
        (
            "feet of curves alone",
            vec![at(35.0, -20.0, 0.0), at(75.0, -40.0, 0.0)],
            vec![],
            |a| *a == Err(FitError::NoPoint),
        ),
    ]);
}

#[test]
fn what_no_triode_does_is_refused() {
    check(vec![
        (
            "currents fall with the plate volts",
            vec![
                at(150.0, -20.0, 0.06),
                at(200.0, -20.0, 0.05),
                at(250.0, -20.0, 0.04),
            ],
            vec![],
            |a| matches!(a, Err(FitError::CurrentFalls { .. })),
        ),
        (
            "two currents at the same volts",
            vec![
                at(250.0, -45.0, 0.06),
                at(250.0, -45.0, 0.09),
                at(300.0, -60.0, 0.05),
            ],
            vec![],
            |a| {
                matches!(
                    a,
                    Err(FitError::CurrentFalls {
                        first: 1,
                        second: 0
                    })
                )
            },
        ),
        (
            "the signs of the grid volts left out",
            vec![
                at(150.0, 20.0, 0.03),
                at(250.0, 45.0, 0.06),
                at(300.0, 45.0, 0.12),
                at(300.0, 60.0, 0.05),
            ],
            vec![],
            |a| matches!(a, Err(FitError::CurrentFalls { .. })),
        ),
        (
            "the sign of one point left out",
            vec![at(250.0, 45.0, 0.06)],
            vec![figures(250.0, 45.0, (Some(4.2), Some(800.0), None))],
            Result::is_err,
        ),
        (
            "a small pentode",
            flat(
                &[(-1.0, 10.5e-3), (-2.0, 7e-3), (-3.0, 4.2e-3)],
                &[(50.0, 0.93), (100.0, 0.97), (200.0, 0.99), (300.0, 1.0)],
            ),
            vec![],
            |a| matches!(a, Err(FitError::Pentode { .. })),
        ),
        (
            "a beam tube with its knee",
            flat(
                &[(0.0, 0.15), (-10.0, 0.09), (-20.0, 0.04), (-30.0, 0.012)],
                &[(50.0, 0.8), (100.0, 0.92), (250.0, 0.98), (400.0, 1.0)],
            ),
            vec![],
            |a| matches!(a, Err(FitError::Pentode { .. })),
        ),
        (
            "a grid beyond cut-off",
            vec![at(250.0, -145.0, 0.06)],
            vec![figures(250.0, -145.0, (Some(4.2), Some(800.0), None))],
            |a| matches!(a, Err(FitError::CutOff { point: 0, .. })),
        ),
        (
            "kilovolts",
            vec![
                at(0.15, -20.0, 0.03),
                at(0.25, -45.0, 0.06),
                at(0.3, -45.0, 0.12),
            ],
            vec![],
            Result::is_err,
        ),
        (
            "plate and grid in each other's place",
            vec![
                at(20.0, -150.0, 0.03),
                at(45.0, -250.0, 0.06),
                at(45.0, -300.0, 0.02),
            ],
            vec![],
            Result::is_err,
        ),
        (
            "no current where less volts give some",
            [planted(), vec![at(300.0, -45.0, 0.0)]].concat(),
            vec![],
            |a| matches!(a, Err(FitError::CurrentFalls { second, .. }) if *second + 1 == planted().len() + 1),
        ),
    ]);
}

#[test]
fn figures_of_the_6as7_in_the_wrong_units_are_refused() {
    // RCA Receiving Tube Manual, 6AS7-G: 103.75 V and −31.25 V at the tube, 125 mA, µ 2, 280 Ω, 7 mS (value from memory).
    let point = || vec![at(103.75, -31.25, 0.125)];
    let with = |mu, rp, gm| vec![figures(103.75, -31.25, (mu, rp, gm))];
    check(vec![
        (
            "as they are",
            point(),
            with(Some(2.0), Some(280.0), Some(7e-3)),
            Result::is_ok,
        ),
        (
            "7000 mS",
            point(),
            with(Some(2.0), Some(280.0), Some(7.0)),
            |a| matches!(a, Err(FitError::FiguresDisagree { .. })),
        ),
        (
            "280 kΩ",
            point(),
            with(Some(2.0), Some(280e3), None),
            Result::is_err,
        ),
        (
            "0.28 Ω",
            point(),
            with(Some(2.0), Some(0.28), None),
            Result::is_err,
        ),
        (
            "7 S alone",
            point(),
            with(None, None, Some(7.0)),
            Result::is_err,
        ),
        (
            "µ 0.7 at the supply volts",
            vec![at(135.0, -31.25, 0.125)],
            vec![figures(135.0, -31.25, (Some(0.7), Some(280.0), None))],
            Result::is_err,
        ),
    ]);
}

#[test]
fn one_misread_point_is_named_with_what_it_should_be() {
    let few: Vec<PlatePoint> = [
        (150.0, -20.0),
        (200.0, -30.0),
        (250.0, -45.0),
        (250.0, -35.0),
        (300.0, -60.0),
    ]
    .iter()
    .map(|&(p, g)| at(p, g, triode::plate_amps(&law(4.2, 1900.0), p, g)))
    .collect();
    let mut wrong = String::new();
    for good in [few, planted()] {
        for (point, was) in good.iter().enumerate() {
            for factor in [10.0, 0.1, 1e-3] {
                let mut bad = good.clone();
                bad[point].current.0 *= factor;
                // A current a tenth as large near the foot of a curve may be a few volts only.
                let foot = was.current.0 < 0.02;
                let answer = fit(&bad, &[]).map(|f| f.misses);
                let named = matches!(
                    &answer,
                    Err(FitError::OneMisread { point: found, law_amps })
                        if *found == point && (law_amps / was.current.0 - 1.0).abs() < 0.15
                );
                if !(named || foot) {
                    wrong += &format!(
                        "line {} of {}, ×{factor}: {answer:?}\n",
                        point + 1,
                        good.len()
                    );
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn unusual_but_honest_points_are_fitted() {
    let noise = [1.1, 0.93, 1.08, 0.9, 1.02, 0.88, 1.12];
    let with_positive: Vec<PlatePoint> =
        [(100.0, 10.0), (150.0, 10.0), (150.0, -10.0), (200.0, -20.0)]
            .iter()
            .map(|&(p, g)| at(p, g, triode::plate_amps(&law(4.2, 1900.0), p, g)))
            .collect();
    let many = (0..200_u32)
        .map(|k| {
            let plate = 60.0 + 1.2 * f64::from(k);
            let grid = -f64::from(k % 8) * plate / 42.0;
            let amps = triode::plate_amps(&law(4.2, 1900.0), plate, grid);
            at(plate, grid, amps * noise[k as usize % noise.len()])
        })
        .collect();
    let mut feet = planted();
    feet.extend([at(0.0, 0.0, 0.0), at(200.0, -60.0, 0.0)]);
    check(vec![
        (
            "noise of 10 %",
            family(&law(4.2, 1900.0), 300.0, &noise),
            vec![],
            |a| spread(a) < 0.1,
        ),
        ("200 points with noise of 10 %", many, vec![], |a| {
            spread(a) < 0.1
        }),
        (
            "µ 100",
            family(&law(100.0, 1060.0), 300.0, &[1.0]),
            vec![],
            |a| {
                a.as_ref()
                    .is_ok_and(|f| (f.law.mu / 100.0 - 1.0).abs() < 0.02)
            },
        ),
        (
            "µ 0.7",
            family(&law(0.7, 300.0), 300.0, &[1.0]),
            vec![],
            |a| {
                a.as_ref()
                    .is_ok_and(|f| (f.law.mu / 0.7 - 1.0).abs() < 0.02)
            },
        ),
        // Points with the grid above zero are no points of the zero-bias line.
        ("grid above zero", with_positive, vec![], |a| {
            matches!(known(a, 0.05), Some(Coverage::BelowPoints(_)))
        }),
        ("feet of curves", feet, vec![], |a| {
            a.as_ref().is_ok_and(|f| f.points.len() == planted().len())
        }),
    ]);
}

#[test]
fn a_whole_table_in_another_unit_of_current_is_doubted() {
    let doubted = |points: &[PlatePoint], watts: Option<f64>| {
        tube::doubt(&fit(points, &[]).unwrap(), watts).map(|finding| finding.sentence)
    };
    // 300 V and 0.5 A are 154 W: a curve drawn to four times what a tube of 40 W may dissipate.
    assert_eq!(doubted(&planted(), Some(40.0)), None);
    assert_eq!(doubted(&planted(), None), None);
    let micro = doubted(&scaled(&planted(), 1e3), Some(40.0)).unwrap();
    assert!(micro.contains("is the current in µA?"), "{micro}");
    assert!(doubted(&scaled(&planted(), 1e3), None).is_some());
    let milli = doubted(&scaled(&planted(), 1e-3), Some(40.0)).unwrap();
    assert!(milli.contains("is the current in mA?"), "{milli}");
}
