"""Trials side by side, and what they say together."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from tackside.bench.repositories.catalogue import ListAsked
from tackside.web.forms.queries.list_query import ListQueryOf
from tackside.web.shell.pages import is_part, page, person_at
from tackside.web.views.compare import compare_view
from tackside.web.views.together import together_view
from tackside.web.workbench import workbench_of

router = APIRouter(tags=["compare"])


@router.get("/compare")
def compare(
    request: Request, query: ListQueryOf, trial: Annotated[list[str], Query(max_length=60)] = [],  # noqa: B006  FastAPI copies it
) -> Response:  # fmt: skip
    """Two trials or more beside each other; with fewer, the list to choose from."""
    workbench = workbench_of(request)
    if len(set(trial)) >= 2:
        return page(request, "compare/compare.html", view=compare_view(workbench, trial, person_at(request)))
    asked = ListAsked(words=query.asked.words, stage="judged", sort=query.asked.sort, count=60)
    lines, total = workbench.bench.catalogue.trials(asked)
    template = "compare/_pick.html" if is_part(request) else "compare/pick.html"
    return page(request, template, lines=lines, total=total, query=query, chosen=trial, action="/compare")


@router.get("/compare/together")
def together(request: Request, trial: Annotated[list[str], Query(min_length=1, max_length=60)]) -> Response:
    """One fault behind several prints, and the cards with that fault taken into account; a part of the page above."""
    view = together_view(workbench_of(request), trial, person_at(request))
    template = "compare/_together.html" if is_part(request) else "compare/together.html"
    return page(request, template, view=view)
