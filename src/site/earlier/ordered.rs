//! Names in their order, each with a row of figures.
//!
//! A large site has hundreds of thousands of files. All names are one text and all rows one piece of bytes, as they
//! lie on the disk too: neither reading nor keeping them takes a step for each.

use super::Mark;
use std::cmp::Ordering;
use std::marker::PhantomData;

/// What stands beside a name: always as many bytes.
pub(crate) trait Figures {
    const BYTES: usize;

    fn put(&self, to: &mut Vec<u8>);

    /// From that many bytes.
    fn take(from: &mut &[u8]) -> Self;
}

/// A number of eight bytes, the least first; nought when there are none left.
pub(crate) fn number(from: &mut &[u8]) -> u64 {
    let Some((first, rest)) = from.split_first_chunk() else {
        return 0;
    };
    *from = rest;
    u64::from_le_bytes(*first)
}

/// A digest; nought when there is none left.
pub(crate) fn mark(from: &mut &[u8]) -> Mark {
    let Some((first, rest)) = from.split_first_chunk() else {
        return Mark::default();
    };
    *from = rest;
    *first
}

/// Names with their rows, which come in the order of the names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Ordered<R> {
    names: String,
    /// Of each where its name ends, and its figures.
    rows: Vec<u8>,
    of: PhantomData<R>,
}

impl<R> Default for Ordered<R> {
    fn default() -> Self {
        Self {
            names: String::new(),
            rows: Vec::new(),
            of: PhantomData,
        }
    }
}

/// Bytes of the number that tells where a name ends.
const END: usize = 8;

impl<R: Figures> Ordered<R> {
    const ROW: usize = END + R::BYTES;

    /// With room for as many as another has, and some more.
    pub(crate) fn like(other: &Self) -> Self {
        let room = |bytes: usize| bytes + bytes / 64;
        Self {
            names: String::with_capacity(room(other.names.len())),
            rows: Vec::with_capacity(room(other.rows.len())),
            of: PhantomData,
        }
    }

    /// As it lay on the disk; none when it cannot be such.
    pub(crate) fn from_parts(names: Vec<u8>, rows: Vec<u8>) -> Option<Self> {
        let all = Self {
            names: String::from_utf8(names).ok()?,
            rows,
            of: PhantomData,
        };
        let whole = all.rows.len().is_multiple_of(Self::ROW);
        whole.then_some(all)
    }

    /// What lies on the disk: all names, and all rows.
    pub(crate) fn parts(&self) -> [&[u8]; 2] {
        [self.names.as_bytes(), &self.rows]
    }

    /// Adds a name that comes after all others.
    pub(crate) fn push(&mut self, name: &str, row: &R) {
        debug_assert!(
            self.len()
                .checked_sub(1)
                .is_none_or(|last| self.name(last) < name),
            "{name}"
        );
        self.names.push_str(name);
        let end = self.names.len() as u64;
        self.rows.extend_from_slice(&end.to_le_bytes());
        row.put(&mut self.rows);
    }

    pub(crate) fn len(&self) -> usize {
        self.rows.len() / Self::ROW
    }

    fn end(&self, at: usize) -> usize {
        let from = self.rows.get(at * Self::ROW..).unwrap_or_default();
        usize::try_from(number(&mut &*from)).unwrap_or(usize::MAX)
    }

    /// The name at a place; none is at a place beyond.
    fn name(&self, at: usize) -> &str {
        let start = at.checked_sub(1).map_or(0, |before| self.end(before));
        self.names.get(start..self.end(at)).unwrap_or_default()
    }

    fn row(&self, at: usize) -> R {
        let from = self.rows.get(at * Self::ROW + END..).unwrap_or_default();
        R::take(&mut &*from)
    }

    pub(crate) fn get(&self, name: &str) -> Option<R> {
        let at = self.first_from(name);
        (at < self.len() && self.name(at) == name).then(|| self.row(at))
    }

    /// The place of the first that is not before this name.
    fn first_from(&self, name: &str) -> usize {
        let (mut low, mut high) = (0, self.len());
        while low < high {
            let middle = low.midpoint(high);
            match self.name(middle) < name {
                true => low = middle + 1,
                false => high = middle,
            }
        }
        low
    }

    pub(crate) fn iter(&self) -> impl Iterator<Item = (&str, R)> {
        self.between(0, self.len())
    }

    /// Those from the first that is not before this name.
    pub(crate) fn from(&self, name: &str) -> impl Iterator<Item = (&str, R)> {
        self.between(self.first_from(name), self.len())
    }

    /// Those whose names begin so.
    pub(crate) fn beginning(&self, with: &str) -> impl Iterator<Item = (&str, R)> {
        self.from(with)
            .take_while(move |(name, _)| name.starts_with(with))
    }

    /// Those at these places; fewer where there are no more.
    pub(crate) fn between(&self, start: usize, end: usize) -> impl Iterator<Item = (&str, R)> {
        let all = start..end.min(self.len());
        all.map(|at| (self.name(at), self.row(at)))
    }

    /// Changes figures, not names.
    pub(crate) fn change(&mut self, change: impl Fn(&str, R) -> R) {
        let mut new = Vec::with_capacity(R::BYTES);
        for at in 0..self.len() {
            let row = change(self.name(at), self.row(at));
            new.clear();
            row.put(&mut new);
            let start = at * Self::ROW + END;
            if let Some(place) = self.rows.get_mut(start..start + R::BYTES) {
                place.copy_from_slice(&new);
            }
        }
    }
}

impl<N: AsRef<str>, R: Figures> FromIterator<(N, R)> for Ordered<R> {
    fn from_iter<I: IntoIterator<Item = (N, R)>>(all: I) -> Self {
        let mut out = Self::default();
        for (name, row) in all {
            out.push(name.as_ref(), &row);
        }
        out
    }
}

/// Two lists in the order of their names side by side: each name once, with what stands by it in either.
pub(crate) fn side_by_side<'n, A, B>(
    one: impl Iterator<Item = (&'n str, A)>,
    other: impl Iterator<Item = (&'n str, B)>,
) -> impl Iterator<Item = (&'n str, Option<A>, Option<B>)> {
    let (mut one, mut other) = (one.peekable(), other.peekable());
    std::iter::from_fn(move || {
        let order = match (one.peek(), other.peek()) {
            (Some((a, _)), Some((b, _))) => a.cmp(b),
            (Some(_), None) => Ordering::Less,
            (None, Some(_)) => Ordering::Greater,
            (None, None) => return None,
        };
        let (first, second) = match order {
            Ordering::Less => (one.next(), None),
            Ordering::Greater => (None, other.next()),
            Ordering::Equal => (one.next(), other.next()),
        };
        let name = first.as_ref().map(|(name, _)| *name);
        let name = name.or(second.as_ref().map(|(name, _)| *name))?;
        Some((name, first.map(|(_, row)| row), second.map(|(_, row)| row)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    impl Figures for u64 {
        const BYTES: usize = 8;

        fn put(&self, to: &mut Vec<u8>) {
            to.extend_from_slice(&self.to_le_bytes());
        }

        fn take(from: &mut &[u8]) -> Self {
            number(from)
        }
    }

    #[test]
    fn names_are_found_in_their_order() {
        let names = ["", "a", "a/b", "a/c", "b", "ä"];
        let mut all: Ordered<u64> = names.iter().zip(0..).collect();
        assert_eq!(all.len(), names.len());
        for (at, name) in (0..).zip(names) {
            assert_eq!(all.get(name), Some(at));
        }
        assert_eq!(all.get("a/"), None);
        assert_eq!(all.get("ö"), None);
        let below: Vec<&str> = all.beginning("a/").map(|(name, _)| name).collect();
        assert_eq!(below, ["a/b", "a/c"]);
        assert_eq!(all.from("b").count(), 2);
        assert_eq!(all.between(4, 9).count(), 2);
        all.change(|name, at| at + name.len() as u64);
        assert_eq!(all.get("a/c"), Some(6));
        let [names, rows] = all.parts().map(<[u8]>::to_vec);
        let short = rows[1..].to_vec();
        assert_eq!(Ordered::from_parts(names.clone(), rows), Some(all));
        assert_eq!(Ordered::<u64>::from_parts(names, short), None);
    }

    #[test]
    fn side_by_side_each_name_comes_once() {
        let one: Ordered<u64> = [("a", 1), ("c", 2), ("d", 3)].into_iter().collect();
        let other: Ordered<u64> = [("b", 4), ("c", 5), ("e", 6)].into_iter().collect();
        let all: Vec<_> = side_by_side(one.iter(), other.iter()).collect();
        let want = [
            ("a", Some(1), None),
            ("b", None, Some(4)),
            ("c", Some(2), Some(5)),
            ("d", Some(3), None),
            ("e", None, Some(6)),
        ];
        assert_eq!(all, want);
    }
}
