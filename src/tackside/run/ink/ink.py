"""The ink that a sheet takes, from its device numbers.

Nobody tells a user how a driver separates RGB into inks, so a plain, documented separation stands in:

1. Light. Numbers are brought to linear light, 0 to 1, by the working space's own curve (IEC 61966-2-1 for sRGB), and
   black to the print's own black, of density 2.0 (black point compensation; the low end of photo stocks,
   docs/sources.md, S26).
2. Dots. Light that comes back through band j (red, green, blue) from dots a of cyan, magenta and yellow is
   R_j^(1/n) = Π_i (1 − a_i (1 − 10^(−D_ij/n))), n = 2: H. E. J. Neugebauer's sum over the overprints with
   M. E. Demichel's shares, densities adding up, in the form of J. A. C. Yule and W. J. Nielsen (TAGA
   Proceedings 3, 1951). D are the densities of typical process inks through the three filters, the unwanted
   ones too (docs/sources.md, S57). It is solved for a, ink by ink, in turn.
3. Tone. A dot prints larger than asked for; the asked-for tone t solves a = t + 4 g t (1 − t), with the increase
   g = 0.15 at half tone (docs/sources.md, S57).
4. Black. Over half of the grey component, black joins in, k = ((grey − ½) ÷ ½)^1.5, and takes away a third of it from
   each colour (grey component replacement, a medium one; docs/sources.md, S57).
5. Ink. The tones are added, 0 to 4, and multiplied by the ml/m² of one full tone.

Only the sum counts here: an ink more (light cyan, grey) shares the same drops out differently. The one free figure is
the ml/m² of a full tone. Its default puts a photograph of average coverage in the middle of the usual 9.7 to
20.5 ml/m²; a user's own cartridge records replace it (``calibration``).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.spaces import RGB_SPACES
from tackside.records.sheet_plan import Space
from tackside.units import MM_PER_INCH

Floats = NDArray[np.float64]

YULE_NIELSEN = 2.0
# Densities of cyan, magenta and yellow (rows) through the red, green and blue filter.
DENSITIES = np.array([[1.40, 0.45, 0.15], [0.15, 1.40, 0.70], [0.03, 0.10, 1.20]])
_ROUNDS = 12  # of the solution in turn; after 12 nothing moves by a thousandth
BLACK_DENSITY = 2.0
TONE_INCREASE = 0.15
BLACK_FROM = 0.5
BLACK_BEND = 1.5
COLOUR_REMOVED = 1 / 3

# Photo prints use 9.7 to 20.5 ml/m² (several secondary sources agree; docs/sources.md, S56).
PHOTOGRAPH_ML_M2 = (9.7, 20.5)
# The sum of tones of an open photograph under this model, the median of eight (tests/run/test_ink.py).
AVERAGE_TONES = 1.6
FULL_TONE_ML_M2 = sum(PHOTOGRAPH_ML_M2) / 2 / AVERAGE_TONES
# How far these figures lie from their middle, as a share: the doubt of a printer that has no records.
USUAL_DOUBT = (PHOTOGRAPH_ML_M2[1] - PHOTOGRAPH_ML_M2[0]) / sum(PHOTOGRAPH_ML_M2)


def tones(rgb: ArrayLike, space: Space = "srgb") -> Floats:
    """Tones of cyan, magenta, yellow and black, (..., 4), 0 to 1, for numbers ``rgb`` (..., 3), 0 to 1."""
    return _tones_of(RGB_SPACES[space].decode(np.asarray(rgb, dtype=np.float64)))


def _tones_of(decoded: Floats) -> Floats:
    """Tones (..., 4) for linear light ``decoded`` (..., 3)."""
    light = np.clip(decoded, 0.0, 1.0)
    darkest = 10.0**-BLACK_DENSITY
    colour = _asked(_dots(darkest + (1.0 - darkest) * light))
    grey = np.min(colour, axis=-1, keepdims=True)
    black = (np.maximum(grey - BLACK_FROM, 0.0) / (1.0 - BLACK_FROM)) ** BLACK_BEND
    return np.concatenate([colour - COLOUR_REMOVED * black * grey, black], axis=-1)


def _dots(light: Floats) -> Floats:
    """Dots of cyan, magenta and yellow (..., 3), 0 to 1, that give back ``light`` (..., 3), 0 to 1."""
    root = np.ascontiguousarray(np.moveaxis(light ** (1 / YULE_NIELSEN), -1, 0))
    stops = 1.0 - 10.0 ** (-DENSITIES / YULE_NIELSEN)
    dots = np.zeros_like(root)
    for _ in range(_ROUNDS):
        for ink in range(3):
            one, other = (k for k in range(3) if k != ink)
            through = (1.0 - dots[one] * stops[one, ink]) * (1.0 - dots[other] * stops[other, ink])
            dots[ink] = np.clip((1.0 - root[ink] / through) / stops[ink, ink], 0.0, 1.0)
    return np.moveaxis(dots, 0, -1)


def _asked(cover: Floats) -> Floats:
    """The tone t, 0 to 1, that prints as ``cover``: a = t + 4 g t (1 − t) solved for t."""
    b = 1.0 + 4.0 * TONE_INCREASE
    return np.asarray((b - np.sqrt(b * b - 16.0 * TONE_INCREASE * cover)) / (8.0 * TONE_INCREASE))


class MetColours:
    """What the colours met so far take: the cards of a run share their pictures and differ by little."""

    def __init__(self, space: Space = "srgb") -> None:
        self.space = space
        self._light = RGB_SPACES[space].decode(np.arange(256) / 255.0)
        self._colours, self._tones = np.empty(0, np.uint32), np.empty(0)

    def tones(self, colours: NDArray[np.uint32]) -> Floats:
        """The sum of the tones (n,), all inks, of ``colours`` (n,): 65536 R + 256 G + B, rising, each once."""
        new = np.setdiff1d(colours, self._colours, assume_unique=True)
        if len(new):
            numbers = np.stack([new >> 16, new >> 8 & 255, new & 255], axis=-1)
            met = np.concatenate([self._colours, new])
            order = np.argsort(met, kind="stable")
            sums = np.concatenate([self._tones, _tones_of(self._light[numbers]).sum(axis=-1)])
            self._colours, self._tones = met[order], sums[order]
        return np.asarray(self._tones[np.searchsorted(self._colours, colours)])


def full_tones_m2(image: NDArray[np.uint8], ppi: float, met: MetColours | None = None) -> float:
    """How many square metres of full tone ``image`` (h, w, 3) uint8 at ``ppi`` comes to: tones × area, all inks.

    ``met`` knows the working space, and what earlier images took; by default sRGB, and none.
    """
    red, green, blue = (image[..., band].ravel().astype(np.uint32) for band in range(3))
    colours, counts = np.unique(red << 16 | green << 8 | blue, return_counts=True)
    pixel_m2 = (MM_PER_INCH / ppi / 1000.0) ** 2
    met = MetColours() if met is None else met
    return float(counts @ met.tones(colours)) * pixel_m2
