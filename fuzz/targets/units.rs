//! Bytes of the fuzzer, handed to `feed::units`.
#![no_main]

use hosewright_fuzz::feed;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| feed::units::feed(bytes));
