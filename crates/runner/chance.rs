//! Seeded chance, the same on every machine.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{RngCore, SeedableRng};

/// What a sequence of random numbers is for: each purpose has its own, so that one can change without moving the others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Purpose {
    /// Order of clear and cloudy days.
    Days,
    /// Passing clouds within a day.
    Clouds,
    /// Warm and cold spells.
    Air,
    /// Gusty and calm hours.
    Wind,
    /// When people draw hot water, and how much.
    Taps,
    /// What is let vary to find the range of a saving.
    Range,
}

/// A stream of random numbers.
pub(crate) struct Chance(ChaCha8Rng);

impl Chance {
    /// The stream of a seed for a purpose.
    pub(crate) fn new(seed: u64, purpose: Purpose) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(purpose as u64);
        Self(rng)
    }

    /// Uniform in the open interval 0 to 1: the 53 upper bits, at the middle of their step so that neither end is hit.
    pub(crate) fn uniform(&mut self) -> f64 {
        const STEP: f64 = 1.0 / (1_u64 << 53) as f64;
        ((self.0.next_u64() >> 11) as f64 + 0.5) * STEP
    }

    /// Normal deviate of mean 0 and variance 1.
    ///
    /// Source: Box & Muller 1958, Annals of Mathematical Statistics 29(2), 610-611 (the cosine branch).
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * libm::log(self.uniform())).sqrt();
        radius * libm::cos(2.0 * std::f64::consts::PI * self.uniform())
    }
}

/// A first-order autoregressive sequence of variance 1: each value remembers the one before.
pub(crate) struct Memory {
    persistence: f64,
    value: f64,
}

impl Memory {
    /// Starts in the stationary state; `persistence` is the correlation of neighbours, -1 to 1.
    pub(crate) fn new(persistence: f64, chance: &mut Chance) -> Self {
        Self { persistence, value: chance.normal() }
    }

    /// The next value.
    pub(crate) fn next(&mut self, chance: &mut Chance) -> f64 {
        let fresh = (1.0 - self.persistence * self.persistence).sqrt();
        self.value = self.persistence * self.value + fresh * chance.normal();
        self.value
    }
}

/// Share of a normal distribution of variance 1 that lies below `x`.
pub(crate) fn normal_share(x: f64) -> f64 {
    0.5 * libm::erfc(-x * std::f64::consts::FRAC_1_SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn streams_repeat_and_differ_by_seed_and_purpose() {
        let first = |seed, purpose| Chance::new(seed, purpose).normal().to_bits();
        assert_eq!(first(7, Purpose::Days), first(7, Purpose::Days));
        assert_ne!(first(7, Purpose::Days), first(8, Purpose::Days));
        assert_ne!(first(7, Purpose::Days), first(7, Purpose::Wind));
    }

    #[test]
    fn a_memory_keeps_mean_variance_and_persistence() {
        let mut chance = Chance::new(1, Purpose::Air);
        let mut memory = Memory::new(0.6, &mut chance);
        let x: Vec<f64> = (0..20_000).map(|_| memory.next(&mut chance)).collect();
        let n = x.len() as f64;
        let mean = x.iter().sum::<f64>() / n;
        let variance = x.iter().map(|v| v * v).sum::<f64>() / n;
        let lag = x.windows(2).map(|p| p[0] * p[1]).sum::<f64>() / n;
        // Standard errors with this persistence: mean 0.014, variance 0.015, lag 0.015; four of them allowed.
        assert!(mean.abs() < 0.06, "{mean}");
        assert!((variance - 1.0).abs() < 0.06, "{variance}");
        assert!((lag - 0.6).abs() < 0.06, "{lag}");
    }

    #[test]
    fn normal_share_has_its_table_values() {
        assert!((normal_share(0.0) - 0.5).abs() < 1e-15);
        // Any table of the normal distribution: 97.5 % lie below 1.959964 (six decimals given).
        assert!((normal_share(1.959_964) - 0.975).abs() < 1e-7);
    }
}
