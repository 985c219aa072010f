//! Stopping a solve from outside: the one place where this crate speaks to HiGHS without its safe wrapper.

use std::ffi::{c_char, c_int, c_void};
use std::ptr::null_mut;
use std::sync::atomic::{AtomicBool, Ordering};

use highs::{HighsStatus, Model, SolvedModel};
use highs_sys::{
    Highs_setCallback, Highs_startCallback, HighsCallbackDataIn, HighsCallbackDataOut, kHighsCallbackMipInterrupt,
};

/// Runs the model; once `stop` is true HiGHS ends at its next check and keeps the best solution it has.
///
/// # Errors
/// As the wrapper's `try_solve`.
// The safe wrapper has no callbacks. The unsafe part is kept to handing HiGHS a pointer to `stop`,
// which outlives the call, and to taking it back before this function returns.
#[allow(unsafe_code)]
pub(crate) fn run(mut model: Model, stop: Option<&AtomicBool>) -> Result<SolvedModel, HighsStatus> {
    let Some(stop) = stop else { return model.try_solve() };
    let data = std::ptr::from_ref(stop).cast_mut().cast::<c_void>();
    // SAFETY: the model pointer is valid while `model` lives; `data` points to `stop`, which lives
    // through `try_solve` below; HiGHS only hands it back to `look`.
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

/// Called by HiGHS now and then. Cannot panic: it reads one flag and writes one number.
#[allow(unsafe_code)]
unsafe extern "C" fn look(
    _kind: c_int,
    _message: *const c_char,
    _out: *const HighsCallbackDataOut,
    answer: *mut HighsCallbackDataIn,
    stop: *mut c_void,
) {
    // SAFETY: `stop` is the flag given in `run`; HiGHS passes its own answer struct, or none.
    unsafe {
        if let (Some(stop), Some(answer)) = (stop.cast::<AtomicBool>().as_ref(), answer.as_mut()) {
            answer.user_interrupt = c_int::from(stop.load(Ordering::Relaxed));
        }
    }
}
