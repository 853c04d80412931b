"""Warnings about type and codes: on a picture, on one another, hard to read, in a font of this computer alone."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from tackside.card.checks.rounding import tenths_up
from tackside.card.file.colours import contrast, luminance_of
from tackside.card.file.variables import plain, variables_in
from tackside.card.layout.layout import CardFace
from tackside.card.layout.placed import PlacedCode, Rgb
from tackside.card.layout.texts import PlacedText
from tackside.card.type.typeface import typeface
from tackside.sheet.page.text import FACES
from tackside.units import Box

# Source: W3C, Web Content Accessibility Guidelines 2.2, 1.4.3 (contrast of text, and of large text).
READABLE, READABLE_LARGE, LARGE_PT = 4.5, 3.0, 18.0
# What telephones read surely at arm's length (docs/sources.md, S24).
MODULE_MM = 0.4
# ISO/IEC 18004 wants dark modules on a light ground; this much contrast is common practice (docs/sources.md, S24).
CODE_CONTRAST = 4.0
SHARED_MM = 0.1


def on_texts(face: CardFace) -> Iterator[str]:
    for text in face.texts:
        for placed in face.pictures:
            if text.box_mm.intersection(placed.box_mm):
                colour = "black" if text.asked.colour == "#000000" else text.asked.colour
                yield (
                    f"The text on the {text.asked.panel} panel stands on {placed.asked.file}, in {colour}; "
                    "look whether it can be read there."
                )
        yield from _ground(text, face)
        yield from _borrowed(text)
        yield from _mixed(text)
        names = variables_in(text.asked.text)
        if names:
            yield (
                f"The text on the {text.asked.panel} panel prints {{{names[0]}}} as it stands: fill it from rows with "
                "--csv, or double its braces."
            )
    for one, other in combinations(face.texts, 2):
        if _overlap(one.box_mm, other.box_mm):
            yield (
                f'Two texts on the {one.asked.panel} panel, "{_start(one)}" and "{_start(other)}", overlap; move one '
                "with place or box_mm."
            )


def on_codes(face: CardFace) -> Iterator[str]:
    for code in face.codes:
        module = code.box_mm.w / len(code.modules)
        if module < MODULE_MM - 1e-6:
            yield (
                f"The QR code's modules are {module:.2f} mm wide, which some telephones miss; qr_mm = "
                f"{tenths_up(MODULE_MM * len(code.modules))} makes them {MODULE_MM:g} mm, or shorten what it says."
            )
        if contrast(luminance_of(code.rgb), _luminance_under(code, face)) < CODE_CONTRAST:
            yield "The QR code is too pale to be read; give the credit a darker colour."
        for text in face.texts:
            if _overlap(code.box_mm, text.box_mm):
                yield (
                    f'The QR code and the text "{_start(text)}" overlap on the {text.asked.panel} panel; move the text '
                    "with place or box_mm."
                )


def _ground(text: PlacedText, face: CardFace) -> Iterator[str]:
    """How the text stands out from the flat colour under it; over pictures the eye must judge."""
    if any(text.box_mm.intersection(placed.box_mm) for placed in face.pictures):
        return
    under = _under(text.box_mm, face)
    found = contrast(luminance_of(text.runs[0].rgb), luminance_of(under)) if text.runs else READABLE
    wanted = READABLE_LARGE if text.asked.size_pt >= LARGE_PT else READABLE
    if found < wanted:
        yield (
            f'The text "{_start(text)}" stands out from its ground by only {found:.1f} : 1, under {wanted:g} : 1; '
            "choose a darker or a lighter colour."
        )


def _luminance_under(code: PlacedCode, face: CardFace) -> float:
    return luminance_of(code.ground if code.ground is not None else _under(code.box_mm, face))


def _under(box: Box, face: CardFace) -> Rgb:
    """The last flat ground under a box, else the card, taken for white."""
    grounds = [fill.rgb for fill in face.fills if fill.box_mm.intersection(box)]
    return grounds[-1] if grounds else (1.0, 1.0, 1.0)


def _borrowed(text: PlacedText) -> Iterator[str]:
    """Fonts of this computer: elsewhere the card may look otherwise."""
    for font in dict.fromkeys(run.font for run in text.runs if not run.font.own):
        letters = "".join(dict.fromkeys(run.text for run in text.runs if run.font == font)).strip()
        yield (
            f'"{letters[:12]}{"…" if len(letters) > 12 else ""}" on the {text.asked.panel} panel is set in '
            f"{font.family}, a font of this computer; name a font file as [[fonts]] to have it the same everywhere."
        )


def _mixed(text: PlacedText) -> Iterator[str]:
    """A letter of another face in the middle of a word catches the eye."""
    asked = text.asked.face
    if asked not in FACES:
        return
    others = {run.font for run in text.runs if run.font.own} - {typeface(asked)}
    if not others:
        return
    letters = "".join(dict.fromkeys("".join(run.text for run in text.runs if run.font in others))).strip()
    whole = [
        name
        for name in FACES
        if all(typeface(name).has(each) or each.isspace() for each in plain(text.asked.text))
    ]
    mend = f'face = "{whole[0]}" has all of the text' if whole else "look whether they go together"
    yield (
        f'"{letters[:12]}{"…" if len(letters) > 12 else ""}" on the {text.asked.panel} panel is set in '
        f"{' and '.join(sorted(font.family for font in others))}, as the face {asked} lacks it; {mend}."
    )


def _overlap(one: Box, other: Box) -> bool:
    shared = one.intersection(other)
    return shared is not None and min(shared.w, shared.h) > SHARED_MM


def _start(text: PlacedText) -> str:
    words = " ".join(text.asked.text.split())
    return words if len(words) <= 24 else f"{words[:23]}…"
