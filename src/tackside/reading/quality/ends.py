"""Where shadows and highlights are told apart: the first grey that differs from black, the last that differs
from white.

Two greys are told apart when their ΔE00 is at least 1 (just visible; docs/sources.md, S32) and at least
twice what the readings' own scatter would make.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.records import Attribute, PatchReading

VISIBLE = 1.0
POINTS = 9  # about that many independent places in a patch, as in ``verdict.measures.patch_table``


def end_attributes(patches: Sequence[PatchReading]) -> dict[str, Attribute]:
    """``shadow_step`` and ``highlight_step``: the device level, 0 to 1, of the first grey told apart from
    either end.
    """
    greys = sorted(
        (patch for patch in patches if patch.rgb is not None and max(patch.rgb) - min(patch.rgb) < 1e-6),
        key=lambda patch: (patch.rgb or (0.0,))[0],
    )
    levels = [patch.rgb[0] for patch in greys if patch.rgb is not None]
    if len(greys) < 8 or levels[0] > 0.01 or levels[-1] < 0.99:
        return {}
    found = {}
    for name, ordered in (("shadow_step", greys), ("highlight_step", greys[::-1])):
        found[name] = _first_apart(ordered)
    return {name: one for name, one in found.items() if one is not None}


def _first_apart(ordered: Sequence[PatchReading]) -> Attribute | None:
    lab = np.array([patch.lab for patch in ordered])
    scatter = np.array([patch.sd or 0.0 for patch in ordered]) / np.sqrt(POINTS)
    apart = delta_e_2000(lab[1:], lab[0]) >= np.maximum(VISIBLE, 2 * np.hypot(scatter[1:], scatter[0]))
    if not apart.any():
        return None
    # Apart from there on: one noisy patch among equals does not open the shadows.
    last_equal = int(np.flatnonzero(~apart).max()) + 1 if not apart.all() else 0
    first = min(last_equal, len(apart) - 1)
    level = [patch.rgb[0] for patch in ordered[1:] if patch.rgb is not None]
    step = abs(level[first] - level[first - 1]) if first else abs(level[0] - (ordered[0].rgb or (0.0,))[0])
    return Attribute(value=level[first], unit="1", sd=step / float(np.sqrt(12.0)))
