//! Bytes of the fuzzer, handed to `feed::points`.
#![no_main]

use hosewright_fuzz::feed;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| feed::points::feed(bytes));
