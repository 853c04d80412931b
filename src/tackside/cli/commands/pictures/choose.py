"""``tackside choose``: which card for these pictures."""

from __future__ import annotations

from dataclasses import asdict
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Any

import pyvips
from cyclopts import Parameter
from rich.console import RenderableType
from rich.text import Text

from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.spreading import HERE, Spreading, told
from tackside.cli.views import facts
from tackside.errors import BadProfile, BadRequest, NotFound
from tackside.files.atomic import atomic_path, write_atomically
from tackside.picture.choose.answer import answer, best_of_each_stock, how, why
from tackside.picture.choose.candidates import Candidate, Wanted, candidates, sheet_price
from tackside.picture.choose.cards import CardProfile
from tackside.picture.choose.choose import Choice, Ranked
from tackside.picture.choose.choose import choose as weigh_up
from tackside.picture.choose.contact_sheet import as_html, as_image, contact_sheet
from tackside.picture.file.gather import gather_pictures
from tackside.picture.proof.ways import LeftOut, ways_of
from tackside.picture.read_cards import comparable
from tackside.picture.work_out import CACHE
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import with_profile
from tackside.tasks.cache import prune_now_and_then

SHEETS = (".html", ".png", ".tif", ".tiff")
SHOWN_PICTURES = 20


def choose(
    *picture: Annotated[Path, Parameter(help="Pictures, or folders of them.")],
    stocks: Annotated[
        tuple[str, ...],
        Parameter(help="Only these stocks.", consume_multiple=True),
    ] = (),
    profiles: Annotated[
        tuple[Path, ...], Parameter(help="Printer profiles to weigh up as well.", consume_multiple=True)
    ] = (),
    printer: Annotated[str | None, Parameter(help="Only cards tried on this printer.")] = None,
    size_mm: Annotated[
        tuple[float, float] | None, Parameter(help="Width and height of the folded card that you want.")
    ] = None,
    max_price: Annotated[
        Decimal | None, Parameter(help="The most that a sheet may cost, in its own currency.")
    ] = None,
    on_hand: Annotated[
        int | None, Parameter(help="Only stocks of which so many sheets are on hand, by their records.")
    ] = None,
    sheet: Annotated[
        Path | None, Parameter(help="Write a contact sheet of the proofs: .html, .png or .tif.")
    ] = None,
    spreading: Spreading = HERE,
) -> Outcome:
    """Say which card suits these pictures, with which profile and intent.

    Weighs up every card on the bench that was read, by its newest reading, and every profile named. Without
    readings the profiles are ranked for the papers that they were made for. Comparison is media-relative: what
    an eye sees that has taken the card's white for white.
    """
    spreading.refuse_nonsense()
    if sheet is not None and sheet.suffix.lower() not in SHEETS:
        raise BadRequest(f"a contact sheet cannot be written as {sheet.name}", f"name it {', '.join(SHEETS)}")
    paths = gather_pictures(picture)
    wanted = Wanted(stocks, printer, size_mm, max_price, on_hand)
    found, left = _cards(wanted, named_profiles=bool(profiles))
    ways, unusable = ways_of([(each.card, each.prints_bare_numbers) for each in found], _profiles(profiles))
    if not ways:
        raise _nothing(left + unusable)
    cache = bench_folder() / CACHE if found else None
    choice = weigh_up(
        paths,
        ways,
        cache=cache,
        workers=spreading.workers,
        cluster=spreading.cluster,
        progress=told("pictures"),
    )
    if cache is not None:
        prune_now_and_then(cache)
    sound = sum(each.fault is None for each in choice.pictures)
    said = answer(choice.ranking, sound)
    if sheet is not None:
        _write_sheet(choice, said, sheet)
    left = [*left, *unusable, *choice.left_out]
    return Outcome(
        document(choice, said, found, left, sheet),
        text(choice, said, found, left, sheet),
        _warnings(found, choice),
    )


def _cards(wanted: Wanted, *, named_profiles: bool) -> tuple[list[Candidate], list[LeftOut]]:
    asked = wanted.asks
    try:
        bench = Bench.open(bench_folder(), create=False)
        found, left = candidates(bench, wanted)
    except NotFound:
        if named_profiles and not asked:
            return [], []
        raise
    if not found and not left and not named_profiles:
        raise NotFound(
            "no trial on the bench has a reading",
            "print a test sheet and read it (tackside read TRIAL FILE), or name profiles with --profiles",
        )
    if not found and asked:
        raise _nothing(left)
    return found, left


def _nothing(left: list[LeftOut]) -> NotFound:
    reasons = "; ".join(f"{each.name}: {each.why}" for each in left[:3])
    return NotFound(
        f"no card that was read is what you want ({reasons})" if reasons else "there is no card to weigh up",
        "ask for less, or read a test sheet of another card",
    )


def _profiles(files: tuple[Path, ...]) -> list[CardProfile]:
    profiles = []
    for file in files:
        profile = CardProfile(file.name, read_profile_file(file))
        try:
            profile.device  # noqa: B018  a file that is no printer profile is said so of before any work
        except BadProfile as error:
            raise BadProfile(f"{file}: {error.what}", error.fix) from error
        profiles.append(profile)
    return profiles


def _write_sheet(choice: Choice, said: str, path: Path) -> None:
    made = contact_sheet(choice, said)
    if path.suffix.lower() == ".html":
        write_atomically(path, as_html(made).encode("utf-8"))
        return
    pixels = as_image(made)
    image = with_profile(pyvips.Image.new_from_array(pixels), working_space_profile("srgb"))
    with atomic_path(path) as temporary:
        if path.suffix.lower() == ".png":
            image.pngsave(str(temporary), compression=6)
        else:
            image.tiffsave(str(temporary), compression="deflate", predictor="horizontal")


def _warnings(found: list[Candidate], choice: Choice) -> tuple[str, ...]:
    said = [f"{each.path.name}: {each.fault}" for each in choice.pictures if each.fault is not None]
    if not comparable([each.card.reading for each in found]):
        said.append("these cards were read in different ways, so the ranking between them is only a hint")
    elif found and any(each.card.reading.kind == "scan" for each in found):
        said.append(
            "the cards were read by scanner: the ranking is sound, the figures themselves are estimates"
        )
    return tuple(said)


def document(
    choice: Choice, said: str, found: list[Candidate], left: list[LeftOut], sheet: Path | None
) -> dict[str, Any]:
    """The choice as plain data, best first."""
    by_name = {each.card.name: each for each in found}
    return {
        "answer": said,
        "ranking": [_row(each, by_name.get(each.way.stock)) for each in choice.ranking],
        "pictures": [
            {
                "file": str(each.path),
                "stock": each.way.stock if each.way else None,
                "profile": each.way.profile if each.way else None,
                "intent": each.way.variant.intent if each.way else None,
                "score": round(each.score, 1) if each.score is not None else None,
                "fault": each.fault,
            }
            for each in choice.pictures
        ],
        "left_out": [{"name": each.name, "why": each.why} for each in left],
        "comparable": comparable([each.card.reading for each in found]),
        "sheet": None if sheet is None else str(sheet),
    }


def _row(ranked: Ranked, candidate: Candidate | None) -> dict[str, Any]:
    way = ranked.way
    price = sheet_price(candidate.stock) if candidate else None
    return {
        "stock": way.stock,
        "profile": way.profile,
        "intent": way.variant.intent,
        "black_point_compensation": way.variant.bpc,
        "score": round(ranked.score, 2),
        "why": why(ranked),
        "cost": round(ranked.cost, 3),
        "best_of": ranked.best_of,
        "trial": candidate.trial.id if candidate else None,
        "printer": candidate.trial.printer if candidate else None,
        "sheet_price": f"{price:.2f}" if price is not None else None,
        "figures": {
            name: None if value is None else round(value, 4) for name, value in asdict(ranked.figures).items()
        },
    }


def text(
    choice: Choice, said: str, found: list[Candidate], left: list[LeftOut], sheet: Path | None
) -> RenderableType:
    """The answer, then each stock by its best way, then each picture."""
    best = best_of_each_stock(choice.ranking)
    rows = [
        (f"{number}", each.way.stock, f"{each.score:.0f}", f"{how(each.way)}: {why(each)}")
        for number, each in enumerate(best, start=1)
    ]
    parts: list[RenderableType] = [
        Text(said, style="bold"),
        "",
        facts.listing(("", "card", "score", "why"), rows),
    ]
    sound = [each for each in choice.pictures if each.way is not None]
    if 1 < len(sound) <= SHOWN_PICTURES and len(best) > 1:
        each_best = [
            (each.path.name, each.way.stock, each.way.variant.intent, f"{each.score:.0f}")
            for each in sound
            if each.way is not None
        ]
        parts.append(facts.listing(("picture", "its best card", "intent", "score"), each_best))
    if left:
        parts += [facts.sentences([f"{each.name}: {each.why}" for each in left], "left out", "dim"), ""]
    if sheet is not None:
        parts.append(facts.facts([("Contact sheet", str(sheet))]))
    count = len(found)
    title = f"Which card, of {count} that were read" if count else "Which profile's paper"
    return facts.page(title, *parts)
