//! Which vector instructions a replay may use. The same operations in the same order, no fused
//! multiply-add: every set gives the same bytes.
use pulp::{Simd, WithSimd};

/// A set of vector instructions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Instructions {
    /// What every machine of the build's architecture has.
    Baseline,
    /// 256-bit vectors, where the machine has them.
    Wide,
    /// 512-bit vectors, where the machine has them.
    Widest,
}

impl Instructions {
    /// All sets, narrowest first.
    pub const ALL: [Self; 3] = [Self::Baseline, Self::Wide, Self::Widest];

    /// The widest set of this machine.
    #[must_use]
    pub fn best() -> Self {
        Self::ALL.into_iter().rev().find(|set| set.is_there()).unwrap_or(Self::Baseline)
    }

    /// Whether this machine has the set.
    #[must_use]
    pub fn is_there(self) -> bool {
        match self {
            Self::Baseline => true,
            #[cfg(any(target_arch = "x86", target_arch = "x86_64"))]
            Self::Wide => pulp::x86::V3::is_available(),
            #[cfg(any(target_arch = "x86", target_arch = "x86_64"))]
            Self::Widest => pulp::x86::V4::is_available(),
            #[cfg(not(any(target_arch = "x86", target_arch = "x86_64")))]
            _ => false,
        }
    }

    /// Runs `task` compiled for this set; for the baseline where the machine lacks it.
    #[inline]
    pub(crate) fn run<T: Task>(self, task: T) -> T::Output {
        #[cfg(any(target_arch = "x86", target_arch = "x86_64"))]
        match self {
            Self::Baseline => {}
            Self::Wide => {
                if let Some(simd) = pulp::x86::V3::try_new() {
                    return Simd::vectorize(simd, Vectorized(task));
                }
            }
            Self::Widest => {
                if let Some(simd) = pulp::x86::V4::try_new() {
                    return Simd::vectorize(simd, Vectorized(task));
                }
            }
        }
        task.run()
    }
}

/// Work that is compiled once for each set; `run` must be `#[inline(always)]`.
pub(crate) trait Task {
    /// What comes out.
    type Output;
    /// Does the work.
    fn run(self) -> Self::Output;
}

struct Vectorized<T>(T);

impl<T: Task> WithSimd for Vectorized<T> {
    type Output = T::Output;
    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) -> T::Output {
        self.0.run()
    }
}
