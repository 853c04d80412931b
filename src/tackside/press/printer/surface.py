"""Uneven ink: mottle and graininess as noise on either side of 0.4 cycles/mm.

The border is that of ISO/IEC 13660 (tiles of 1.27 mm): slower changes are mottle, faster ones graininess.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from tackside.units import MM_PER_INCH

BORDER_CYCLES_PER_MM = 0.4
_GRAIN_PITCH_MM = 0.17


def mottle_field(
    shape: tuple[int, int], ppi: float, lightness_sd: float, rng: np.random.Generator
) -> NDArray[np.float32]:
    """Slow noise (h, w): relative change of Y that moves L* by ``lightness_sd``, its SD, at L* 50."""
    return _field(shape, ppi, 1.0 / (2 * BORDER_CYCLES_PER_MM), lightness_sd, rng, keep_slow=True)


def grain_field(
    shape: tuple[int, int], ppi: float, lightness_sd: float, rng: np.random.Generator
) -> NDArray[np.float32]:
    """Fast noise (h, w), likewise; what is slower than the border is taken out."""
    return _field(shape, ppi, _GRAIN_PITCH_MM, lightness_sd, rng, keep_slow=False)


def banding_field(
    shape: tuple[int, int], ppi: float, period_mm: float, amplitude: float, down: bool
) -> NDArray[np.float32]:
    """Bands (h, w): relative change of Y, a sine down the sheet (or across it) of peak ``amplitude`` L* at L* 50."""
    count = shape[0] if down else shape[1]
    at_mm = (np.arange(count) + 0.5) * MM_PER_INCH / ppi
    wave = (lightness_to_relative(amplitude) * np.sin(2 * np.pi * at_mm / period_mm)).astype(np.float32)
    return np.broadcast_to(wave[:, np.newaxis] if down else wave[np.newaxis, :], shape)


def lightness_to_relative(lightness_sd: float) -> float:
    """dY / Y for a small change of L* at L* 50: 3 dL* / (L* + 16), from CIE 15:2018, 8.2.1."""
    return 3.0 * lightness_sd / (50.0 + 16.0)


def _field(
    shape: tuple[int, int],
    ppi: float,
    pitch_mm: float,
    lightness_sd: float,
    rng: np.random.Generator,
    *,
    keep_slow: bool,
) -> NDArray[np.float32]:
    pitch = max(pitch_mm * ppi / MM_PER_INCH, 1.0)
    rows, columns = int(shape[0] / pitch) + 5, int(shape[1] / pitch) + 5
    field = rng.standard_normal((rows, columns), dtype=np.float32)
    if not keep_slow:
        # A Gaussian whose half-power point lies at the border: sigma = sqrt(ln 2) / (2 pi f).
        sigma = np.sqrt(np.log(2.0)) / (2 * np.pi * BORDER_CYCLES_PER_MM) / (pitch * MM_PER_INCH / ppi)
        field -= cv2.GaussianBlur(field, (0, 0), float(sigma))
    # The same pitch along both sides, whatever the sheet's size: enlarge with a margin, then cut.
    to_field = np.array([[1 / pitch, 0.0, 1.0], [0.0, 1 / pitch, 1.0]])
    large = cv2.warpAffine(
        field,
        to_field,
        (shape[1], shape[0]),
        flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REFLECT,
    )
    # Interpolation evens out some of the noise; the amplitude promised is that of the field laid down.
    sample = np.asarray(large[:: max(shape[0] // 256, 1), :: max(shape[1] // 256, 1)])
    spread = float(np.std(sample)) or 1.0
    return np.asarray(large * np.float32(lightness_to_relative(lightness_sd) / spread), dtype=np.float32)
