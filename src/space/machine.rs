//! What the processor does for the tree beyond plain arithmetic: it is asked early for memory that
//! will be needed, and newer instructions are used where they are there. Neither changes a result:
//! the same sums are done in the same order.
//!
//! The only unsafe code of the house. Most of a ray's time goes by in waiting for boxes and triangles
//! to come out of memory, and no safe function asks for them beforehand.

/// Asks for an element of a list that will soon be read.
#[inline(always)]
pub(super) fn fetch<T>(all: &[T], index: usize) {
    #[cfg(target_arch = "x86_64")]
    #[expect(unsafe_code, reason = "asking for memory has no safe function")]
    {
        use std::arch::x86_64::{_MM_HINT_T0, _mm_prefetch};
        const LINE: usize = 64;
        let first = all.as_ptr().wrapping_add(index).cast::<i8>();
        for line in (0..size_of::<T>()).step_by(LINE) {
            // SAFETY: a hint reads nothing and never fails, wherever the address points.
            unsafe { _mm_prefetch::<_MM_HINT_T0>(first.wrapping_add(line)) };
        }
    }
    #[cfg(not(target_arch = "x86_64"))]
    let _ = (all, index);
}

/// Something to be done with the newest instructions that there are.
pub(super) trait Work {
    type Answer;

    /// Does it. Must be inlined all through (`#[inline(always)]`), or older instructions do it: a
    /// closure would be a function of its own.
    fn done(self) -> Self::Answer;
}

/// Does the work with the newer instructions where the processor has them.
#[inline(always)]
pub(super) fn newest<W: Work>(work: W) -> W::Answer {
    #[cfg(target_arch = "x86_64")]
    {
        #[target_feature(enable = "avx2,bmi1,lzcnt")]
        fn newer<W: Work>(work: W) -> W::Answer {
            work.done()
        }
        if is_x86_feature_detected!("avx2")
            && is_x86_feature_detected!("bmi1")
            && is_x86_feature_detected!("lzcnt")
        {
            #[expect(unsafe_code, reason = "the compiler cannot know this processor")]
            // SAFETY: the processor has all three, as was just asked.
            return unsafe { newer(work) };
        }
    }
    work.done()
}
