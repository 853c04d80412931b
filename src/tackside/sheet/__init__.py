"""Test sheets drawn for one stock and one printer: the plan of what stands where, its pixels, its files."""

from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render
from tackside.sheet.write import write_pdf, write_sheet, write_tiff

__all__ = ["plan_sheet", "render", "write_pdf", "write_sheet", "write_tiff"]
