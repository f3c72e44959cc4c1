//! Values by which objects are chosen: their words, their order, and their addresses, which come from those words.

use super::{Chosen, Facet, Group, Value};
use crate::find::fold;
use crate::record::{Lang, ObjectId};
use std::collections::{BTreeMap, BTreeSet};

/// Hexadecimal digits that tell apart values whose words give the same address.
const MARK_DIGITS: usize = 6;
/// Characters of words too long for an address that stand before those digits, hyphens aside.
const LONGEST_BEFORE_MARK: usize = 40;

/// Gives every value its words and its addresses.
pub(super) fn named(
    facet: Facet,
    groups: BTreeMap<String, Group>,
    languages: &[Lang],
) -> Vec<Value> {
    let mut values: Vec<Value> = Vec::new();
    for (key, group) in groups {
        // Where records do not agree on a translation, the usual one.
        let usual = |labels: BTreeMap<String, usize>| {
            let all = labels.into_iter().rev();
            all.max_by_key(|(_, times)| *times).map(|(label, _)| label)
        };
        let labels = group.labels.into_iter();
        let labels = labels.filter_map(|(lang, all)| Some((lang, usual(all)?)));
        values.push(Value {
            chosen: Chosen {
                facet,
                slugs: BTreeMap::new(),
                otherwise: String::new(),
            },
            labels: labels.collect(),
            key,
            objects: group.objects,
        });
    }
    for (at, lang) in languages.iter().enumerate() {
        let mut taken = BTreeSet::new();
        // Those that an address says in full come first, so that no other takes it from them.
        let mut order: Vec<usize> = (0..values.len()).collect();
        order.sort_by_key(|&i| {
            let label = values[i].label(lang);
            let full = slug(label).is_ok_and(|s| s == label.to_lowercase().replace(' ', "-"));
            (!full, i)
        });
        for i in order {
            let value = &values[i];
            let mark = blake3::hash(value.key.as_bytes()).to_hex();
            let plain = slug(value.label(lang));
            let slug = match &plain {
                Ok(plain) if !taken.contains(plain) => plain.clone(),
                Ok(left) | Err(left) => {
                    let marked = |digits: usize| match left.as_str() {
                        "" => mark[..digits].to_owned(),
                        left => format!("{left}-{}", &mark[..digits]),
                    };
                    // Longer only where two marks begin alike.
                    let free = (MARK_DIGITS..=mark.len()).map(marked);
                    free.clone()
                        .find(|slug| !taken.contains(slug))
                        .unwrap_or_else(|| marked(mark.len()))
                }
            };
            taken.insert(slug.clone());
            let chosen = &mut values[i].chosen;
            if at == 0 {
                chosen.otherwise.clone_from(&slug);
            }
            chosen.slugs.insert(lang.clone(), slug);
        }
    }
    values.sort_by_cached_key(|value| order(&value.key));
    values
}

/// Words as a piece of an address, under the rules of ids; or else what of them may be one with a mark.
fn slug(label: &str) -> Result<String, String> {
    let folded = fold(label);
    let pieces = folded.split(|c: char| !c.is_ascii_alphanumeric());
    let pieces: Vec<&str> = pieces.filter(|piece| !piece.is_empty()).collect();
    let slug = pieces.join("-");
    if slug.parse::<ObjectId>().is_ok() {
        return Ok(slug);
    }
    let mut left = String::new();
    for piece in pieces {
        if left.len() + piece.len() > LONGEST_BEFORE_MARK {
            break;
        }
        if !left.is_empty() {
            left.push('-');
        }
        left.push_str(piece);
    }
    Err(left)
}

/// Where a value stands among others: by the number with which it begins, then by its words.
pub(crate) fn order(label: &str) -> (u64, String) {
    let digits = label.find(|c: char| !c.is_ascii_digit());
    let number = label[..digits.unwrap_or(label.len())].parse();
    (number.unwrap_or(u64::MAX), fold(label))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn centuries_stand_in_their_order() {
        let mut all = ["1600–1699", "800–899", "undated", "1000–1099"];
        all.sort_by_key(|label| order(label));
        assert_eq!(all, ["800–899", "1000–1099", "1600–1699", "undated"]);
    }

    fn slugs(keys: &[&str]) -> Vec<String> {
        let groups = keys.iter().map(|key| {
            let mut group = Group::default();
            let lang: Lang = "en".parse().unwrap();
            group
                .labels
                .insert(lang, [((*key).to_owned(), 1)].into_iter().collect());
            ((*key).to_owned(), group)
        });
        let en: Lang = "en".parse().unwrap();
        let values = named(Facet::Material, groups.collect(), std::slice::from_ref(&en));
        let of = |key: &&str| {
            let value = values.iter().find(|v| v.key == **key).unwrap();
            value.chosen.slug(&en).to_owned()
        };
        keys.iter().map(of).collect()
    }

    #[test]
    fn addresses_come_from_words_and_are_told_apart() {
        assert_eq!(slugs(&["Bell metal"]), ["bell-metal"]);
        assert_eq!(slugs(&["Pres wedi’i fwrw, tŵr"]), ["pres-wedi-i-fwrw-twr"]);
        assert_eq!(slugs(&["1600–1699"]), ["1600-1699"]);
        // The one that says it in full keeps it, whatever comes beside.
        let both = slugs(&["Bell (metal)", "bell metal"]);
        assert_eq!(both[1], "bell-metal");
        assert!(both[0].starts_with("bell-metal-"), "{both:?}");
        // What no id may be (a name that Windows reserves; letters that no address bar agrees on).
        let odd = slugs(&["Con", "χαλκός", "?"]);
        assert!(odd[0].starts_with("con-"), "{odd:?}");
        assert!(odd[1..].iter().all(|s| s.len() == MARK_DIGITS), "{odd:?}");
        assert_ne!(odd[1], odd[2]);
        let long = &slugs(&["copper and tin ".repeat(9).trim()])[0];
        assert!(
            long.starts_with("copper-and-tin-") && long.len() <= 64,
            "{long}"
        );
    }
}
