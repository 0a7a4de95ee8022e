//! The points: volts of plate and grid above the cathode, and milliamperes.
//!
//! # Source
//! Curve-tracer measurements of single tubes, published as open data in the repository `audio-projects/tube-models` on GitHub: the
//! files `EF80_triode.utd`, `EF80_200.utd` and `EL500_triode.utd`. Facts only, and a selection of them. A single tube differs from its
//! maker's typical one by some 20 %, so nothing here is held against a data sheet.

/// Grid volts, with plate volts and cathode current (plate and screen, mA) along that curve.
pub(crate) type Curve = (f64, &'static [(f64, f64)]);

/// EF80, screen tied to its plate.
pub(crate) const EF80_TRIODE: [Curve; 4] = [
    (-4.0, &[(148.33, 0.21), (173.55, 0.83), (198.43, 2.10)]),
    (
        -3.5,
        &[
            (123.09, 0.15),
            (148.32, 0.73),
            (173.54, 2.03),
            (198.40, 4.16),
        ],
    ),
    (
        -3.0,
        &[
            (98.54, 0.08),
            (123.43, 0.57),
            (148.30, 1.78),
            (173.51, 3.90),
            (198.02, 6.85),
        ],
    ),
    (
        -2.5,
        &[
            (78.42, 0.09),
            (98.88, 0.48),
            (118.30, 1.37),
            (138.06, 2.92),
            (158.15, 5.05),
            (178.23, 7.71),
            (197.96, 10.73),
        ],
    ),
];

/// EL500, screen tied to its plate.
pub(crate) const EL500_TRIODE: [Curve; 4] = [
    (
        -25.0,
        &[
            (218.57, 0.31),
            (237.63, 2.50),
            (252.89, 7.93),
            (267.37, 18.38),
            (282.45, 34.01),
            (296.77, 54.51),
        ],
    ),
    (
        -22.0,
        &[
            (213.11, 0.76),
            (233.49, 5.27),
            (248.01, 14.00),
            (262.77, 28.22),
            (276.77, 47.51),
            (296.00, 79.99),
        ],
    ),
    (
        -19.0,
        &[
            (203.55, 1.15),
            (222.89, 7.14),
            (237.72, 17.74),
            (252.44, 34.17),
            (266.75, 55.47),
            (280.97, 81.52),
            (295.13, 111.55),
        ],
    ),
    (
        -16.0,
        &[
            (183.10, 0.48),
            (203.16, 4.54),
            (217.67, 13.43),
            (232.76, 28.17),
            (247.08, 48.45),
            (261.33, 73.29),
            (275.49, 102.95),
            (294.51, 148.03),
        ],
    ),
];

/// Grid volts, with plate volts, plate and screen current (mA) along that curve.
pub(crate) type PentodeCurve = (f64, [(f64, f64, f64); 4]);

/// EF80 as a pentode with 199 V on its screen.
pub(crate) const EF80_PENTODE: [PentodeCurve; 3] = [
    (
        -3.0,
        [
            (23.09, 4.88, 2.11),
            (60.60, 5.34, 1.65),
            (149.60, 5.56, 1.44),
            (298.61, 5.74, 1.31),
        ],
    ),
    (
        -2.5,
        [
            (23.40, 6.89, 3.74),
            (60.21, 8.14, 2.62),
            (149.54, 8.60, 2.25),
            (298.56, 8.92, 2.06),
        ],
    ),
    (
        -2.0,
        [
            (23.04, 7.93, 6.32),
            (60.15, 11.15, 3.67),
            (149.48, 11.83, 3.13),
            (298.16, 12.24, 2.83),
        ],
    ),
];
/// Screen volts of those.
pub(crate) const EF80_SCREEN: f64 = 199.0;
