"""``tackside gamut``: the solid of colours that a card or a profile holds, and what it covers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter
from rich.console import RenderableType
from rich.text import Text

from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views import facts
from tackside.colour.spaces import Floats
from tackside.messages.message import Message
from tackside.messages.wording import TERMINAL, documents
from tackside.profile.gamut.gamut_device import SPACE_NAMES, SPACES, Basis, GamutDevice
from tackside.profile.gamut.gamut_solid import Outside, Share
from tackside.profile.gamut.lattice import PITCH
from tackside.workflow.pictures.gamut import compare_gamuts, gamut_named, picture_in_gamut


def gamut(
    device: Annotated[str, Parameter(help="A trial's id, an instrument file or a profile.")],
    *,
    against: Annotated[str | None, Parameter(help="Another card or profile to compare with.")] = None,
    picture: Annotated[Path | None, Parameter(help="A picture: how much of it falls outside.")] = None,
    basis: Annotated[
        Basis,
        Parameter(
            help="Compare colours relative to each one's own white (relative), or paper included (absolute)."
        ),
    ] = "relative",
) -> Outcome:
    """Measure the gamut of a card or a profile, and what it covers.

    Gives its volume, what part of sRGB, of Adobe RGB (1998) and of another card it covers, and what part of a
    picture falls outside and by how much.
    """

    def bench() -> Bench:
        return Bench.open(bench_folder(), create=False)

    one = gamut_named(device, bench)
    other = gamut_named(against, bench) if against is not None else None
    found = compare_gamuts(one, other, basis)
    covers = dict(found.covers)
    if found.holds_other is not None:
        covers["against"] = found.holds_other
    document: dict[str, Any] = {
        "device": one.name,
        "kind": one.kind,
        "source": str(one.basis),
        **one.basis.as_data(),
        "volume": one.solid.volume,
        "method": one.solid.method,
        "white_lab": [float(value) for value in one.white_lab],
        "black_lab": [float(value) for value in one.black_lab],
        "basis": basis,
        "volume_relative": one.relative_solid.volume,
        "covers": {name: share.share for name, share in covers.items()},
        "covers_sd": {name: share.sd for name, share in covers.items()},
        "lattice_pitch": PITCH,
        "against": None if other is None else _other_document(other, found.held_by_other),
        "picture": None if picture is None else picture_document(picture, one, basis),
    }
    notices = list(found.notices)
    return Outcome({**document, "notices": documents(notices)}, _text(one, document, covers, notices))


def _other_document(other: GamutDevice, held: Share | None) -> dict[str, Any]:
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
    held = picture_in_gamut(path, device, basis)
    compensated = None if held.compensated is None else _outside(held.compensated)
    return {"file": str(path), **_outside(held.outside), "compensated": compensated}


def _outside(found: Outside) -> dict[str, float | None]:
    return {"outside": found.share, "de00_outside": found.median, "de00_outside_p95": found.p95}


def _text(
    one: GamutDevice, document: dict[str, Any], covers: dict[str, Share], notices: list[Message]
) -> RenderableType:
    rows: list[tuple[str, RenderableType | None]] = [
        ("Volume", f"{one.solid.volume:,.0f} ΔE³".replace(",", " ") + f", {one.solid.method}"),
        ("Colours from", str(one.basis)),
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
    borne: list[RenderableType] = (
        ["", facts.sentences(TERMINAL.texts(notices), "!", "yellow")] if notices else []
    )
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
