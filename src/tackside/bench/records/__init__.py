"""The records that a bench keeps, and the plain values in them."""

from tackside.bench.records.base import Record
from tackside.bench.records.printer import Feed, Inks, Margins, Printer
from tackside.bench.records.reading import Attribute, PatchReading, Placement, Reading, Uncertainty
from tackside.bench.records.sheet_plan import Bar, Caption, Mark, Patch, SheetPanel, SheetPlan, Tag, Target
from tackside.bench.records.stock import Crease, Pack, Stock
from tackside.bench.records.trial import Settings, Trial
from tackside.bench.records.verdict import GRADES, Cause, Grade, Measure, RuleOutcome, Verdict

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
