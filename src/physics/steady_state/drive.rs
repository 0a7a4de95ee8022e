//! What drives the filter: the e.m.f. of each half of the winding and the rectifier, in turns.

use super::mesh::{Mesh, Regime};
use crate::physics::circuit::port::Port;
use crate::physics::circuit::source::MainsShape;
use crate::physics::device::rectifier::Path;

/// How the paths of a rectifier take turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Turns {
    /// One path alone.
    HalfWave,
    /// Two paths alike: every half cycle is as the one before.
    Alike,
    /// Two paths that differ: only a whole cycle repeats.
    Unequal,
}

/// The electromotive force and the rectifier in front of the filter.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drive {
    /// Crest of the e.m.f. in the turn of the first and of the second path (V).
    pub(super) peaks: [f64; 2],
    pub(super) angular_frequency: f64,
    pub(super) shape: MainsShape,
    /// The rectifier in the turn of the first and of the second path.
    pub(super) ports: [Port; 2],
    pub(super) turns: Turns,
}

impl Drive {
    /// The time after which everything repeats (s).
    pub(super) fn period(&self) -> f64 {
        let cycle = core::f64::consts::TAU / self.angular_frequency;
        match self.turns {
            Turns::Alike => cycle / 2.0,
            Turns::HalfWave | Turns::Unequal => cycle,
        }
    }

    /// The time that each path has its turn for (s): the whole cycle of one alone.
    pub(super) fn turn_seconds(&self) -> f64 {
        match self.turns {
            Turns::HalfWave | Turns::Alike => self.period(),
            Turns::Unequal => self.period() / 2.0,
        }
    }

    /// The beginnings of the turns within a period (s) that the rectifier is followed through one by one.
    pub(super) fn turn_begins(&self) -> impl Iterator<Item = f64> {
        let second = (self.turns == Turns::Unequal).then(|| self.turn_seconds());
        core::iter::once(0.0).chain(second)
    }

    /// Whose turn it is at a time within the period, which no other turn begins at.
    pub(super) fn turn_at(&self, time: f64) -> usize {
        usize::from(self.turns == Turns::Unequal && time >= self.turn_seconds())
    }

    /// Highest crest of the e.m.f. (V).
    pub(super) fn peak_volts(&self) -> f64 {
        let [first, second] = self.peaks;
        first.max(second)
    }

    /// The port in whose terms the filter and the steps are judged: both have the same devices.
    pub(super) fn port(&self) -> &Port {
        &self.ports[0]
    }

    /// The path whose turn it is at a time.
    pub(super) fn path_at(&self, time: f64) -> &Path {
        &self.ports[self.turn_at(time)].path
    }

    /// What the sine is multiplied by for the e.m.f. of the path whose turn it is.
    pub(super) fn factor(&self, turn: usize) -> f64 {
        if turn == 0 {
            self.peaks[0]
        } else {
            -self.peaks[1]
        }
    }

    /// E.m.f. of the path whose turn it is (V).
    pub(super) fn emf(&self, time: f64) -> f64 {
        let sine = (self.angular_frequency * time).sin();
        let wave = self.shape.at(sine);
        let [first, second] = self.peaks;
        if self.turns == Turns::HalfWave || wave >= 0.0 {
            first * wave
        } else {
            -second * wave
        }
    }

    /// E.m.f. of each half, signed (V); without a second path 0 for it.
    pub(super) fn halves(&self, time: f64) -> [f64; 2] {
        let wave = self.shape.at((self.angular_frequency * time).sin());
        let [first, second] = self.peaks;
        let second = if self.turns == Turns::HalfWave {
            0.0
        } else {
            -second * wave
        };
        [first * wave, second]
    }

    /// How fast the e.m.f. rises in the first quarter of a turn (V/s).
    pub(super) fn emf_slope(&self, time: f64) -> f64 {
        let (sine, cosine) = (self.angular_frequency * time).sin_cos();
        let slope = self.angular_frequency * cosine * self.shape.slope_at(sine);
        self.factor(self.turn_at(time)) * slope
    }

    /// The pieces of a mesh, cut where another path has its turn, and, where nothing flows, at the crest of its e.m.f. besides: a pulse that
    /// only just begins there is not to fall between the steps.
    pub(super) fn spans(&self, mesh: &Mesh) -> Vec<([f64; 2], Regime)> {
        if self.turns != Turns::Unequal {
            return mesh.spans().collect();
        }
        let turn = self.turn_seconds();
        let mut out = Vec::with_capacity(mesh.pieces.len() + 3);
        for ([mut from, to], regime) in mesh.spans() {
            let crests = [0.5 * turn, 1.5 * turn].map(|at| (at, regime == Regime::Blocked));
            for (at, _) in [crests[0], (turn, true), crests[1]]
                .into_iter()
                .filter(|cut| cut.1)
            {
                if from < at && at < to {
                    out.push(([from, at], regime));
                    from = at;
                }
            }
            out.push(([from, to], regime));
        }
        out
    }

    /// The currents of both paths, first and second, of what the one whose turn it is carries and the other one.
    pub(super) fn in_order([own, other]: [f64; 2], turn: usize) -> [f64; 2] {
        if turn == 0 {
            [own, other]
        } else {
            [other, own]
        }
    }
}
