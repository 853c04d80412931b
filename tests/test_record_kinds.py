"""What a fault's place calls a record is the record's own word, whatever its class is called."""

from __future__ import annotations

import ast
import importlib
from collections.abc import Iterator
from pathlib import Path

import pytest
from pydantic import ValidationError

import tackside
from tackside.files.record_faults import fault_of, kind_of
from tackside.records import Stock
from tackside.web.i18n.labels import LABELS
from tackside.web.shell.error_pages import Address

PACKAGE = Path(tackside.__file__).parent
ASKING = {"fault_of", "field_faults", "load_record"}


class _Renamed(Stock):
    """As if the class of a stock were called otherwise."""


def _records_asked_for() -> Iterator[tuple[str, type]]:
    """Every class that a call in the package names to be told the faults of."""
    for path in PACKAGE.rglob("*.py"):
        module = ".".join(("tackside", *path.relative_to(PACKAGE).with_suffix("").parts))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ASKING:
                last = node.args[-1]
                if isinstance(last, ast.Name) and last.id[0].isupper():
                    yield module, getattr(importlib.import_module(module), last.id)


def test_a_record_is_called_the_same_under_another_class_name() -> None:
    assert kind_of(_Renamed) == "stock"
    with pytest.raises(ValidationError) as caught:
        _Renamed.model_validate({"name": "A", "caliper": 0.3})
    assert fault_of(caught.value, _Renamed).place.kind == "stock"


def test_every_record_whose_faults_are_told_has_a_kind_of_its_own() -> None:
    asked = list(_records_asked_for())
    assert len(asked) > 10
    assert [(module, kind.__name__) for module, kind in asked if "KIND" not in vars(kind)] == []
    classes = {kind for _, kind in asked} | {Address}
    assert len({kind_of(each) for each in classes}) == len(classes)


def test_what_the_forms_label_are_kinds_of_records() -> None:
    kinds = {kind_of(kind) for _, kind in _records_asked_for()}
    parts = {"card-picture", "card-text", "card-credit"}  # of a card's form
    assert set(LABELS) - kinds - parts == {"tally"}  # faults of a count are told by the bench
