//! What a tree is asked about a ray. The work is inlined all through, for the newest instructions.

use super::machine::{Work, fetch};
use super::packs::Beam;
use super::tree::Tree;
use super::wide::{Eight, Stack, Way, Within};
use glam::Vec3A;

/// The question whether a ray meets anything.
pub(super) struct Any<'a> {
    pub(super) tree: &'a Tree,
    pub(super) origin: Vec3A,
    pub(super) direction: Vec3A,
    pub(super) far: f32,
}

impl Work for Any<'_> {
    type Answer = bool;

    #[inline(always)]
    fn done(self) -> bool {
        let Self { tree, far, .. } = self;
        let way = Way::new(self.origin, self.direction);
        let beam = Beam::new(self.origin, self.direction);
        // Whichever is met first will do, so no box need wait for a nearer one.
        let mut open = Stack::new();
        open.push(Within::ROOT);
        while let Some(within) = open.pop() {
            if within.count == 0 {
                let eight = &tree.eights[within.first as usize];
                let met = eight.enters(&way, far).1;
                tree.ask(eight, met);
                eight.unsorted(met, &mut open);
            } else if tree.packs[within.pack()].met(&beam, far).1 != 0 {
                return true;
            }
        }
        false
    }
}

/// The question which triangle a ray meets first within `far`, of those that it does not pass
/// through, and how far off.
pub(super) struct First<'a, P> {
    pub(super) tree: &'a Tree,
    pub(super) origin: Vec3A,
    pub(super) direction: Vec3A,
    pub(super) far: f32,
    pub(super) pass: P,
}

impl<P: Fn(u32) -> bool> Work for First<'_, P> {
    type Answer = Option<(usize, f32)>;

    /// The nearer boxes are looked into first.
    #[inline(always)]
    fn done(self) -> Self::Answer {
        let Self {
            tree,
            mut far,
            pass,
            ..
        } = self;
        let way = Way::new(self.origin, self.direction);
        let beam = Beam::new(self.origin, self.direction);
        let mut found = None;
        let mut open = Stack::new();
        let mut next = Some(Within::ROOT);
        while let Some(within) = next.take().or_else(|| open.pop()) {
            if within.bound > far {
                continue;
            }
            if within.count == 0 {
                let eight = &tree.eights[within.first as usize];
                let (bounds, met) = eight.enters(&way, far);
                tree.ask(eight, met);
                next = eight.sorted((bounds, met), &mut open);
                continue;
            }
            let (distances, mut met) = tree.packs[within.pack()].met(&beam, far);
            while met != 0 {
                let lane = met.trailing_zeros() as usize;
                met &= met - 1;
                let slot = within.first as usize + lane;
                if distances[lane] < far && !pass(tree.faces[slot]) {
                    far = distances[lane];
                    found = Some((slot, far));
                }
            }
        }
        found
    }
}

impl Tree {
    /// Asks the memory for what lies within the boxes whose bits are set.
    #[inline(always)]
    fn ask(&self, eight: &Eight, mut met: u32) {
        while met != 0 {
            let within = eight.within(met.trailing_zeros() as usize, 0.0);
            met &= met - 1;
            if within.count == 0 {
                fetch(&self.eights, within.first as usize);
            } else {
                fetch(&self.packs, within.pack());
            }
        }
    }
}
