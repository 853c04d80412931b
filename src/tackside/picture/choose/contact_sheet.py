"""A contact sheet: each picture as it is, beside its proof on each card, the card's own white simulated."""

from __future__ import annotations

import base64
import io
from dataclasses import dataclass
from html import escape
from importlib import resources

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from tackside.colour.spaces import SRGB, WHITE_D50, Floats, lab_to_rgb, lab_to_xyz, xyz_to_lab
from tackside.messages.message import Message
from tackside.picture.choose.answer import best_of_each_stock, how, why
from tackside.picture.choose.choose import Choice, RankedWay
from tackside.picture.file.colours import reduced
from tackside.profile.link.convert import rgb_to_lab_by_profile

MOST_CARDS = 5
MOST_PICTURES = 12
CELL_PX = 300

Rgb8 = NDArray[np.uint8]


@dataclass(frozen=True, eq=False)
class ProofRow:
    """A picture as it is and its proofs, in the cards' order, all sRGB (h, w, 3)."""

    name: str
    picture: Rgb8
    proofs: tuple[Rgb8, ...]


@dataclass(frozen=True, eq=False)
class ContactSheet:
    """``cards`` best first; ``more`` pictures were weighed but are not shown."""

    answer: Message
    cards: tuple[RankedWay, ...]
    rows: tuple[ProofRow, ...]
    more: int


def contact_sheet(choice: Choice, answer: Message) -> ContactSheet:
    """The proofs of the first pictures on the best cards. Raises BadImage."""
    cards = tuple(best_of_each_stock(choice.ranking)[:MOST_CARDS])
    sound = [each.path for each in choice.pictures if each.fault is None]
    rows = []
    for path in sound[:MOST_PICTURES]:
        pixels, space = reduced(path, CELL_PX, upright=True)
        table = choice.table(space)
        own = rgb_to_lab_by_profile(pixels.reshape(-1, 3) / 255, space.profile).reshape(pixels.shape)
        proofs = tuple(
            _on_screen(table.proof(table.ways.index(card.way), pixels), card.way.card.device.white_lab)
            for card in cards
        )
        rows.append(ProofRow(path.name, _on_screen(own, None), proofs))
    return ContactSheet(answer, cards, tuple(rows), len(sound) - len(rows))


def _on_screen(lab: Floats, white_lab: Floats | None) -> Rgb8:
    """Media-relative CIELAB as sRGB, with the card's white where it is given (ISO 15076-1, 6.3.2.2)."""
    if white_lab is not None:
        lab = xyz_to_lab(lab_to_xyz(lab) * (lab_to_xyz(white_lab) / WHITE_D50))
    return np.rint(np.clip(lab_to_rgb(lab, SRGB), 0, 1) * 255).astype(np.uint8)


def as_html(sheet: ContactSheet) -> str:
    """One page with everything in it; names from files are escaped."""
    heads = "".join(
        f"<th scope=col><b>{escape(card.way.stock)}</b><br>{escape(str(how(card.way)))}"
        f"<br><span class=score>{card.score:.0f}</span> of 100: {escape(str(why(card)))}</th>"
        for card in sheet.cards
    )
    rows = "".join(
        f"<tr><th scope=row>{_image(row.picture, row.name, 'as it is')}<span>{escape(row.name)}</span></th>"
        + "".join(
            f'<td><div class=card style="background: {_paper(card)}">'
            f"{_image(proof, row.name, card.way.stock)}</div></td>"
            for proof, card in zip(row.proofs, sheet.cards, strict=True)
        )
        + "</tr>"
        for row in sheet.rows
    )
    more = f"<p>{sheet.more} more pictures were weighed up and are not shown.</p>" if sheet.more else ""
    style = (
        resources.files("tackside.picture.choose").joinpath("contact_sheet.css").read_text(encoding="utf-8")
    )
    return (
        "<!doctype html><html lang=en><head><meta charset=utf-8>"
        "<meta name=viewport content='width=device-width'><title>Which card</title>"
        f"<style>{style}</style></head><body><main><h1>{escape(str(sheet.answer))}</h1>"
        "<p>Each picture as it is, then as each card will show it, on the card's own white. A screen is lit and a "
        "card is not: look at how the proofs differ, not at any one of them.</p>"
        f"<div class=wide><table><thead><tr><th scope=col><b>The picture</b></th>{heads}</tr></thead>"
        f"<tbody>{rows}</tbody></table></div>{more}</main></body></html>\n"
    )


def _image(pixels: Rgb8, name: str, where: str) -> str:
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, "jpeg", quality=92, subsampling=0)
    data = base64.b64encode(buffer.getvalue()).decode("ascii")
    height, width = pixels.shape[:2]
    return (
        f'<img src="data:image/jpeg;base64,{data}" width={width} height={height} '
        f'alt="{escape(name, quote=True)}, {escape(where, quote=True)}">'
    )


def _paper(card: RankedWay) -> str:
    """The bare card's colour, for the border that is left around a print."""
    red, green, blue = _on_screen(np.array([[[100.0, 0.0, 0.0]]]), card.way.card.device.white_lab)[0, 0]
    return f"#{red:02x}{green:02x}{blue:02x}"


MARGIN, GAP, HEAD, FOOT = 36, 18, 96, 26
GROUND, INK, QUIET = (244, 243, 240), (38, 38, 42), (110, 110, 116)


def as_image(sheet: ContactSheet) -> Rgb8:
    """The sheet as one sRGB image (h, w, 3), with captions."""
    columns = 1 + len(sheet.cards)
    width = 2 * MARGIN + columns * CELL_PX + (columns - 1) * GAP
    bold, plain = _font("Cabin-Bold.otf", 19), _font("Cabin-Regular.otf", 15)
    title = _wrapped(_drawable(str(sheet.answer)), _font("Cabin-Bold.otf", 24), width - 2 * MARGIN)
    top = MARGIN + 32 * len(title) + HEAD
    heights = [max(image.shape[0] for image in (row.picture, *row.proofs)) for row in sheet.rows]
    page = Image.new("RGB", (width, top + sum(heights) + len(heights) * (FOOT + GAP) + MARGIN), GROUND)
    draw = ImageDraw.Draw(page)
    for line, words in enumerate(title):
        draw.text((MARGIN, MARGIN + 32 * line), words, INK, _font("Cabin-Bold.otf", 24))
    heads = [
        ("The picture", ""),
        *((card.way.stock, f"{card.score:.0f} · {_short(card)}") for card in sheet.cards),
    ]
    for column, (head, below) in enumerate(heads):
        x = MARGIN + column * (CELL_PX + GAP)
        draw.text((x, top - HEAD + 24), _cut(head, bold), INK, bold)
        for line, words in enumerate(_wrapped(_drawable(below), plain, CELL_PX)[:2]):
            draw.text((x, top - HEAD + 50 + 19 * line), words, QUIET, plain)
    y = top
    for row, height in zip(sheet.rows, heights, strict=True):
        for column, image in enumerate((row.picture, *row.proofs)):
            page.paste(Image.fromarray(image), (MARGIN + column * (CELL_PX + GAP), y))
        draw.text((MARGIN, y + height + 5), _cut(row.name, plain), QUIET, plain)
        y += height + FOOT + GAP
    return np.asarray(page)


def _short(card: RankedWay) -> str:
    return f"{card.way.variant.intent}, ΔE00 {card.figures.de00_mean:.1f} on average"


def _drawable(text: str) -> str:
    """The shipped type has no Greek."""
    return text.replace("ΔE00", "CIEDE2000")


def _font(name: str, size: int) -> ImageFont.FreeTypeFont:
    file = resources.files("tackside.sheet") / "fonts" / name
    with resources.as_file(file) as path, path.open("rb") as stream:
        return ImageFont.truetype(stream, size, layout_engine=ImageFont.Layout.BASIC)


def _wrapped(text: str, font: ImageFont.FreeTypeFont, room: float) -> list[str]:
    lines: list[str] = []
    for word in text.split():
        if lines and font.getlength(f"{lines[-1]} {word}") <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def _cut(text: str, font: ImageFont.FreeTypeFont) -> str:
    """The text, shortened where it is wider than a cell."""
    if font.getlength(text) <= CELL_PX:
        return text
    while text and font.getlength(text + "…") > CELL_PX:
        text = text[:-1]
    return text + "…"
