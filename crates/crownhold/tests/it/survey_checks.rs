//! The count model against numbers from outside.
//!
//! Sources: R 4.2.2, VGAM 1.1-7, and published tables, as named at each test. Values marked
//! "arithmetic" follow from the stated formula alone.

use crownhold::survey::negative_binomial as nb;
use crownhold::types::{Area, MassesPerArea};

const PLOTS: [f64; 12] = [0., 3., 12., 1., 0., 7., 25., 4., 2., 0., 9., 5.];

fn close(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "{got} is not {want} within {tolerance}");
}

fn per_acre(per_plot: f64) -> f64 {
    MassesPerArea::per_square_metre(per_plot / Area::acres(1.0 / 40.0).as_square_metres()).as_per_acre()
}

/// Arithmetic: twelve 1/40 acre plots.
#[test]
fn twelve_plots() {
    let (mean, variance) = nb::moments(&PLOTS);
    close(mean, 5.6667, 1e-4);
    close(per_acre(mean), 226.667, 1e-3);
    close(MassesPerArea::per_acre(per_acre(mean)).as_per_hectare(), 560.10, 1e-2);
    close(variance, 51.697, 1e-3);
    close(per_acre((variance / 12.0).sqrt()), 83.024, 1e-3);
    close(nb::k_by_moments(&PLOTS, false).unwrap(), 0.697_61, 1e-5);
    close(nb::k_by_moments(&PLOTS, true).unwrap(), 0.604_02, 1e-5);
}

/// Arithmetic: exact negative binomial limits of a total of 68 on 12 plots (scipy gives the same).
#[test]
fn exact_limits() {
    for (k, low, high) in [(1.0, 129.85, 460.12), (0.6, 116.21, 576.27)] {
        let (l, h) = nb::exact_interval(68.0, 12.0 * k, 0.95);
        close(per_acre(l / 12.0), low, 0.1);
        close(per_acre(h / 12.0), high, 0.1);
    }
    let (l, h) = nb::log_interval(68.0 / 12.0, 1.0, 12.0, 0.95);
    close(per_acre(l), 122.71, 0.1);
    close(per_acre(h), 418.71, 0.1);
}

/// Bliss & Fisher 1953, red mites on apple leaves: published k 1.0246; VGAM 1.1-7 prints 1.024592387.
#[test]
fn red_mites() {
    let table: &str = include_str!("reference/red_mite_bliss_fisher_1953.csv");
    let mut counts: Vec<u32> = Vec::new();
    for line in table.lines().skip(1) {
        let mut cells = line.split(',').map(|c| c.trim().parse::<u32>().unwrap());
        let (y, leaves) = (cells.next().unwrap(), cells.next().unwrap());
        counts.extend(std::iter::repeat_n(y, leaves as usize));
    }
    let values: Vec<f64> = counts.iter().map(|c| f64::from(*c)).collect();
    let (mean, variance) = nb::moments(&values);
    assert_eq!(counts.len(), 150);
    close(mean, 1.146_666_666_7, 1e-9);
    close(variance, 2.273_646_532, 1e-8);
    close(nb::k_by_moments(&values, false).unwrap(), 1.166_697_369, 1e-8);
    let k = nb::k_by_likelihood(&counts).unwrap();
    close(k, 1.024_592_386_8, 1e-8);
    close(nb::k_by_zeros(mean, 70.0 / 150.0).unwrap(), 0.992_306, 1e-5);
    let fit: f64 = values.iter().map(|y| nb::ln_probability(*y, mean, k)).sum();
    close(fit, -222.437_153_60, 1e-6);
}

/// R 4.2.2 dnbinom(0:5, size = 1.0246, mu = 1.1467).
#[test]
fn probabilities() {
    let want = [
        0.463_245_115_046,
        0.250_665_855_243,
        0.134_009_132_871,
        0.071_352_808_225,
        0.037_914_364_584_6,
        0.020_121_726_968_3,
    ];
    for (y, p) in want.iter().enumerate() {
        close(nb::ln_probability(y as f64, 1.1467, 1.0246).exp(), *p, 1e-11);
    }
    let below: f64 = (0..=3).map(|y| nb::ln_probability(f64::from(y), 2.5, 0.8).exp()).sum();
    close(below, 0.743_956_502_553, 1e-11);
}

/// Arithmetic of the usual sample-size formulas, and zero counts.
#[test]
fn sample_sizes_and_zeros() {
    close(nb::plots_for_precision(6.25, 1.0, 0.25), 18.56, 0.01);
    close(nb::plots_for_precision(6.25, 0.5, 0.25), 34.56, 0.01);
    close(nb::plots_for_precision(2.0, 0.8, 0.25), 28.0, 0.01);
    close(nb::plots_for_precision_taylor(2.5, 3.959, 1.601, 0.25), 43.95, 0.01);
    close(nb::plots_for_precision_taylor(2.0, 1.265_38, 1.129_17, 0.25), 11.071_207_676_7, 1e-9);
    for (n, upper) in [(5.0, 32.82), (10.0, 13.97), (20.0, 6.46)] {
        close(per_acre(nb::zero_upper(n, 1.0, 0.95)), upper, 0.01);
    }
    close(nb::ln_probability(0.0, 6.25, 1.0).exp(), 0.137_931, 1e-6);
}

/// Unequal plots: the size of a total is n k when they are equal, and less than that when they are not.
#[test]
fn size_of_totals() {
    close(nb::size_of_total(&[101.0; 8], 0.7), 5.6, 1e-12);
    assert!(nb::size_of_total(&[50.0, 150.0], 0.7) < 1.4);
}
