//! The Radau IIA formula of fifth order: three nodes a step, L-stable.
//!
//! # Source
//! E. Hairer, G. Wanner, Solving Ordinary Differential Equations II, sections IV.5 and IV.8 (from memory; the tests
//! check order and stability).

/// Three numbers, one for each node.
pub(in crate::physics) type Nodes = [f64; 3];

const ROOT_SIX: f64 = 2.449_489_742_783_178;
/// Where the nodes lie within the step, and their weights in an integral over it.
pub(in crate::physics) const PLACES: Nodes =
    [(4.0 - ROOT_SIX) / 10.0, (4.0 + ROOT_SIX) / 10.0, 1.0];
pub(in crate::physics) const WEIGHTS: Nodes = [
    (16.0 - ROOT_SIX) / 36.0,
    (16.0 + ROOT_SIX) / 36.0,
    1.0 / 9.0,
];
/// The formula's matrix: integrals up to each node of the polynomials that are 1 at one node.
pub(in crate::physics) const A: [Nodes; 3] = [
    [
        (88.0 - 7.0 * ROOT_SIX) / 360.0,
        (296.0 - 169.0 * ROOT_SIX) / 1800.0,
        (-2.0 + 3.0 * ROOT_SIX) / 225.0,
    ],
    [
        (296.0 + 169.0 * ROOT_SIX) / 1800.0,
        (88.0 + 7.0 * ROOT_SIX) / 360.0,
        (-2.0 - 3.0 * ROOT_SIX) / 225.0,
    ],
    WEIGHTS,
];
/// `Q(z) = (1 − z/r)·(1 − 2x·z/m + z²/m)`: its real root, and real part and squared magnitude of the pair.
pub(super) const REAL_ROOT: f64 = 3.637_834_252_744_496;
pub(super) const PAIR_REAL: f64 = 2.681_082_873_627_752;
pub(super) const PAIR_SQUARED: f64 = 60.0 / REAL_ROOT;

/// What an input at node `j` does at node `k`: factors of 1, z and z² in `adj(I − a⊗z)·a`.
pub(super) fn node_response(k: usize, j: usize) -> Nodes {
    let squared: f64 = (0..3).map(|m| A[k][m] * A[m][j]).sum();
    let own = if k == j { 1.0 / 60.0 } else { 0.0 };
    [A[k][j], squared - 0.6 * A[k][j], own]
}

/// The same of a constant input: a·1 = c, a·c = c²/2, and adj a = a² − 0.6·a + 0.15.
pub(super) fn constant_response(k: usize) -> Nodes {
    let c = PLACES[k];
    [c, 0.5 * c * c - 0.6 * c, 1.0 / 60.0]
}

#[inline]
pub(in crate::physics) fn times(matrix: &[Nodes; 3], v: &Nodes) -> Nodes {
    [0, 1, 2].map(|k| matrix[k][0] * v[0] + matrix[k][1] * v[1] + matrix[k][2] * v[2])
}

#[inline]
pub(super) fn product(a: &[Nodes; 3], b: &[Nodes; 3]) -> [Nodes; 3] {
    [0, 1, 2].map(|k| [0, 1, 2].map(|j| a[k][0] * b[0][j] + a[k][1] * b[1][j] + a[k][2] * b[2][j]))
}

/// `None` if there is no inverse.
#[inline]
pub(in crate::physics) fn inverse3(m: &[Nodes; 3]) -> Option<[Nodes; 3]> {
    let minor = |r: usize, c: usize| {
        let [r1, r2] = [(r + 1) % 3, (r + 2) % 3];
        let [c1, c2] = [(c + 1) % 3, (c + 2) % 3];
        m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1]
    };
    let first = [minor(0, 0), minor(0, 1), minor(0, 2)];
    let one = 1.0 / (m[0][0] * first[0] + m[0][1] * first[1] + m[0][2] * first[2]);
    one.is_finite().then(|| {
        [
            [first[0] * one, minor(1, 0) * one, minor(2, 0) * one],
            [first[1] * one, minor(1, 1) * one, minor(2, 1) * one],
            [first[2] * one, minor(1, 2) * one, minor(2, 2) * one],
        ]
    })
}

/// Values at the nodes of the next step of equal length, on the parabola through those of this one.
#[inline]
pub(in crate::physics) fn extrapolate(v: &Nodes) -> Nodes {
    times(&EXTRAPOLATION, v)
}

/// Lagrange's polynomials of the nodes, at the nodes one step later.
const EXTRAPOLATION: [Nodes; 3] = [
    lagrange(PLACES[0]),
    lagrange(PLACES[1]),
    lagrange(PLACES[2]),
];

const fn lagrange(place: f64) -> Nodes {
    let x = 1.0 + place;
    let [a, b, c] = PLACES;
    [
        (x - b) * (x - c) / ((a - b) * (a - c)),
        (x - a) * (x - c) / ((b - a) * (b - c)),
        (x - a) * (x - b) / ((c - a) * (c - b)),
    ]
}

/// Times of the nodes of a step.
pub(in crate::physics) fn node_times(begin: f64, length: f64) -> Nodes {
    PLACES.map(|c| begin + c * length)
}
