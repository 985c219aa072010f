//! Random streams that do not depend on thread count or on the order of work.

use rand::{Rng, RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// One stream of random numbers.
pub type Stream = Pcg64Mcg;

/// The stream for one piece of work: the same seed, room and index always give the same numbers,
/// whatever else runs and on however many threads.
pub fn stream(seed: u64, room: &str, index: u64) -> Stream {
    let mut key = splitmix(seed);
    for byte in room.bytes() {
        key = splitmix(key ^ u64::from(byte));
    }
    Pcg64Mcg::seed_from_u64(splitmix(key ^ splitmix(index)))
}

/// Spreads a seed over all 64 bits (Steele, Lea & Flood 2014), so that seeds that differ a little give streams that differ.
pub fn splitmix(seed: u64) -> u64 {
    let mut z = seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

/// A uniform number strictly between 0 and 1.
pub fn uniform(rng: &mut impl Rng) -> f64 {
    (rng.random::<f64>() * (1.0 - 2e-16) + 1e-16).clamp(1e-16, 1.0 - 1e-16)
}

/// A standard normal number, by inversion.
pub fn normal(rng: &mut impl Rng) -> f64 {
    normal_quantile(uniform(rng))
}

/// Standard normal distribution function.
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

/// Standard normal quantile: statrs' inverse, polished by one Newton step on libm's erfc
/// (statrs' own normal tail is good to 1e-10 only).
pub fn normal_quantile(p: f64) -> f64 {
    let z = -std::f64::consts::SQRT_2 * statrs::function::erf::erfc_inv(2.0 * p);
    let density = libm::exp(-0.5 * z * z) / (2.0 * std::f64::consts::PI).sqrt();
    if density > 1e-300 { z - (normal_cdf(z) - p) / density } else { z }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn streams_repeat_and_differ() {
        let draw = |seed, room, i| stream(seed, room, i).random::<u64>();
        assert_eq!(draw(1, "survey", 3), draw(1, "survey", 3));
        assert_ne!(draw(1, "survey", 3), draw(1, "survey", 4));
        assert_ne!(draw(1, "survey", 3), draw(1, "timing", 3));
        assert_ne!(draw(1, "survey", 3), draw(2, "survey", 3));
    }

    /// Values of R 4.2 qnorm.
    #[test]
    fn normal_quantiles() {
        assert!((normal_quantile(0.975) - 1.959_963_984_540_054).abs() < 1e-12);
        assert!((normal_quantile(0.1) + 1.281_551_565_544_600_4).abs() < 1e-12);
        assert!((normal_cdf(1.0) - 0.841_344_746_068_542_9).abs() < 1e-15);
    }
}
