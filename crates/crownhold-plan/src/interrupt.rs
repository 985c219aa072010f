//! Watching and stopping a solve from outside: the one place where this crate speaks to HiGHS without its safe wrapper.

use std::cell::Cell;
use std::ffi::{c_char, c_int, c_void};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::ptr::null_mut;
use std::sync::atomic::{AtomicBool, Ordering};

use highs::{HighsStatus, Model, SolvedModel};
use highs_sys::{
    Highs_setCallback, Highs_startCallback, HighsCallbackDataIn, HighsCallbackDataOut, kHighsCallbackMipInterrupt,
};

/// Told the best value and the bound of the aim, in its unit, whenever one of them moves.
pub type Note<'a> = &'a dyn Fn(Option<f64>, Option<f64>);

/// What HiGHS hands back to us at each of its checks.
struct Watcher<'a> {
    stop: Option<&'a AtomicBool>,
    note: Option<Note<'a>>,
    /// What was told last.
    told: Cell<(Option<f64>, Option<f64>)>,
}

impl Watcher<'_> {
    fn look(&self, best: f64, bound: f64) -> bool {
        let now = (Some(best).filter(|v| v.is_finite()), Some(bound).filter(|v| v.is_finite()));
        if let Some(note) = self.note
            && now != self.told.replace(now)
        {
            note(now.0, now.1);
        }
        self.stop.is_some_and(|s| s.load(Ordering::Relaxed))
    }
}

/// Runs the model; once `stop` is true HiGHS ends at its next check and keeps the best solution it has.
///
/// # Errors
/// As the wrapper's `try_solve`.
// The safe wrapper has no callbacks. The unsafe part is kept to handing HiGHS a pointer to the watcher,
// which outlives the call, and to taking it back before this function returns.
#[allow(unsafe_code)]
pub(crate) fn run(
    mut model: Model,
    stop: Option<&AtomicBool>,
    note: Option<Note<'_>>,
) -> Result<SolvedModel, HighsStatus> {
    if stop.is_none() && note.is_none() {
        return model.try_solve();
    }
    let watcher = Watcher { stop, note, told: Cell::new((None, None)) };
    let data = std::ptr::from_ref(&watcher).cast_mut().cast::<c_void>();
    // SAFETY: the model pointer is valid while `model` lives; `data` points to `watcher`, which lives
    // through `try_solve` below; HiGHS only hands it back to `look`, from the thread that solves.
    unsafe {
        Highs_setCallback(model.as_mut_ptr(), Some(look), data);
        Highs_startCallback(model.as_mut_ptr(), kHighsCallbackMipInterrupt);
    }
    let mut solved = model.try_solve()?;
    // SAFETY: as above; after this HiGHS holds no pointer of ours.
    unsafe {
        Highs_setCallback(solved.as_mut_ptr(), None, null_mut());
    }
    Ok(solved)
}

/// Called by HiGHS now and then. A panic of the caller's code must not cross into C++: it ends the search instead.
#[allow(unsafe_code)]
unsafe extern "C" fn look(
    _kind: c_int,
    _message: *const c_char,
    out: *const HighsCallbackDataOut,
    answer: *mut HighsCallbackDataIn,
    watcher: *mut c_void,
) {
    // SAFETY: `watcher` is the one of `run`; HiGHS passes its own structs, or none.
    unsafe {
        if let (Some(watcher), Some(answer)) = (watcher.cast::<Watcher<'_>>().as_ref(), answer.as_mut()) {
            let (best, bound) = out.as_ref().map_or((f64::NAN, f64::NAN), |o| (o.mip_primal_bound, o.mip_dual_bound));
            let ends = catch_unwind(AssertUnwindSafe(|| watcher.look(best, bound))).unwrap_or(true);
            answer.user_interrupt = c_int::from(ends);
        }
    }
}
