//! Bytes of the fuzzer, handed to `feed::assess`.
#![no_main]

use hosewright_fuzz::feed;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| feed::assess::feed(bytes));
