"""``tackside fit``: what a printer can do with a stock."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cautions import HEAD_STRIKE
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views.fit_page import fit_page
from tackside.fit.fit_stock import fit_stock
from tackside.fit.mail.post_file import limits_for
from tackside.fit.model import Fit


def fit(
    stock: Annotated[str, Parameter(help="Name of the stock.")],
    printer: Annotated[str, Parameter(help="Name of the printer.")],
    *,
    feed: Annotated[str | None, Parameter(help="Hold it against this feed only.")] = None,
    side: Annotated[Literal["front", "back"], Parameter(help="The side of the card to print.")] = "front",
) -> Outcome:
    """Say what a printer can do with a stock: feed, reach, panels, page size, fold, envelope, post, warnings.

    Postal limits are data with a date: put your own into a file post.toml in the bench folder.
    """
    bench = Bench.open(bench_folder(), create=False)
    limits = limits_for(bench.folder)
    found = fit_stock(bench.stocks.get(stock), bench.printers.get(printer), feed, side, limits)
    return Outcome(document(found), fit_page(found), cautions=(HEAD_STRIKE,))


def document(found: Fit) -> dict[str, Any]:
    """The fit as plain data; ``envelope`` is the first choice of ``envelopes``, or None."""
    data = found.model_dump(mode="json")
    return {**data, "envelope": data["envelopes"][0] if data["envelopes"] else None}
