//! Where in the period the rectifier begins and ceases to conduct, and the steps between.
//!
//! Steps end where conduction does: a formula of high order is only as good as the curve it follows is smooth. Where that
//! is, the last period tells; the next one is cut there.

use crate::physics::circuit::network::Input;
use crate::physics::circuit::port::ReverseCurrent;
use crate::physics::circuit::radau::PLACES;
use crate::physics::numeric::{Cubic, Tolerance, root_between};

/// What the rectifier does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Regime {
    /// Nothing flows.
    Blocked,
    /// The path whose turn it is conducts.
    Single,
    /// Both paths share the current, around the zero crossing.
    Shared,
}

/// What happens where a current would run backwards in the step beside another piece of the period: a choke's current starts from or
/// comes to zero if that piece is blocked.
pub(super) fn reverse_current_beside(piece: Option<Regime>) -> ReverseCurrent {
    if piece == Some(Regime::Blocked) {
        ReverseCurrent::CarriedOn
    } else {
        ReverseCurrent::Blocked
    }
}

/// The period in pieces of one regime each.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Mesh {
    /// Where each piece ends, the last at the end of the period (s), and its regime.
    pub(super) pieces: Vec<(f64, Regime)>,
}

/// More changes than this in a turn are not followed one by one.
const MOST_PIECES: usize = 16;

impl Mesh {
    /// Conduction from and to these times and nothing else.
    pub(super) fn of_pulses(pulses: impl Iterator<Item = [f64; 2]>, period: f64) -> Self {
        let pieces = pulses.flat_map(|[from, to]| [(from, Regime::Blocked), (to, Regime::Single)]);
        Self {
            pieces: pieces.chain([(period, Regime::Blocked)]).collect(),
        }
    }

    /// One regime throughout.
    pub(super) fn whole(regime: Regime, period: f64) -> Self {
        Self {
            pieces: vec![(period, regime)],
        }
    }

    /// Each piece with its beginning.
    pub(super) fn spans(&self) -> impl Iterator<Item = ([f64; 2], Regime)> + '_ {
        let begins = core::iter::once(0.0).chain(self.pieces.iter().map(|p| p.0));
        begins
            .zip(&self.pieces)
            .map(|(begin, &(end, regime))| ([begin, end], regime))
    }

    /// Time within a period in which the rectifier is in a regime (s).
    pub(super) fn time_in(&self, regime: Regime) -> f64 {
        let own = self.spans().filter(|(_, r)| *r == regime);
        own.map(|([from, to], _)| to - from).sum()
    }

    /// Time between two others in which the rectifier conducts (s).
    pub(super) fn conducts_within(&self, [from, to]: [f64; 2]) -> f64 {
        let conducting = self
            .spans()
            .filter(|(_, regime)| *regime != Regime::Blocked);
        conducting
            .map(|([begin, end], _)| (end.min(to) - begin.max(from)).max(0.0))
            .sum()
    }

    fn same_kind(&self, other: &Self) -> bool {
        self.pieces.len() == other.pieces.len()
            && self
                .pieces
                .iter()
                .zip(&other.pieces)
                .all(|(a, b)| a.1 == b.1)
    }

    /// True if every change lies where the other mesh has it: within `share` of the shorter piece beside it, or within `floor` of the
    /// period if that is more.
    pub(super) fn fits(&self, other: &Self, share: f64, floor: f64) -> bool {
        if !self.same_kind(other) {
            return false;
        }
        let period = self.pieces.last().map_or(0.0, |p| p.0);
        let mut begin = 0.0;
        for (k, (a, b)) in self.pieces.iter().zip(&other.pieces).enumerate() {
            let next = self.pieces.get(k + 1).map_or(f64::INFINITY, |p| p.0);
            let least = (a.0 - begin).min(next - a.0);
            if (a.0 - b.0).abs() > (share * least).max(floor * period) {
                return false;
            }
            begin = a.0;
        }
        true
    }

    /// The weighted sum of meshes of one kind; `None` if they are not, or if the sum is not in order.
    pub(super) fn blend(meshes: &[(f64, &Self)]) -> Option<Self> {
        let (_, first) = meshes.first()?;
        if !meshes.iter().all(|(_, m)| m.same_kind(first)) {
            return None;
        }
        let mut out = (*first).clone();
        let period = first.pieces.last()?.0;
        let mut before = 0.0;
        let last = out.pieces.len() - 1;
        for (k, piece) in out.pieces.iter_mut().enumerate() {
            if k == last {
                piece.0 = period;
                break;
            }
            piece.0 = meshes
                .iter()
                .map(|(weight, m)| weight * m.pieces.get(k).map_or(0.0, |p| p.0))
                .sum();
            if piece.0.is_nan() || piece.0 <= before || piece.0 >= period {
                return None;
            }
            before = piece.0;
        }
        Some(out)
    }
}

/// What the rectifier does at one instant: at the beginning of a step or at one of its nodes.
#[derive(Debug, Clone, Copy)]
pub(super) struct NodeState {
    /// When (s).
    pub(super) time: f64,
    pub(super) regime: Regime,
    /// Volts beyond those at which conduction begins (V); while a choke's current flows, only known at the end of a step.
    pub(super) forward_volts: f64,
    /// What flows out of the rectifier (A).
    pub(super) amps: f64,
    /// Volts on the second path (V).
    pub(super) second_volts: f64,
}

/// Where in a step the forward volts are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ForwardVolts {
    /// At every node: no current flows.
    AtNodes,
    /// Behind a choke whose current flows, only at the step's ends.
    AtEnds,
}

/// Watches the rectifier through a period and notes when it begins and ceases to conduct.
#[derive(Debug)]
pub(super) struct Observer {
    /// With a capacitor the forward volts tell of both beginning and end; a choke ends where its current comes to zero.
    input: Input,
    /// Where the first capacitor follows the source closely, the current that counts as none (A): at the end of a pulse its volts
    /// leave the source's as slowly as a parabola leaves its tangent, and only the current tells when.
    follows: Option<f64>,
    /// The last two instants of this pulse at which a current flowed (s, A), newest last.
    carrying: [Option<[f64; 2]>; 2],
    /// The last three instants, newest last.
    last: [NodeState; 3],
    pieces: Vec<(f64, Regime)>,
    most_pieces: usize,
}

impl Observer {
    pub(super) fn new(input: Input, follows: Option<f64>, first: NodeState) -> Self {
        Self {
            input,
            follows,
            carrying: [None; 2],
            last: [first; 3],
            pieces: Vec::with_capacity(6),
            most_pieces: MOST_PIECES,
        }
    }

    /// At the same instant another path has its turn: what it does there counts from here on.
    pub(super) fn next_turn(&mut self, node: NodeState) {
        let before = self.last[2];
        if node.regime != before.regime {
            self.pieces.push((node.time, before.regime));
            self.carrying = [None; 2];
        }
        self.last = [self.last[0], self.last[1], node];
        // Twice the pieces of one turn.
        self.most_pieces = 2 * MOST_PIECES;
    }

    /// Takes the three nodes of the step that begins at `begin` and is `length` long (s).
    pub(super) fn step(
        &mut self,
        begin: f64,
        length: f64,
        nodes: &[NodeState; 3],
        known: ForwardVolts,
    ) {
        let start = self.last[2];
        let first = start.forward_volts;
        for node in nodes {
            let before = self.last[2];
            if node.regime != before.regime {
                let all = [
                    first,
                    nodes[0].forward_volts,
                    nodes[1].forward_volts,
                    nodes[2].forward_volts,
                ];
                let time = if before.regime != Regime::Blocked && node.regime != Regime::Blocked {
                    linear_zero(
                        [before.time, before.second_volts],
                        [node.time, node.second_volts],
                    )
                } else if let Some(time) = self.pulse_end(node) {
                    time
                } else if self.input == Input::Capacitor
                    || (known == ForwardVolts::AtNodes && before.regime == Regime::Blocked)
                {
                    let points = [(0, all[0]), (1, all[1]), (2, all[2]), (3, all[3])];
                    polynomial_zero([before.time, node.time], begin, length, &points)
                } else if before.regime == Regime::Blocked {
                    // Nodes at which a choke's current flows say nothing of the volts that would hold it.
                    let points = [(0, all[0]), (3, all[3])];
                    polynomial_zero([before.time, node.time], begin, length, &points)
                } else {
                    self.current_zero(node)
                };
                self.pieces.push((time, before.regime));
                if before.regime == Regime::Blocked {
                    self.carrying = [None; 2];
                }
            }
            if node.amps > 0.0 {
                self.carrying = [self.carrying[1], Some([node.time, node.amps])];
            }
            self.last = [self.last[1], before, *node];
        }
        if self.input == Input::Choke
            && let Some(([stops, starts], regime)) = dip(&start, nodes)
        {
            self.pieces
                .extend([(stops, regime), (starts, Regime::Blocked)]);
        }
    }

    /// When a pulse of current into a capacitor that follows the source closely ends before `node` (s): on the straight line through
    /// its last two instants.
    fn pulse_end(&self, node: &NodeState) -> Option<f64> {
        let end_amps = self.follows?;
        let [Some([from, first]), Some([to, last])] = self.carrying else {
            return None;
        };
        if node.regime != Regime::Blocked {
            return None;
        }
        let slope = (last - first) / (to - from);
        let time = to + (end_amps - last) / slope;
        (slope < 0.0 && time >= from).then(|| time.min(node.time))
    }

    /// When a choke's current comes to zero (s): between two nodes if it goes through zero there, else on the parabola through the last
    /// three before.
    fn current_zero(&self, node: &NodeState) -> f64 {
        let [first, earlier, before] = self.last;
        let slope = |a: &NodeState, b: &NodeState| (b.amps - a.amps) / (b.time - a.time);
        let span = node.time - before.time;
        // Newton's form of the parabola, on the three nodes nearest to the zero.
        let through = node.amps < 0.0;
        let (near, line, bend, known) = if through {
            let line = slope(&before, node);
            let bend = (line - slope(&earlier, &before)) / (node.time - earlier.time);
            (node, line, bend, earlier.regime)
        } else {
            let line = slope(&earlier, &before);
            let bend = (line - slope(&first, &earlier)) / (before.time - first.time);
            (&before, line, bend, first.regime)
        };
        let before_near = if through { before.time } else { earlier.time };
        let tangent = line + bend * (near.time - before_near);
        let root = (tangent * tangent - 4.0 * bend * near.amps).max(0.0).sqrt();
        // The form without cancellation; the current falls.
        let parabola = near.time + 2.0 * near.amps / (root - tangent);
        let straight = near.time - near.amps / line;
        let good = |time: &f64| (before.time..=node.time).contains(time);
        let candidates = [
            (known != Regime::Blocked).then_some(parabola),
            Some(straight),
        ];
        candidates
            .into_iter()
            .flatten()
            .find(good)
            .unwrap_or(if straight > node.time {
                node.time
            } else {
                before.time + 0.5 * span
            })
    }

    /// The mesh that was seen.
    pub(super) fn mesh(mut self, period: f64) -> Mesh {
        self.pieces.push((period, self.last[2].regime));
        // Changes that follow upon one another at once were none.
        let shortest = 1e-7 * period;
        let mut pieces: Vec<(f64, Regime)> = Vec::with_capacity(self.pieces.len());
        let mut begin = 0.0;
        for (end, regime) in self.pieces {
            if end - begin < shortest {
                continue;
            }
            match pieces.last_mut() {
                Some(last) if last.1 == regime => last.0 = end,
                _ => pieces.push((end, regime)),
            }
            begin = end;
        }
        if let Some(last) = pieces.last_mut() {
            last.0 = period;
        }
        if pieces.len() > self.most_pieces || pieces.is_empty() {
            return Mesh::whole(Regime::Single, period);
        }
        Mesh { pieces }
    }
}

/// Where a choke's current comes to zero and starts again between two nodes of a step, though it flows at all of them, and what the
/// rectifier did before. It starts where it would turn: there the source is above what the filter holds again.
fn dip(start: &NodeState, nodes: &[NodeState; 3]) -> Option<([f64; 2], Regime)> {
    let all = [start, &nodes[0], &nodes[1], &nodes[2]];
    if all.iter().any(|l| l.regime == Regime::Blocked) {
        return None;
    }
    let (least, most) = all.iter().fold((f64::INFINITY, 0.0_f64), |(a, b), l| {
        (a.min(l.amps), b.max(l.amps))
    });
    // Between its nodes a curve that turns once goes no lower than that.
    if least > 0.25 * (most - least) {
        return None;
    }
    let [_, t1, t2, t3] = all.map(|l| l.time - start.time);
    let cubic = Cubic::through(all.map(|l| l.amps), [t1, t2, t3]);
    // Of two places where it turns the one below zero is where it turns upwards.
    let mut turns = cubic.turns().filter(|t| *t > 0.0 && *t < t3);
    let turn = turns.find(|t| cubic.at(*t) < 0.0)?;
    let above = root_between(0.0, turn, Tolerance::fine(turn), |t| cubic.at(t));
    let times = [above, turn].map(|x| start.time + x);
    Some((times, start.regime))
}

/// When the straight line between two points (s, V), whose volts are of opposite sign, is zero.
fn linear_zero([from, a]: [f64; 2], [to, b]: [f64; 2]) -> f64 {
    let time = from + (to - from) * a / (a - b);
    if time.is_finite() {
        time.clamp(from, to)
    } else {
        0.5 * (from + to)
    }
}

/// When the polynomial through values at beginning (0) and nodes (1 to 3) of a step is zero between two times (s); the step begins at
/// `begin` and is `length` long (s).
fn polynomial_zero([low, high]: [f64; 2], begin: f64, length: f64, values: &[(usize, f64)]) -> f64 {
    const POINTS: [f64; 4] = [0.0, PLACES[0], PLACES[1], PLACES[2]];
    let polynomial = |time: f64| {
        let x = (time - begin) / length;
        let mut sum = 0.0;
        for &(k, value) in values {
            let mut weight = value;
            for &(j, _) in values {
                if j != k {
                    weight *= (x - POINTS[j]) / (POINTS[k] - POINTS[j]);
                }
            }
            sum += weight;
        }
        sum
    };
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (polynomial(a), polynomial(b));
    if (fa > 0.0) == (fb > 0.0) {
        return if fa.abs() < fb.abs() { low } else { high };
    }
    // Regula falsi, the value of a side that stays being halved (Illinois).
    for _ in 0..12 {
        let x = (a * fb - b * fa) / (fb - fa);
        let fx = polynomial(x);
        if (fx > 0.0) == (fb > 0.0) {
            fa *= 0.5;
        } else {
            (a, fa) = (b, fb);
        }
        let moved = (x - b).abs();
        (b, fb) = (x, fx);
        if moved < 1e-4 * length || fx == 0.0 {
            break;
        }
    }
    b.clamp(low, high)
}

/// What the filter and the rectifier ask of the steps.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fineness {
    /// Steps in a second that the filter's own swings ask for.
    pub(super) swing: f64,
    /// The filter's fastest decay (1/s): after each change it is followed for a while.
    pub(super) decay: f64,
    /// The time in which the first capacitor follows the source (s): the beginning of a pulse is finer if it is short.
    pub(super) follow: f64,
    /// Steps of one pulse of current, and further ones in proportion if it lasts for a whole period.
    pub(super) pulse: (f64, f64),
    /// All steps are multiplied by this.
    pub(super) multiple: f64,
}

impl Fineness {
    /// The steps of a piece: lengths of one or two stretches and how many steps each has.
    pub(super) fn cut(&self, span: f64, regime: Regime, period: f64) -> [(f64, usize); 2] {
        let share = span / period;
        let own = match regime {
            Regime::Blocked => 2.0_f64.max(8.0 * share),
            Regime::Single => self.pulse.0 + self.pulse.1 * share,
            Regime::Shared => 3.0 + 16.0 * share,
        };
        let steps = self.multiple * own.max(self.swing * span).min(400.0);
        if regime == Regime::Single && self.follow > 0.0 && self.follow * steps < 3.0 * span {
            let onset = (4.0 * self.follow).clamp(0.02 * span, 0.25 * span);
            return [
                (onset, count(8.0 * self.multiple)),
                (span - onset, count(steps)),
            ];
        }
        let tail = 4.0 / self.decay;
        // Where the steps are longer than the decay, and the decay is long enough to matter.
        if self.decay * span > steps && tail > 1e-4 * period {
            let tail = tail.min(0.5 * span);
            return [
                (tail, count(5.0 * self.multiple)),
                (span - tail, count(steps)),
            ];
        }
        [(span, count(steps)), (0.0, 0)]
    }
}

/// A number of steps.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to what a period can need"
)]
fn count(steps: f64) -> usize {
    steps.ceil().clamp(1.0, 2_000.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::circuit::radau::node_times;

    fn step_of(amps: impl Fn(f64) -> f64) -> (NodeState, [NodeState; 3]) {
        let at = |time: f64| NodeState {
            time,
            regime: Regime::Single,
            forward_volts: 0.0,
            amps: amps(time),
            second_volts: -1.0,
        };
        (at(1.0), node_times(1.0, 2.0).map(at))
    }

    #[test]
    fn a_dip_between_the_nodes_is_seen_where_it_is() {
        // The nodes of this step are at 1.31, 2.29 and 3; the current is below zero from 1.6 to 2.
        let (start, nodes) = step_of(|time| (time - 1.6) * (time - 2.0) * (5.0 - time));
        let ([stops, starts], regime) = dip(&start, &nodes).unwrap();
        // Where it would turn: the derivative of the cubic is zero.
        let turn = (8.6 - (8.6_f64 * 8.6 - 3.0 * 21.2).sqrt()) / 3.0;
        assert!((stops - 1.6).abs() < 1e-6 && (starts - turn).abs() < 1e-9);
        assert_eq!(regime, Regime::Single);
    }

    #[test]
    fn a_current_that_turns_above_zero_or_falls_through_has_no_dip() {
        for amps in [
            (|t: f64| (t - 1.8).powi(2) + 1e-6) as fn(f64) -> f64,
            |t| 5.0 - t,
            |t| 3.0 + (t - 2.0).powi(2),
        ] {
            let (start, nodes) = step_of(amps);
            assert_eq!(dip(&start, &nodes), None);
        }
    }
}
