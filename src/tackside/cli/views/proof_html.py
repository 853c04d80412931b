"""A proof's findings put into the words of its page."""

from __future__ import annotations

from tackside.cli.views.proof_findings import HEADS, rows_of
from tackside.report.pages.proof import ProofPage, ShownImage, ShownMap
from tackside.workflow.pictures.proof import Proofed
from tackside.workflow.pictures.proof_images import ProofImages, images_of
from tackside.workflow.prepared.proof_scales import FULL, scale_of

STEPS_SHOWN = 9  # colours that a browser blends into a scale


def page_of(found: Proofed, *, paper: bool) -> ProofPage:
    """The page of a proof; its pictures are the sample's, in sRGB."""
    variant, images = found.taken.variant, images_of(found, paper=paper)
    shown = "with the card's own white and black" if paper else "its white shown as the screen's"
    figures = found.taken.figures
    return ProofPage(
        title=found.picture.path.name,
        card=found.card.name,
        lead=f"{found.advice.why}.",
        original=ShownImage(images.original, "The picture"),
        proof=ShownImage(images.proof, f"The print, {variant.name}; {shown}"),
        ways=_ways(found, images),
        maps=_maps(images),
        facts=(
            (
                "Outside the card",
                f"{found.gamut.share:.1%} of the picture, ΔE00 {found.gamut.mean:.1f} on average",
            ),
            (
                "Difference",
                f"ΔE00 {figures.de00_mean:.1f} on average, {figures.de00_p95:.1f} at the 95th percentile",
            ),
        ),
        heads=HEADS,
        rows=rows_of(found),
        taken=[each.variant for each in found.weighed].index(variant),
        notes=(
            "The figures take the card's white for white, as an eye does. Dark and vivid: the share of local contrast "
            "that is flattened to less than a third, in shadows (below L* 25) and in saturated colours (above C* 50). "
            "Hue and grey: how far hues and neutrals move.",
            *(f"{warning}." for warning in found.warnings),
        ),
    )


def _ways(found: Proofed, images: ProofImages) -> tuple[ShownImage, ...]:
    """The picture, then its print by every way, in the order of the figures, small."""
    ways = [f"{each.variant.name}, ΔE00 {each.figures.de00_mean:.1f}" for each in found.weighed]
    captions = ["The picture", *(way[0].upper() + way[1:] for way in ways)]
    return tuple(ShownImage(image, caption) for image, caption in zip(images.small, captions, strict=True))


def _maps(images: ProofImages) -> tuple[ShownMap, ...]:
    words = {
        "outside": ("Colours that the card cannot hold", "ΔE00 2", f"{FULL['outside']:g} and more"),
        "difference": ("How far each colour moves", "ΔE00 0", f"{FULL['difference']:g} and more"),
        "lost-contrast": ("Local contrast that is lost", "none", f"{FULL['lost-contrast']:.0%}"),
    }
    return tuple(
        ShownMap(ShownImage(images.maps[name], caption), _scale(name), low, high)
        for name, (caption, low, high) in words.items()
    )


def _scale(name: str) -> tuple[str, ...]:
    return tuple(
        "#" + "".join(f"{round(255 * part):02x}" for part in colour) for colour in scale_of(name, STEPS_SHOWN)
    )
