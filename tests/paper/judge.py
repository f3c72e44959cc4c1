"""What is on paper: PDF files of a browser, turned into pictures by PDFium and measured there.

    judge.py PRINTED-FOLDER

Facts only: how many sheets, of which size, with white all round; text that is text; how thick a
raised line is and how long a bar, counted in pixels; a code that another reader reads.
"""

import json
import re
import sys
from html import unescape
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import zxingcpp

A4_PT = (595.28, 841.89)  # ISO 216: 210 × 297 mm, in points of 1/72 inch
MM_PT = 72 / 25.4
DPI = 300
PX_MM = DPI / 25.4
DARK = 128
faults = []


def fault(name, what):
    faults.append(f"{name}: {what}")


def need(holds, name, what):
    if not holds:
        fault(name, what)


def grey(page, dpi=DPI):
    return np.asarray(page.render(scale=dpi / 72, grayscale=True).to_pil().convert("L"))


def text(page):
    return page.get_textpage().get_text_bounded()


def sizes_pt(page):
    """Size of every character that is not white space, in points on paper."""
    found = []
    textpage = page.get_textpage()
    matrix = raw.FS_MATRIX()
    for i in range(raw.FPDFText_CountChars(textpage)):
        char = chr(raw.FPDFText_GetUnicode(textpage, i) or 32)
        if char.isspace() or not char.isprintable():
            continue
        raw.FPDFText_GetMatrix(textpage, i, matrix)
        along = (matrix.a**2 + matrix.b**2) ** 0.5
        found.append((raw.FPDFText_GetFontSize(textpage, i) * along, char))
    return found


def runs(line):
    """Lengths of the runs of dark pixels of a row or column, with where they begin."""
    dark = np.concatenate([[0], (line < DARK).astype(np.int8), [0]])
    edges = np.flatnonzero(np.diff(dark))
    return list(zip(edges[::2], edges[1::2] - edges[::2], strict=True))


def margins(picture, name, least_mm):
    """White from every edge of the paper to the nearest ink."""
    ink = np.argwhere(picture < 250)
    if not len(ink):
        fault(name, "an empty sheet")
        return
    (top, left), (bottom, right) = ink.min(0), ink.max(0)
    height, width = picture.shape
    white = min(top, left, height - 1 - bottom, width - 1 - right) * 25.4 / (DPI / 2)
    need(white >= least_mm, name, f"only {white:.1f} mm of white at an edge, {least_mm} are wanted")


def words(html):
    """Words that a page must have on paper: its first heading."""
    heading = re.search(r"<h1[^>]*>(.*?)</h1>", html, re.S)
    return re.sub(r"\s+", "", unescape(re.sub(r"<[^>]+>", "", heading[1]))) if heading else ""


def bar_mm(svg):
    """Length of the bar as the drawing's own file says, millimetres."""
    return float(re.search(r'class="Bar"[^>]*?h([\d.]+)m', svg)[1])


def raised(page, svg, name):
    picture = grey(page)
    # The bar lies level at 275 mm from the top: the longest run there, round ends included.
    row = picture[round(275 * PX_MM)]
    long = max(length for _, length in runs(row)) / PX_MM
    wanted = bar_mm(svg) + 1.2
    need(abs(long - wanted) < 0.25, name, f"the bar is {long:.2f} mm long on paper, and should be {wanted:.2f}")
    # How thick it is: the run across it, a third of the way along.
    start = max(runs(row), key=lambda run: run[1])
    column = picture[round(270 * PX_MM) : round(280 * PX_MM), start[0] + start[1] // 3]
    thick = max(length for _, length in runs(column)) / PX_MM
    need(abs(thick - 1.2) < 0.12, name, f"the bar is {thick:.2f} mm thick, and should be 1.2")
    # The outline, met square on where it runs level or upright: the thinnest and most frequent run.
    path = re.findall(r'class="Outline"[^>]*d="([^"]+)"', svg)
    points = np.array([[float(v) for v in p.split()] for d in path for p in re.split("[MLZ]", d) if p])
    thin = []
    for outline in path:
        points = np.array([[float(v) for v in p.split()] for p in re.split("[MLZ]", outline) if p])
        ends = np.roll(points, -1, 0)
        for a, b in zip(points, ends, strict=True):
            along = (b - a) / max(np.hypot(*(b - a)), 1e-9)
            if np.hypot(*(b - a)) < 1.5:
                continue
            # Walk across the middle of this stretch, a tenth of a pixel at a time.
            middle, across = (a + b) / 2, np.array([-along[1], along[0]])
            steps = np.arange(-2.0, 2.0, 0.1 / PX_MM)
            at = np.round((middle + steps[:, None] * across) * PX_MM - 0.5).astype(int)
            dark = picture[at[:, 1], at[:, 0]] < DARK
            thin.append(dark.sum() * 0.1 / PX_MM)
    need(len(thin) > 5, name, "the outline has no straight stretches to measure")
    if thin:
        middle = float(np.median(thin))
        need(abs(middle - 1.5) < 0.1 and min(thin) > 1.3, name, f"the outline is {middle:.2f} mm thick, at least {min(thin):.2f}")
    return picture


def strokes(svg):
    """All strokes and dots of a drawing: points every 0.2 mm, half the width, and what they are."""
    out = []
    for role, width, d in re.findall(r'<path class="(\w+)"[^>]*stroke-width="([\d.]+)" d="(M[^"]+)"/>', svg):
        if role == "Bar":
            continue
        points = [np.array([float(v) for v in p.split()]) for p in re.split("[MLZ]", d) if p]
        if d.endswith("Z"):
            points.append(points[0])
        fine = [points[0]]
        for a, b in zip(points, points[1:]):
            steps = max(1, int(np.ceil(np.hypot(*(b - a)) / 0.2)))
            fine += [a + (b - a) * i / steps for i in range(1, steps + 1)]
        out.append((role, np.array(fine), float(width) / 2))
    dots = np.array([[float(x), float(y)] for x, y in re.findall(r'class="Dot" cx="([\d.]+)" cy="([\d.]+)"', svg)])
    return out, dots


def clearances(svg, name):
    """No two lines, no line and dot nearer than an eighth of an inch (3.2 mm)."""
    lines, dots = strokes(svg)
    for role, _, half in lines:
        need(half * 2 >= (1.0 if role != "Inner" else 0.6), name, f"a stroke of {half * 2} mm")
    for i, (role, points, half) in enumerate(lines):
        for other, others, their in lines[i + 1 :]:
            if role == other == "Symbol":
                continue  # strokes of one symbol touch; symbols stand apart as boxes
            apart = np.sqrt(((points[:, None] - others[None]) ** 2).sum(-1).min()) - half - their
            need(apart >= 3.19, name, f"{role} and {other} are {apart:.2f} mm apart")
        if len(dots):
            apart = np.sqrt(((points[:, None] - dots[None]) ** 2).sum(-1).min()) - half - 0.75
            need(apart >= 3.19, name, f"{role} and a braille dot are {apart:.2f} mm apart")
    return len(lines)


def main(folder):
    made = json.loads((folder / "printed.json").read_text())
    site = Path(made["folder"])
    for entry in made["printed"]:
        name, kind = entry["path"], entry["path"].rstrip("/").split("/")[-1]
        html = (site / name / "index.html").read_text()
        pdf = pdfium.PdfDocument(folder / entry["file"])
        count = len(pdf)
        for page in pdf:
            size = page.get_size()
            need(all(abs(a - b) < 1 for a, b in zip(size, A4_PT, strict=True)), name, f"a sheet of {size} points is not A4")
        whole = " ".join(text(page) for page in pdf)
        # Where words part is the browser's business: only their letters are compared.
        flat = re.sub(r"\s+", "", whole)
        on_screen_only = kind in ("label", "raised-lines")
        need(on_screen_only or words(html) in flat, name, f"the heading ‘{words(html)}’ is not text on paper")
        for i, page in enumerate(pdf):
            margins(grey(page, DPI / 2), f"{name} sheet {i + 1}", 9 if kind == "raised-lines" else 14)
        colour = np.asarray(pdf[0].render(scale=1).to_pil().convert("RGB")).astype(int)
        need((colour.reshape(-1, 3).min(0) < 90).all(), name, "no black on the first sheet")
        need(np.median(colour) >= 250, name, "the ground is not white")
        if kind == "label":
            need(count == 1, name, f"the label takes {count} sheets")
            picture = grey(pdf[0])
            found = zxingcpp.read_barcodes(picture)
            address = "https://brackwater.example/counterparts/" + name.removesuffix("label/")
            need([f.text for f in found] == [address], name, f"the code reads {[f.text for f in found]}, not {address}")
            for code in found:
                quiet(picture, code, name)
        if kind == "handout":
            need(count <= 2, name, f"the handout takes {count} sides")
            found = [code.text for code in zxingcpp.read_barcodes(grey(pdf[0]))]
            address = "https://brackwater.example/counterparts/" + name.removesuffix("handout/")
            need(found == [address], name, f"the code reads {found}, not {address}")
            need(min(size for size, _ in sizes_pt(pdf[0])) >= 7, name, "text below 7 points")
            for title in re.findall(r'<p><a href=[^>]+>([^<]+)</a>', html):
                need(re.sub(r"\s+", "", unescape(title)) in flat, name, f"‘{title}’ is not on the handout")
        if kind == "large-print":
            small = [(round(size, 1), char) for page in pdf for size, char in sizes_pt(page) if size < 17.95]
            need(not small, name, f"{len(small)} characters below 18 points, such as {small[:5]}")
        if kind == "raised-lines":
            drawings = re.findall(r'<img src="?([^" >]+\.svg)', html)
            need(count > len(drawings), name, f"{count} sheets for {len(drawings)} drawings and a key")
            for i, source in enumerate(drawings):
                svg = (site / name / source).resolve().read_text()
                raised(pdf[i], svg, f"{name} drawing {i + 1}")
                need(clearances(svg, f"{name} drawing {i + 1}") > 0, name, "a drawing without lines")
        print(f"{name}: {count} {'sheet' if count == 1 else 'sheets'}")


def quiet(picture, code, name):
    """Four modules of white on every side of the code."""
    corners = code.position
    xs = [p.x for p in (corners.top_left, corners.top_right, corners.bottom_left, corners.bottom_right)]
    ys = [p.y for p in (corners.top_left, corners.top_right, corners.bottom_left, corners.bottom_right)]
    left, right, top, bottom = min(xs), max(xs), min(ys), max(ys)
    # The upper left finder is seven modules wide: the first run of the row just inside the code.
    finder = next(length for at, length in runs(picture[top + 3]) if at >= left - 3)
    module = finder / 7
    need(module >= 0.5 * PX_MM, name, f"a module is {module / PX_MM:.2f} mm; 0.5 mm or more read well")
    four = int(4 * module) - 2
    around = picture[top - four : bottom + four + 1, left - four : right + four + 1].copy()
    around[four - 2 : -four + 2, four - 2 : -four + 2] = 255
    need(around.min() > 250, name, "the quiet zone of the code is not white")


main(Path(sys.argv[1]))
if faults:
    print(f"{len(faults)} faults:", *faults, sep="\n  ")
    sys.exit(1)
print("everything on paper is as it should be")
