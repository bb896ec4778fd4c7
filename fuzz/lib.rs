//! What the fuzz targets feed is what their twins in the tests feed.

#[path = "../tests/feed/mod.rs"]
pub mod feed;
