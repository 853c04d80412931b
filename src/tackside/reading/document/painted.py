"""What a page of a PDF paints: its images with their size on the page, and whether it paints anything else.

Only as much of ISO 32000-1 as tells a scanned page from a drawn one: graphics state and its matrix (8.3, 8.4), XObjects
(8.8 to 8.10), which operators paint (annex A), and text that is set but not painted (9.3.6), as programs lay it over a
scan to make it searchable.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import pikepdf

# Operators that leave ink on the page by themselves: paths, shadings, images inside the page's own stream.
_PAINTS = frozenset({"f", "F", "f*", "B", "B*", "b", "b*", "S", "s", "sh", "INLINE IMAGE"})
_SHOWS_TEXT = frozenset({"Tj", "TJ", "'", '"'})
_UNPAINTED_MODES = (3, 7)
_DEEPEST = 8  # forms within forms; a form that holds itself would have no end
# What a page and its forms may say, as often as they are painted. A scan takes some tens of bytes, text over it some
# 100 kB.
MOST_SAID_BYTES = 2_000_000


@dataclass(frozen=True)
class PaintedImage:
    """An image as stored, and its matrix on the page: (a, b, c, d, e, f) in points, of the unit square."""

    image: pikepdf.Stream
    matrix: pikepdf.Matrix


@dataclass
class Painted:
    """``draws``: whether anything but images is painted. ``said_bytes``: how long the content was that says so."""

    images: list[PaintedImage] = field(default_factory=list)
    draws: bool = False
    said_bytes: int = 0


@dataclass(frozen=True)
class _State:
    matrix: pikepdf.Matrix
    text_mode: int = 0


def painted_on(page: pikepdf.Page) -> Painted:
    """All that a page paints. Raises pikepdf.PdfError where its content cannot be followed, ValueError where there is
    too much of it."""
    found = Painted()
    _follow(page.obj, page.obj.get("/Resources"), _State(pikepdf.Matrix()), found, 0)
    return found


def _follow(
    holder: pikepdf.Object, resources: pikepdf.Object | None, state: _State, found: Painted, depth: int
) -> None:
    """Go through one content stream."""
    for size in _sizes(holder):
        found.said_bytes += size
        if found.said_bytes > MOST_SAID_BYTES:
            raise ValueError(f"more than {MOST_SAID_BYTES} bytes of content")
    kept: list[_State] = []
    for step in pikepdf.parse_content_stream(holder):
        operator, operands = str(step.operator), step.operands
        if operator == "q":
            kept.append(state)
        elif operator == "Q" and kept:
            state = kept.pop()
        elif operator == "cm":
            moved = pikepdf.Matrix(*(float(each) for each in operands))
            state = _State(moved @ state.matrix, state.text_mode)
        elif operator == "Tr":
            state = _State(state.matrix, int(operands[0]))
        elif operator == "Do":
            _place(str(operands[0]), resources, state, found, depth)
        elif operator in _PAINTS or (operator in _SHOWS_TEXT and state.text_mode not in _UNPAINTED_MODES):
            found.draws = True


def _sizes(holder: pikepdf.Object) -> Iterator[int]:
    """How long the content of a form is, or each part of a page's, unpacked."""
    parts = holder if isinstance(holder, pikepdf.Stream) else holder.get("/Contents")
    for part in parts if isinstance(parts, pikepdf.Array) else [parts]:
        if isinstance(part, pikepdf.Stream):
            require_no_lzw(part)
            yield len(part.read_bytes())


def require_no_lzw(stream: pikepdf.Stream) -> None:
    """Raises ValueError: of LZW nobody tells how much it unpacks to before it does, and no scanner writes it."""
    filters = stream.get("/Filter")
    named = filters if isinstance(filters, pikepdf.Array) else [filters]
    if any(each in ("/LZWDecode", "/LZW") for each in named):
        raise ValueError("packed as LZW")


def _place(name: str, resources: pikepdf.Object | None, state: _State, found: Painted, depth: int) -> None:
    """An XObject by its name: an image, or a form whose content is followed too."""
    named = None if resources is None else resources.get("/XObject")
    thing = None if named is None else named.get(name)
    if not isinstance(thing, pikepdf.Stream):
        return
    if thing.get("/Subtype") == "/Image":
        found.images.append(PaintedImage(thing, state.matrix))
    elif thing.get("/Subtype") == "/Form" and depth < _DEEPEST:
        own = thing.get("/Matrix")
        matrix = state.matrix if own is None else pikepdf.Matrix(own) @ state.matrix
        inner = _State(matrix, state.text_mode)
        _follow(thing, thing.get("/Resources", resources), inner, found, depth + 1)
