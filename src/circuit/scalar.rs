//! Numbers in which networks are solved: real for DC, complex for AC.

use std::fmt::Debug;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

use num_complex::Complex64;

/// A real or complex number.
pub(crate) trait Scalar:
    Copy
    + Debug
    + PartialEq
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + AddAssign
    + SubAssign
    + 'static
{
    /// Nothing.
    const ZERO: Self;
    /// One.
    const ONE: Self;
    /// A real number.
    fn real(value: f64) -> Self;
    /// Magnitude, or a measure of it that is as good for comparisons and far cheaper.
    fn size(self) -> f64;
    /// As a complex number.
    fn complex(self) -> Complex64;
}

impl Scalar for f64 {
    const ZERO: Self = 0.0;
    const ONE: Self = 1.0;
    fn real(value: f64) -> Self {
        value
    }
    fn size(self) -> f64 {
        self.abs()
    }
    fn complex(self) -> Complex64 {
        Complex64::new(self, 0.0)
    }
}

impl Scalar for Complex64 {
    const ZERO: Self = Complex64::new(0.0, 0.0);
    const ONE: Self = Complex64::new(1.0, 0.0);
    fn real(value: f64) -> Self {
        Complex64::new(value, 0.0)
    }
    fn size(self) -> f64 {
        self.re.abs() + self.im.abs()
    }
    fn complex(self) -> Complex64 {
        self
    }
}
