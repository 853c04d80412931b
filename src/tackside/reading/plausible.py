"""Readings that can't be right: the sheet's own file given as a scan, numbers without noise, blacks and papers that
do not exist. Told from the reading alone, so resizing, JPEG or another profile hide nothing.
"""

from __future__ import annotations

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.rgb_spaces import RGB_SPACES, rgb_to_lab
from tackside.errors import BadRequest, BadScan
from tackside.records import Reading

# No print shows its file's own colours from ink black to paper white: black at L* 0 and white at L* 100 are in no ink
# and no paper. Rounding to 8 bits and JPEG at quality 50 move a flat patch by less than this, ΔE00.
SAME_COLOUR = 1.0
NEARLY_ALL = 0.9
# Under glass, paper and dots alone scatter a patch's pixels by more than this, ΔE*ab.
NO_NOISE = 0.02
FEWEST = 8  # patches, before anything is said of nearly all
# Common practice, no source: L* 1 is a density of 2.96, and the deepest ink on gloss stays near 2.7. A polarising
# filter (M3) takes the surface's own reflection away, so its blacks are not held to this.
LEAST_BLACK_L = 1.0
# Common practice, no source: brighteners shine in the blue and lift Z, hardly Y. L* 100.5 is Y = 1.013.
MOST_PAPER_L = 100.5
# These scans are told to be cut off, and trusted less, already.
_CUT_OFF = ("scan.dark-cut-off", "scan.both-ends-cut-off")


def require_plausible(reading: Reading) -> None:
    """Raises BadScan (a scan) or BadRequest (an instrument's file) for a reading that no print gives."""
    if not reading.patches or reading.kind == "eye":
        return
    if reading.kind == "scan":
        _refuse_own_file(reading)
    _refuse_without_noise(reading)
    error = BadScan if reading.kind == "scan" else BadRequest
    lightness = [patch.lab[0] for patch in reading.patches]
    darkest, lightest = min(lightness), max(lightness)
    held_to_black = reading.condition != "M3" and not any(flaw.code in _CUT_OFF for flaw in reading.flaws)
    if darkest < LEAST_BLACK_L and held_to_black:
        raise error("reading.too-black", file=reading.source_name, lightness=darkest, least=LEAST_BLACK_L)
    if lightest > MOST_PAPER_L:
        raise error("reading.too-white", file=reading.source_name, lightness=lightest, most=MOST_PAPER_L)


def _refuse_own_file(reading: Reading) -> None:
    """By colours: nearly all patches show just what the file asks for, in one of the spaces that sheets are made in."""
    asked = np.array([patch.rgb for patch in reading.patches if patch.rgb is not None])
    if len(asked) < FEWEST:
        return
    shown = np.array([patch.lab for patch in reading.patches if patch.rgb is not None])
    for space in RGB_SPACES.values():
        gaps = delta_e_2000(shown, rgb_to_lab(asked, space))
        same = int(np.sum(gaps <= SAME_COLOUR))
        if same >= NEARLY_ALL * len(asked):
            raise BadScan("reading.own-file", file=reading.source_name, same=same, patches=len(asked))


def _refuse_without_noise(reading: Reading) -> None:
    spread = [patch.sd for patch in reading.patches if patch.sd is not None]
    if len(spread) < FEWEST:
        return
    if reading.kind == "scan":
        still = sum(sd <= NO_NOISE for sd in spread)
        if still >= NEARLY_ALL * len(spread):
            raise BadScan("reading.no-noise", file=reading.source_name, still=still, patches=len(spread))
    elif max(spread) <= 1e-9:
        raise BadRequest("reading.repeats-alike", file=reading.source_name, patches=len(spread))
