"""The comparison as one HTML page that needs nothing from outside: style, fonts and drawings are in it."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache
from importlib import resources

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from tackside import __version__
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.report.entry import Entry
from tackside.report.pages.views import Extras, page_view
from tackside.report.published import published

FONTS = {"400": "Cabin-Regular.otf", "700": "Cabin-Bold.otf"}


def render_report(
    entries: Sequence[Entry],
    *,
    title: str | None = None,
    note: str | None = None,
    made_at: datetime | None = None,
    extras: Extras | None = None,
    style_href: str | None = None,
) -> str:
    """One self-contained HTML page that compares trials; names from users are escaped. Same input, same page.

    ``note`` is shown under the title, for a demo that must say so; ``made_at`` dates the page (by default the
    newest verdict does); ``extras`` are pictures of the prints, the data and a licence, for publishing.
    With ``style_href`` the page is one of a site and takes its style from that file. Raises BadRequest without entries.
    """
    if not entries:
        raise BadRequest("report.no-trials")
    view = page_view(entries, title, note, made_at, __version__, extras)
    return (
        environment()
        .get_template("report.html.j2")
        .render(page=view, style=style_sheet(), style_href=style_href)
    )


@lru_cache(maxsize=1)
def environment() -> Environment:
    """The templates of this floor; whatever is put in is escaped."""
    return Environment(
        loader=PackageLoader("tackside.report"),
        autoescape=True,
        finalize=lambda value: published(value) if isinstance(value, Message) else value,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@lru_cache(maxsize=1)
def style_sheet() -> Markup:
    """The style sheet with the fonts inside."""
    faces = [
        f'@font-face{{font-family:"Cabin";font-weight:{weight};font-display:block;'
        f'src:url("data:font/otf;base64,{_base64_font(name)}") format("opentype")}}'
        for weight, name in FONTS.items()
    ]
    css = resources.files("tackside.report").joinpath("templates", "report.css").read_text(encoding="utf-8")
    return Markup("\n".join([*faces, css]))


def _base64_font(name: str) -> str:
    data = (resources.files("tackside.sheet") / "fonts" / name).read_bytes()
    return base64.b64encode(data).decode("ascii")
