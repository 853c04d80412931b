"""``tackside gamut``: the solid of colours that a card or a profile holds, and what it covers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter
from rich.console import RenderableType
from rich.text import Text

from tackside.cli.gamut_device import gamut_device
from tackside.cli.session import Outcome
from tackside.cli.views import facts
from tackside.colour.spaces import Floats
from tackside.picture.proof.held import held_of
from tackside.profile.gamut.gamut_device import SPACE_NAMES, SPACES, UNLIKE, Basis, GamutDevice, working_solid
from tackside.profile.gamut.gamut_solid import Outside, Share
from tackside.profile.gamut.lattice import PITCH


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
    solid = one.seen(basis)
    covers = {name: solid.covers(working_solid(space)) for name, space in SPACES.items()}
    notices = list(one.notices)
    if other is not None:
        notices += other.notices
        if one.compares_with(other):
            covers["against"] = solid.covers(other.seen(basis))
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


def _other_document(one: GamutDevice, other: GamutDevice, basis: Basis) -> dict[str, Any]:
    held = other.seen(basis).covers(one.seen(basis)) if one.compares_with(other) else None
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
    held = held_of(path, device, basis)
    compensated = None if held.compensated is None else _outside(held.compensated)
    return {"file": str(path), **_outside(held.outside), "compensated": compensated}


def _outside(found: Outside) -> dict[str, float | None]:
    return {"outside": found.share, "de00_outside": found.median, "de00_outside_p95": found.p95}


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
