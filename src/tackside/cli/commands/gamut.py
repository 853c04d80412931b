"""``tackside gamut``: the solid of colours that a card or a profile holds, and what it covers."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from cyclopts import Parameter
from rich.console import RenderableType
from rich.text import Text

from tackside.cli import facts
from tackside.cli.gamut_device import GamutDevice, gamut_device
from tackside.cli.session import Outcome
from tackside.colour.rgb_spaces import ADOBE_RGB, SRGB, RgbSpace, rgb_to_lab
from tackside.colour.spaces import Floats
from tackside.picture.colours import reduced
from tackside.profile import rgb_to_lab_by_profile
from tackside.profile.black_point import compensate
from tackside.profile.gamut_solid import GamutSolid, Outside, Share, solid_of
from tackside.profile.lattice import PITCH

Basis = Literal["relative", "absolute"]
SPACES: dict[str, RgbSpace] = {"srgb": SRGB, "adobe-rgb": ADOBE_RGB}
UNLIKE = (
    "The two come from different devices or settings, so their gamuts are not compared; scan both sheets on one "
    "scanner with the same settings, at best in one scan."
)
SPACE_NAMES = {"srgb": "sRGB", "adobe-rgb": "Adobe RGB (1998)"}


def gamut(
    device: Annotated[str, Parameter(help="A trial's id, an instrument file or a profile.")],
    *,
    against: Annotated[str | None, Parameter(help="Another card or profile, named likewise.")] = None,
    picture: Annotated[Path | None, Parameter(help="A picture: what part of it falls outside.")] = None,
    basis: Annotated[
        Basis,
        Parameter(
            help="Compare colours beside each one's own white (relative), or with the paper (absolute)."
        ),
    ] = "relative",
) -> Outcome:
    """Measure the solid of colours that a card or a profile holds, and what it covers.

    Gives its volume, what part of sRGB, of Adobe RGB (1998) and of another card it holds, and what part of a
    picture falls outside and by how much.
    """
    one = gamut_device(device)
    other = gamut_device(against) if against is not None else None
    solid = _seen(one, basis)
    covers = {name: solid.covers(_working_solid(space)) for name, space in SPACES.items()}
    notices = list(one.notices)
    if other is not None:
        notices += other.notices
        if one.comparable_with == other.comparable_with:
            covers["against"] = solid.covers(_seen(other, basis))
        else:
            notices.append(UNLIKE)
    document: dict[str, Any] = {
        "device": one.name,
        "kind": one.kind,
        "source": one.basis,
        "volume": one.solid.volume,
        "method": one.solid.method,
        "white_lab": [float(value) for value in one.white_lab],
        "black_lab": [float(value) for value in one.black_lab],
        "basis": basis,
        "volume_relative": one.relative_solid.volume,
        "covers": {name: share.share for name, share in covers.items()},
        "covers_sd": {name: share.sd for name, share in covers.items()},
        "lattice_pitch": PITCH,
        "against": None if other is None else _other_document(one, other, basis),
        "picture": None if picture is None else picture_document(picture, one, basis),
    }
    notices = list(dict.fromkeys(notices))
    return Outcome({**document, "notices": notices}, _text(one, document, covers, notices))


def _seen(device: GamutDevice, basis: Basis) -> GamutSolid:
    return device.solid if basis == "absolute" else device.relative_solid


@lru_cache(maxsize=2)
def _working_solid(space: RgbSpace) -> GamutSolid:
    return solid_of(lambda rgb: rgb_to_lab(rgb, space), 3)


def _other_document(one: GamutDevice, other: GamutDevice, basis: Basis) -> dict[str, Any]:
    alike = one.comparable_with == other.comparable_with
    held = _seen(other, basis).covers(_seen(one, basis)) if alike else None
    return {
        "device": other.name,
        "kind": other.kind,
        "volume": other.solid.volume,
        "method": other.solid.method,
        "covers": held.share if held else None,
        "covers_sd": held.sd if held else None,
    }


def picture_document(path: Path, device: GamutDevice, basis: Basis) -> dict[str, Any]:
    """What part of a picture's pixels falls outside the device's solid, and how far, ΔE00.

    ``compensated``: the same with the picture's black led to the card's first, as most prints are made.
    """
    lab, counts = picture_colours(path)
    solid = _seen(device, basis)
    found = solid.outside(lab, counts)
    document: dict[str, Any] = {"file": str(path), **_outside(found), "compensated": None}
    if basis == "relative":
        document["compensated"] = _outside(solid.outside(compensate(lab, device.relative_black_l), counts))
    return document


def _outside(found: Outside) -> dict[str, float | None]:
    return {"outside": found.share, "de00_outside": found.median, "de00_outside_p95": found.p95}


def picture_colours(path: Path) -> tuple[Floats, Floats]:
    """The different colours of a picture, reduced, as media-relative CIELAB (n, 3), and how often each occurs (n,).

    Raises BadImage.
    """
    levels, space = reduced(path)
    pixels = levels.reshape(-1, 3).astype(np.uint32)
    packed, counts = np.unique(pixels[:, 0] << 16 | pixels[:, 1] << 8 | pixels[:, 2], return_counts=True)
    rgb = np.stack([packed >> 16, packed >> 8 & 255, packed & 255], axis=1) / 255
    return rgb_to_lab_by_profile(rgb, space.profile), counts.astype(np.float64)


def _text(
    one: GamutDevice, document: dict[str, Any], covers: dict[str, Share], notices: list[str]
) -> RenderableType:
    rows: list[tuple[str, RenderableType | None]] = [
        ("Volume", f"{one.solid.volume:,.0f} ΔE³".replace(",", " ") + f", {one.solid.method}"),
        ("Colours from", one.basis),
        ("White", _lab(one.white_lab)),
        ("Black", _lab(one.black_lab)),
    ]
    rows += [(f"Holds of {SPACE_NAMES[name]}", _share(covers[name])) for name in SPACES]
    other = document["against"]
    if "against" in covers:
        rows += [
            (f"Holds of {other['device']}", _share(covers["against"])),
            ("Is held by it", _share(Share(other["covers"], other["covers_sd"]))),
            ("Its volume", f"{other['volume']:,.0f} ΔE³".replace(",", " ")),
        ]
    seen = document["picture"]
    if seen is not None:
        rows.append((f"Outside, of {Path(seen['file']).name}", _outside_words(seen)))
        if seen["compensated"] is not None:
            rows.append(("  with black compensated", _outside_words(seen["compensated"])))
    white = "each beside its own white" if document["basis"] == "relative" else "paper and all"
    note = f"Shares are of volume, counted on a lattice of {PITCH:g} ΔE, {white}."
    borne: list[RenderableType] = ["", facts.sentences(notices, "!", "yellow")] if notices else []
    return facts.page(f"Gamut of {one.name}", facts.facts(rows), "", Text(note, style="dim italic"), *borne)


def _lab(lab: Floats) -> str:
    return "L*a*b* " + ", ".join(f"{value:.1f}" for value in lab).replace("-", "−")


def _share(share: Share) -> str:
    return f"{100 * share.share:.1f} % (± {max(100 * share.sd, 0.1):.1f})"


def _outside_words(seen: dict[str, Any]) -> str:
    if seen["de00_outside"] is None:
        return "nothing"
    return (
        f"{100 * seen['outside']:.1f} % of its area, by ΔE00 {seen['de00_outside']:.1f} "
        f"(95th percentile {seen['de00_outside_p95']:.1f})"
    )
