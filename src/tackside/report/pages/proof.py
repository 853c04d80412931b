"""A proof as one page: the picture beside its print, maps of what is lost, the figures of every way to the card."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass

from tackside import __version__
from tackside.report.pages.page import environment, style_sheet


@dataclass(frozen=True)
class ShownImage:
    """A picture file to show: its bytes, JPEG or PNG, and what it is, in words."""

    data: bytes
    caption: str

    @property
    def address(self) -> str:
        """The image inside its own address."""
        kind = "png" if self.data.startswith(b"\x89PNG") else "jpeg"
        return f"data:image/{kind};base64,{base64.b64encode(self.data).decode('ascii')}"


@dataclass(frozen=True)
class ShownMap:
    """A map, with the colours of its scale (CSS, from nothing to full) and what its ends stand for."""

    image: ShownImage
    scale: tuple[str, ...]
    low: str
    high: str


@dataclass(frozen=True)
class ProofPage:
    """What the page says. ``heads`` and ``rows`` are the table of figures; ``taken`` is the proof's row.

    ``ways`` are the picture and its small prints in the order of the rows.
    """

    title: str
    card: str
    lead: str
    original: ShownImage
    proof: ShownImage
    ways: tuple[ShownImage, ...]
    maps: tuple[ShownMap, ...]
    facts: tuple[tuple[str, str], ...]
    heads: tuple[str, ...]
    rows: Sequence[tuple[str, ...]]
    taken: int
    notes: tuple[str, ...]


def proof_page(page: ProofPage) -> str:
    """One self-contained HTML page; names from users are escaped. Same input, same page."""
    template = environment().get_template("proof.html.j2")
    return template.render(page=page, style=style_sheet(), version=__version__)
