"""What a profile of 900 patches costs."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

# The kernel's own peak of this program: what getrusage tells begins with the peak of the process that started it.
BUILD = """
import re, time
from pathlib import Path
from tests.profile.build.built import built
start = time.process_time()
profile = built("dye", 4, 900)
peak = int(re.search(r"VmHWM:\\s+(\\d+) kB", Path("/proc/self/status").read_text())[1]) / 1024
print(time.process_time() - start, peak, len(profile.data))
"""


@pytest.mark.slow
@pytest.mark.skipif(
    not Path("/proc/self/status").exists(), reason="asks the Linux kernel for the peak of memory"
)
def test_a_profile_of_900_patches_takes_seconds_and_little_memory() -> None:
    """Seconds of work of all cores together, which other work on the computer does not change: 40 are 20 on two."""
    told = subprocess.run([sys.executable, "-c", BUILD], check=True, capture_output=True, text=True).stdout
    seconds, megabytes, size = (float(each) for each in told.split())
    assert seconds < 40
    assert megabytes < 500
    assert size < 1_500_000
