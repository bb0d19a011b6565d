"""Reads a made PDF the way a referee does: its letters with place and size, its tags, its fonts."""

import ctypes
import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

import pypdf
import pypdfium2
import pypdfium2.raw as pdfium

WORD_GAP_PT = 14  # more room between two letters on one line separates columns


@dataclass(frozen=True)
class Line:
    """Letters on one baseline without a gap between columns; places are in points from the lower left."""

    text: str
    left: float
    right: float
    baseline: float
    size_pt: float


@dataclass(frozen=True)
class Tag:
    """One element of the structure tree with the page it stands on and how deep it lies."""

    kind: str
    alternative: str = ""
    page: int | None = None
    inside: tuple[str, ...] = ()


@dataclass(frozen=True)
class Printed:
    """A made PDF."""

    data: bytes
    pages: list[list[Line]] = field(repr=False)
    tags: list[Tag] = field(repr=False)

    def text(self, page: int) -> str:
        """All words of a page, counted from 0, with single spaces."""
        return " ".join(" ".join(line.text for line in self.pages[page]).split())

    @property
    def whole_text(self) -> str:
        return " ".join(self.text(page) for page in range(len(self.pages)))

    @property
    def reader(self) -> pypdf.PdfReader:
        return pypdf.PdfReader(io.BytesIO(self.data))

    @property
    def fonts(self) -> set[str]:
        """The names of the fonts, without the mark of a subset."""
        found = set()
        for page in self.reader.pages:
            for font in page["/Resources"].get("/Font", {}).values():
                found.add(str(font.get_object()["/BaseFont"]).split("+")[-1].lstrip("/"))
        return found


def printed(data: bytes) -> Printed:
    """Everything the tests ask of a PDF, read once."""
    document = pypdfium2.PdfDocument(data)
    return Printed(data, [list(_lines(page)) for page in document], list(_tags(data)))


@dataclass(frozen=True)
class _Letter:
    letter: str
    x: float
    y: float
    right: float
    size_pt: float


def _lines(page: pypdfium2.PdfPage) -> Iterator[Line]:
    row: list[_Letter] = []
    for letter in _letters(page):
        if row and (
            abs(letter.y - row[-1].y) > 1 or not -0.25 * letter.size_pt <= letter.x - row[-1].right <= WORD_GAP_PT
        ):
            yield _line(row)
            row = []
        row.append(letter)
    if row:
        yield _line(row)


def _line(row: list[_Letter]) -> Line:
    text = row[0].letter
    for before, after in pairwise(row):
        text += (" " if after.x - before.right > 0.15 * after.size_pt else "") + after.letter
    return Line(text, row[0].x, row[-1].right, row[0].y, min(one.size_pt for one in row))


def _letters(page: pypdfium2.PdfPage) -> Iterator[_Letter]:
    text = page.get_textpage()
    x, y, matrix = ctypes.c_double(), ctypes.c_double(), pdfium.FS_MATRIX()
    for index in range(text.count_chars()):
        letter = chr(pdfium.FPDFText_GetUnicode(text, index))
        if letter.isspace() or letter in "\0￾":
            continue
        pdfium.FPDFText_GetCharOrigin(text, index, x, y)
        pdfium.FPDFText_GetMatrix(text, index, matrix)
        size = pdfium.FPDFText_GetFontSize(text, index) * abs(matrix.a)
        _, _, right, _ = text.get_charbox(index, loose=True)
        yield _Letter(letter, x.value, y.value, right, round(size, 2))


def _tags(data: bytes) -> Iterator[Tag]:
    reader = pypdf.PdfReader(io.BytesIO(data))
    places = {page.indirect_reference.idnum: number for number, page in enumerate(reader.pages)}
    yield from _walk(reader.trailer["/Root"]["/StructTreeRoot"]["/K"], places, ())


def _walk(node: object, places: dict[int, int], inside: tuple[str, ...]) -> Iterator[Tag]:
    node = node.get_object() if isinstance(node, pypdf.generic.IndirectObject) else node
    if isinstance(node, list):
        for one in node:
            yield from _walk(one, places, inside)
    elif isinstance(node, dict) and "/S" in node:
        kind = str(node["/S"])[1:]
        page = places.get(node.raw_get("/Pg").idnum) if "/Pg" in node else None
        yield Tag(kind, str(node.get("/Alt", "")), page, inside)
        yield from _walk(node.get("/K", []), places, (*inside, kind))
