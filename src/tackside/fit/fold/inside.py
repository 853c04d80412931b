"""What to do about the inside of the card, whose face is often not coated, and the insert sheet that sits in it."""

from __future__ import annotations

from typing import Literal

from tackside.fit.fold.panels import fold_of, panels
from tackside.fit.model import Insert, InsideAdvice
from tackside.messages.message import Message
from tackside.records import Crease, Stock

# How far an insert stays inside the card at each free edge, so that it never peeps out (docs/sources.md, S9).
INSERT_CLEAR_MM = 3.0
# A leaf smaller than this is no use to write on (docs/sources.md, S9).
LEAST_LEAF_MM = 20.0


def insert_for(stock: Stock) -> Insert | None:
    """The insert sheet for a card: folded for one crease, a single leaf on the middle panel of gate and roll folds.

    None for cards without an inside of their own: flat ones, accordions, and the quarter fold, whose insides are
    printed with the rest.
    """
    kind = fold_of(stock.open_size_mm, stock.creases)
    inside = panels(stock.open_size_mm, stock.creases, "back")
    clear = INSERT_CLEAR_MM
    if kind in ("gate", "roll"):
        middle = next(panel for panel in inside if panel.name == "inside-middle").trim
        return _insert((middle.w - 2 * clear, middle.h - 2 * clear), None)
    width, height = min(panel.trim.w for panel in inside), min(panel.trim.h for panel in inside)
    if kind == "side":
        return _insert((width - clear, height - 2 * clear), "vertical")
    if kind == "top":
        return _insert((width - 2 * clear, height - clear), "horizontal")
    return None


def inside_advice(stock: Stock) -> InsideAdvice:
    """Whether the outside is the coated face, and what the other one is good for."""
    insert = insert_for(stock)
    kind = fold_of(stock.open_size_mm, stock.creases)
    face = "back" if kind == "flat" else "inside"
    coated = _outside_is_coated(stock)
    if kind == "quarter":
        return InsideAdvice(
            outside_is_coated=coated,
            inside_takes="unknown" if coated is None else "print" if coated else "text",
            sentence=Message("fit.quarter-prints-one-face"),
        )
    sheet = None if insert is None else _in_words(insert)
    advice: dict[str, tuple[Literal["print", "text", "unknown"], str]] = {
        "front": ("text", "fit.inside-bare"),
        "both": ("print", "fit.inside-coated"),
        "back": ("text", "fit.outside-on-the-back"),
        "none": ("text", "fit.neither-coated"),
        "unknown": ("unknown", "fit.inside-unknown"),
    }
    takes, code = advice[stock.coated]
    named = Message(f"fit.face-{face}")
    insert_too = {} if sheet is None else {"insert": sheet}
    sentence = Message(f"{code}-or-insert" if insert_too else code, face=named, **insert_too)
    return InsideAdvice(outside_is_coated=coated, inside_takes=takes, sentence=sentence)


def _outside_is_coated(stock: Stock) -> bool | None:
    return None if stock.coated == "unknown" else stock.coated != "none"


def _insert(leaf: tuple[float, float], direction: str | None) -> Insert | None:
    """An insert with leaves of this size; the crease, if any, in its middle."""
    w, h = round(leaf[0], 1), round(leaf[1], 1)
    if min(w, h) < LEAST_LEAF_MM:
        return None
    if direction is None:
        return Insert(size_mm=(w, h), folded_mm=(w, h), crease=None)
    if direction == "vertical":
        return Insert(size_mm=(2 * w, h), folded_mm=(w, h), crease=Crease(direction="vertical", at_mm=w))
    return Insert(size_mm=(w, 2 * h), folded_mm=(w, h), crease=Crease(direction="horizontal", at_mm=h))


def _in_words(insert: Insert) -> Message:
    if insert.crease is None:
        return Message("fit.insert-flat", size_mm=insert.size_mm)
    return Message("fit.insert-folded", size_mm=insert.size_mm, folded_mm=insert.folded_mm)
