//! The few matrix operations of the spatial model, behind one door.
//!
//! Everything runs on the calling thread: results do not depend on the number of cores.

use faer::linalg::matmul::triangular::{BlockStructure, matmul};
use faer::{Accum, Mat, MatRef, Par, Side};

/// A dense matrix.
pub type Matrix = Mat<f64>;

/// Lower triangular factor of a positive definite matrix.
pub struct Lower(Matrix);

impl Lower {
    /// Factor of `a` (its lower half is read); `None` when it is not positive definite.
    pub fn of(a: &Matrix) -> Option<Self> {
        a.llt(Side::Lower).ok().map(|factor| Self(factor.L().to_owned()))
    }

    /// Solves L x = rhs in place.
    pub fn solve(&self, rhs: &mut Matrix) {
        self.0.as_ref().solve_lower_triangular_in_place(rhs.as_mut());
    }

    /// Solves Lᵀ x = rhs in place.
    pub fn solve_transposed(&self, rhs: &mut Matrix) {
        self.0.as_ref().transpose().solve_upper_triangular_in_place(rhs.as_mut());
    }

    /// L x.
    pub fn times(&self, x: &Matrix) -> Matrix {
        let mut product = Matrix::zeros(self.0.nrows(), x.ncols());
        let (lower, whole) = (BlockStructure::TriangularLower, BlockStructure::Rectangular);
        matmul(&mut product, whole, Accum::Replace, &self.0, lower, x, whole, 1.0, Par::Seq);
        product
    }

    /// The factor of the leading `n` x `n` part.
    pub fn leading(&self, n: usize) -> Self {
        Self(self.0.as_ref().submatrix(0, 0, n, n).to_owned())
    }

    /// ln of the determinant of the factored matrix.
    pub fn log_determinant(&self) -> f64 {
        2.0 * (0..self.0.nrows()).map(|i| libm::log(self.0[(i, i)])).sum::<f64>()
    }
}

/// A symmetric matrix from its lower half.
pub fn mirrored(lower: MatRef<'_, f64>) -> Matrix {
    Matrix::from_fn(lower.nrows(), lower.ncols(), |i, j| if i >= j { lower[(i, j)] } else { lower[(j, i)] })
}

/// A list as a matrix of one column.
pub fn column(values: &[f64]) -> Matrix {
    Mat::from_fn(values.len(), 1, |i, _| values[i])
}

/// A matrix of one column as a list.
pub fn list(m: &Matrix) -> Vec<f64> {
    (0..m.nrows()).map(|i| m[(i, 0)]).collect()
}

/// Multiplies each row by a factor of its own.
pub fn scale_rows(m: &mut Matrix, by: &[f64]) {
    for j in 0..m.ncols() {
        for (i, s) in by.iter().enumerate() {
            m[(i, j)] *= s;
        }
    }
}
