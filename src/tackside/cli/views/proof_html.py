"""A proof's findings put into the words and pictures of its page."""

from __future__ import annotations

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.cli.views.proof_findings import HEADS, rows_of
from tackside.colour.rgb_spaces import SRGB, lab_to_rgb
from tackside.colour.spaces import Floats
from tackside.picture.proof.maps import FULL_DE00, FULL_LOST, FULL_OUTSIDE, HUES, painted, ramp
from tackside.picture.proof.proof import maps_of
from tackside.profile.link.link import Pixels, screen_link
from tackside.report.pages.proof import ProofPage, ShownImage, ShownMap
from tackside.workflow.pictures.proof import Proofed

WAY_PX = 300  # width of a small print
STEPS_SHOWN = 9  # colours that a browser blends into a scale


def page_of(found: Proofed, *, paper: bool) -> ProofPage:
    """The page of a proof; its pictures are the sample's, in sRGB."""
    sample, variant = found.sample, found.taken.variant
    white = found.device.white_lab if paper else None
    proof = screen_link(sample.link(found.device, variant), white).apply(sample.pixels)
    original = np.rint(np.clip(lab_to_rgb(sample.lab, SRGB), 0, 1) * 255).astype(np.uint8)
    shown = "with the card's own white and black" if paper else "its white shown as the screen's"
    figures = found.taken.figures
    return ProofPage(
        title=found.picture.path.name,
        card=found.card.name,
        lead=f"{found.advice.why}.",
        original=ShownImage(_jpeg(original), "The picture"),
        proof=ShownImage(_jpeg(proof), f"The print, {variant.name}; {shown}"),
        ways=_ways(found, original, white),
        maps=_maps(found),
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


def _ways(found: Proofed, original: NDArray[np.uint8], white: Floats | None) -> tuple[ShownImage, ...]:
    """The picture, then its print by every way, in the order of the figures, small."""
    sample = found.sample
    step = max(1, round(sample.pixels.shape[1] / WAY_PX))
    small: Pixels = np.ascontiguousarray(sample.pixels[::step, ::step])  # type: ignore[assignment]
    shown = [ShownImage(_jpeg(original[::step, ::step]), "The picture")]
    for each in found.weighed:
        way = each.variant
        link = screen_link(sample.link(found.device, way), white)
        caption = f"{way.name}, ΔE00 {each.figures.de00_mean:.1f}"
        shown.append(ShownImage(_jpeg(link.apply(small)), caption[0].upper() + caption[1:]))
    return tuple(shown)


def _maps(found: Proofed) -> tuple[ShownMap, ...]:
    painting = painted(found.sample.lab, maps_of(found.sample, found.device, found.taken.variant))
    words = {
        "outside": ("Colours that the card cannot hold", "ΔE00 2", f"{FULL_OUTSIDE:g} and more", "outside"),
        "difference": ("How far each colour moves", "ΔE00 0", f"{FULL_DE00:g} and more", "de00"),
        "lost-contrast": ("Local contrast that is lost", "none", f"{FULL_LOST:.0%}", "lost"),
    }
    return tuple(
        ShownMap(ShownImage(_png(painting[name]), caption), _scale(HUES[hue]), low, high)
        for name, (caption, low, high, hue) in words.items()
    )


def _scale(hue: float) -> tuple[str, ...]:
    colours = lab_to_rgb(ramp(hue), SRGB)
    chosen = colours[np.linspace(0, len(colours) - 1, STEPS_SHOWN).astype(int)]
    return tuple("#" + bytes(np.rint(np.clip(rgb, 0, 1) * 255).astype(np.uint8)).hex() for rgb in chosen)


def _image(pixels: NDArray[np.uint8] | NDArray[np.uint16]) -> pyvips.Image:
    eight = pixels if pixels.dtype == np.uint8 else (pixels >> 8).astype(np.uint8)
    return pyvips.Image.new_from_array(np.ascontiguousarray(eight)).copy(interpretation="srgb")


def _jpeg(pixels: NDArray[np.uint8] | NDArray[np.uint16]) -> bytes:
    return bytes(_image(pixels).jpegsave_buffer(Q=92, subsample_mode="off"))


def _png(pixels: NDArray[np.uint8]) -> bytes:
    return bytes(_image(pixels).pngsave_buffer(compression=8))
