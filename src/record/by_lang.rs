//! What exists once per language: few entries each, and thousands of such in a collection, so that a list in the
//! order of the languages takes a fifth of the room of a tree.

use super::Lang;
use serde::de::{MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::marker::PhantomData;

/// One of something for each of some languages, in the order of their tags.
#[derive(Clone, PartialEq, Eq)]
pub struct ByLang<T>(Vec<(Lang, T)>);

impl<T> ByLang<T> {
    /// Of no language yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Those in any order; of two of one language the last.
    fn of(all: Vec<(Lang, T)>) -> Self {
        // Places are sorted, not what stands at them: the same code for whatever it is.
        let (langs, own): (Vec<Lang>, Vec<T>) = all.into_iter().unzip();
        let mut own: Vec<Option<T>> = own.into_iter().map(Some).collect();
        let mut out = Vec::new();
        for (lang, place) in in_order(langs) {
            out.extend(own[place].take().map(|own| (lang, own)));
        }
        out.shrink_to_fit();
        Self(out)
    }

    /// That of a language.
    pub fn get(&self, lang: &Lang) -> Option<&T> {
        let at = self.place(lang).ok()?;
        self.0.get(at).map(|(_, own)| own)
    }

    /// Whether there is one of this language.
    pub fn contains_key(&self, lang: &Lang) -> bool {
        self.place(lang).is_ok()
    }

    /// Puts that of a language; gives the one that was there.
    pub fn insert(&mut self, lang: Lang, own: T) -> Option<T> {
        match self.place(&lang) {
            Ok(at) => Some(std::mem::replace(&mut self.0[at].1, own)),
            Err(at) => {
                self.0.insert(at, (lang, own));
                None
            }
        }
    }

    fn place(&self, lang: &Lang) -> Result<usize, usize> {
        self.0.binary_search_by(|(own, _)| own.cmp(lang))
    }

    /// How many languages there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is none of any language.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Languages with what is theirs.
    pub fn iter(&self) -> impl Iterator<Item = (&Lang, &T)> + Clone {
        self.0.iter().map(|(lang, own)| (lang, own))
    }

    /// The languages.
    pub fn keys(&self) -> impl Iterator<Item = &Lang> + Clone {
        self.0.iter().map(|(lang, _)| lang)
    }

    /// What is theirs.
    pub fn values(&self) -> impl Iterator<Item = &T> + Clone {
        self.0.iter().map(|(_, own)| own)
    }
}

impl<T> ByLang<T> {
    /// What is theirs, to be changed.
    pub fn values_mut(&mut self) -> impl Iterator<Item = &mut T> {
        self.0.iter_mut().map(|(_, own)| own)
    }

    /// Leaves only those of which this holds.
    pub fn retain(&mut self, mut holds: impl FnMut(&Lang, &T) -> bool) {
        self.0.retain(|(lang, own)| holds(lang, own));
    }
}

/// Each language with its last place, in the order of the tags.
fn in_order(langs: Vec<Lang>) -> Vec<(Lang, usize)> {
    let mut all: Vec<(Lang, usize)> = langs.into_iter().zip(0..).collect();
    all.sort();
    all.dedup_by(|later, kept| {
        let same = later.0 == kept.0;
        kept.1 = if same { later.1 } else { kept.1 };
        same
    });
    all
}

impl<T> Default for ByLang<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T: fmt::Debug> fmt::Debug for ByLang<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_map().entries(self.iter()).finish()
    }
}

impl<T> FromIterator<(Lang, T)> for ByLang<T> {
    fn from_iter<I: IntoIterator<Item = (Lang, T)>>(all: I) -> Self {
        Self::of(all.into_iter().collect())
    }
}

impl<const N: usize, T> From<[(Lang, T); N]> for ByLang<T> {
    fn from(all: [(Lang, T); N]) -> Self {
        all.into_iter().collect()
    }
}

impl<T> IntoIterator for ByLang<T> {
    type Item = (Lang, T);
    type IntoIter = std::vec::IntoIter<(Lang, T)>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl<'a, T> IntoIterator for &'a ByLang<T> {
    type Item = (&'a Lang, &'a T);
    type IntoIter =
        std::iter::Map<std::slice::Iter<'a, (Lang, T)>, fn(&'a (Lang, T)) -> (&'a Lang, &'a T)>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter().map(|(lang, own)| (lang, own))
    }
}

impl<T: Serialize> Serialize for ByLang<T> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(self.iter())
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for ByLang<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Languages<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for Languages<T> {
            type Value = ByLang<T>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                // As serde calls it for any other table.
                f.write_str("a map")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<ByLang<T>, A::Error> {
                let mut all = Vec::new();
                while let Some(entry) = map.next_entry()? {
                    all.push(entry);
                }
                Ok(ByLang::of(all))
            }
        }
        from.deserialize_map(Languages(PhantomData))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn languages_stand_in_order_and_come_back() {
        let [cy, en, de]: [Lang; 3] = ["cy", "en", "de"].map(|tag| tag.parse().unwrap());
        let mut all: ByLang<u8> = [(en.clone(), 2), (cy.clone(), 1)].into();
        assert!(all.keys().eq([&cy, &en]));
        assert_eq!(all.insert(en.clone(), 3), Some(2));
        assert_eq!((all.get(&en), all.get(&de), all.len()), (Some(&3), None, 2));
        let twice: ByLang<u8> = [(de.clone(), 1), (cy.clone(), 4), (de, 2)].into();
        assert!(twice.values().eq([&4, &2]));
        let text = toml::to_string(&all).unwrap();
        assert_eq!(text, "cy = 1\nen = 3\n");
        assert_eq!(toml::from_str::<ByLang<u8>>(&text).unwrap(), all);
        let packed = postcard::to_stdvec(&all).unwrap();
        assert_eq!(postcard::from_bytes::<ByLang<u8>>(&packed).unwrap(), all);
    }
}
