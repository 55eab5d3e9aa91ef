//! Water in a pipe as it came in: slugs from the outlet end to the inlet end.

/// Slugs a pipe keeps apart; beyond that the newest two become one.
const SLUGS: usize = 24;

/// What a pipe holds. Slugs are measured by heat capacity (J/K), the tube wall included.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Slugs {
    j_k: [f64; SLUGS],
    c: [f64; SLUGS],
    len: usize,
    /// Heat capacity of the whole content in J/K.
    pub(crate) content_j_k: f64,
}

impl Slugs {
    /// A pipe of one temperature.
    pub(crate) fn new(content_j_k: f64, start_c: f64) -> Self {
        let mut slugs = Self { j_k: [0.0; SLUGS], c: [0.0; SLUGS], len: 0, content_j_k };
        slugs.push(content_j_k, start_c);
        slugs
    }

    /// Heat content above 0 degC in J.
    pub(crate) fn content_j(&self) -> f64 {
        self.j_k.iter().zip(&self.c).take(self.len).map(|(j_k, c)| j_k * c).sum()
    }

    /// Takes `j_k` out at the outlet end, not more than the pipe holds; returns its mean temperature. As much must be pushed
    /// in afterwards.
    pub(crate) fn pop(&mut self, j_k: f64) -> f64 {
        let mut wanted_j_k = j_k;
        let mut heat_j = 0.0;
        let mut gone = 0;
        // The last slug gives what is asked, whatever rounding left of it.
        while gone + 1 < self.len && self.j_k[gone] <= wanted_j_k {
            heat_j += self.j_k[gone] * self.c[gone];
            wanted_j_k -= self.j_k[gone];
            gone += 1;
        }
        heat_j += wanted_j_k * self.c[gone];
        self.j_k[gone] -= wanted_j_k;
        self.j_k.copy_within(gone..self.len, 0);
        self.c.copy_within(gone..self.len, 0);
        self.len -= gone;
        heat_j / j_k
    }

    /// Lets `j_k` in at the inlet end.
    pub(crate) fn push(&mut self, j_k: f64, c: f64) {
        if self.len < SLUGS {
            self.j_k[self.len] = j_k;
            self.c[self.len] = c;
            self.len += 1;
        } else {
            let newest = SLUGS - 1;
            let both_j_k = self.j_k[newest] + j_k;
            self.c[newest] = (self.j_k[newest] * self.c[newest] + j_k * c) / both_j_k;
            self.j_k[newest] = both_j_k;
        }
    }

    /// Passes any amount through; returns the mean temperature of what leaves.
    pub(crate) fn pass(&mut self, j_k: f64, in_c: f64) -> f64 {
        if j_k < self.content_j_k {
            let out_c = self.pop(j_k);
            self.push(j_k, in_c);
            return out_c;
        }
        let out_c = in_c + (self.content_j() - self.content_j_k * in_c) / j_k;
        self.len = 0;
        self.push(self.content_j_k, in_c);
        out_c
    }

    /// Takes the share `fall` of every slug's difference to `around_c` away; returns the heat lost in J.
    pub(crate) fn relax(&mut self, fall: f64, around_c: f64) -> f64 {
        let mut lost_j = 0.0;
        for (j_k, c) in self.j_k.iter().zip(&mut self.c).take(self.len) {
            let fall_k = fall * (*c - around_c);
            *c -= fall_k;
            lost_j += fall_k * j_k;
        }
        lost_j
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_comes_in_leaves_in_order() {
        // By hand: 10 J/K at 20, then 4 at 50 and 3 at 60; taking 5 twice gives 5 at 20, then 3 at 20 and 2 at 50.
        let mut slugs = Slugs::new(10.0, 20.0);
        assert_eq!(slugs.pass(4.0, 50.0), 20.0);
        assert_eq!(slugs.pass(3.0, 60.0), 20.0);
        assert_eq!(slugs.pass(5.0, 10.0), (3.0 * 20.0 + 2.0 * 50.0) / 5.0);
        // Left: 2 at 50, 3 at 60, 5 at 10. Passing 30 takes all of it and 20 straight through.
        assert_eq!(slugs.content_j(), 2.0 * 50.0 + 3.0 * 60.0 + 5.0 * 10.0);
        let out_c = slugs.pass(30.0, 40.0);
        assert!((out_c - (330.0 + 20.0 * 40.0) / 30.0).abs() < 1e-12, "{out_c}");
        assert_eq!(slugs.content_j(), 400.0);
    }

    #[test]
    fn many_small_slugs_keep_the_heat() {
        let mut slugs = Slugs::new(10.0, 20.0);
        let (mut in_j, mut out_j) = (0.0, 0.0);
        for i in 0..1000 {
            let c = 20.0 + f64::from(i % 7);
            in_j += 0.03 * c;
            out_j += 0.03 * slugs.pass(0.03, c);
        }
        // Rounding of 1000 sums near 1000 J.
        assert!((200.0 + in_j - out_j - slugs.content_j()).abs() < 1e-10);
    }
}
