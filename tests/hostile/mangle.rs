//! Whole files in, broken ones out; the same every time.

/// Largest file that comes out.
const MOST: usize = 32 << 10;
/// Numbers at which counts and lengths go wrong.
const EDGES: [u64; 12] = [
    0,
    1,
    0x7f,
    0x80,
    0xff,
    0x7fff,
    0x8000,
    0xffff,
    0x7fff_ffff,
    0x8000_0000,
    0xffff_ffff,
    u64::MAX,
];
/// Text at which parsers turn.
const TURNS: [&str; 40] = [
    "\0",
    "\n",
    "\r",
    "\t",
    "\u{feff}",
    "\u{202e}",
    "\u{301}",
    "\u{10ffff}",
    "é",
    "\"",
    "\"\"\"",
    "'",
    "[",
    "]",
    "[[",
    "{",
    "}",
    "(",
    ")",
    "<",
    ">",
    "&",
    "&#0;",
    "&amp;",
    "<![CDATA[",
    "<!--",
    "-->",
    "<?",
    "#",
    "```",
    "~~~",
    "|",
    "-",
    "nan",
    "-1",
    "1e999",
    "9223372036854775808",
    "99999999999999999999",
    "%00",
    "../",
];

pub(crate) struct Mangler {
    whole: Vec<Vec<u8>>,
    state: u64,
}

impl Mangler {
    pub(crate) fn new(whole: Vec<Vec<u8>>, seed: u64) -> Self {
        Self { whole, state: seed }
    }

    /// Steele and others, "Fast splittable pseudorandom number generators" (2014).
    fn dice(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, most: usize) -> usize {
        (self.dice() % most.max(1) as u64) as usize
    }

    /// A stretch of a file; mostly short.
    fn stretch(&mut self, length: usize) -> std::ops::Range<usize> {
        let from = self.below(length + 1);
        let most = if self.below(4) == 0 { length } else { 40 };
        let long = self.below(most + 1).min(length - from);
        from..from + long
    }

    /// A stretch that ends where lines do.
    fn lines(&mut self, bytes: &[u8]) -> std::ops::Range<usize> {
        let ends: Vec<usize> = std::iter::once(0)
            .chain(
                bytes
                    .iter()
                    .enumerate()
                    .filter(|(_, b)| **b == b'\n')
                    .map(|(i, _)| i + 1),
            )
            .collect();
        let first = self.below(ends.len());
        let last = (first + 1 + self.below(4)).min(ends.len() - 1);
        ends[first]..ends[last].max(ends[first])
    }

    pub(crate) fn next(&mut self) -> Vec<u8> {
        let which = self.below(self.whole.len());
        let mut bytes = self.whole[which].clone();
        for _ in 0..=self.below(6) {
            self.once(&mut bytes);
        }
        bytes.truncate(MOST);
        bytes
    }

    fn once(&mut self, bytes: &mut Vec<u8>) {
        let at = self.below(bytes.len());
        match self.below(12) {
            0 if !bytes.is_empty() => bytes[at] ^= 1 << self.below(8),
            1 if !bytes.is_empty() => bytes[at] = self.dice() as u8,
            2 => {
                let size = [1, 2, 4, 8][self.below(4)];
                let edge = EDGES[self.below(EDGES.len())].to_le_bytes();
                let big = self.below(4) == 0;
                for (i, slot) in bytes.iter_mut().skip(at).take(size).enumerate() {
                    *slot = edge[if big { size - 1 - i } else { i }];
                }
            }
            3 => {
                let gone = self.stretch(bytes.len());
                bytes.drain(gone);
            }
            4 => {
                let copied = self.stretch(bytes.len());
                let piece = bytes[copied].to_vec();
                bytes.splice(at..at, piece);
            }
            5 => {
                let other = self.below(self.whole.len());
                let taken = self.stretch(self.whole[other].len());
                let piece = self.whole[other][taken].to_vec();
                bytes.splice(at..at, piece);
            }
            6 => {
                let turn = TURNS[self.below(TURNS.len())].as_bytes().to_vec();
                bytes.splice(at..at, turn);
            }
            7 => {
                // Deep and long: one sign, many times.
                let turn = TURNS[self.below(TURNS.len())].as_bytes();
                let many = turn.repeat(1 + self.below(400));
                bytes.splice(at..at, many);
            }
            8 => {
                let gone = self.lines(bytes);
                bytes.drain(gone);
            }
            9 => {
                let copied = self.lines(bytes);
                let piece = bytes[copied].to_vec();
                let to = self.lines(bytes).start;
                bytes.splice(to..to, piece);
            }
            10 => {
                let turn = TURNS[self.below(TURNS.len())].as_bytes().to_vec();
                let over = self.stretch(bytes.len());
                bytes.splice(over, turn);
            }
            _ if self.below(4) == 0 => bytes.truncate(at),
            _ => {
                let number = (self.dice() >> self.below(64)).to_string().into_bytes();
                let over = self.stretch(bytes.len());
                let over = over.start..over.end.min(over.start + 4);
                bytes.splice(over, number);
            }
        }
    }
}
