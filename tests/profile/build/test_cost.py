"""What a profile of 900 patches costs."""

from __future__ import annotations

import resource
import subprocess
import sys

import pytest

BUILD = """
import resource, time
from tests.profile.build.built import built
start = time.process_time()
profile = built("dye", 4, 900)
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
print(time.process_time() - start, peak, len(profile.data))
"""


@pytest.mark.slow
def test_a_profile_of_900_patches_takes_seconds_and_little_memory() -> None:
    """Seconds of work of all cores together, which other work on the computer does not change: 40 are 20 on two."""
    assert resource.RUSAGE_SELF == 0
    told = subprocess.run([sys.executable, "-c", BUILD], check=True, capture_output=True, text=True).stdout
    seconds, megabytes, size = (float(each) for each in told.split())
    assert seconds < 40
    assert megabytes < 500
    assert size < 1_500_000
