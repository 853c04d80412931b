"""Measures, grade, cause and comparison of readings."""

from tackside.verdict.judge import judge
from tackside.verdict.paper import paper_classes, tint_words
from tackside.verdict.words import CAUSE_WORDS, GRADE_WORDS

__all__ = ["CAUSE_WORDS", "GRADE_WORDS", "judge", "paper_classes", "tint_words"]
