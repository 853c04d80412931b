"""Red and blue exchanged, told from ink exchanged in the printer: inks take from green what they take, whatever the
file calls its channels.

The yellow patches are light in green and the cyan ones darker. Exchange the channels of the file, and the yellow patch
shows as a cyan that is as light in green as yellow: no ink is that. Exchange the inks, and it shows as cyan ink does.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tackside.colour.spaces import Floats
from tackside.records import Patch

# Levels of 1: how far a pair of patches must go the wrong way round, and how many pairs there must be.
CLEARLY, FEWEST = 0.06, 3


def exchanged(patches: Sequence[Patch], numbers: Floats) -> float:
    """0 to 1: the share of pairs of patches that speak for exchanged channels, less those that speak against.
    ``numbers`` (n, 3), 0 to 1: the file's, of the patches.

    A pair has red and blue asked for the other way round and green alike: (r, g, b) and (b, g, r).
    """
    by_rgb = {tuple(round(each, 3) for each in patch.rgb): number for number, patch in enumerate(patches)}
    speaks = []
    for (red, green, blue), number in by_rgb.items():
        other = by_rgb.get((blue, green, red))
        if other is None or red - blue < 0.3:
            continue
        # The first asks for more red than blue: yellow, orange, red; its fellow for cyan, blue.
        warm, cold = numbers[number], numbers[other]
        turned = (warm[2] - warm[0]) + (cold[0] - cold[2])
        if abs(turned) < CLEARLY:
            continue
        # Of inks, the warm one of a pair leaves more green than the cold one: yellow more than cyan, red more than
        # blue.
        speaks.append((turned > 0, warm[1] - cold[1]))
    if len(speaks) < FEWEST:
        return 0.0
    wrong = float(np.mean([1.0 if one else -1.0 for one, _ in speaks]))
    # With inks exchanged green goes the other way round with the rest.
    ink = float(np.median([green for _, green in speaks]))
    return max(wrong, 0.0) if ink > 0 else 0.0
