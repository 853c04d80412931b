"""What a person hands on: the publishable comparison."""

from tackside.report.entry import Entry
from tackside.report.page import render_report

__all__ = ["Entry", "render_report"]
