//! Why a paper could not be made.

use crownhold::types::Problem;

/// Why a paper could not be made.
#[derive(Debug, thiserror::Error)]
pub enum PrintError {
    /// The stages handed over do not belong together; every mismatch is listed.
    #[error("the stages of this paper do not belong together: {}", sentences(.0))]
    Inputs(Vec<Problem>),
    /// The typesetter refused; this is a fault of the program, not of the data.
    #[error("the paper could not be typeset: {0}")]
    Typesetting(String),
}

fn sentences(problems: &[Problem]) -> String {
    problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
}
