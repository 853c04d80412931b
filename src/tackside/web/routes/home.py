"""The first page, what went wrong, and a person's preferences."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.bench.repositories.catalogue import ListAsked
from tackside.web.forms.received import FormOf, documented
from tackside.web.i18n.language import LANGUAGES
from tackside.web.i18n.preferences import COOKIES, THEMES, UNITS
from tackside.web.safety.guard import YEAR_SECONDS
from tackside.web.shell.coming_back import own_path
from tackside.web.shell.pages import page
from tackside.web.views.home import home_view
from tackside.web.workbench import workbench_of

router = APIRouter(tags=["pages"])


@router.get("/")
def home(request: Request) -> Response:
    """What a person may want to do, what waits, and the one next step."""
    return page(request, "home/home.html", view=home_view(workbench_of(request).bench))


@router.get("/wrong")
def wrong(request: Request) -> Response:
    """Find out what went wrong: the prints that fell short, and how to test one that was never tested."""
    catalogue = workbench_of(request).bench.catalogue
    lines, _ = catalogue.trials(
        ListAsked(grades=("reject", "draft", "send"), sort="newest", count=12, total=False)
    )
    return page(request, "home/wrong.html", lines=lines)


@router.get("/preferences")
def preferences(request: Request, back: str = "/") -> Response:
    return page(request, "home/preferences.html", back=own_path(back), units=UNITS, themes=THEMES)


@router.post("/preferences", openapi_extra=documented("language", "units", "theme", "back"))
def keep_preferences(request: Request, form: FormOf) -> Response:
    """Keep language, units and theme in the browser."""
    answer = RedirectResponse(own_path(form.get("back", "/")), status_code=303)
    known = {"language": tuple(LANGUAGES), "units": UNITS, "theme": THEMES}
    for name, cookie in COOKIES.items():
        value = form.get(name)
        if value in known[name]:
            answer.set_cookie(cookie, value, max_age=YEAR_SECONDS, samesite="strict", httponly=True)
    return answer
