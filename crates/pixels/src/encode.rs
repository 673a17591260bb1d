//! Transfer functions. To be written.
