//! The solver link against optima found by other solvers. Sources of the instances: fixtures/NOTICE.md.
//! The optima were computed with scipy `linear_sum_assignment` and OR-Tools CP-SAT (assignment), with
//! highspy and by brute force (p-median p=2, 3 and covering), with highspy (p-median p=5, set cover).
// Matrices are written and read by pairs of indices, as in the sources of these problems.
#![allow(clippy::needless_range_loop)]

use crownhold_plan::milp::{Effort, Milp};

fn numbers(text: &str) -> Vec<i64> {
    text.split_whitespace().map_while(|w| w.parse().ok()).collect()
}

fn after<'a>(text: &'a str, heading: &str) -> &'a str {
    text.split_once(heading).map(|(_, rest)| rest).expect("the fixture has this section")
}

/// gr17: lower triangle with diagonal.
fn gr17() -> Vec<Vec<f64>> {
    let flat = numbers(after(include_str!("fixtures/gr17.tsp"), "EDGE_WEIGHT_SECTION"));
    let at = |i: usize, j: usize| flat[i.max(j) * (i.max(j) + 1) / 2 + i.min(j)] as f64;
    (0..17).map(|i| (0..17).map(|j| at(i, j)).collect()).collect()
}

/// E-n22: distances between nodes, and demands.
fn e_n22() -> (Vec<Vec<f64>>, Vec<f64>) {
    let text = include_str!("fixtures/E-n22-k4.txt");
    let places = numbers(after(text, "NODE_COORD_SECTION"));
    let demands = numbers(after(text, "DEMAND_SECTION"));
    let xy: Vec<(f64, f64)> = places.chunks(3).map(|c| (c[1] as f64, c[2] as f64)).collect();
    let distances = xy.iter().map(|a| xy.iter().map(|b| (a.0 - b.0).hypot(a.1 - b.1)).collect()).collect();
    (distances, demands.chunks(2).map(|c| c[1] as f64).collect())
}

fn optimum(milp: &Milp, aim: &[(usize, f64)]) -> f64 {
    let answer = milp.minimise(aim, &Effort::EXACT).unwrap();
    assert!(answer.proven && answer.value - answer.bound < 1e-5);
    answer.value
}

#[test]
fn assignment_on_gr17_is_1652() {
    let cost = gr17();
    let mut milp = Milp::default();
    let x: Vec<Vec<usize>> = (0..17).map(|_| (0..17).map(|_| milp.yes_no()).collect()).collect();
    for i in 0..17 {
        milp.row(1.0, 1.0, (0..17).filter(|&j| j != i).map(|j| (x[i][j], 1.0)).collect());
        milp.row(1.0, 1.0, (0..17).filter(|&j| j != i).map(|j| (x[j][i], 1.0)).collect());
        milp.row(0.0, 0.0, vec![(x[i][i], 1.0)]);
    }
    let aim: Vec<(usize, f64)> =
        (0..17).flat_map(|i| (0..17).map(move |j| (i, j))).map(|(i, j)| (x[i][j], cost[i][j])).collect();
    assert!((optimum(&milp, &aim) - 1652.0).abs() < 1e-6);
}

fn p_median(p: f64) -> f64 {
    let (distances, demand) = e_n22();
    let n = demand.len();
    let mut milp = Milp::default();
    let open: Vec<usize> = (0..n).map(|_| milp.yes_no()).collect();
    milp.row(p, p, open.iter().map(|&y| (y, 1.0)).collect());
    let mut aim = Vec::new();
    for i in 0..n {
        let served: Vec<usize> = (0..n).map(|_| milp.column(0.0, 1.0, false)).collect();
        milp.row(1.0, 1.0, served.iter().map(|&x| (x, 1.0)).collect());
        for j in 0..n {
            milp.row(f64::NEG_INFINITY, 0.0, vec![(served[j], 1.0), (open[j], -1.0)]);
            aim.push((served[j], demand[i] * distances[i][j].round()));
        }
    }
    optimum(&milp, &aim)
}

#[test]
fn weighted_p_median_on_e_n22() {
    for (p, known) in [(2.0, 385_900.0), (3.0, 306_700.0), (5.0, 187_300.0)] {
        assert!((p_median(p) - known).abs() < 1e-3, "p = {p}");
    }
}

#[test]
fn maximal_covering_on_e_n22_within_15() {
    let (distances, demand) = e_n22();
    let n = demand.len();
    for (p, known) in [(1.0, 5_600.0), (2.0, 9_700.0), (3.0, 12_800.0)] {
        let mut milp = Milp::default();
        let open: Vec<usize> = (0..n).map(|_| milp.yes_no()).collect();
        milp.row(p, p, open.iter().map(|&y| (y, 1.0)).collect());
        let mut aim = Vec::new();
        for i in 0..n {
            let covered = milp.yes_no();
            let mut terms: Vec<(usize, f64)> =
                (0..n).filter(|&j| distances[i][j] <= 15.0).map(|j| (open[j], -1.0)).collect();
            terms.push((covered, 1.0));
            milp.row(f64::NEG_INFINITY, 0.0, terms);
            aim.push((covered, -demand[i]));
        }
        assert!((optimum(&milp, &aim) + known).abs() < 1e-6, "p = {p}");
    }
}

#[test]
fn set_cover_on_e_n22_within_20_takes_4() {
    let (distances, _) = e_n22();
    let mut milp = Milp::default();
    let open: Vec<usize> = (0..distances.len()).map(|_| milp.yes_no()).collect();
    for row in &distances {
        milp.row(1.0, f64::INFINITY, (0..row.len()).filter(|&j| row[j] <= 20.0).map(|j| (open[j], 1.0)).collect());
    }
    let aim: Vec<(usize, f64)> = open.iter().map(|&y| (y, 1.0)).collect();
    assert!((optimum(&milp, &aim) - 4.0).abs() < 1e-6);
}
