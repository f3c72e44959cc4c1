"""Bags by PyPI's `bagit`: ours judged, and others made for us to judge."""

import logging
import shutil
import sys
from pathlib import Path

import bagit

ours, home = Path(sys.argv[1]), Path(sys.argv[2])
logging.disable(logging.CRITICAL)


def valid(bag):
    try:
        return bagit.Bag(str(bag)).is_valid()
    except bagit.BagError:
        return False


bag = bagit.Bag(str(ours))
bag.validate()
assert bag.version == "1.0" and sorted(bag.algorithms) == ["sha256", "sha512"]
assert bag.info["Bagging-Date"] == "2026-03-01"
octets, files = bag.info["Payload-Oxum"].split(".")
payload = [f for f in (ours / "data").rglob("*") if f.is_file()]
assert int(files) == len(payload) and int(octets) == sum(f.stat().st_size for f in payload)
assert len(bag.info["External-Description"].splitlines()) >= 1
print(f"bagit {bagit.VERSION} finds our bag valid: {files} files, {octets} bytes")

damages = {
    "flipped": lambda b: (b / "data/READ-ME.txt").write_bytes(
        bytes([(b / "data/READ-ME.txt").read_bytes()[0] ^ 1]) + (b / "data/READ-ME.txt").read_bytes()[1:]
    ),
    "deleted": lambda b: (b / "data/rights.txt").unlink(),
    "added": lambda b: (b / "data/stray").write_text("stray"),
    "renamed": lambda b: (b / "data/rights.txt").rename(b / "data/wrongs.txt"),
    "tag changed": lambda b: (b / "bag-info.txt").write_text("Payload-Oxum: 1.1\n"),
    "line gone": lambda b: (b / "manifest-sha512.txt").write_text(
        "".join((b / "manifest-sha512.txt").read_text().splitlines(True)[1:])
    ),
}
for name, damage in damages.items():
    copy = home / "damaged"
    shutil.copytree(ours, copy)
    assert valid(copy), "the copy itself"
    damage(copy)
    assert not valid(copy), f"bagit does not see that something was {name}"
    shutil.rmtree(copy)
print(f"bagit sees {len(damages)} damages of it")

long = "A value that is long enough to be folded by some programs. " * 6
for number, algorithms in enumerate(
    [["sha256"], ["sha512"], ["sha256", "sha512"], ["md5", "sha512"], ["sha1", "sha256", "sha384"]]
):
    folder = home / "theirs" / str(number)
    (folder / "folder").mkdir(parents=True)
    for name in ["hello.txt", "folder/é ö.txt", "folder/100%.txt", "two\nlines.txt", "empty", "folder/a  b.txt"]:
        (folder / name).write_text("" if name == "empty" else name)
    bagit.make_bag(str(folder), {"External-Description": long}, checksums=algorithms)
shutil.make_archive(str(home / "theirs" / "packed"), "zip", home / "theirs", "2")
