//! Braille cells as dots on paper.
//!
//! Letters are uncontracted: the alphabet of Louis Braille, in which the second ten letters are the
//! first with dot 3, the rest the first with dots 3 and 6, and w stands apart. The Unicode Standard
//! (chapter 21, Braille Patterns) numbers cells from U+2800 with one bit for each dot, dot 1 lowest.
//! Sizes are those called Marburg medium (EN ISO 17351, for packages of medicines), within what
//! ISO 17049:2013 asks of signs: all from memory.

use glam::DVec2;

/// Width of a dot at its foot.
pub const DOT_MM: f64 = 1.5;
/// Between the middles of neighbouring dots of a cell.
pub const DOT_STEP_MM: f64 = 2.5;
/// Between the same dots of neighbouring cells.
pub const CELL_MM: f64 = 6.0;

/// Dots 3, 4, 5 and 6: a number follows.
const NUMBER_SIGN: char = '⠼';
/// Dots 5 and 6: a letter follows. A lone `a` is one dot, which a finger misses or takes for grit.
const LETTER_SIGN: char = '⠰';
/// The letters a to z.
const ALPHABET: &str = "⠁⠃⠉⠙⠑⠋⠛⠓⠊⠚⠅⠇⠍⠝⠕⠏⠟⠗⠎⠞⠥⠧⠺⠭⠽⠵";

/// The cells of a key's letters (`a`, `ab`), with the sign that letters follow.
pub fn cells_of_letters(letters: &str) -> Vec<char> {
    let cells = letters.chars().filter_map(|c| {
        let index = (c as usize).checked_sub('a' as usize)?;
        ALPHABET.chars().nth(index)
    });
    [LETTER_SIGN].into_iter().chain(cells).collect()
}

/// The cells of a whole number: the sign, then a to i for 1 to 9 and j for 0.
pub fn cells_of_number(number: usize) -> Vec<char> {
    let digits = number.to_string();
    let cells = digits.bytes().filter_map(|d| {
        let place = (usize::from(d - b'0') + 9) % 10;
        ALPHABET.chars().nth(place)
    });
    [NUMBER_SIGN].into_iter().chain(cells).collect()
}

/// Width and height of so many cells, from edge to edge of the dots, millimetres.
pub(super) fn size_mm(cells: usize) -> DVec2 {
    #[expect(clippy::cast_precision_loss, reason = "a few cells")]
    let steps = cells.saturating_sub(1) as f64;
    DVec2::new(
        steps * CELL_MM + DOT_STEP_MM + DOT_MM,
        2.0 * DOT_STEP_MM + DOT_MM,
    )
}

/// Middles of the dots of cells whose box has its lower left corner at `at`, upward positive.
pub fn dots(cells: &[char], at: DVec2) -> Vec<DVec2> {
    let first = at + DVec2::new(DOT_MM / 2.0, DOT_MM / 2.0 + 2.0 * DOT_STEP_MM);
    let mut out = Vec::new();
    let mut left = 0.0;
    for cell in cells {
        let raised = (*cell as u32).saturating_sub(0x2800);
        // Dots 1, 2, 3 run down the left column and 4, 5, 6 down the right one.
        for (bit, [column, row]) in [[0, 0], [0, 1], [0, 2], [1, 0], [1, 1], [1, 2]]
            .into_iter()
            .enumerate()
        {
            if raised >> bit & 1 == 1 {
                let place = DVec2::new(f64::from(column), -f64::from(row)) * DOT_STEP_MM;
                out.push(first + place + DVec2::X * left);
            }
        }
        left += CELL_MM;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Dot numbers of the basic letters, as every primer of braille gives them (from memory).
    const DOTS: [(char, &str); 26] = [
        ('a', "1"),
        ('b', "12"),
        ('c', "14"),
        ('d', "145"),
        ('e', "15"),
        ('f', "124"),
        ('g', "1245"),
        ('h', "125"),
        ('i', "24"),
        ('j', "245"),
        ('k', "13"),
        ('l', "123"),
        ('m', "134"),
        ('n', "1345"),
        ('o', "135"),
        ('p', "1234"),
        ('q', "12345"),
        ('r', "1235"),
        ('s', "234"),
        ('t', "2345"),
        ('u', "136"),
        ('v', "1236"),
        ('w', "2456"),
        ('x', "1346"),
        ('y', "13456"),
        ('z', "1356"),
    ];

    #[test]
    fn letters_raise_the_dots_of_the_primer() {
        for (letter, numbers) in DOTS {
            let bits: u32 = numbers.bytes().map(|d| 1 << (d - b'1')).sum();
            let cells = cells_of_letters(&letter.to_string());
            assert_eq!(
                cells,
                ['⠰', char::from_u32(0x2800 + bits).unwrap()],
                "{letter}"
            );
        }
        assert_eq!(cells_of_letters("ab"), ['⠰', '⠁', '⠃']);
        // Numbers borrow the first ten letters.
        assert_eq!(cells_of_number(1), ['⠼', '⠁']);
        assert_eq!(cells_of_number(50), ['⠼', '⠑', '⠚']);
    }

    #[test]
    fn dots_stand_in_their_columns_and_rows() {
        // q raises dots 1 to 5: all but the lowest of the right column.
        let middles = dots(&['⠟'], DVec2::ZERO);
        let (left, right) = (0.75, 3.25);
        let rows = [5.75, 3.25, 0.75];
        let expected = [
            [left, rows[0]],
            [left, rows[1]],
            [left, rows[2]],
            [right, rows[0]],
            [right, rows[1]],
        ];
        assert_eq!(middles, expected.map(DVec2::from));
        let two = dots(&['⠁', '⠁'], DVec2::ZERO);
        assert_eq!(two[1] - two[0], DVec2::new(6.0, 0.0));
        assert_eq!(size_mm(2), DVec2::new(10.0, 6.5));
    }
}
