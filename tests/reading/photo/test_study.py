"""The study's main limits on a few photographs; ``benchmarks/phone.py`` holds them on two hundred."""

from __future__ import annotations

import numpy as np
import pytest
from training.phone.study import study

pytestmark = pytest.mark.slow


def test_photographs_are_read_within_one_and_a_half_of_the_known_print_s_device() -> None:
    found = study(10, 2, workers=1)
    read = [one for one in found if one.refused is None]
    assert len(read) >= 9
    assert np.median([one.de00 for one in read]) <= 1.5
    assert sum(one.grade == one.scanned_grade for one in read) >= len(read) - 1
