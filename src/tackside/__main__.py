"""``python -m tackside``, and the command ``tackside``."""

from typing import NoReturn

from tackside.cli.process import answered, collect_seldom, leave


def run() -> int:
    """One call of the command line, with the words that the process was called with; its exit code."""
    collect_seldom()  # before anything is loaded
    from tackside.cli.main import main

    return answered(main)


def command() -> NoReturn:
    """One call of the command line, and the end of its process."""
    leave(run())


if __name__ == "__main__":
    command()
