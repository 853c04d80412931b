"""Ways to bring colours into a gamut, as colour paths do: clipped in many ways, or compressed.

Each takes colours (n, 3) CIELAB as they should stand on the card, and gives colours that the card holds. They are
written for breadth, not for beauty: what a path may show of the sheet's colours with nothing wrong.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import WHITE_D50, Floats, RgbSpace, compensate, lab_to_xyz, rgb_to_lab, xyz_to_lab
from tackside.profile.gamut.compression import toe
from training.path_limits.gamuts import Gamut

Clip = Callable[[Gamut, Floats], Floats]
Tone = Callable[[Floats, float], Floats]

_NEUTRAL = 3.0  # C*ab below which a colour has no hue to keep
_STEPS = 400


def on_paper(gamut: Gamut, relative: Floats) -> Floats:
    """Media-relative colours as they stand on the card (ISO 15076-1, 6.3.2)."""
    return xyz_to_lab(lab_to_xyz(relative) * (lab_to_xyz(gamut.white) / WHITE_D50))


def _clipped(gamut: Gamut, lab: Floats, nearest: Callable[[Floats, Floats], Floats]) -> Floats:
    """Colours outside at the colour of the surface (m, 3) of which ``nearest`` says the least."""
    out = lab.copy()
    for row in np.flatnonzero(~gamut.holds(lab)):
        out[row] = gamut.surface[np.argmin(nearest(lab[row], gamut.surface))]
    return out


def by_de76(gamut: Gamut, lab: Floats) -> Floats:
    return _clipped(gamut, lab, lambda one, many: np.linalg.norm(many - one, axis=1))


def by_de2000(*, kl: float = 1.0, kc: float = 1.0, kh: float = 1.0) -> Clip:
    return lambda gamut, lab: _clipped(
        gamut, lab, lambda one, many: delta_e_2000(one[None], many, kl=kl, kc=kc, kh=kh)
    )


def by_de94(*, hue: float) -> Clip:
    """CIE94 (CIE 116-1995) from the colour asked for, differences of hue counted ``hue`` times."""

    def far(one: Floats, many: Floats) -> Floats:
        chroma, other = float(np.hypot(one[1], one[2])), np.hypot(many[:, 1], many[:, 2])
        across = np.maximum(((many[:, 1:] - one[1:]) ** 2).sum(axis=1) - (other - chroma) ** 2, 0)
        return np.asarray(
            (many[:, 0] - one[0]) ** 2
            + ((other - chroma) / (1 + 0.045 * chroma)) ** 2
            + across * (hue / (1 + 0.015 * chroma)) ** 2
        )

    return lambda gamut, lab: _clipped(gamut, lab, far)


def hue_kept(gamut: Gamut, lab: Floats) -> Floats:
    """The nearest of the same hue angle."""

    def far(one: Floats, many: Floats) -> Floats:
        if np.hypot(one[1], one[2]) < _NEUTRAL:
            return np.asarray(np.linalg.norm(many - one, axis=1))
        turn = np.arctan2(many[:, 2], many[:, 1]) - np.arctan2(one[2], one[1])
        apart = np.abs(np.degrees(np.angle(np.exp(1j * turn))))
        chroma = np.hypot(many[:, 1], many[:, 2]) - np.hypot(one[1], one[2])
        return np.asarray(np.hypot(many[:, 0] - one[0], chroma) + np.where(apart > 2.5, 1e3 + apart, 0))

    return _clipped(gamut, lab, far)


def lightness_kept(gamut: Gamut, lab: Floats) -> Floats:
    """Chroma alone is taken away, at the colour's own lightness where the card has it."""
    held = np.clip(lab[:, 0], gamut.black[0] + 1, gamut.white[0] - 1)
    start = np.column_stack([held, np.repeat(gamut.white[None, 1:] / 2, len(lab), axis=0)])
    return _drawn_in(gamut, lab, start, np.column_stack([held, lab[:, 1:]]))


def towards_middle_grey(gamut: Gamut, lab: Floats) -> Floats:
    """Along the straight line to the middle of the grey axis."""
    middle = np.array([(gamut.white[0] + gamut.black[0]) / 2, 0.0, 0.0])
    return _drawn_in(gamut, lab, np.broadcast_to(middle, lab.shape), lab)


def _drawn_in(gamut: Gamut, lab: Floats, start: Floats, end: Floats) -> Floats:
    out = lab.copy()
    rows = np.flatnonzero(~gamut.holds(lab))
    along = np.linspace(0, 1, _STEPS)[:, None, None]
    line = start[rows] + along * (end[rows] - start[rows])
    held = gamut.holds(line)
    last = _STEPS - 1 - np.argmax(held[::-1], axis=0)
    found = line[last, np.arange(len(rows))]
    lost = ~held.any(axis=0)
    found[lost] = gamut.surface[gamut.tree.query(lab[rows][lost])[1]]
    out[rows] = found
    return out


CLIPS: dict[str, Clip] = {
    "ΔE*ab": by_de76,
    "ΔE00": by_de2000(),
    "ΔE00, lightness half": by_de2000(kl=2),
    "ΔE00, chroma half": by_de2000(kc=2),
    "CIE94": by_de94(hue=1),
    "CIE94, hue × 2": by_de94(hue=2),
    "CIE94, hue × 3": by_de94(hue=3),
    "hue kept": hue_kept,
    "lightness kept": lightness_kept,
    "towards middle grey": towards_middle_grey,
}

# How a perceptual table brings the source's black up to the card's, L* 0 to 100 either way.
TONES: dict[str, Tone] = {
    "toe": lambda lab, black: np.column_stack([toe(np.clip(lab[:, 0], 0, 100), black), lab[:, 1:]]),
    "straight": lambda lab, black: np.column_stack([black + lab[:, 0] * (100 - black) / 100, lab[:, 1:]]),
    "by light": lambda lab, black: compensate(lab, black),
}


@dataclass(frozen=True)
class Compression:
    """A perceptual table: rays from the middle of the grey axis, drawn in.

    ``source`` is the space that the table was made for and ``larger`` how much farther it thinks that reaches;
    ``stretch`` bends the knee: 1 draws all in alike, more keeps the inner colours and crowds the outer ones.
    """

    tone: str
    source: RgbSpace
    larger: float = 1.0
    stretch: float = 2.0

    def __call__(self, gamut: Gamut, relative: Floats) -> Floats:
        """Media-relative colours of the file as they stand on the card."""
        black = float(gamut.relative_black[0])
        toned = TONES[self.tone](relative, black)
        middle = np.array([(100 + black) / 2, 0.0, 0.0])
        away = toned - middle
        radius = np.linalg.norm(away, axis=1)
        ways = away / np.maximum(radius, 1e-9)[:, None]
        near = self._held(gamut, middle, ways)
        far = self._source_reach(black, middle, ways) * self.larger
        knee = np.clip((self.stretch * near - far) / max(self.stretch - 1, 1e-9), 0, None)
        part = np.clip((radius - knee) / np.maximum(far - knee, 1e-9), 0, None)
        bend = np.minimum((far - knee) / np.maximum(near - knee, 1e-9), self.stretch)
        drawn = knee + (near - knee) * bend * part / (1 + (bend - 1) * part)
        if self.stretch == 1:
            knee, drawn = np.zeros_like(near), radius * near / far
        moved = (radius > knee) & (far > near) & (np.hypot(away[:, 1], away[:, 2]) > _NEUTRAL)
        out = np.where(moved[:, None], middle + ways * drawn[:, None], toned)
        return by_de76(gamut, on_paper(gamut, out))

    def _held(self, gamut: Gamut, middle: Floats, ways: Floats) -> Floats:
        """How far the card's colours reach from the middle along each way, media-relative."""
        along = np.linspace(0, 180, 2 * _STEPS)
        inside = gamut.holds(on_paper(gamut, middle + along[:, None, None] * ways))
        first = np.where(inside.all(axis=0), len(along) - 1, np.argmin(inside, axis=0))
        return np.asarray(along[np.maximum(first - 1, 1)])

    def _source_reach(self, black: float, middle: Floats, ways: Floats) -> Floats:
        """How far the source's toned colours reach, from its surface about each way."""
        axis = np.linspace(0, 1, 25)
        cube = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)
        surface = cube[((cube == 0) | (cube == 1)).any(axis=1)]
        away = TONES[self.tone](rgb_to_lab(surface, self.source), black) - middle
        radius = np.linalg.norm(away, axis=1)
        alike = ways @ (away / radius[:, None]).T
        best = np.argsort(-alike, axis=1)[:, :4]
        weight = 1 / (1e-4 + 1 - np.take_along_axis(alike, best, axis=1))
        return np.asarray((weight * radius[best]).sum(axis=1) / weight.sum(axis=1))
