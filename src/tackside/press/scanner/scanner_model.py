"""The virtual scanner's make-up and settings. All figures are invented."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from tackside.colour.spaces import ADOBE_GAMMA, ADOBE_RGB, SRGB, RgbSpace
from tackside.errors import BadRequest
from tackside.press.printer.halftone import Floats
from tackside.press.scanner.scanner_profile import GAMMA, SCANNER_RGB, scanner_profile
from tackside.profile.icc.working_space import working_space_profile

Row = tuple[float, float, float]
Matrix = tuple[Row, Row, Row]
IDENTITY: Matrix = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
Turn = Literal[0, 90, 180, 270]
Compression = Literal["none", "lzw", "deflate"]


@dataclass(frozen=True)
class ScannerModel:
    """One virtual flatbed with its settings.

    ``ppi``: 150 to 1200. ``turn``: quarter turns of each sheet, degrees clockwise as seen; ``tilt_deg``: a
    further tilt, −5 to 5, clockwise. ``margin_mm``: bare bed around the sheets, where ``bed_mm`` [width,
    height] does not fix the whole. ``crop_mm``: cut off the file's left, top, right and bottom. ``lid``:
    reflectance of what lies behind the sheets; ``shadow``: how much light the sheet's lower and right edges
    take away beside them, 0 to 1. ``blur_um``: standard deviation of the optics' Gaussian blur. ``noise``:
    standard deviation at full scale, 0 to 1. ``tone``: exponent on linear light before the transfer curve
    (1 is true). ``cross_talk``: a 3 × 3 mix of the linear channels, identity for a colorimetric scanner.
    ``scale_x``, ``scale_y``: length in the file over true length. ``space``: the file's encoding; the
    scanner's own holds every printable colour, the other two clip the richest ones of a photo card.
    ``embed``: whether the profile goes into the file (a file without one is taken for sRGB, so choose that
    space too). ``bits``: 8 or 16. ``compression`` counts for TIFF and ``quality`` for JPEG.
    """

    ppi: float = 300.0
    turn: Turn = 0
    tilt_deg: float = 0.0
    margin_mm: float = 6.0
    bed_mm: tuple[float, float] | None = None
    crop_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    lid: float = 0.85
    shadow: float = 0.35
    blur_um: float = 30.0
    noise: float = 0.004
    tone: float = 1.0
    cross_talk: Matrix = IDENTITY
    scale_x: float = 1.0
    scale_y: float = 1.0
    space: Literal["scanner", "srgb", "adobe-rgb"] = "scanner"
    embed: bool = True
    bits: Literal[8, 16] = 16
    compression: Compression = "lzw"
    quality: int = 92
    seed: int = 1

    def __post_init__(self) -> None:
        if not 150 <= self.ppi <= 1200:
            raise BadRequest("press.scan-ppi", ppi=self.ppi, least=150, most=1200)
        if not -5 <= self.tilt_deg <= 5:
            raise BadRequest("press.tilt", tilt=self.tilt_deg, most=5)

    @property
    def rgb_space(self) -> RgbSpace:
        return {"scanner": SCANNER_RGB, "srgb": SRGB, "adobe-rgb": ADOBE_RGB}[self.space]

    @property
    def gamma(self) -> float:
        """Exponent of the file's transfer curve; 0 for sRGB, whose curve is not a pure power."""
        return {"scanner": GAMMA, "srgb": 0.0, "adobe-rgb": ADOBE_GAMMA}[self.space]

    @property
    def profile(self) -> bytes | None:
        """The ICC profile that goes into the file."""
        if not self.embed:
            return None
        return scanner_profile() if self.space == "scanner" else working_space_profile(self.space)

    @property
    def xyz_to_file(self) -> Floats:
        """The (3, 3) map from XYZ D50 on the bed to the file's linear RGB."""
        return np.asarray(np.array(self.cross_talk) @ self.rgb_space.from_xyz_d50)


def colorimetric() -> ScannerModel:
    """A scanner that sees as the standard observer does: 16 bits, its own wide space and profile."""
    return ScannerModel()


def office() -> ScannerModel:
    """An everyday flatbed: channels that see too much of each other, a tone curve, 8 bits, an sRGB tag."""
    return ScannerModel(
        lid=0.9,
        blur_um=45.0,
        noise=0.008,
        tone=0.94,
        cross_talk=((0.88, 0.10, 0.02), (0.05, 0.87, 0.08), (0.01, 0.09, 0.90)),
        space="srgb",
        bits=8,
        seed=2,
    )
