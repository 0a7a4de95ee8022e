//! Where the search for a waveform that repeats begins, and what it finds.

use nalgebra::{SMatrix, SVector};

use super::mesh::Mesh;
use super::shooting::Sample;

/// What a period is followed on.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) enum Steps {
    /// Steps that end where the rectifier changes.
    #[default]
    Fitted,
    /// Many steps that stay where they are: the pieces of the waveform would not settle.
    Even,
}

/// Where the search for a steady state begins.
#[derive(Debug, Clone)]
pub(super) struct Guess<const N: usize> {
    pub(super) start: SVector<f64, N>,
    /// Where the rectifier is likely to change.
    pub(super) mesh: Option<Mesh>,
    /// What a residual is multiplied by for the correction of the start: the neighbour's.
    pub(super) inverse: Option<SMatrix<f64, N, N>>,
    /// What the neighbour was found on.
    pub(super) steps: Steps,
}

impl<const N: usize> Guess<N> {
    /// A start of which nothing else is known.
    pub(super) fn at(start: SVector<f64, N>) -> Self {
        Self {
            start,
            mesh: None,
            inverse: None,
            steps: Steps::default(),
        }
    }
}

/// The steady state: a period that ends as it began.
#[derive(Debug, Clone)]
pub(super) struct PeriodicSolution<const N: usize> {
    pub(super) start: SVector<f64, N>,
    pub(super) samples: Vec<Sample<N>>,
    pub(super) mesh: Mesh,
    /// As of [`Guess`], for a neighbour.
    pub(super) inverse: Option<SMatrix<f64, N, N>>,
    pub(super) steps: Steps,
    /// Largest relative correction that was still wanted.
    pub(super) closure: f64,
    pub(super) periods: u32,
}
