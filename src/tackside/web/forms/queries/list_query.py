"""What a list's address asks for: words, sort, filters, a page; anything unknown counts as not asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, get_args
from urllib.parse import urlencode

from fastapi import Depends, Request

from tackside.bench.repositories.catalogue import ListAsked, Sort, Stage
from tackside.records import GRADES
from tackside.records.stock import Base, CoatedSides

PAGE_SIZE = 40
LAST_PAGE = 10_000


@dataclass(frozen=True)
class ListQuery:
    """A list as asked for, and the plain values to show in its filters."""

    asked: ListAsked
    page: int
    values: dict[str, str]

    @property
    def is_filtered(self) -> bool:
        """Whether less was asked for than all that is on the bench."""
        return any(value for name, value in self.values.items() if name != "sort")

    def pages(self, total: int) -> int:
        return max(1, -(-total // PAGE_SIZE))

    def address(self, number: int) -> str:
        """The query of another page of the same list."""
        return urlencode({**{name: value for name, value in self.values.items() if value}, "page": number})


def list_query(request: Request) -> ListQuery:
    given: Mapping[str, str] = request.query_params
    values = {
        name: given.get(name, "")[:120]
        for name in ("q", "sort", "grade", "stage", "coated", "base", "stock", "printer", "away")
    }
    number = given.get("page", "1")
    page = (
        min(max(int(number), 1), LAST_PAGE)
        if number.isascii() and number.isdigit() and len(number) < 7
        else 1
    )
    sorts: tuple[Sort, ...] = get_args(Sort)
    sort: Sort = next((each for each in sorts if each == values["sort"]), "newest")
    asked = ListAsked(
        words=values["q"],
        sort=sort,
        archived=values["away"] == "yes",
        stock=values["stock"] or None,
        printer=values["printer"] or None,
        grades=tuple(each for each in GRADES if each == values["grade"]),
        stage=next((each for each in get_args(Stage) if each == values["stage"]), None),
        coated=_one_of(values["coated"], get_args(CoatedSides)),
        base=_one_of(values["base"], get_args(Base)),
        start=(page - 1) * PAGE_SIZE,
        count=PAGE_SIZE,
    )
    return ListQuery(asked, page, values)


ListQueryOf = Annotated[ListQuery, Depends(list_query)]


def _one_of(value: str, known: tuple[str, ...]) -> str | None:
    return value if value in known else None
