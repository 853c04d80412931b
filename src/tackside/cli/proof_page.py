"""What ``tackside proof`` does: the pieces of ``tackside.picture`` put together, files written, findings said."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pyvips
from rich.console import RenderableType
from rich.text import Text

from tackside.cli.proof_card import ProofCard
from tackside.cli.session import Outcome
from tackside.cli.views import facts
from tackside.cli.views.proof_findings import HEADS, Proofed, document_of, find_out, rows_of
from tackside.files.atomic import atomic_path, explain, write_atomically
from tackside.picture.file.open import open_picture
from tackside.picture.file.strips import check_name
from tackside.picture.proof.maps import painted
from tackside.picture.proof.proof import maps_of, write_proof
from tackside.profile.device.device import Intent

LEGEND = (
    "bpc: black point compensation; dark, vivid: share of local contrast lost in shadows and in saturated colours; "
    "hue, grey: how far they move"
)


@dataclass(frozen=True)
class Wishes:
    """The options of the command."""

    intent: Intent | None
    bpc: bool
    paper: bool
    maps: Path | None


def make(picture: Path, card: ProofCard, out: Path, wishes: Wishes) -> Outcome:
    """Proof a picture on a card. Raises the errors of the floors below."""
    as_page = out.suffix.lower() == ".html"
    if not as_page:
        check_name(out)
    found = find_out(open_picture(picture), card, wishes.intent, bpc=wishes.bpc)
    if as_page:
        from tackside.cli.views.proof_html import page_of
        from tackside.report.pages.proof import proof_page

        write_atomically(out, proof_page(page_of(found, paper=wishes.paper)).encode())
    else:
        write_proof(found.picture, found.device, found.taken.variant, out, paper=wishes.paper)
    files = [str(out)]
    if wishes.maps is not None:
        files += _write_maps(found, wishes.maps)
    return Outcome(document_of(found, files), _text(found, files), found.warnings)


def _write_maps(found: Proofed, folder: Path) -> list[str]:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise explain(error, folder, "write") from error
    written = []
    maps = maps_of(found.sample, found.device, found.taken.variant)
    for name, pixels in painted(found.sample.lab, maps).items():
        path = folder / f"{found.picture.path.stem}-{name}.png"
        image = pyvips.Image.new_from_array(pixels).copy(interpretation="srgb")
        with atomic_path(path) as temporary:
            temporary.write_bytes(image.pngsave_buffer())
        written.append(str(path))
    return written


def _text(found: Proofed, files: list[str]) -> RenderableType:
    figures = found.taken.figures
    rows: list[tuple[str, RenderableType | None]] = [
        ("Written", ", ".join(files)),
        ("Intent", found.taken.variant.name),
        (
            "Outside the card",
            f"{found.gamut.share:.1%} of the picture, ΔE00 {found.gamut.mean:.1f} on average",
        ),
        (
            "Difference",
            f"ΔE00 {figures.de00_mean:.1f} on average, {figures.de00_p95:.1f} at the 95th percentile",
        ),
    ]
    return facts.page(
        f"{found.picture.path.name} on {found.card.name}",
        facts.facts(rows),
        facts.listing(HEADS, rows_of(found)),
        Text(LEGEND, style="dim"),
        "",
        facts.sentences([found.advice.why + "."], "→", "bold"),
    )
