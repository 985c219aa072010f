//! Everything that can stop a command, as problems for the person in front of it.

use crownhold::types::Problem;
use crownhold_data::store::StoreError;
use crownhold_plan::SolveError;
use crownhold_print::PrintError;

/// Why a command stopped. Nothing was written.
#[derive(Clone, Debug)]
pub struct Trouble {
    /// Every problem at once.
    pub problems: Vec<Problem>,
}

impl Trouble {
    /// One problem.
    pub fn one(problem: Problem) -> Self {
        Self { problems: vec![problem] }
    }
    /// A file that cannot be read or written.
    pub fn file(path: &std::path::Path, error: &std::io::Error) -> Self {
        let what = format!("The file cannot be used: {error}.");
        Self::one(
            Problem::error("A-001", what, "Check the name, the folder and the rights.")
                .file(path.display().to_string()),
        )
    }
}

impl From<Vec<Problem>> for Trouble {
    fn from(problems: Vec<Problem>) -> Self {
        Self { problems }
    }
}
impl From<StoreError> for Trouble {
    fn from(error: StoreError) -> Self {
        Self { problems: error.problems() }
    }
}
impl From<SolveError> for Trouble {
    fn from(error: SolveError) -> Self {
        if error == SolveError::Stopped {
            return crate::actions::progress::stopped();
        }
        match error.problems() {
            [] => Self::one(Problem::error("A-002", error.to_string(), "")),
            problems => Self { problems: problems.to_vec() },
        }
    }
}
impl From<PrintError> for Trouble {
    fn from(error: PrintError) -> Self {
        Self::one(Problem::error("A-003", format!("The paper cannot be made: {error}"), ""))
    }
}

impl std::fmt::Display for Trouble {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for problem in &self.problems {
            writeln!(f, "{problem}")?;
        }
        Ok(())
    }
}
