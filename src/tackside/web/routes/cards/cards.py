"""Cards: the list, beginning one, working on it, its history."""

from __future__ import annotations

from collections.abc import Sequence

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from tackside.bench.repositories.revisions import Revision
from tackside.bench.store import Bench
from tackside.card.checks.live_check import LiveCheck
from tackside.card.file.design import CardParts, CardPicture
from tackside.errors import NotFound, TacksideError
from tackside.messages.message import Message
from tackside.records.card import CardImage, CardTypeface, KeptCard
from tackside.web.forms import card_form as fields
from tackside.web.forms.card_form import Design, design_from, design_of, design_values
from tackside.web.forms.card_start_form import FIELDS as START_FIELDS
from tackside.web.forms.card_start_form import FORMATS, begun_from
from tackside.web.forms.queries.list_query import ListQueryOf
from tackside.web.forms.received import Form, FormOf, documented
from tackside.web.forms.revision import keep_revision, revision_number
from tackside.web.forms.stock_form import Filled
from tackside.web.shell.coming_back import path_with
from tackside.web.shell.keys import key_of, name_of, plain_key
from tackside.web.shell.pages import is_part, page, person_at
from tackside.web.views.cards.card import card_view
from tackside.web.workbench import workbench_of
from tackside.workflow.cards.fonts import fonts_at_hand, fonts_of_this_computer
from tackside.workflow.cards.kept import images_of, kept_card, parts_of, tried
from tackside.workflow.profiles.offered import trials_to_convert_by

router = APIRouter(tags=["cards"])
PART_FIELDS = (
    *fields.FIELDS,
    *(f"p0_{each}" for each in fields.PICTURE_FIELDS),
    *(f"t0_{each}" for each in fields.TEXT_FIELDS),
)


@router.get("/cards")
def cards(request: Request, query: ListQueryOf) -> Response:
    """All cards: searched, sorted."""
    lines, total = workbench_of(request).bench.catalogue.cards(query.asked)
    template = "cards/_lines.html" if is_part(request) else "cards/list.html"
    return page(request, template, lines=lines, total=total, query=query)


@router.get("/make/card")
def begin(request: Request, picture: str = "") -> Response:
    """What to make: the card stock or a format, the printer, the fold, a first picture."""
    asked = {each: request.query_params.get(each, "")[:80] for each in START_FIELDS}
    values = {**asked, "stock": name_of(asked["stock"]), "printer": name_of(asked["printer"])}
    return _begin(request, Filled({**values, "picture": picture[:64]}))


@router.post("/make/card/aside", openapi_extra=documented(*START_FIELDS, "picture", "describe", files=True))
def describe_aside(request: Request, form: FormOf) -> Response:
    """Describe a printer or a card stock that a card needs, and come back to what was typed and dropped."""
    first = _first_picture(workbench_of(request).bench, form)
    typed = {each: form.get(each) for each in START_FIELDS} | {"picture": first[0] if first else ""}
    kind = "stock" if form.get("describe") == "stock" else "printer"
    typed.update({each: plain_key(typed[each]) for each in ("stock", "printer")}, **{kind: ""})
    return RedirectResponse(
        path_with(f"/describe/{kind}", back=path_with("/make/card", **typed)), status_code=303
    )


@router.post("/make/card", openapi_extra=documented(*START_FIELDS, "picture", files=True))
def keep_begun(request: Request, form: FormOf) -> Response:
    """Keep a new card, and have its first picture looked at."""
    workbench = workbench_of(request)
    bench = workbench.bench
    begun = begun_from(form, bench)
    if isinstance(begun, Filled):
        return _begin(request, begun, 422)
    if begun.stock is not None:
        bench.stocks.add(begun.stock)
    kept = keep_revision(bench.cards, begun.card, form, edited=False)
    if isinstance(kept, tuple):
        return _begin(request, kept[0], kept[1])
    base = f"/cards/{key_of(begun.card.name)}"
    first = _first_picture(bench, form)
    if first is None:
        return RedirectResponse(base, status_code=303)
    asked = {"card": begun.card.name, "panel": "front", "sha256": first[0], "name": first[1]}
    job = bench.jobs.add("card-picture", asked, subject=begun.card.name)
    workbench.runner.wake()
    return RedirectResponse(f"{base}/pictures/{job.id}", status_code=303)


@router.get("/cards/{key}")
def edit(
    request: Request, key: str, kept: int = 0, picture: str = "", panel: str = "", font: str = ""
) -> Response:
    """A card to be worked on. ``picture`` lays one that was dropped on a panel; it is kept when the card is.
    ``font`` names one that was brought just now."""
    bench = workbench_of(request).bench
    history = bench.cards.history(name_of(key))[::-1]
    newest = history[0]
    parts, images = parts_of(newest.record), images_of(bench, newest.record)
    parts = _with_picture(parts, images, picture, panel)
    values = design_values(design_of(parts), images, person_at(request)) | {"after": str(newest.number)}
    return _shown(
        request,
        history,
        design_of(parts),
        Filled(values),
        kept=kept,
        is_new_picture=bool(picture),
        new_font=font,
    )


@router.post("/cards/{key}", openapi_extra=documented(*PART_FIELDS))
def keep(request: Request, key: str, form: FormOf) -> Response:
    """Keep a card as it now is, as a new revision."""
    kept = keep_design(request, key, form)
    if isinstance(kept, Response):
        return kept
    return RedirectResponse(f"/cards/{key_of(name_of(key))}?kept={kept}", status_code=303)


@router.post("/cards/{key}/check", openapi_extra=documented(*PART_FIELDS))
def check(request: Request, key: str, form: FormOf) -> Response:
    """How the card would come out, as a part of its page: drawn, with every remark; or what is wrong.

    Nothing is kept.
    """
    bench = workbench_of(request).bench
    newest = bench.cards.kept(name_of(key))
    images, fonts = images_of(bench, newest.record), fonts_at_hand(bench, newest.record)
    found = design_from(form, parts_of(newest.record), images, person_at(request), fonts)
    if isinstance(found, Filled):
        return page(request, "cards/_faults.html", form=found)
    base = f"/cards/{key_of(newest.record.name)}"
    view = card_view(check_of(request, found.parts, images, fonts), found, images, base, person_at(request))
    return page(request, "cards/_live.html", view=view)


@router.post("/cards/{key}/unsaved", openapi_extra=documented(*PART_FIELDS))
def go_on(request: Request, key: str, form: FormOf) -> Response:
    """The page of a card with changes that were not saved, as a browser remembers them. Nothing is kept."""
    bench = workbench_of(request).bench
    history = bench.cards.history(name_of(key))[::-1]
    newest = history[0].record
    before, images, fonts = parts_of(newest), images_of(bench, newest), fonts_at_hand(bench, newest)
    found = design_from(form, before, images, person_at(request), fonts)
    if isinstance(found, Filled):
        return _shown(request, history, design_of(before), found, status=422, is_unsaved=True)
    return _shown(request, history, found, Filled(form.typed()), is_unsaved=True)


@router.post("/cards/{key}/bring-back", openapi_extra=documented("revision", "after"))
def bring_back(request: Request, key: str, form: FormOf) -> Response:
    """Make an earlier revision the newest again. The one that was newest stays in the history."""
    repository, name = workbench_of(request).bench.cards, name_of(key)
    record = repository.get(name, revision_number(form.get("revision")))
    added = repository.add(record, after=revision_number(form.get("after")))
    return RedirectResponse(f"/cards/{key_of(name)}?kept={added.revision}", status_code=303)


@router.post("/cards/{key}/archive", openapi_extra=documented("archived"))
def archive(request: Request, key: str, form: FormOf) -> Response:
    """Put a card away from the lists, or take it out again."""
    bench, name = workbench_of(request).bench, name_of(key)
    bench.cards.get(name)
    bench.catalogue.archive("card", name, archived=form.get("archived", "yes") == "yes")
    return RedirectResponse(f"/cards/{key_of(name)}", status_code=303)


def keep_design(request: Request, key: str, form: Form, *, whole: bool = False) -> int | Response:
    """The revision that what was typed is kept as; or the page that says why not.

    ``whole`` refuses a card that could not be made: one with nothing on it, or with a part that cannot stand.
    """
    bench, person = workbench_of(request).bench, person_at(request)
    history = bench.cards.history(name_of(key))[::-1]
    newest = history[0].record
    before, images, fonts = parts_of(newest), images_of(bench, newest), fonts_at_hand(bench, newest)
    found = design_from(form, before, images, person, fonts)
    if isinstance(found, Filled):
        return _shown(request, history, design_of(before), found, status=422)
    try:
        outcome = check_of(request, found.parts, images, fonts)
    except TacksideError as error:
        faults = {_field_of(error, bench, found): error.message}
        return _shown(request, history, design_of(before), Filled(form.typed(), faults), status=422)
    faults = _not_whole(found, outcome) if whole else {}
    if faults:
        return _shown(request, history, found, Filled(form.typed(), faults), status=422)
    kept = keep_revision(bench.cards, kept_card(newest.name, found.parts, images, fonts), form, edited=True)
    if isinstance(kept, tuple):
        return _shown(request, history, found, kept[0], status=kept[1])
    return kept


def check_of(
    request: Request, parts: CardParts, images: Sequence[CardImage], fonts: Sequence[CardTypeface]
) -> LiveCheck:
    """The card laid out as far as it goes. Raises NotFound for a stock or printer that the bench does not hold."""
    workbench = workbench_of(request)
    return tried(workbench.bench, parts, images, workbench.paths, fonts)


def _not_whole(design: Design, outcome: LiveCheck) -> dict[str, Message]:
    """Why a card's files cannot be made, by field."""
    faults = {design.field(part, error.place): error.message for part, error in outcome.faults.items()}
    if not outcome.feeds:
        faults["printer"] = Message("form.card-not-fed", why=outcome.faces[0].fit.warnings)
    if not design.parts.holds_something:
        faults[""] = Message("card-file.holds-nothing")
    return faults


def _field_of(error: TacksideError, bench: Bench, design: Design) -> str:
    """The field beside which it is said why a card cannot be laid out at all."""
    if not isinstance(error, NotFound):
        return ""
    try:
        bench.stocks.revision(design.parts.stock)
    except NotFound:
        return "stock"
    return "printer"


def _with_picture(parts: CardParts, images: tuple[CardImage, ...], sha256: str, panel: str) -> CardParts:
    """The design with a picture laid on a panel, in the place of one that was there."""
    image = next((each for each in images if each.sha256 == sha256), None)
    if image is None:
        return parts
    others = tuple(each for each in parts.pictures if each.panel != (panel or "front"))
    new = CardPicture(panel=panel or "front", file=image.name)
    return parts.model_copy(update={"pictures": (*others, new)})


def _shown(
    request: Request,
    history: tuple[Revision[KeptCard], ...],
    design: Design,
    form: Filled,
    *,
    status: int = 200,
    kept: int = 0,
    is_new_picture: bool = False,
    is_unsaved: bool = False,
    new_font: str = "",
) -> Response:
    """The page of a card: drawn as ``design``, with ``form`` in its fields."""
    bench, newest = workbench_of(request).bench, history[0].record
    base = f"/cards/{key_of(newest.name)}"
    images, fonts = images_of(bench, newest), fonts_at_hand(bench, newest)
    trouble, view = None, None
    try:
        view = card_view(
            check_of(request, design.parts, images, fonts), design, images, base, person_at(request)
        )
    except TacksideError as error:
        trouble = error.message
    return page(
        request, "cards/edit.html", status=status, card=newest, base=base, form=form, view=view, trouble=trouble,
        images=images, history=history, kept=kept, is_new_picture=is_new_picture,
        is_unsaved=is_unsaved, fields=fields, fonts=fonts,
        new_font=next((each.name for each in fonts if each.name == new_font), ""),
        computer_fonts=[each.name for each in fonts_of_this_computer()],
        stocks=_names(bench, "stock", newest.stock), printers=_names(bench, "printer", newest.printer),
        archived=bench.catalogue.is_archived("card", newest.name),
        convert_by=trials_to_convert_by(bench, newest.stock, newest.printer),
    )  # fmt: skip


def _first_picture(bench: Bench, form: Form) -> tuple[str, str] | None:
    """Hash and name of the picture that was dropped, else of the one of the bench that the card was begun with."""
    if form.files:
        return bench.keep_file(form.files[0].path, form.files[0].name), form.files[0].name
    sha256 = form.get("picture")
    return (sha256, bench.file_name(sha256)) if sha256 else None


def _begin(request: Request, form: Filled, status: int = 200) -> Response:
    bench = workbench_of(request).bench
    return page(
        request, "cards/begin.html", status=status, form=form, stocks=bench.catalogue.names("stock"),
        printers=bench.catalogue.names("printer"), formats=FORMATS, folds=fields.FOLDS,
        picture=bench.file_name(picture) if (picture := form.values.get("picture", "")) else "",
    )  # fmt: skip


def _names(bench: Bench, kind: str, own: str) -> list[str]:
    """The names to choose from, the card's own among them though it was put away."""
    found = bench.catalogue.names("stock" if kind == "stock" else "printer")
    return list(dict.fromkeys([*found, own]))
