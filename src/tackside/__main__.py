"""``python -m tackside``, and the command ``tackside``."""

import sys

from tackside.cli.process import answered, collect_seldom


def run() -> int:
    """One call of the command line, with the words that the process was called with; its exit code."""
    collect_seldom()  # before anything is loaded
    from tackside.cli.main import main

    return answered(main)


if __name__ == "__main__":
    sys.exit(run())
