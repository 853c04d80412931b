"""Patches weighed: fitted, rows that nothing else explains found, named and left out, fitted again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.profile.build.measured import (
    AveragedPatches,
    MeasuredPatches,
    averaged,
    end_rows,
    require_sound,
)
from tackside.profile.build.surface import ColourSurface, fit_surface, refitted

# A row is an outlier where its three differences, each over its own doubt, have squares that add up to this: by
# chance once in a million rows (chi squared, three degrees of freedom), and where the eye would see it.
UNLIKELY = 30.7
VISIBLE = 2.0  # ΔE00
# A slip is off by so many times as much as its nearest neighbours, but for the loudest of them.
NEIGHBOURS, QUIET, ALONE = 8, 3, 3.0
MOST_OUTLIERS = 0.05
ROUNDS = 3
FOLLOWS = 5.0  # ΔE00, median left out: above it the colours don't belong to these numbers
NAMED = 12
# The noise variance of paper and black as a share of that of others: the fit stays by what was read of them.
KEPT = 0.25


@dataclass(frozen=True, eq=False)
class WeighedPatches:
    """``patches`` without the outliers, the ``surface`` through them, and what to say of both."""

    patches: AveragedPatches
    surface: ColourSurface
    notices: tuple[Message, ...]

    def names(self, measured: MeasuredPatches) -> list[str]:
        """What to call each patch: the first row's name."""
        found: dict[int, str] = {}
        for row, patch in enumerate(self.patches.member):
            found.setdefault(int(patch), measured.name(row))
        return [found[patch] for patch in range(len(self.patches.device))]


def weigh(measured: MeasuredPatches) -> WeighedPatches:
    """The evidence of what was measured. Raises BadRequest where it is too thin or contradicts itself."""
    patches = averaged(measured)
    require_sound(measured, patches)
    surface = _fitted(patches)
    _require_following(patches, surface)
    keep = np.ones(len(measured.device), dtype=bool)
    for _ in range(ROUNDS):
        out = keep & _outliers(measured, keep, patches, surface)
        if not out.any():
            break
        keep &= ~out
        patches = averaged(measured, keep)
        surface = _fitted(patches)
    left = np.flatnonzero(~keep)
    if len(left) > max(MOST_OUTLIERS * len(keep), 3):
        raise BadRequest("profile-build.too-many-outliers", count=len(left), of=len(keep))
    return WeighedPatches(patches, surface, _notices(measured, patches, left))


def _fitted(patches: AveragedPatches) -> ColourSurface:
    spread = _spread(patches)
    return fit_surface(
        patches.device, patches.lab, spread, patches.noise, sure_of_noise=patches.sure_of_noise
    )


def _fitted_as(surface: ColourSurface, patches: AveragedPatches) -> ColourSurface:
    """A surface through other patches, as stiff as ``surface``."""
    return refitted(surface, patches.device, patches.lab, _spread(patches))


def _spread(patches: AveragedPatches) -> Floats:
    spread = patches.spread.copy()
    for lightest in (True, False):
        spread[end_rows(patches.device, lightest=lightest)] *= KEPT
    return spread


def _outliers(
    measured: MeasuredPatches, keep: NDArray[np.bool_], patches: AveragedPatches, surface: ColourSurface
) -> NDArray[np.bool_]:
    """The rows that nothing else explains: unlike what all others foretell, where their neighbours are as foretold.

    A crease in the printer's colours makes a whole neighbourhood unlike; a slip of the reading stands alone.
    """
    suspects = keep & _unlikely(measured, patches, surface)
    if not suspects.any():
        return suspects
    rest = averaged(measured, keep & ~suspects)
    if len(rest.device) < len(patches.device) // 2:
        return suspects
    without = _fitted_as(surface, rest)
    foretold = without.at(measured.device[suspects])
    apart = delta_e_2000(measured.lab[suspects], foretold)
    usual = delta_e_2000(rest.lab, without.left_out)
    distance = np.linalg.norm(measured.device[suspects][:, None] - rest.device, axis=2)
    near = np.argsort(distance, axis=1)[:, :NEIGHBOURS]
    out = np.zeros_like(keep)
    out[np.flatnonzero(suspects)] = apart > np.maximum(
        VISIBLE, ALONE * np.sort(usual[near], axis=1)[:, -QUIET]
    )
    return out


def _unlikely(
    measured: MeasuredPatches, patches: AveragedPatches, surface: ColourSurface
) -> NDArray[np.bool_]:
    """Rows whose three differences from what the other patches foretell are more than chance, and visible."""
    used = patches.member >= 0
    member = patches.member[used]
    off = measured.lab[used] - surface.left_out[member]
    noise = (surface.noise * surface.stiffness) ** 2
    # The doubt in a prediction holds the noise of the patch's mean; here a single row stands in its place.
    variance = np.maximum(surface.doubt[member] ** 2 - noise * patches.spread[member, None], 0) + noise
    scores = np.sum(off**2 / variance, axis=1)
    # Doubts are the model's own idea: they are measured by the rows themselves (2.366: the median of chi squared).
    usual = max(float(np.median(scores)) / 2.366, 1.0)
    out = np.zeros(len(used), dtype=bool)
    out[used] = (scores > UNLIKELY * usual) & (
        delta_e_2000(measured.lab[used], surface.left_out[member]) > VISIBLE
    )
    ends = end_rows(measured.device, lightest=True) | end_rows(measured.device, lightest=False)
    return np.asarray(out & ~ends)


def _require_following(patches: AveragedPatches, surface: ColourSurface) -> None:
    median = float(np.median(delta_e_2000(patches.lab, surface.left_out)))
    if median > FOLLOWS:
        raise BadRequest("profile-build.does-not-follow", median=median, limit=FOLLOWS)


def _notices(
    measured: MeasuredPatches, patches: AveragedPatches, left: NDArray[np.intp]
) -> tuple[Message, ...]:
    found = []
    if len(left):
        names = tuple(measured.name(int(row)) for row in left[:NAMED])
        if len(left) > NAMED:
            more = len(left) - NAMED
            found.append(Message("profile-build.outliers-more", count=len(left), names=names, more=more))
        else:
            found.append(Message("profile-build.outliers", count=len(left), names=names))
    if patches.sure_of_noise >= 0.5:
        found.append(Message("profile-build.no-repeats"))
    return tuple(found)
