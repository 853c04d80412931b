"""What ``tackside proof`` writes and says."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from rich.console import RenderableType
from rich.text import Text

from tackside.cli.session import Outcome
from tackside.cli.views import facts
from tackside.cli.views.proof_findings import HEADS, document_of, rows_of
from tackside.files.atomic import write_text
from tackside.picture.file.strips import check_name
from tackside.profile.device.device import Intent
from tackside.workflow.pictures.proof import Proofed, proof, write_maps, write_proof
from tackside.workflow.pictures.proof_card import ProofCard

LEGEND = (
    "bpc: black point compensation; dark, vivid: share of local contrast lost in shadows and in saturated colours; "
    "hue, grey: how far they move"
)


@dataclass(frozen=True)
class ProofWishes:
    """The options of the command."""

    intent: Intent | None
    bpc: bool
    paper: bool
    maps: Path | None


def make(picture: Path, card: ProofCard, out: Path, wishes: ProofWishes) -> Outcome:
    """Proof a picture on a card. Raises the errors of the floors below."""
    as_page = out.suffix.lower() == ".html"
    if not as_page:
        check_name(out)
    found = proof(picture, card, wishes.intent, bpc=wishes.bpc, compared=as_page)
    if as_page:
        from tackside.cli.views.proof_html import page_of
        from tackside.report.pages.proof import proof_page

        write_text(out, proof_page(page_of(found, paper=wishes.paper)))
    else:
        write_proof(found, out, paper=wishes.paper)
    files = [str(out)]
    if wishes.maps is not None:
        files += map(str, write_maps(found, wishes.maps))
    return Outcome(document_of(found, files), _text(found, files), found.warnings)


def _text(found: Proofed, files: list[str]) -> RenderableType:
    figures = found.taken.figures
    rows: list[tuple[str, RenderableType | None]] = [
        ("Written", ", ".join(files)),
        ("Intent", str(found.taken.variant.name)),
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
        facts.sentences([_advice(found)], "→", "bold"),
    )


def _advice(found: Proofed) -> str:
    if len(found.weighed) == 1:
        return "Without --intent every way is compared, and the one to take is named."
    return f"{found.advice.why}."
