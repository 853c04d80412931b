"""The soft colours of a sheet: the greyish cyans and the greyish reds of its cube.

Every card holds them, so no way into gamut hides what becomes of them. One space read as the other changes the strength
of cyans most, of reds less, and of what lies between hardly: the primaries of sRGB (IEC 61966-2-1) and Adobe RGB (1998)
differ in green alone. Too much or too little ink changes all alike.
"""

from __future__ import annotations

from typing import Literal

from tackside.records import Patch, SheetPlan

Hue = Literal["cyans", "reds"]
# Numbers of the lesser and of the greater channels, and how far they lie apart.
_LEAST, _MOST, _APART = 0.2, 0.85, (0.24, 0.51)
_SAME = 1e-6


def soft_patches(plan: SheetPlan, hue: Hue) -> tuple[Patch, ...]:
    """Those of the sheet, in its order; none where it has no cube, or too coarse a one."""
    return tuple(patch for patch in plan.patches if "cube" in patch.roles and _is_soft(patch.rgb, hue))


def _is_soft(rgb: tuple[float, float, float], hue: Hue) -> bool:
    red, green, blue = rgb
    low, high = (red, green) if hue == "cyans" else (green, red)
    return (
        abs(green - blue) < _SAME and low >= _LEAST and high <= _MOST and _APART[0] <= high - low <= _APART[1]
    )
