"""``tackside profile match``: which profile comes closest to this card, and in what it is wrong."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter
from rich import box
from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder, bench_if_there
from tackside.cli.views import facts
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.messages.wording import TERMINAL, documents
from tackside.picture.found_reading import FoundReading
from tackside.profile.match.match import Match
from tackside.profile.match.match_advice import MatchAdvice
from tackside.workflow.pictures.measured_file import reading_of_file
from tackside.workflow.pictures.profile_files import profile_files
from tackside.workflow.pictures.profiles import match as match_profiles
from tackside.workflow.pictures.profiles import own_profiles
from tackside.workflow.pictures.read_cards import reading_of

LEGEND = (
    "Median and 95 %: ΔE00 over all patches, paper included. White: ΔE00 of the papers. Black: L* of the profile's "
    "less the card's. Tone: mean L* by which the greys differ, white and black made equal. Then, of colourful patches: "
    "hue in degrees, and the card's chroma over the profile's."
)


def match(
    *named: Annotated[
        Path, Parameter(help="TRIAL, unless --data is given, then profiles or folders of them.")
    ],
    data: Annotated[
        Path | None, Parameter(help="Match this instrument file (CGATS or CxF) instead of a trial.")
    ] = None,
) -> Outcome:
    """Say which of your profiles predicts this card best, how far off it is, and in what.

    Takes a device trial (or an instrument file) and any number of printer profiles; one that was built from the trial
    is held against it as well. Each profile's colorimetric prediction is compared with what was measured, paper
    included: ΔE00, split into white, black, tone and colour.
    """
    found, profiles, built = _split(named, data)
    matched = match_profiles(found, profiles, built)
    advice, own = matched.advice, matched.own
    document = {
        "source": found.reading.source_name,
        "trial": found.reading.trial,
        "uncertainty_de00": found.reading.uncertainty.de00,
        "gamut_volume": matched.volume,
        "profiles": [profile_document(each) for each in matched.matches],
        "advice": " ".join(TERMINAL.texts(advice.sentences)),
        "sentences": documents(advice.sentences),
        "verdict": advice.verdict,
        "profile": advice.profile,
        "close": list(advice.close),
        "own_reading": {
            "use": advice.use_own_reading,
            "de00_median": own.de00_median if own else None,
            "de00_p95": own.de00_p95 if own else None,
        },
        "notices": documents(matched.notices),
    }
    return Outcome(document, _text(found, matched.matches, advice, matched.notices))


def _split(
    named: tuple[Path, ...], data: Path | None
) -> tuple[FoundReading, tuple[Path, ...], tuple[tuple[str, bytes], ...]]:
    """The reading, the profiles' files, and what was built from it. A trial comes first where there is no --data."""
    if data is not None:
        return reading_of_file(data), profile_files(named), ()
    if not named or (len(named) == 1 and (named[0].exists() or bench_if_there() is None)):
        raise BadRequest("match.what-it-takes")
    if named[0].exists():
        raise BadRequest("match.file-for-trial", file=str(named[0]))
    bench, trial = Bench.open(bench_folder(), create=False), str(named[0])
    built = own_profiles(bench, trial)
    if len(named) == 1 and not built:
        raise BadRequest("match.what-it-takes")
    return reading_of(bench, trial), profile_files(named[1:]) if len(named) > 1 else (), built


def profile_document(found: Match) -> dict[str, Any]:
    """One profile beside the card as plain data."""
    return {
        "file": found.file,
        "description": found.description,
        "de00_median": found.de00_median,
        "de00_p95": found.de00_p95,
        "white": found.white,
        "white_lab": list(found.white_lab),
        "black": found.black,
        "tone": found.tone,
        "tone_shift": found.tone_shift,
        "hue": found.hue_deg,
        "chroma": found.chroma,
        "after": {"white": found.after.white, "black": found.after.black, "tone": found.after.tone},
        "gamut_volume": found.gamut_volume,
        "volume_share": found.volume_share,
    }


def _text(
    found: FoundReading, matches: tuple[Match, ...], advice: MatchAdvice, notices: tuple[Message, ...]
) -> RenderableType:
    table = Table(box=box.SIMPLE_HEAD, header_style="dim", pad_edge=False, padding=(0, 1))
    table.add_column("", no_wrap=True)
    table.add_column("Profile", ratio=1)
    for head in ("median", "95 %", "white", "black", "tone", "hue", "chroma"):
        table.add_column(head, justify="right", no_wrap=True)
    for each in matches:
        table.add_row(
            "→" if each.file == advice.profile else "",
            Text(each.description),
            f"{each.de00_median:.1f}",
            f"{each.de00_p95:.1f}",
            f"{each.white:.1f}",
            f"{each.black:+.1f}".replace("-", "−"),
            _or_dash(each.tone, ".1f"),
            _or_dash(each.hue_deg, ".1f"),
            _or_dash(each.chroma, ".2f"),
        )
    borne: list[RenderableType] = (
        ["", facts.sentences(TERMINAL.texts(notices), "!", "yellow")] if notices else []
    )
    return facts.page(
        f"Profiles beside {found.title}",
        facts.sentences(TERMINAL.texts(advice.sentences), "•", "dim"),
        table,
        Text(LEGEND, style="dim italic"),
        *borne,
    )


def _or_dash(value: float | None, form: str) -> str:
    return "–" if value is None else format(value, form)
