"""What to do about the inside of the card, whose face is often not coated, and the insert sheet that sits in it."""

from __future__ import annotations

from tackside.fit.fold.folds import fold_of
from tackside.fit.fold.panels import panels
from tackside.fit.model import Insert, InsideAdvice
from tackside.fit.sizes.page_size import in_words
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
            sentence="The quarter fold prints all four panels on one face; the other face stays hidden and bare.",
        )
    added = f", or add an insert sheet of {_in_words(insert)}" if insert else ""
    takes, sentence = {
        "front": (
            "text",
            f"The {face} is not coated: leave it blank to write on, print text only on it{added}.",
        ),
        "both": (
            "print",
            f"The {face} is coated too and takes a picture. Some pens smear on a coating: try yours on a spot "
            f"that nobody sees{added}.",
        ),
        "back": (
            "print",
            f"The coated face is the {face}: a picture on the outside would come out dull. Use the card the other way "
            f"about where its crease allows, or keep the picture for the {face}.",
        ),
        "none": (
            "text",
            f"Neither face is coated: expect text at best on the {face}; leave it blank to write on{added}.",
        ),
        "unknown": ("unknown", f"Find out which face is coated before you plan the {face}{added}."),
    }[stock.coated]
    return InsideAdvice(outside_is_coated=coated, inside_takes=takes, sentence=sentence)


def _outside_is_coated(stock: Stock) -> bool | None:
    return None if stock.coated == "unknown" else stock.coated in ("front", "both")


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


def _in_words(insert: Insert) -> str:
    if insert.crease is None:
        return in_words(insert.size_mm)
    return f"{in_words(insert.size_mm)}, folded to {in_words(insert.folded_mm)}"
