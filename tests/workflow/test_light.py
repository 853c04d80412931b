"""What a job does not need is not loaded: a verdict is given without what opens images or XML."""

from __future__ import annotations

import subprocess
import sys

import pytest

LOADED = "import sys, {module}; print(*sorted({{name.partition('.')[0] for name in sys.modules}}))"


@pytest.mark.parametrize(
    "module", ["tackside.workflow.judge", "tackside.workflow.sides", "tackside.cli.commands.prints.judge"]
)
def test_judging_loads_nothing_that_opens_images_or_xml(module: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", LOADED.format(module=module)], capture_output=True, text=True, check=True
    )
    loaded = set(done.stdout.split())
    assert "tackside" in loaded
    assert not loaded & {"cv2", "lxml", "pyvips", "zxingcpp"}
