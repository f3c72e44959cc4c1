//! One text file, within its limit, as UTF-8.

use super::Sources;
use super::tree::Folder;
use crate::limits::Limits;
use crate::record::{Finding, Findings, Severity, SourceFile};
use crate::steady;

/// Reads the text file `name` of `folder`, which the tree has listed. `None` after a finding.
pub(crate) fn text(
    folder: &Folder,
    name: &str,
    limits: &Limits,
    sources: &mut Sources,
    findings: &mut Findings,
) -> Option<SourceFile> {
    let inside = folder.inside(name);
    let path = folder.path.join(name);
    let mut fault = |rule, place, what, remedy: &str| {
        findings.push(Finding {
            severity: Severity::Error,
            rule,
            place,
            what,
            remedy: remedy.to_owned(),
        });
        None
    };
    // One byte more than the limit is asked for, so that a file that grew is still refused.
    let bytes = match steady::read(&path, limits.text_bytes) {
        Ok(bytes) => bytes,
        Err(cause) => {
            let what = format!("The file cannot be read: {cause}.");
            return fault(
                "unreadable-file",
                SourceFile::whole(&inside),
                what,
                "Check that you may open it, and that no program is writing it just now.",
            );
        }
    };
    if bytes.len() as u64 > limits.text_bytes {
        let what = format!(
            "The file is larger than the {} bytes allowed for a text.",
            limits.text_bytes
        );
        let remedy = "Shorten it, or split its words over several details.";
        return fault("oversized-file", SourceFile::whole(&inside), what, remedy);
    }
    match String::from_utf8(bytes) {
        Ok(text) => {
            let file = SourceFile {
                name: inside,
                path,
                text,
            };
            sources.add(file.clone());
            Some(file)
        }
        Err(broken) => {
            let at = broken.utf8_error().valid_up_to();
            let before = String::from_utf8_lossy(&broken.as_bytes()[..at]).into_owned();
            let good = SourceFile {
                name: inside,
                path,
                text: before,
            };
            let what = format!(
                "The text is not UTF-8: byte {} cannot be read as part of a letter.",
                at + 1
            );
            let remedy = "Save the file again with the encoding set to UTF-8.";
            fault("not-utf8", good.place(at..at), what, remedy)
        }
    }
}
