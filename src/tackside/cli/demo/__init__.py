"""The demo: an invented studio, four invented cards, an invented printer, and the virtual press."""

from tackside.cli.demo.studio import run_demo

__all__ = ["run_demo"]
