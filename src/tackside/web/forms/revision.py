"""Keeping what was typed as a new revision of a record, or saying in the form why it can't be kept."""

from __future__ import annotations

from typing import TypeVar

from tackside.bench.repositories.revisions import Revisions
from tackside.errors import Overtaken, StorageTrouble
from tackside.records import Printer, Stock
from tackside.records.card import KeptCard
from tackside.web.forms.received import Form
from tackside.web.forms.stock_form import Filled

Revised = TypeVar("Revised", Stock, Printer, KeptCard)


def revision_number(text: str) -> int:
    """A revision as it stands in a form; what is none counts as one that never was."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else -1


def keep_revision(
    shelf: Revisions[Revised], found: Revised, form: Form, *, edited: bool
) -> int | tuple[Filled, int]:
    """The number that the record got, or the form to be shown again and its status.

    ``edited``: the form began from a revision, whose number it holds; otherwise the name must be new.
    """
    try:
        return shelf.add(found, after=revision_number(form.get("after")) if edited else 0).revision
    except StorageTrouble as error:
        return Filled(form.typed(), {"": error.message}), 503
    except Overtaken as error:
        typed = {**form.typed(), "after": str(shelf.revision(found.name))} if edited else form.typed()
        return Filled(typed, {"" if edited else "name": error.message}), 409
