//! What the test targets share.
