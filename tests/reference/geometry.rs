//! Published and worked figures for routes, paths and attitudes.

#![expect(clippy::expect_used, reason = "a test that cannot go on must fail loudly")]

pub mod case;
mod elastica;
mod oracle;
