//! Deleting and bringing back; taking in.

use super::{Place, all, at, file, folder};
use counterpart::desk::pen::{BinId, Inside, Refusal};
use std::io::{self, Read};

#[test]
fn what_is_binned_comes_back_as_it_was() {
    let place = Place::new();
    place.put("a/details/b/record.toml", "format = 1\n");
    place.put("a/details/b/cat.jpg", "\u{1}");
    place.put("a/en.md", "# A\n");
    let before = all(&place.content());
    let pen = place.pen();
    let binned = pen.bin(&folder("a/details/b"), at(0)).unwrap();
    assert!(binned.folder);
    assert!(!place.content().join("a/details/b").exists());
    let note = pen.bin(&file("a/en.md"), at(1)).unwrap();
    assert_eq!(pen.binned().unwrap(), [binned.clone(), note.clone()]);
    // Over what is there now, nothing is restored.
    place.put("a/en.md", "# Another\n");
    assert!(matches!(
        pen.restore(&note.id, at(2)),
        Err(Refusal::Taken { .. })
    ));
    std::fs::remove_file(place.content().join("a/en.md")).unwrap();
    std::fs::remove_dir(place.content().join("a/details")).unwrap();
    assert_eq!(
        pen.restore(&binned.id, at(3)).unwrap(),
        folder("a/details/b")
    );
    drop(pen);
    // The bin outlives the desk.
    let pen = place.pen();
    assert_eq!(pen.restore(&note.id, at(4)).unwrap(), file("a/en.md"));
    assert_eq!(all(&place.content()), before);
    assert!(pen.binned().unwrap().is_empty());
    assert!(matches!(
        pen.restore(&note.id, at(5)),
        Err(Refusal::Missing { .. })
    ));
    assert!(matches!(
        pen.bin(&file("a/fr.md"), at(5)),
        Err(Refusal::Missing { .. })
    ));
    assert!(BinId::try_from("../../etc".to_owned()).is_err());
}

/// Breaks off after so many bytes.
struct Broken(usize);

impl Read for Broken {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        if self.0 == 0 {
            return Err(io::ErrorKind::ConnectionReset.into());
        }
        let n = self.0.min(into.len());
        self.0 -= n;
        Ok(n)
    }
}

#[test]
fn what_comes_in_is_whole_or_not_there() {
    let place = Place::new();
    place.put("a/en.md", "# A\n");
    let before = all(&place.content());
    let pen = place.pen();
    let scan = file("a/models/scan.ply");
    let bytes = vec![7_u8; 200_000];
    let most = bytes.len() as u64;
    assert!(matches!(
        pen.take_in(&scan, &mut &bytes[..], most - 1, at(0)),
        Err(Refusal::TooLarge { .. })
    ));
    assert!(matches!(
        pen.take_in(&scan, &mut Broken(100_000), most, at(0)),
        Err(Refusal::Failed { .. })
    ));
    assert_eq!(all(&place.content()), before, "not even a folder is left");
    let taken = pen.take_in(&scan, &mut &bytes[..], most, at(1)).unwrap();
    assert_eq!(taken.bytes, most);
    assert_eq!(
        taken.version.as_str(),
        blake3::hash(&bytes).to_hex().as_str()
    );
    assert_eq!(
        std::fs::read(place.content().join("a/models/scan.ply")).unwrap(),
        bytes
    );
    assert!(matches!(
        pen.take_in(&scan, &mut &b"x"[..], 9, at(2)),
        Err(Refusal::Taken { .. })
    ));
    pen.undo(at(3)).unwrap();
    assert_eq!(all(&place.content()), before);
    assert_eq!(pen.binned().unwrap().len(), 1, "and yet it is in the bin");
    assert!(Inside::new("a/models/scan.exe").is_err());
}
