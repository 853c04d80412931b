"""Warnings about type and codes: on a picture, on one another, hard to read, in a font of this computer alone, too near
to an edge or a crease.
"""

from __future__ import annotations

from collections.abc import Iterator, Set
from itertools import combinations

from tackside.card.file.design import BLACK, CREDIT, plain, variables_in
from tackside.card.layout.layout import CardFace
from tackside.card.layout.placed import PlacedCode, Rgb
from tackside.card.layout.texts import PlacedText
from tackside.card.layout.zones import SAFE_ZONE_MM, SLACK_MM, crease_gaps, edge_gaps, gaps
from tackside.card.type.typeface import Typeface, typeface
from tackside.fit.model import Panel, called
from tackside.messages.message import Message
from tackside.sheet.page.text import FACES
from tackside.units import Box, up_to_tenth

# Source: W3C, Web Content Accessibility Guidelines 2.2, 1.4.3 (contrast of text, and of large text).
READABLE, READABLE_LARGE, LARGE_PT = 4.5, 3.0, 18.0
# What telephones read surely at arm's length (docs/sources.md, S24).
MODULE_MM = 0.4
# ISO/IEC 18004 wants dark modules on a light ground; this much contrast is common practice (docs/sources.md, S24).
CODE_CONTRAST = 4.0
SHARED_MM = 0.1
MOST_LETTERS = 12
START = 24  # characters that tell a text from others


def on_texts(face: CardFace) -> Iterator[Message]:
    for text in face.texts:
        about = {"panel": called(text.asked.panel), "part": text.part}
        for placed in face.pictures:
            if text.box_mm.intersection(placed.box_mm):
                if text.asked.colour == BLACK:
                    yield Message("card-remark.black-text-on-picture", file=placed.asked.file, **about)
                else:
                    yield Message(
                        "card-remark.text-on-picture",
                        file=placed.asked.file,
                        colour=text.asked.colour,
                        **about,
                    )
        yield from _ground(text, face)
        yield from _borrowed(text)
        yield from _mixed(text)
        if text.size_pt < text.asked.size_pt - 0.05:
            yield Message(
                "card-remark.text-set-smaller",
                start=start_of(text, START),
                size=text.size_pt,
                asked=text.asked.size_pt,
                **about,
            )
        names = variables_in(text.asked.text)
        if names:
            yield Message("card-remark.variable-not-filled", name=names[0], **about)
    for one, other in combinations(face.texts, 2):
        if _overlap(one.box_mm, other.box_mm):
            yield Message(
                "card-remark.texts-overlap",
                panel=called(one.asked.panel),
                start=start_of(one, START),
                other=start_of(other, START),
                part=one.part,
            )


def on_codes(face: CardFace) -> Iterator[Message]:
    for code in face.codes:
        module = code.box_mm.w / len(code.modules)
        if module < MODULE_MM - 1e-6:
            yield Message(
                "card-remark.code-too-fine",
                module_mm=module,
                code_mm=up_to_tenth(MODULE_MM * len(code.modules)),
                wanted_mm=MODULE_MM,
                part=CREDIT,
            )
        if _contrast(_luminance_of(code.rgb), _luminance_under(code, face)) < CODE_CONTRAST:
            yield Message("card-remark.code-too-pale", part=CREDIT)
        for text in face.texts:
            if _overlap(code.box_mm, text.box_mm):
                yield Message(
                    "card-remark.code-on-text",
                    start=start_of(text, START),
                    panel=called(text.asked.panel),
                    part=text.part,
                )


def on_clearance_of_texts(face: CardFace, safe: float, why: Message) -> Iterator[Message]:
    """Texts nearer than ``safe`` mm to an edge or a crease, or nearer than the safe zone to an edge."""
    for text in face.texts:
        yield from _near_text(text, face.zones[text.asked.panel], face.trim, safe, why)


def start_of(text: PlacedText, length: int) -> str:
    """The first words of a text, which tell it from others."""
    words = " ".join(text.asked.text.split())
    return words if len(words) <= length else f"{words[: length - 1]}…"


def _ground(text: PlacedText, face: CardFace) -> Iterator[Message]:
    """How the text stands out from the flat colour under it; over pictures the eye must judge."""
    if any(text.box_mm.intersection(placed.box_mm) for placed in face.pictures):
        return
    under = _under(text.box_mm, face)
    found = _contrast(_luminance_of(text.runs[0].rgb), _luminance_of(under)) if text.runs else READABLE
    wanted = READABLE_LARGE if text.size_pt >= LARGE_PT else READABLE
    if found < wanted:
        yield Message(
            "card-remark.low-contrast",
            start=start_of(text, START),
            contrast=found,
            wanted=wanted,
            part=text.part,
        )


def _luminance_under(code: PlacedCode, face: CardFace) -> float:
    return _luminance_of(code.ground if code.ground is not None else _under(code.box_mm, face))


def _under(box: Box, face: CardFace) -> Rgb:
    """The last flat ground under a box, else the card, taken for white."""
    grounds = [fill.rgb for fill in face.fills if fill.box_mm.intersection(box)]
    return grounds[-1] if grounds else (1.0, 1.0, 1.0)


def _borrowed(text: PlacedText) -> Iterator[Message]:
    """Fonts of this computer: elsewhere the card may look otherwise."""
    for font in dict.fromkeys(run.font for run in text.runs if not run.font.own):
        yield Message(
            "card-remark.font-of-this-computer",
            letters=_letters(text, {font}),
            panel=called(text.asked.panel),
            font=font.family,
            part=text.part,
        )


def _mixed(text: PlacedText) -> Iterator[Message]:
    """A letter of another face in the middle of a word catches the eye."""
    asked = text.asked.face
    if asked not in FACES:
        return
    others = {run.font for run in text.runs if run.font.own} - {typeface(asked)}
    if not others:
        return
    whole = [
        name
        for name in FACES
        if all(typeface(name).has(each) or each.isspace() for each in plain(text.asked.text))
    ]
    about = {
        "letters": _letters(text, others),
        "panel": called(text.asked.panel),
        "fonts": sorted(font.family for font in others),
        "face": asked,
        "part": text.part,
    }
    if whole:
        yield Message("card-remark.mixed-faces-avoidable", whole=whole[0], **about)
    else:
        yield Message("card-remark.mixed-faces", **about)


def _letters(text: PlacedText, fonts: Set[Typeface]) -> str:
    """The letters that these fonts set, each once, and not more than a few."""
    found = "".join(dict.fromkeys("".join(run.text for run in text.runs if run.font in fonts))).strip()
    return found if len(found) <= MOST_LETTERS else f"{found[:MOST_LETTERS]}…"


def _overlap(one: Box, other: Box) -> bool:
    shared = one.intersection(other)
    return shared is not None and min(shared.w, shared.h) > SHARED_MM


def _luminance_of(rgb: Rgb) -> float:
    """Relative luminance, 0 to 1: Y of the linear components (IEC 61966-2-1).

    Adobe RGB's numbers are taken for sRGB's: near enough to judge whether a text can be read.
    """
    red, green, blue = (
        value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in rgb
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(one: float, other: float) -> float:
    """Contrast of two luminances, 1 to 21 (W3C, WCAG 2.2, "contrast ratio")."""
    light, dark = max(one, other), min(one, other)
    return (light + 0.05) / (dark + 0.05)


def _near_text(text: PlacedText, zone: Panel, trim: Box, safe: float, why: Message) -> Iterator[Message]:
    box = text.box_mm
    about = {"start": start_of(text, 30), "panel": called(zone.name), "part": text.part}
    past = max(-gap for gap in gaps(box, zone.trim))
    if past > SLACK_MM:
        yield Message("card-remark.text-out-of-panel", past_mm=past, **about)
        return
    if not zone.printable.contains(box, SLACK_MM):
        reached = zone.printable
        yield Message(
            "card-remark.text-in-margin",
            reached_mm=(reached.w, reached.h),
            left_mm=reached.x - zone.trim.x,
            top_mm=reached.y - zone.trim.y,
            **about,
        )
    crease = min(crease_gaps(box, zone.trim, trim), default=safe)
    if crease < safe - SLACK_MM:
        yield Message(
            "card-remark.text-near-crease", gap_mm=crease, why=why, smallest_mm=up_to_tenth(safe), **about
        )
    edge = min(edge_gaps(box, zone.trim, trim), default=SAFE_ZONE_MM)
    wanted = max(SAFE_ZONE_MM, safe)
    if edge < wanted - SLACK_MM:
        yield Message("card-remark.text-near-edge", gap_mm=edge, smallest_mm=up_to_tenth(wanted), **about)
