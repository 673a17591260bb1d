//! What the test targets share.
#![forbid(unsafe_code)]
