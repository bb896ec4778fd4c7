//! Operators that the variable `MUTANT` makes wrong, one at a time.
#![expect(missing_docs, reason = "written into a copy that only the tests see")]
#![expect(clippy::inline_always, reason = "the kernels are compiled as if it were not there")]

use core::ops::{Add, AddAssign, Div, DivAssign, Mul, MulAssign, Neg, Sub, SubAssign};
use std::sync::LazyLock;

static WRONG: LazyLock<u32> = LazyLock::new(|| {
    std::env::var("MUTANT").ok().and_then(|number| number.parse().ok()).unwrap_or(0)
});

#[inline(always)]
fn is_wrong(number: u32) -> bool {
    *WRONG == number
}

macro_rules! arithmetic {
    ($($name:ident $right:ident $method:ident $wrong:ident $other:ident)*) => {$(
        #[inline(always)]
        pub fn $name<A, B, C>(number: u32, a: A, b: B) -> C
        where
            A: $right<B, Output = C> + $wrong<B, Output = C>,
        {
            if is_wrong(number) { a.$other(b) } else { a.$method(b) }
        }
    )*};
}
arithmetic! {
    add Add add Sub sub
    sub Sub sub Add add
    mul Mul mul Div div
    div Div div Mul mul
}

/// The new value first: it may read what is changed.
#[macro_export]
macro_rules! mutant_assign {
    ($name:ident, $number:expr, $target:expr, $value:expr) => {{
        let value = $value;
        $crate::mutant::$name($number, &mut $target, value)
    }};
}

macro_rules! assignments {
    ($($name:ident $right:ident $method:ident $wrong:ident $other:ident)*) => {$(
        #[inline(always)]
        pub fn $name<A, B>(number: u32, a: &mut A, b: B)
        where
            A: $right<B> + $wrong<B>,
        {
            if is_wrong(number) { a.$other(b) } else { a.$method(b) }
        }
    )*};
}
assignments! {
    add_assign AddAssign add_assign SubAssign sub_assign
    sub_assign SubAssign sub_assign AddAssign add_assign
    mul_assign MulAssign mul_assign DivAssign div_assign
    div_assign DivAssign div_assign MulAssign mul_assign
}

macro_rules! comparisons {
    ($($name:ident $right:tt $wrong:tt $order:ident)*) => {$(
        #[inline(always)]
        pub fn $name<A: $order<B> + ?Sized, B: ?Sized>(number: u32, a: &A, b: &B) -> bool {
            if is_wrong(number) { a $wrong b } else { a $right b }
        }
    )*};
}
comparisons! {
    lt < >= PartialOrd
    le <= > PartialOrd
    gt > <= PartialOrd
    ge >= < PartialOrd
    eq == != PartialEq
    ne != == PartialEq
}

#[inline(always)]
pub fn and(number: u32, a: bool, b: impl FnOnce() -> bool) -> bool {
    if is_wrong(number) { a || b() } else { a && b() }
}

#[inline(always)]
pub fn or(number: u32, a: bool, b: impl FnOnce() -> bool) -> bool {
    if is_wrong(number) { a && b() } else { a || b() }
}

#[inline(always)]
pub fn neg<A: Neg<Output = A>>(number: u32, a: A) -> A {
    if is_wrong(number) { a } else { -a }
}
