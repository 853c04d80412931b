"""Where the bundle begins: what a frozen program has to set right, then the workbench or the command line.

Called with nothing, as by a double click, it opens the workbench. Called with words it is ``tackside`` itself.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
from pathlib import Path


def set_right() -> None:
    """Undo what the bundle's loader leaves in the surroundings, and give a program without a terminal its streams."""
    # The loader puts the bundle's libraries before the system's. That has done its work by now; a browser or a scanning
    # tool that we start would load ours in place of its own, and fail.
    before = os.environ.pop("LD_LIBRARY_PATH_ORIG", None)
    os.environ.pop("LD_LIBRARY_PATH", None)
    if before is not None:
        os.environ["LD_LIBRARY_PATH"] = before
    # A worker process is this same program. Its loader would trust that the libraries are still in the way, as for part
    # of one start; told that it is a start of its own, it puts them there again.
    os.environ["PYINSTALLER_RESET_ENVIRONMENT"] = "1"
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # a windowed program of Windows has none
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115  open to the end


def main() -> int:
    from platformdirs import user_documents_path

    from tackside.cli.without_terminal.places import bench_of_documents
    from tackside.files.atomic import passing_folder

    os.environ.setdefault("TACKSIDE_BENCH", str(bench_of_documents(user_documents_path())))
    if len(sys.argv) > 1:
        from tackside.__main__ import run

        return run()
    from tackside.cli.without_terminal.open import open_workbench
    from tackside.cli.without_terminal.unpacked import forget_older

    forget_older(Path(sys.executable))
    return open_workbench(os.environ["TACKSIDE_BENCH"], passing_folder())


if __name__ == "__main__":
    set_right()
    multiprocessing.freeze_support()  # a worker process begins here too, and goes no further
    sys.exit(main())
