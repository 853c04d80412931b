"""``tackside fit``: what a printer can do with a stock."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cautions import HEAD_STRIKE
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views.fit_page import fit_page
from tackside.cli.views.onward import commands
from tackside.fit.model import FullFit
from tackside.messages.message import WITH_WORDS
from tackside.messages.wording import say_in_words
from tackside.workflow.leading.next_steps import steps_after
from tackside.workflow.stocks.fit import fit as fit_by_name


def fit(
    stock: Annotated[str, Parameter(help="Name of the stock.")],
    printer: Annotated[str, Parameter(help="Name of the printer.")],
    *,
    feed: Annotated[str | None, Parameter(help="Check this feed only.")] = None,
    side: Annotated[
        Literal["front", "back"] | None,
        Parameter(help="The side of the card to print; by default the coated one, which is outside."),
    ] = None,
) -> Outcome:
    """Say what a printer can do with a stock: feed, printable area, panels, page size, fold, envelope, post, warnings.

    Postal limits are data with a date: put your own into a file post.toml in the bench folder.
    """
    found = fit_by_name(Bench.open(bench_folder(), create=False), stock, printer, feed, side)
    onward = steps_after("fit", stock=stock, printer=printer) if found.feed is not None else ()
    return Outcome(document(found), fit_page(found), cautions=(HEAD_STRIKE,), onward=commands(onward))


def document(found: FullFit) -> dict[str, Any]:
    """The fit as plain data; ``envelope`` is the first choice of ``envelopes``, or None."""
    data = found.model_dump(mode="json", context=WITH_WORDS)
    for holder, key in (
        (data, "way_round"),
        (data["inside"], "sentence"),
        *((each, "sentence") for each in data["borderless_ways"]),
        *((each, "remark") for each in data["envelopes"]),
    ):
        say_in_words(holder, key)
    return {**data, "envelope": data["envelopes"][0] if data["envelopes"] else None}
