//! Every formula against published values: each row of each table in tests/data, at the tolerance stated
//! there (tests/data/README.md).

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a missing value fails the test; the rows checked are told"
)]

mod atmosphere;
mod chromatic_adaptation;
mod depth_of_field;
mod field_of_view;
mod light;
mod light_readings;
mod matrices;
mod perspective;
mod shadows;
mod solar_position;
mod table;
