"""The pictures of a proof: the picture and its print by every way, the maps of what is lost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.colour.spaces import SRGB, lab_to_rgb
from tackside.picture.proof.maps import painted
from tackside.picture.proof.proof import maps_of
from tackside.profile.link.link import Pixels, screen_link
from tackside.workflow.pictures.proof import Proofed

SMALL_PX = 300  # width of a small print


@dataclass(frozen=True)
class ProofImages:
    """JPEGs in sRGB of the sample: as it is, printed, and small by every way in the order of the figures, itself first;
    PNGs of the maps by their names.
    """

    original: bytes
    proof: bytes
    small: tuple[bytes, ...]
    maps: dict[str, bytes]


def images_of(found: Proofed, *, paper: bool) -> ProofImages:
    """The pictures of a proof; ``paper`` shows the card's own white and black."""
    sample = found.sample
    white = found.device.white_lab if paper else None
    original = np.rint(np.clip(lab_to_rgb(sample.lab, SRGB), 0, 1) * 255).astype(np.uint8)
    step = max(1, round(sample.pixels.shape[1] / SMALL_PX))
    small: Pixels = np.ascontiguousarray(sample.pixels[::step, ::step])  # type: ignore[assignment]
    links = {
        each.variant: screen_link(sample.link(found.device, each.variant), white) for each in found.weighed
    }
    maps = painted(sample.lab, maps_of(sample, found.device, found.taken.variant))
    return ProofImages(
        _jpeg(original),
        _jpeg(links[found.taken.variant].apply(sample.pixels)),
        (
            _jpeg(original[::step, ::step]),
            *(_jpeg(links[each.variant].apply(small)) for each in found.weighed),
        ),
        {name: bytes(_image(pixels).pngsave_buffer(compression=8)) for name, pixels in maps.items()},
    )


def _image(pixels: NDArray[np.uint8] | NDArray[np.uint16]) -> pyvips.Image:
    eight = pixels if pixels.dtype == np.uint8 else (pixels >> 8).astype(np.uint8)
    return pyvips.Image.new_from_array(np.ascontiguousarray(eight)).copy(interpretation="srgb")


def _jpeg(pixels: NDArray[np.uint8] | NDArray[np.uint16]) -> bytes:
    return bytes(_image(pixels).jpegsave_buffer(Q=92, subsample_mode="off"))
