//! The square code (QR, ISO/IEC 18004) that leads from a label to its page.

use qrcode::types::Color;
use qrcode::{EcLevel, QrCode};
use std::fmt;
use std::fmt::Write as _;

/// Light modules around the code on every side (ISO/IEC 18004).
const QUIET_ZONE: usize = 4;

/// The text does not fit into a code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CodeError(String);

impl fmt::Display for CodeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for CodeError {}

/// The code of a text as an SVG file, one unit a module, dark on light, quiet zone included. With
/// recovery level M about 15 % of the code may be hurt.
///
/// # Errors
/// A text longer than the largest code can hold.
pub fn qr_svg(text: &str) -> Result<String, CodeError> {
    let code = QrCode::with_error_correction_level(text, EcLevel::M)
        .map_err(|e| CodeError(format!("the text cannot be a code: {e}")))?;
    let side = code.width();
    let whole = side + 2 * QUIET_ZONE;
    let mut path = String::new();
    for (y, row) in code.to_colors().chunks(side).enumerate() {
        let mut x = 0;
        while x < side {
            let run = row[x..].iter().take_while(|c| **c == Color::Dark).count();
            if run > 0 {
                // Writing to a string cannot fail.
                let _ = write!(
                    path,
                    "M{} {}h{run}v1h-{run}z",
                    x + QUIET_ZONE,
                    y + QUIET_ZONE
                );
            }
            x += run.max(1);
        }
    }
    Ok(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {whole} {whole}\" shape-rendering=\"crispEdges\">\
         <path fill=\"#fff\" d=\"M0 0h{whole}v{whole}H0z\"/><path fill=\"#000\" d=\"{path}\"/></svg>\n"
    ))
}
