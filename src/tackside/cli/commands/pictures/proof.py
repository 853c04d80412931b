"""``tackside proof``: what a print will look like on this card, by which intent, and what is lost."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from tackside.cli.session import Force, Outcome, bench_folder
from tackside.files.atomic import require_free


def proof(
    picture: Annotated[Path, Parameter(help="The picture: JPEG, PNG, TIFF, WebP, AVIF or HEIC.")],
    *,
    profile: Annotated[
        Path | None, Parameter(help="The printer profile that the picture is converted with, FILE.icc.")
    ] = None,
    card: Annotated[
        str | None,
        Parameter(
            help="A card that was read, by its trial: shown from its own reading, with or without a profile."
        ),
    ] = None,
    out: Annotated[Path, Parameter(help="The proof to write: FILE.tif, .png or .jpg; FILE.html for a page.")],
    intent: Annotated[
        Literal["perceptual", "relative", "saturation", "absolute"] | None,
        Parameter(
            help="The rendering intent; without it all are compared and the recommended one is written."
        ),
    ] = None,
    bpc: Annotated[
        bool,
        Parameter(negative="--no-bpc", help="Black point compensation; --no-bpc turns it off."),
    ] = True,
    paper: Annotated[
        bool, Parameter(negative=(), help="Show the card's own white and black against the screen's.")
    ] = False,
    maps: Annotated[
        Path | None,
        Parameter(help="A folder for three maps: colours outside the card, differences, lost contrast."),
    ] = None,
    force: Force = False,
) -> Outcome:
    """Show what the print will look like on a card, and what the picture loses.

    The proof is an sRGB picture of the same size, for a screen that is calibrated to sRGB; without that, trust
    the figures rather than the eye. Figures are relative to the card's white, from the picture reduced to
    at most 0.25 megapixels.
    """
    from tackside.cli.views import proof_page  # numpy, LittleCMS and numba stay off the start-up path
    from tackside.workflow.pictures.proof import map_files
    from tackside.workflow.pictures.proof_card import proof_card

    drawn = () if maps is None else map_files(picture, maps).values()
    require_free(out, *drawn, force=force, inputs=(picture, profile))
    bench = None
    if card is not None:
        from tackside.bench.store import Bench  # a profile alone needs no records

        bench = Bench.open(bench_folder(), create=False)
    wishes = proof_page.ProofWishes(intent=intent, bpc=bpc, paper=paper, maps=maps)
    return proof_page.make(picture, proof_card(bench, profile, card), out, wishes)
