//! The files of a bag beside its payload.

use super::bag::digest::{Algorithm, Sum, sum_of};
use super::bag::{facts, manifest};
use super::{AGENT, agent, megabytes};
use crate::record::Day;
use std::collections::BTreeMap;

/// What `bag-info.txt` says beside the counts.
#[derive(Debug, Clone)]
pub(super) struct About {
    /// Who hands it over.
    pub(super) organization: String,
    /// The object's number.
    pub(super) number: String,
    /// The object's id, by which the bag is known as its own again.
    pub(super) object: String,
    /// What it is, in a sentence.
    pub(super) description: String,
    /// The day given.
    pub(super) day: Day,
}

/// The label of the object's id.
pub(super) const OBJECT: &str = "Internal-Sender-Identifier";

/// Everything beside the payload, by name, from the digests of the payload.
pub(super) fn tags(payload: &BTreeMap<String, Sum>, about: &About) -> BTreeMap<String, String> {
    let bytes: u64 = payload.values().map(|sum| sum.bytes).sum();
    let info = [
        ("Source-Organization", about.organization.clone()),
        ("External-Identifier", about.number.clone()),
        (OBJECT, about.object.clone()),
        ("External-Description", about.description.clone()),
        ("Bagging-Date", about.day.to_string()),
        ("Bag-Size", megabytes(bytes)),
        ("Payload-Oxum", format!("{bytes}.{}", payload.len())),
        (AGENT, agent()),
    ];
    let mut tags = BTreeMap::from([
        ("bagit.txt".to_owned(), facts::DECLARATION.to_owned()),
        ("bag-info.txt".to_owned(), facts::composed(&info)),
    ]);
    for algorithm in Algorithm::WRITTEN {
        let files = payload.iter().map(|(name, sum)| (name.as_str(), sum));
        tags.insert(
            format!("manifest-{}.txt", algorithm.word()),
            manifest::composed(algorithm, files),
        );
    }
    let sums: BTreeMap<String, Sum> = tags
        .iter()
        .map(|(name, text)| (name.clone(), sum_of(text.as_bytes(), &Algorithm::WRITTEN)))
        .collect();
    for algorithm in Algorithm::WRITTEN {
        let files = sums.iter().map(|(name, sum)| (name.as_str(), sum));
        tags.insert(
            format!("tagmanifest-{}.txt", algorithm.word()),
            manifest::composed(algorithm, files),
        );
    }
    tags
}
