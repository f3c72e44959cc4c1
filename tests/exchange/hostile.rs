//! Files that mean harm, or are damaged.

use super::lido::FOREIGN;
use super::{lang, refused};
use counterpart::exchange::{Bounds, read};

const HEAD: &str = "<lido:lidoWrap xmlns:lido=\"http://www.lido-schema.org\">";

#[test]
fn document_types_and_entities_are_refused() {
    for text in [
        "<!DOCTYPE x [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;&a;\">]><x>&b;</x>".to_owned(),
        "<!DOCTYPE x SYSTEM \"file:///etc/passwd\"><x/>".to_owned(),
        "<?xml version=\"1.0\"?><!DOCTYPE x [<!ENTITY e SYSTEM \"file:///etc/passwd\">]><x>&e;</x>"
            .to_owned(),
    ] {
        let said = refused(text.as_bytes(), None);
        assert!(
            said.contains("DOCTYPE") && said.contains("line 1"),
            "{said}"
        );
    }
    let unknown = format!("{HEAD}<lido:lido>&nbsp;</lido:lido></lido:lidoWrap>");
    assert!(refused(unknown.as_bytes(), None).contains("&nbsp;"));
}

#[test]
fn depth_size_and_counts_are_bounded_at_the_edge_and_beyond() {
    let bounds = Bounds {
        depth: 8,
        elements: 20,
        records: 3,
        bytes: 4000,
        columns: 3,
    };
    // The wrap and the record are two of the eight.
    let deep = |n: usize| {
        format!(
            "{HEAD}<lido:lido>{}{}</lido:lido></lido:lidoWrap>",
            "<lido:a>".repeat(n),
            "</lido:a>".repeat(n)
        )
    };
    assert!(read(deep(6).as_bytes(), None, &bounds).is_ok());
    assert!(format!("{:?}", read(deep(7).as_bytes(), None, &bounds)).contains("more than 8 deep"));
    let wide = |n: usize| {
        format!(
            "{HEAD}<lido:lido>{}</lido:lido></lido:lidoWrap>",
            "<lido:a/>".repeat(n)
        )
    };
    assert!(read(wide(18).as_bytes(), None, &bounds).is_ok());
    assert!(
        format!("{:?}", read(wide(19).as_bytes(), None, &bounds)).contains("more than 20 elements")
    );
    let rows = |n: usize| format!("number\n{}", "1\n".repeat(n));
    assert!(read(rows(3).as_bytes(), None, &bounds).is_ok());
    assert!(format!("{:?}", read(rows(4).as_bytes(), None, &bounds)).contains("more than 3 rows"));
    assert!(read(b"number,a,b\n1,2,3\n", None, &bounds).is_ok());
    assert!(
        format!("{:?}", read(b"number,a,b,c\n1,2,3,4\n", None, &bounds))
            .contains("more than 3 columns")
    );
    let large = format!("number\n{}\n", "1".repeat(4000));
    assert!(format!("{:?}", read(large.as_bytes(), None, &bounds)).contains("larger than"));
    // Deep enough to end a program that calls itself for each level, within the usual bounds.
    let abyss = deep(200_000);
    assert!(refused(abyss.as_bytes(), None).contains("deep in one another"));
}

#[test]
fn damaged_files_are_told_and_never_end_the_program() {
    let whole = format!(
        "{HEAD}\n<lido:lido><lido:lidoRecID lido:type=\"x\">a&amp;b</lido:lidoRecID></lido:lido></lido:lidoWrap>"
    );
    for end in 0..whole.len() {
        assert!(
            read(&whole.as_bytes()[..end], Some(&lang("en")), &Bounds::USUAL).is_err(),
            "cut at {end}"
        );
    }
    for text in [
        "<a><b></a></b>",
        "<a x=1/>",
        "<a x=\"1\" x=\"2\"/>",
        "<x/>",
        "<lido:lido/>",
        "<a>&#0;</a>",
        "<a>&#xFFFFFFFF;</a>",
    ] {
        assert!(
            read(text.as_bytes(), None, &Bounds::USUAL).is_err(),
            "{text}"
        );
    }
    let table =
        "object,number,title.en,rights.1.holder\r\njug,\"1\",\"a\"\"b\",\"M, N\"\r\n".as_bytes();
    for end in 0..table.len() {
        // Some beginnings of a table are tables: what matters is that there is an answer.
        let _ = read(&table[..end], None, &Bounds::USUAL);
        let mut flipped = table.to_vec();
        flipped[end] ^= 0x80;
        assert!(
            read(&flipped, None, &Bounds::USUAL).is_err(),
            "byte {end} is no UTF-8 now"
        );
    }
}

/// Pieces of a whole document cut out, doubled, moved and changed: an answer, whatever it is.
#[test]
fn mangled_documents_have_an_answer() {
    let table = "object;number;title.en;material.1.name.en;rights.1.holder;rights.1.statement\njug;\"1\";\"a\"\"b\";tin;\"M; N\";x\n";
    let mut seed = 1647_u64;
    let mut next = |below: usize| {
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(seed >> 33).unwrap() % below.max(1)
    };
    let mut read_well = 0;
    for round in 0..4000 {
        let mut bytes = if round % 4 == 0 {
            table.as_bytes().to_vec()
        } else {
            FOREIGN.as_bytes().to_vec()
        };
        for _ in 0..=next(3) {
            let (from, to) = (next(bytes.len()), next(bytes.len()));
            let (from, to) = (from.min(to), from.max(to).min(from.min(to) + 60));
            let piece = bytes[from..to].to_vec();
            match next(4) {
                0 => drop(bytes.drain(from..to)),
                1 => drop(bytes.splice(to..to, piece)),
                2 => bytes.splice(next(from + 1)..from, piece).for_each(drop),
                _ => {
                    if let Some(byte) = bytes.get_mut(from) {
                        *byte ^= 1 << next(8);
                    }
                }
            }
        }
        if let Ok(received) = read(&bytes, Some(&lang("en")), &Bounds::USUAL) {
            read_well += 1;
            // What is read has a name for its folder, or is told to have none.
            let _ = counterpart::exchange::coming(received.records, "x", received.ending);
        }
    }
    // Some are still read, so not everything was refused at the door.
    assert!(read_well > 100, "{read_well}");
}
