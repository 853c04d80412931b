"""``judge`` loads what it needs and no more."""

from __future__ import annotations

import json
import subprocess
import sys

MOST_MODULES = 56
# What reading a scan or a file needs, and judging one does not: OpenCV, an XML parser, a reader of bar codes.
HEAVY = ("cv2", "lxml", "zxingcpp")


def test_judging_loads_little() -> None:
    asked = (
        "import json, sys\n"
        "import tackside.verdict.judge\n"
        "ours = [name for name in sys.modules if name.split('.')[0] == 'tackside']\n"
        f"print(json.dumps([ours, [name for name in {HEAVY!r} if name in sys.modules]]))"
    )
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    ours, heavy = json.loads(done.stdout)
    assert "tackside.records.verdict" in ours
    assert len(ours) <= MOST_MODULES, sorted(ours)
    assert heavy == []
