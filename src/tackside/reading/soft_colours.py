"""The soft colours of a sheet: the greyish cyans, reds, greens, purples and blues of its cube.

Every card holds them, so no way into gamut hides what becomes of them. One space read as the other changes the strength
of cyans most, of reds less, and of what lies between hardly: the primaries of sRGB (IEC 61966-2-1) and Adobe RGB (1998)
differ in green alone. Too much or too little ink changes all alike. Of reds, purples and blues it is the hue that tells
how colours were managed, and of two patches side by side a change of hue is seen soonest.

Purples and blues are the greyest that the cube has: stronger ones are brought into gamut in ways that turn them as much
as a fault does, so that good prints differ, and these are strong enough for a hue to be seen.
"""

from __future__ import annotations

from typing import Literal

from tackside.records import Patch, SheetPlan

Hue = Literal["cyans", "reds", "greens", "purples", "blues"]
# Numbers of the lesser and of the greater channels; how far they lie apart where strength is looked at, and at least
# where hue alone is.
_LEAST, _MOST, _APART, _LEAST_APART = 0.2, 0.85, (0.24, 0.51), 0.14
# Steps of a cube differ by this much, since numbers are whole bytes.
_EVEN = 0.01
_SAME = 1e-6
# By hue: which of red, green and blue are the lesser numbers.
_LESSER: dict[Hue, tuple[int, ...]] = {
    "cyans": (0,),
    "reds": (1, 2),
    "greens": (0, 2),
    "purples": (1,),
    "blues": (0, 1),
}


def soft_patches(plan: SheetPlan, hue: Hue) -> tuple[Patch, ...]:
    """Those of the sheet, in its order; none where it has no cube, or too coarse a one."""
    found = [(patch, _apart(patch.rgb, hue)) for patch in plan.patches if "cube" in patch.roles]
    least, most = _APART
    if hue in ("purples", "blues"):
        least = min((apart for _, apart in found if apart >= _LEAST_APART), default=_LEAST_APART)
        most = least + _EVEN
    return tuple(patch for patch, apart in found if least <= apart <= most)


def cube_patches(plan: SheetPlan, hue: Hue) -> tuple[Patch, ...]:
    """Those of the sheet's cube that have this hue and are neither dark nor light, however strong."""
    return tuple(patch for patch in plan.patches if "cube" in patch.roles and _apart(patch.rgb, hue) > 0.0)


def _apart(rgb: tuple[float, float, float], hue: Hue) -> float:
    """How far the greater numbers lie above the lesser; 0 where the colour is of another hue, too dark or too light."""
    lesser = [rgb[channel] for channel in _LESSER[hue]]
    greater = [rgb[channel] for channel in range(3) if channel not in _LESSER[hue]]
    is_of_it = max(lesser) - min(lesser) < _SAME and max(greater) - min(greater) < _SAME
    return greater[0] - lesser[0] if is_of_it and lesser[0] >= _LEAST and greater[0] <= _MOST else 0.0
