//! stub
use super::HydraulicsError;
use super::root::rising_root;
/// stub
pub struct Zero {
    /// stub
    pub at: f64,
    /// stub
    pub steps: u32,
}
/// stub
pub fn falling_zero(
    what: &'static str,
    bounds: (f64, f64),
    relative: f64,
    mut function: impl FnMut(f64) -> Result<f64, HydraulicsError>,
) -> Result<Zero, HydraulicsError> {
    let r = rising_root(what, bounds, relative, |x| function(x).map(|y| -y))?;
    Ok(Zero { at: 0.5 * (r.below + r.above), steps: r.steps })
}
