//! Exponentials and logarithms of whole lists, four numbers at a time: the survey takes some twenty million of them.

use wide::f64x4;

/// Every number becomes its exponential.
pub fn exp_all(values: &mut [f64]) {
    each(values, f64x4::exp);
}

/// Every number, above 0, becomes its natural logarithm.
pub fn ln_all(values: &mut [f64]) {
    each(values, f64x4::ln);
}

/// What a number becomes does not hang on where it stands: the last ones fill up a step of their own.
fn each(values: &mut [f64], of: impl Fn(f64x4) -> f64x4) {
    let mut fours = values.chunks_exact_mut(4);
    for four in &mut fours {
        let [a, b, c, d] = *four else { continue };
        four.copy_from_slice(&of(f64x4::new([a, b, c, d])).to_array());
    }
    let rest = fours.into_remainder();
    let mut last = [1.0; 4];
    last[..rest.len()].copy_from_slice(rest);
    rest.copy_from_slice(&of(f64x4::new(last)).to_array()[..rest.len()]);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against `libm`, wherever a number stands.
    #[test]
    fn lists_of_every_length() {
        for length in 0..9 {
            let numbers: Vec<f64> = (0..length).map(|i| -700.0 + 177.3 * f64::from(i)).collect();
            let mut exponentials = numbers.clone();
            exp_all(&mut exponentials);
            let mut again = exponentials.clone();
            ln_all(&mut again);
            for ((x, e), back) in numbers.iter().zip(&exponentials).zip(&again) {
                assert!((e / libm::exp(*x) - 1.0).abs() < 1e-15, "exp {x} {e}");
                assert!((back - x).abs() < 1e-12, "ln {e} {back}");
            }
        }
        let mut far = [-2_000.0, 0.0, -0.0];
        exp_all(&mut far);
        assert_eq!(far, [0.0, 1.0, 1.0]);
    }
}
