//! Miniature fuses as their standards and makers describe them: time–current gates, typical melting I²t, breaking capacity.
//!
//! A maker's melting I²t is a typical figure, and differs up to tenfold between makers at one rating and letter: it is a range here,
//! never one number. Gates are those of pre-arcing times.

use crate::parts::primary::FuseKind;

/// A time–current gate: at so many times the rated current a fuse melts within these times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gate {
    /// Current over the rated.
    pub multiple: f64,
    /// It holds for at least so long (s); `None` where the standard does not say.
    pub least_seconds: Option<f64>,
    /// It has melted after so long (s); `None` where it need not.
    pub most_seconds: Option<f64>,
}

/// The gates of the fuses from one rated current to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gates {
    /// Lowest rated current (A).
    pub from: f64,
    /// Highest (A).
    pub to: f64,
    /// The gates, rising in current.
    pub gates: &'static [Gate],
}

/// Typical melting I²t of one maker's series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Series {
    /// Whose, and from where it was read.
    pub source: &'static str,
    /// Rated current (A) and I²t (A²s), rising.
    pub melting: &'static [(f64, f64)],
}

/// A family of fuses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Family {
    /// Which.
    pub kind: FuseKind,
    /// Its gates by rated current.
    pub gates: &'static [Gates],
    /// Where the gates are from.
    pub source: &'static str,
    /// Typical melting I²t by maker.
    pub series: &'static [Series],
    /// Where no two makers are known: `factor·rating^exponent`, a factor of three either way (a fit to the series).
    pub about: (f64, f64),
    /// Share of its rating that a fuse is loaded to for good.
    pub loading: f64,
    /// What it breaks at 250 V (A), by the mark on its cap.
    pub breaking_amps: f64,
    /// Rated currents in the standard steps (A).
    pub ratings: &'static [f64],
}

impl Family {
    /// The family of a kind.
    pub fn of(kind: FuseKind) -> &'static Self {
        match kind {
            FuseKind::QuickGlass => &QUICK_GLASS,
            FuseKind::QuickCeramic => &QUICK_CERAMIC,
            FuseKind::TimeLagGlass => &TIME_LAG_GLASS,
            FuseKind::TimeLagCeramic => &TIME_LAG_CERAMIC,
            FuseKind::UlFast => &UL_FAST,
            FuseKind::UlSlow => &UL_SLOW,
        }
    }

    /// The gates of a rated current (A); those of the nearest ratings where the standard has none for it.
    pub fn gates_of(&self, rating: f64) -> &'static [Gate] {
        let within = self.gates.iter().find(|gates| rating <= gates.to * 1.001);
        within
            .or(self.gates.last())
            .map_or(&[], |gates| gates.gates)
    }

    /// Typical melting I²t that makers state for a rated current (A²s).
    pub fn stated(&self, rating: f64) -> impl Iterator<Item = f64> {
        let is_it = move |(amps, _): &&(f64, f64)| (amps / rating - 1.0).abs() < 0.01;
        let of = move |series: &Series| series.melting.iter().find(is_it).map(|(_, heat)| *heat);
        self.series.iter().filter_map(of)
    }
}

const fn gate(multiple: f64, least: Option<f64>, most: Option<f64>) -> Gate {
    Gate {
        multiple,
        least_seconds: least,
        most_seconds: most,
    }
}

/// The steps of rated currents of IEC 60127 (R 10 of the preferred numbers).
const IEC_RATINGS: [f64; 16] = [
    0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3,
];
/// Sheet 5 begins at 1 A.
const IEC_FROM_ONE: [f64; 9] = [1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3];
const IEC_TO_TEN: [f64; 18] = [
    0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0,
];
const UL_RATINGS: [f64; 15] = [
    0.25, 0.375, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.25, 8.0, 10.0,
];

const HOUR: f64 = 3600.0;

const QUICK_GLASS: Family = Family {
    kind: FuseKind::QuickGlass,
    gates: &[
        Gates {
            from: 0.032,
            to: 0.1,
            gates: &[
                gate(1.5, Some(HOUR), None),
                gate(2.1, None, Some(1800.0)),
                gate(2.75, Some(10e-3), Some(0.5)),
                gate(4.0, Some(3e-3), Some(0.1)),
                gate(10.0, None, Some(20e-3)),
            ],
        },
        Gates {
            from: 0.125,
            to: 6.3,
            gates: &[
                gate(1.5, Some(HOUR), None),
                gate(2.1, None, Some(1800.0)),
                gate(2.75, Some(50e-3), Some(2.0)),
                gate(4.0, Some(10e-3), Some(0.3)),
                gate(10.0, None, Some(20e-3)),
            ],
        },
        Gates {
            from: 8.0,
            to: 10.0,
            gates: &[
                gate(1.5, Some(0.5 * HOUR), None),
                gate(2.1, None, Some(1800.0)),
                gate(2.75, Some(50e-3), Some(2.0)),
                gate(4.0, Some(10e-3), Some(0.4)),
                gate(10.0, None, Some(40e-3)),
            ],
        },
    ],
    source: "IEC 60127-2 sheet 2, as Bussmann S500 prints it (8 and 10 A are the maker's extension)",
    series: &[Series {
        source: "Bussmann S500",
        melting: &[
            (0.2, 0.016),
            (0.5, 0.18),
            (0.63, 0.35),
            (0.8, 0.67),
            (1.0, 0.60),
            (1.25, 0.84),
            (1.6, 1.6),
            (2.0, 4.2),
            (2.5, 6.1),
            (3.15, 13.0),
            (4.0, 22.0),
            (5.0, 42.0),
            (6.3, 69.0),
        ],
    }],
    about: (0.7, 2.5),
    loading: 1.0,
    breaking_amps: 35.0,
    ratings: &IEC_TO_TEN,
};

const QUICK_CERAMIC: Family = Family {
    kind: FuseKind::QuickCeramic,
    gates: &[
        Gates {
            from: 0.05,
            to: 4.0,
            gates: &[
                gate(1.5, Some(HOUR), None),
                gate(2.1, None, Some(1800.0)),
                gate(2.75, Some(10e-3), Some(2.0)),
                gate(4.0, Some(3e-3), Some(0.3)),
                gate(10.0, None, Some(20e-3)),
            ],
        },
        Gates {
            from: 5.0,
            to: 6.3,
            gates: &[
                gate(1.5, Some(HOUR), None),
                gate(2.1, None, Some(1800.0)),
                gate(2.75, Some(10e-3), Some(3.0)),
                gate(4.0, Some(3e-3), Some(0.3)),
                gate(10.0, None, Some(20e-3)),
            ],
        },
    ],
    source: "IEC 60127-2 sheet 1, as Bussmann S501 prints it",
    series: &[Series {
        source: "Bussmann S501",
        melting: &[
            (0.2, 0.02),
            (0.25, 0.027),
            (0.315, 0.01),
            (0.5, 0.038),
            (0.63, 0.064),
            (0.8, 0.097),
            (1.0, 0.146),
            (1.25, 0.313),
            (1.6, 0.748),
        ],
    }],
    about: (0.3, 2.5),
    loading: 1.0,
    breaking_amps: 1500.0,
    ratings: &IEC_RATINGS,
};

const TIME_LAG_GLASS: Family = Family {
    kind: FuseKind::TimeLagGlass,
    gates: &[
        Gates {
            from: 0.032,
            to: 0.1,
            gates: &[
                gate(1.5, Some(HOUR), None),
                gate(2.1, None, Some(120.0)),
                gate(2.75, Some(0.2), Some(10.0)),
                gate(4.0, Some(40e-3), Some(3.0)),
                gate(10.0, Some(10e-3), Some(0.3)),
            ],
        },
        Gates {
            from: 0.125,
            to: 6.3,
            gates: &[
                gate(1.5, Some(HOUR), None),
                gate(2.1, None, Some(120.0)),
                gate(2.75, Some(0.6), Some(10.0)),
                gate(4.0, Some(0.15), Some(3.0)),
                gate(10.0, Some(20e-3), Some(0.3)),
            ],
        },
        Gates {
            from: 8.0,
            to: 16.0,
            gates: &[
                gate(1.5, Some(0.5 * HOUR), None),
                gate(2.1, None, Some(120.0)),
                gate(2.75, Some(0.6), Some(10.0)),
                gate(4.0, Some(0.15), Some(3.0)),
                gate(10.0, Some(20e-3), Some(0.3)),
            ],
        },
    ],
    source: "IEC 60127-2 sheet 3, as Littelfuse 218 and Schurter FST print it",
    series: &[
        Series {
            source: "Littelfuse 213, surge type",
            melting: &[
                (0.2, 0.35),
                (0.25, 0.555),
                (0.315, 1.14),
                (0.5, 2.90),
                (0.63, 4.80),
                (0.8, 9.42),
                (1.0, 19.2),
                (1.25, 27.2),
                (1.6, 44.2),
                (2.0, 92.7),
                (2.5, 138.0),
                (3.15, 226.5),
                (4.0, 202.0),
                (5.0, 314.0),
                (6.3, 600.0),
            ],
        },
        Series {
            source: "Bel 5ST, normal type (its table was seen up to 0.8 A)",
            melting: &[(0.5, 1.4), (0.63, 0.9), (0.8, 1.6)],
        },
    ],
    about: (10.0, 2.3),
    loading: 1.0,
    breaking_amps: 35.0,
    ratings: &IEC_TO_TEN,
};

const TIME_LAG_CERAMIC: Family = Family {
    kind: FuseKind::TimeLagCeramic,
    gates: &[
        Gates {
            from: 1.0,
            to: 3.15,
            gates: &[
                gate(1.5, Some(HOUR), None),
                gate(2.1, None, Some(1800.0)),
                gate(2.75, Some(0.75), Some(80.0)),
                gate(4.0, Some(95e-3), Some(5.0)),
                gate(10.0, Some(10e-3), Some(0.15)),
            ],
        },
        // Makers print 10 ms (Bussmann) or 20 ms (Schurter, Bel) as the least at ten times: the lower stands here.
        Gates {
            from: 4.0,
            to: 6.3,
            gates: &[
                gate(1.5, Some(HOUR), None),
                gate(2.1, None, Some(1800.0)),
                gate(2.75, Some(0.75), Some(80.0)),
                gate(4.0, Some(0.15), Some(5.0)),
                gate(10.0, Some(10e-3), Some(0.15)),
            ],
        },
    ],
    source: "IEC 60127-2 sheet 5, as Schurter SPT and Bussmann S505 print it",
    series: &[
        Series {
            source: "Schurter SPT",
            melting: &[
                (1.0, 1.1),
                (1.25, 1.86),
                (1.6, 4.35),
                (2.0, 9.2),
                (2.5, 11.7),
                (3.15, 33.7),
                (4.0, 62.4),
                (5.0, 97.5),
                (6.3, 171.0),
            ],
        },
        Series {
            source: "Bussmann S505",
            melting: &[
                (1.0, 1.28),
                (1.25, 2.22),
                (1.6, 6.78),
                (2.0, 9.60),
                (2.5, 16.6),
                (3.15, 36.6),
                (4.0, 38.5),
                (5.0, 71.3),
                (6.3, 111.0),
            ],
        },
        Series {
            source: "Bel 5HT, at ten times the rated current",
            melting: &[
                (1.0, 1.7),
                (1.25, 3.2),
                (1.6, 5.9),
                (2.0, 11.0),
                (2.5, 20.3),
                (3.15, 38.0),
                (4.0, 69.0),
                (5.0, 128.0),
                (6.3, 237.0),
            ],
        },
    ],
    about: (1.5, 2.6),
    loading: 1.0,
    breaking_amps: 1500.0,
    ratings: &IEC_FROM_ONE,
};

const UL_FAST: Family = Family {
    kind: FuseKind::UlFast,
    gates: &[Gates {
        from: 0.063,
        to: 15.0,
        gates: &[
            gate(1.0, Some(4.0 * HOUR), None),
            gate(1.35, None, Some(HOUR)),
            gate(2.0, None, Some(120.0)),
        ],
    }],
    source: "UL 248-14, as Littelfuse 312 and Bussmann GMA print it",
    series: &[],
    about: (0.7, 2.5),
    loading: 0.75,
    breaking_amps: 35.0,
    ratings: &UL_RATINGS,
};

const UL_SLOW: Family = Family {
    kind: FuseKind::UlSlow,
    gates: &[
        Gates {
            from: 0.063,
            to: 3.0,
            gates: &[
                gate(1.0, Some(4.0 * HOUR), None),
                gate(1.35, None, Some(HOUR)),
                gate(2.0, Some(5.0), Some(120.0)),
            ],
        },
        Gates {
            from: 3.2,
            to: 15.0,
            gates: &[
                gate(1.0, Some(4.0 * HOUR), None),
                gate(1.35, None, Some(HOUR)),
                gate(2.0, Some(12.0), Some(120.0)),
            ],
        },
    ],
    source: "UL 248-14, as Bussmann MDL and Littelfuse 313 print it",
    series: &[
        Series {
            source: "Bussmann GMD",
            melting: &[
                (0.25, 0.40),
                (0.5, 1.4),
                (0.8, 6.6),
                (1.0, 12.0),
                (1.25, 16.0),
                (1.5, 25.0),
                (2.0, 42.0),
                (2.5, 94.0),
                (3.0, 145.0),
                (4.0, 300.0),
            ],
        },
        Series {
            source: "Bussmann MDL (seen up to 3/8 A)",
            melting: &[(0.25, 0.447), (0.375, 0.982)],
        },
        Series {
            source: "Littelfuse 313 (of which 2.5 A was seen)",
            melting: &[(2.5, 130.0)],
        },
    ],
    about: (10.0, 2.3),
    loading: 0.75,
    breaking_amps: 35.0,
    ratings: &UL_RATINGS,
};

/// What a fuse breaks, and at which volts that is stated (A, V).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Breaking {
    /// Largest current that it breaks (A).
    pub amps: f64,
    /// At these rms volts (V).
    pub volts: f64,
}

/// Breaking capacity of a kind and rating (A) at these mains (V). Sheets 2 and 3: 35 A or ten times the rated current, whichever is more
/// (IEC 60127-2). Glass fuses of UL 248-14: 35 A at 250 V, 10 kA at 125 V (Bussmann MDL, GMA).
pub fn breaking(kind: FuseKind, rating: f64, mains_volts: f64) -> Breaking {
    let amps = Family::of(kind).breaking_amps;
    match kind {
        FuseKind::QuickGlass | FuseKind::TimeLagGlass => Breaking {
            amps: amps.max(10.0 * rating),
            volts: 250.0,
        },
        FuseKind::UlFast | FuseKind::UlSlow if mains_volts <= 125.0 => Breaking {
            amps: 10_000.0,
            volts: 125.0,
        },
        _ => Breaking { amps, volts: 250.0 },
    }
}
