#!/usr/bin/env python3
"""Publishes generated collections of several sizes and prints a Markdown table.

    benches/collection.py FOLDER [COUNT …]      # 250 500 1000 2000 when left out; hours, mostly pictures

For each: the first publication, from nothing; another when nothing changed; one after a word of one object
changed; and one from the ground with all pictures in the store. Of that last one the time from the first page
to the last file is set beside copying the same pages and documents with `cp -r`, in the same run.
Times are of the wall, memory is the largest resident set.
"""

import os
import pathlib
import shutil
import subprocess
import sys
import time

HERE = pathlib.Path(__file__).resolve().parent.parent
PROGRAM = HERE / "target/release/counterpart"
COLLECTION = HERE / "target/release/examples/shape_collection"
# What is no page and no document.
PICTURES = {"assets", "social"}


def run(arguments):
    """Seconds, and megabytes of memory."""
    began = time.perf_counter()
    child = subprocess.Popen(arguments, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    said = child.stderr.read()
    _, status, used = os.wait4(child.pid, 0)
    if status != 0:
        sys.exit(f"{' '.join(map(str, arguments))} failed:\n{said[-2000:]}")
    return time.perf_counter() - began, used.ru_maxrss / 1024


def files(site):
    for folder, _, names in os.walk(site):
        for name in names:
            yield pathlib.Path(folder) / name


def pages_written(site):
    """Seconds from the first page to the last file."""
    html = [p.stat().st_mtime for p in files(site) if p.suffix == ".html"]
    return max(p.stat().st_mtime for p in files(site)) - min(html)


def pages_copied(site, place):
    """Seconds that `cp -r` takes for the pages and documents."""
    shutil.rmtree(place, ignore_errors=True)
    source, target = place / "pages", place / "copy"
    for path in files(site):
        below = path.relative_to(site)
        if below.parts[0] not in PICTURES:
            (source / below).parent.mkdir(parents=True, exist_ok=True)
            os.link(path, source / below)
    began = time.perf_counter()
    subprocess.run(["cp", "-r", source, target], check=True)
    seconds = time.perf_counter() - began
    shutil.rmtree(place)
    return seconds


def measured(count, folder):
    content, site = folder / f"content-{count}", folder / f"site-{count}"
    store = folder / f"store-{count}"
    if not content.exists():
        subprocess.run([COLLECTION, str(count), content], check=True)
    publish = [PROGRAM, "publish", content, "--store", store, "--to", site]
    cold = None
    if not store.exists():
        cold = run(publish)
        # What was written within two seconds is read again the next time.
        time.sleep(3)
    ground = site.with_name(site.name + "-again")
    anew, memory = run([*publish[:-1], ground])
    ratio_of = pages_written(ground)
    copied = pages_copied(ground, folder / "copied")
    shutil.rmtree(ground)
    shutil.rmtree(folder / f".{ground.name}.counterpart")
    run(publish)
    same, _ = run(publish)
    edits = []
    for _ in range(3):
        note = content / "store-00003/en.md"
        note.write_text(note.read_text() + "word ")
        edits.append(run(publish)[0])
    number = sum(1 for _ in files(site))
    first = f"{cold[0]:.0f} s, {cold[1]:.0f} MB" if cold else "(in the store)"
    share = f" ({100 * same / cold[0]:.2f} %)" if cold else ""
    print(
        f"| {count} | {number} | {first} | {anew:.1f} s, {memory:.0f} MB | {same:.2f} s{share} | {min(edits):.2f} s "
        f"| {ratio_of:.1f} s, {copied:.1f} s, {ratio_of / copied:.2f} |",
        flush=True,
    )


def main():
    folder = pathlib.Path(sys.argv[1]).resolve()
    counts = [int(text) for text in sys.argv[2:]] or [250, 500, 1000, 2000]
    subprocess.run(["cargo", "build", "--release", "--examples", "--bins"], cwd=HERE, check=True)
    folder.mkdir(parents=True, exist_ok=True)
    print("| objects | files | first | from the ground, pictures stored | nothing changed | one word | pages: written, `cp -r`, ratio |")
    print("| ---: | ---: | ---: | ---: | ---: | ---: | ---: |")
    for count in counts:
        measured(count, folder)


if __name__ == "__main__":
    main()
