//! Convergence.
