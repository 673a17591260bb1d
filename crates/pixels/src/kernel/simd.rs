//! Runs a loop with the widest vectors that this machine has.
//!
//! The loops are plain Rust over fixed-size arrays, which the compiler turns into vectors; `pulp` chooses
//! at run time for which instruction set they were compiled. Multiplication and addition are fused
//! (`f32::mul_add`) on every machine, so the bytes are the same on all of them; a processor without the
//! instruction computes it slowly, but to the same last bit.

/// Runs `f` compiled for the best instruction set of this machine. `f` must be `#[inline(always)]` all
/// the way down, or its body stays compiled for the oldest machine.
#[inline]
pub(crate) fn widest<R>(f: impl FnOnce() -> R) -> R {
    struct Work<F>(F);
    impl<R, F: FnOnce() -> R> pulp::NullaryFnOnce for Work<F> {
        type Output = R;
        #[inline(always)]
        fn call(self) -> R {
            (self.0)()
        }
    }
    pulp::Arch::new().dispatch(Work(f))
}
