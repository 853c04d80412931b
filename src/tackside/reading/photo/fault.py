"""What is wrong with a photograph, and where in the picture."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.messages.message import Message

# Points (x, y) of a picture held upright, each 0 to 1 of its width and height from the top left corner.
Outline = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class PhotoFault:
    """One thing wrong. ``hinders``: with it the photograph cannot be read; else it is only trusted less.

    ``areas``: outlines of where it shows; empty where the whole picture is meant.
    """

    message: Message
    hinders: bool
    areas: tuple[Outline, ...] = ()
