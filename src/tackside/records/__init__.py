"""The records that a bench keeps, and the plain values in them."""

from tackside.records.base import Record
from tackside.records.printer import Feed, Inks, Margins, Printer
from tackside.records.reading import Attribute, PatchReading, Placement, Reading, Uncertainty
from tackside.records.sheet_plan import Bar, Caption, Mark, Patch, SheetPanel, SheetPlan, Tag, Target
from tackside.records.stock import Crease, Pack, Stock
from tackside.records.trial import Settings, Trial
from tackside.records.verdict import GRADES, Cause, Grade, Measure, RuleOutcome, Verdict

__all__ = [
    "GRADES",
    "Attribute",
    "Bar",
    "Caption",
    "Cause",
    "Crease",
    "Feed",
    "Grade",
    "Inks",
    "Margins",
    "Mark",
    "Measure",
    "Pack",
    "Patch",
    "PatchReading",
    "Placement",
    "Printer",
    "Reading",
    "Record",
    "RuleOutcome",
    "Settings",
    "SheetPanel",
    "SheetPlan",
    "Stock",
    "Tag",
    "Target",
    "Trial",
    "Uncertainty",
    "Verdict",
]
