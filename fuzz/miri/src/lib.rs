//! The only module of the house with unsafe code, alone, for Miri: `cargo +nightly miri test` here. The
//! whole crate cannot be taken there, since it calls libraries in C.

#[path = "../../../src/space/machine.rs"]
mod machine;

#[cfg(test)]
mod tests {
    use super::machine::{Work, fetch, newest};

    struct Sum<'a>(&'a [u64]);

    impl Work for Sum<'_> {
        type Answer = u64;
        #[inline(always)]
        fn done(self) -> u64 {
            self.0.iter().map(|n| u64::from(n.leading_zeros())).sum()
        }
    }

    /// Whatever the place, within the list, at its end, far beyond, or of an empty list: nothing is read.
    #[test]
    fn asking_early_reads_nothing() {
        let all = [[7u8; 200]; 3];
        for index in [0, 2, 3, 4, 1 << 20, usize::MAX / 200, usize::MAX] {
            fetch(&all, index);
            fetch::<[u8; 200]>(&[], index);
            fetch::<()>(&[(); 3], index);
        }
        assert_eq!(all[2][199], 7);
    }

    #[test]
    fn newer_instructions_give_the_same() {
        let numbers = [0, 1, 2, u64::MAX];
        assert_eq!(newest(Sum(&numbers)), 64 + 63 + 62);
        assert_eq!(newest(Sum(&[])), 0);
    }
}
