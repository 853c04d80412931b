"""Reports: choose trials, see the page, take it away."""

from __future__ import annotations

import re
from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from tackside.bench.catalogue import Asked
from tackside.report import render_report
from tackside.report.gather import entry_of
from tackside.web.forms.query import ListQueryOf
from tackside.web.pages import is_part, page
from tackside.web.safety.policy import REPORT_POLICY
from tackside.web.views.compare import MOST
from tackside.web.workbench import workbench_of

router = APIRouter(tags=["reports"])
Trials = Annotated[list[str], Query(max_length=60)]
Line = Annotated[str, Query(max_length=300)]


@router.get("/report")
def report(
    request: Request, query: ListQueryOf, trial: Trials = [], title: Line = "", note: Line = "",  # noqa: B006  FastAPI copies it
) -> Response:  # fmt: skip
    """Choose the trials; then title, note and the page itself."""
    bench = workbench_of(request).bench
    if trial and not is_part(request) and "choose" not in request.query_params:
        chosen = [bench.verdicts.latest(each).trial for each in dict.fromkeys(trial[:MOST])]
        return page(
            request, "report/report.html", trials=chosen, title=title, note=note, asked=request.url.query
        )
    asked = Asked(words=query.asked.words, stage="judged", sort=query.asked.sort, count=60)
    lines, total = bench.catalogue.trials(asked)
    template = "compare/_pick.html" if is_part(request) else "report/pick.html"
    return page(request, template, lines=lines, total=total, query=query, chosen=trial, action="/report")


@router.get("/report/page.html")
def report_page(
    request: Request, trial: Trials = [], title: Line = "", note: Line = "", save: bool = False,  # noqa: B006
) -> Response:  # fmt: skip
    """The report itself: one page that needs nothing from outside."""
    bench = workbench_of(request).bench
    entries = [entry_of(bench, each) for each in dict.fromkeys(trial[:MOST])]
    made = render_report(entries, title=title.strip() or None, note=note.strip() or None)
    headers = {"content-security-policy": REPORT_POLICY, "x-frame-options": "SAMEORIGIN"}
    if save:
        name = re.sub(r"[^A-Za-z0-9]+", "-", title).strip("-").lower()[:60] or "report"
        headers["content-disposition"] = f'attachment; filename="{name}.html"'
    return Response(made, media_type="text/html; charset=utf-8", headers=headers)
