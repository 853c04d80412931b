"""A model of printer and card, fitted to the patches of a reading: device numbers to colour, and back.

Forward, a polyharmonic spline through the patches (``polyharmonic``), its stiffness chosen by leaving
each patch out in turn. Back, the nearest colour on a table of it (``inverse``); the perceptual intent
goes through our own compression first (``gamut.compression``). It serves ``device``'s protocol.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.spaces import (
    DEEPEST,
    WHITE_D50,
    Floats,
    compensate,
    lab_to_xyz,
    relative_lightness,
    xyz_to_lab,
)
from tackside.errors import BadRequest
from tackside.profile.device.device import Intent
from tackside.profile.device.inverse import DeviceTable
from tackside.profile.device.polyharmonic import Polyharmonic, fit_polyharmonic
from tackside.profile.gamut.compression import Compression, compression_into
from tackside.profile.gamut.gamut_solid import RGB_NODES, GamutSolid, solid_of

if TYPE_CHECKING:
    from tackside.records import Reading, SheetPlan

SPACES = {3: "RGB", 4: "CMYK"}
TABLE_NODES = {3: RGB_NODES, 4: 13}
LEAST_PATCHES = 30
REACH = 0.02  # a channel must be read to within this of 0 and of 1


@dataclass(frozen=True, eq=False)
class DeviceModel:
    """Printer and card as a reading shows them. ``spline`` takes device numbers to CIELAB, paper included.

    ``left_out`` of the spline tells how well each patch was predicted from the others, ΔE00.
    """

    spline: Polyharmonic

    @classmethod
    def fitted(cls, reading: Reading, plan: SheetPlan | None = None) -> DeviceModel:
        """The model of a reading. Of a sheet that was printed through the whole path, its device numbers are the
        RGB of the file. Raises BadRequest.
        """
        return fit_device_model(*device_numbers(reading, plan))

    @property
    def channels(self) -> int:
        return int(self.spline.points.shape[1])

    @property
    def colour_space(self) -> str:
        """``RGB`` or ``CMYK``."""
        return SPACES[self.channels]

    @property
    def error_median(self) -> float:
        """Median ΔE00 of patches predicted from all the others."""
        return float(np.median(self.spline.left_out))

    @property
    def error_p95(self) -> float:
        return float(np.quantile(self.spline.left_out, 0.95))

    @cached_property
    def white_lab(self) -> Floats:
        """Bare paper, CIELAB D50 (3,)."""
        bare = 1.0 if self.channels == 3 else 0.0
        return np.asarray(self.to_lab(np.full((1, self.channels), bare))[0])

    @cached_property
    def black_lab(self) -> Floats:
        """RGB 0, 0, 0; for CMYK the mix of inks that comes nearest to L* 0, a neutral one. CIELAB D50 (3,)."""
        black = np.zeros((1, 3)) if self.channels == 3 else self.table.nearest(np.zeros((1, 3)))
        return np.asarray(self.to_lab(black)[0])

    def to_lab(self, device: ArrayLike) -> Floats:
        """CIELAB D50 (n, 3) of device numbers (n, channels), 0 to 1, the paper's own white not scaled away."""
        return self.spline.at(np.clip(np.asarray(device, dtype=np.float64), 0, 1))

    def from_lab(self, lab: ArrayLike, intent: Intent, bpc: bool) -> Floats:
        """Device numbers (n, channels) of source colours ``lab`` (n, 3), by a rendering intent.

        ``absolute`` takes ``lab`` as it is; the others take it as media-relative (white is 100, 0, 0).
        ``relative`` scales white to this paper's, with ``bpc`` black as well (ISO 18619, from a black of L* 0),
        and takes the nearest colour, hue first. ``perceptual`` and ``saturation`` are both our own compression,
        which maps black by itself. Raises BadRequest for another intent.
        """
        source = np.asarray(lab, dtype=np.float64).reshape(-1, 3)
        if intent == "absolute":
            return self.table.nearest(source)
        if intent in ("perceptual", "saturation"):
            return self.table.nearest(self._on_paper(self._compression(source)))
        if intent == "relative":
            source = compensate(source, self._relative_black_l) if bpc else source
            return self.table.nearest(self._on_paper(source))
        raise BadRequest("profile.no-such-intent", intent=str(intent))

    def _on_paper(self, relative: Floats) -> Floats:
        """Media-relative colours as they stand on this paper (ISO 15076-1, 6.3.2)."""
        return xyz_to_lab(lab_to_xyz(relative) * (lab_to_xyz(self.white_lab) / WHITE_D50))

    @cached_property
    def _relative_black_l(self) -> float:
        return min(max(relative_lightness(self.black_lab, self.white_lab), 0.0), DEEPEST)

    @cached_property
    def table(self) -> DeviceTable:
        """The model on a regular grid of device numbers."""
        nodes = TABLE_NODES[self.channels]
        axes = np.meshgrid(*[np.linspace(0, 1, nodes)] * self.channels, indexing="ij")
        device = np.stack(axes, axis=-1)
        return DeviceTable(self.to_lab(device.reshape(-1, self.channels)).reshape(*device.shape[:-1], 3))

    @cached_property
    def solid(self) -> GamutSolid:
        """The solid of its colours, paper included."""
        if self.channels == 3:
            return GamutSolid((self.table.lab,))
        return solid_of(self.to_lab, self.channels)

    @cached_property
    def _compression(self) -> Compression:
        return compression_into(self.solid.relative(self.white_lab), self._relative_black_l)


def fit_device_model(device: ArrayLike, lab: ArrayLike) -> DeviceModel:
    """The model of patches with device numbers (n, 3) or (n, 4), 0 to 1, and CIELAB (n, 3); repeats are averaged.

    Raises BadRequest where there are too few patches, or a channel was not read from none to full.
    """
    numbers = np.asarray(device, dtype=np.float64).round(5)
    unique, member = np.unique(numbers, axis=0, return_inverse=True)
    counts = np.bincount(member.reshape(-1), minlength=len(unique))
    sums = np.zeros((len(unique), 3))
    np.add.at(sums, member.reshape(-1), np.asarray(lab, dtype=np.float64))
    if len(unique) < LEAST_PATCHES:
        raise BadRequest("profile.too-few-patches", count=len(unique), limit=LEAST_PATCHES)
    for axis in range(unique.shape[1]):
        if unique[:, axis].min() > REACH or unique[:, axis].max() < 1 - REACH:
            raise BadRequest("profile.channel-not-covered", channel=SPACES[unique.shape[1]][axis])
    try:
        return DeviceModel(fit_polyharmonic(unique, sums / counts[:, None]))
    except ValueError as error:
        raise BadRequest("profile.patches-too-alike") from error


def device_numbers(reading: Reading, plan: SheetPlan | None = None) -> tuple[Floats, Floats]:
    """Device numbers (n, 3) or (n, 4), 0 to 1, and CIELAB (n, 3) of a reading's patches that have both.

    ``plan`` gives the numbers that were asked for, by the patches' names. RGB goes before CMYK. Raises BadRequest
    where there are none.
    """
    asked = {patch.name: patch.rgb for patch in plan.patches} if plan else {}
    rgb = [(asked.get(patch.name, patch.rgb), patch.lab) for patch in reading.patches]
    rows = [(numbers, lab) for numbers, lab in rgb if numbers is not None]
    if not rows:
        cmyk = [(patch.cmyk, patch.lab) for patch in reading.patches]
        inks = [(numbers, lab) for numbers, lab in cmyk if numbers is not None]
        if not inks:
            raise BadRequest("profile.no-device-numbers", source=reading.source_name)
        return np.array([numbers for numbers, _ in inks]), np.array([lab for _, lab in inks])
    return np.array([numbers for numbers, _ in rows]), np.array([lab for _, lab in rows])
