//! Numbers as messages show them.

/// A number for people: up to nine digits that count, and a power of ten where it would be longer than a line can bear.
///
/// ```
/// assert_eq!(scene::figure(866.737_739_872_068_1), "866.73774");
/// assert_eq!(scene::figure(0.1 + 0.2), "0.3");
/// assert_eq!(scene::figure(-1e300), "-1e300");
/// assert_eq!(scene::figure(300_000.0), "300000");
/// ```
#[must_use]
pub fn figure(value: f64) -> String {
    let size = value.abs();
    if !value.is_finite() || value == 0.0 {
        return format!("{value}");
    }
    let short: f64 = format!("{value:.8e}").parse().unwrap_or(value);
    if (1e-6..1e12).contains(&size) { format!("{short}") } else { format!("{short:e}") }
}
