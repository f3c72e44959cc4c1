//! What nobody should do.

use super::edit::{below, one};
use crate::dice::Dice;
use crate::tree::{Place, files};
use std::fs;

/// Does to the site, or to what lies beside it, what nobody should; whether everything is to be made then.
pub(super) fn meddle(dice: &mut Dice, place: &Place) -> (&'static str, bool) {
    let pick = |dice: &mut Dice, folder: &str| {
        let all = files(&place.path(folder));
        let (name, _) = one(dice, &all);
        place.path(folder).join(name)
    };
    match below(dice, 6) {
        0 => {
            fs::remove_file(pick(dice, "display")).unwrap();
            ("a file of the site is gone", true)
        }
        1 => {
            let file = pick(dice, "display/assets");
            let mut bytes = fs::read(&file).unwrap();
            bytes.push(b' ');
            fs::write(file, bytes).unwrap();
            ("a file of the site was changed", true)
        }
        2 => {
            fs::write(place.path("display/thing-0/own.txt"), "mine").unwrap();
            ("a file was added to the site", true)
        }
        3 => {
            let ledger = place.path(".display.counterpart/ledger");
            let mut bytes = fs::read(&ledger).unwrap();
            let middle = bytes.len() / 2;
            bytes[middle] ^= 1;
            fs::write(ledger, bytes).unwrap();
            ("the ledger was damaged", true)
        }
        4 => {
            fs::remove_file(pick(dice, ".display.counterpart/next/assets")).unwrap();
            ("a file of the second tree is gone", true)
        }
        _ => {
            let records = place.path(".display.counterpart/records");
            let mut bytes = fs::read(&records).unwrap();
            let at = below(dice, bytes.len());
            bytes[at] ^= 1;
            fs::write(records, bytes).unwrap();
            ("records as they were read were damaged", false)
        }
    }
}
