"""The colour floor loads fast: what is slow to import is imported where it is used."""

from __future__ import annotations

import subprocess
import sys


def test_no_module_of_the_floor_loads_scipy_or_a_floor_above() -> None:
    code = (
        "import sys, pkgutil, importlib, tackside.colour as floor\n"
        "for each in pkgutil.iter_modules(floor.__path__):\n"
        "    importlib.import_module(f'tackside.colour.{each.name}')\n"
        "ours = {name.split('.')[1] for name in sys.modules if name.startswith('tackside.')}\n"
        "print('scipy' in sys.modules, sorted(ours))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False ['colour', 'errors', 'messages', 'units']"
