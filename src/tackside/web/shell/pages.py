"""Pages: a template filled with a view, for one person."""

from __future__ import annotations

from functools import lru_cache
from typing import Any
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from tackside import __version__, cautions
from tackside.messages.languages import MANNERS
from tackside.messages.message import KEPT, Message
from tackside.messages.wording import Units, as_sentence
from tackside.records import GRADES
from tackside.report.plots.wedge import wedge
from tackside.web.i18n import words
from tackside.web.i18n.language import LANGUAGES, translations
from tackside.web.i18n.preferences import Person, wording_for
from tackside.web.jobs.engine.kinds import KINDS
from tackside.web.jobs.engine.results import href_of
from tackside.web.shell.coming_back import own_path
from tackside.web.shell.keys import key_of, plain_key
from tackside.web.shell.navigation import DOORS, GROUPS
from tackside.web.shell.static_files import asset
from tackside.web.workbench import workbench_of

PREFERENCES = "/preferences"


def person_at(request: Request) -> Person:
    person = request.state.person
    assert isinstance(person, Person)
    return person


def page(request: Request, template: str, /, *, status: int = 200, **view: Any) -> HTMLResponse:
    """The page (or, for htmx, the part of one) that ``template`` makes of ``view``."""
    person = person_at(request)
    bench = workbench_of(request)
    filled = environment(person.language, person.units).get_template(template).render(
        person=person,
        csrf=request.state.csrf,
        path=request.url.path,
        address=_address(request),
        menu=GROUPS,
        doors=DOORS,
        bench_name=bench.bench.folder.name,
        has_password=bench.gate.has_password,
        closes=bench.options.attendance is not None,
        **view,
    )  # fmt: skip
    return HTMLResponse(filled, status_code=status)


def _address(request: Request) -> str:
    """Where a page can be asked for again: with what stands in its query, where it was asked for and not sent to.
    Preferences lead back to where one came from, however often they are opened."""
    if request.url.path == PREFERENCES:
        return own_path(request.query_params.get("back", "/"))
    query = request.url.query if request.method == "GET" else ""
    return f"{request.url.path}?{query}" if query else request.url.path


def is_part(request: Request) -> bool:
    """Whether htmx asks for a part of a page rather than a person for the whole."""
    return request.headers.get("hx-request") == "true" and request.headers.get("hx-boosted") != "true"


@lru_cache
def environment(language: str, units: Units) -> Environment:
    """The templates in one language and units; whatever is put in is escaped, and messages are put in words."""
    wording, say = wording_for(language, units), translations(language).gettext
    made = Environment(
        loader=PackageLoader("tackside.web"),
        extensions=["jinja2.ext.i18n"],
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: wording.text(value) if isinstance(value, Message) else value,
    )
    made.install_gettext_translations(translations(language), newstyle=True)  # type: ignore[attr-defined]
    made.filters["sentence"] = lambda said: as_sentence(
        wording.text(said) if isinstance(said, Message) else said
    )
    made.filters["what"] = lambda fault: as_sentence(wording.what(fault))
    made.filters["fix"] = lambda fault: as_sentence(wording.fix(fault))
    made.filters["translated"] = lambda table, *keys: [
        (key, wording.text(table[key]) if isinstance(table[key], Message) else say(table[key]))
        for key in keys or table
    ]
    made.filters["as_message"] = lambda told: Message.of_data(told) if isinstance(told, dict) else told
    made.filters["drawn"] = Markup  # our own drawings, read back from what a job prepared
    made.globals.update(
        asset=asset,
        version=__version__,
        languages=LANGUAGES,
        colon=f"{MANNERS[language].before_colon}: ",
        wedge=_wedge,
        key_of=key_of,
        plain_key=plain_key,
        quote=_quote,
        job_title=_job_title,
        job_href=href_of,
        cautions=cautions,
        lang_of=_lang_of,
        record_words=words,
    )
    return made


def _wedge(grade: str) -> Markup:
    """The step wedge of a grade, as the report draws it."""
    found = next((each for each in GRADES if each == grade), None)
    return Markup("") if found is None else Markup(wedge(found))


def _lang_of(said: object) -> Markup:
    """The attribute of what is English in whatever language the page is: all but messages of the catalogue."""
    is_english = not isinstance(said, Message) or said.code in (KEPT, "said.fault")
    return Markup(' lang="en"') if is_english else Markup("")


def _quote(text: str) -> str:
    return quote(text, safe="")


def _job_title(kind: str) -> str:
    """What a kind of job is called, to be translated; its own name where this version does not know it."""
    return KINDS[kind].title if kind in KINDS else kind
