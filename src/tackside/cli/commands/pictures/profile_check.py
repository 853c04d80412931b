"""``tackside profile check`` and ``refine``: a print beside the promise of its profile, and the profile corrected."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import Parameter
from rich.console import RenderableType

from tackside.bench.store import Bench
from tackside.cli.commands.pictures.profile_build import Description, ProfileToWrite, Version2
from tackside.cli.session import Force, Outcome, bench_folder, on_stderr
from tackside.cli.views import facts
from tackside.messages.wording import TERMINAL, document, documents

if TYPE_CHECKING:
    from tackside.workflow.profiles.check import KeptPromise, ProfileCheck

HEADS = ("Patch", "Promised L* a* b*", "Came L* a* b*", "ΔE00")


def check(
    trial: Annotated[
        str, Parameter(help="The trial whose sheet went through the profile, once it was read.")
    ],
    /,
) -> Outcome:
    """Say what a profile promised of a sheet that was printed through it (tackside sheet --profile), and what came."""
    from tackside.workflow.profiles.check import check_profile

    found = check_profile(Bench.open(bench_folder(), create=False), trial)
    told: dict[str, Any] = {
        "trial": found.trial,
        "profile": found.through.profile,
        "intent": found.through.intent,
        "bpc": found.through.black_point_compensation,
        "de00_median": found.median,
        "de00_p95": found.p95,
        "paper": found.paper,
        "black": found.black,
        "grey_shift": None if found.shift is None else list(found.shift),
        "uncertainty_de00": found.uncertainty,
        "says": document(found.told),
        "patches": [_patch(each) for each in found.patches],
        "notices": documents(found.notices),
    }
    return Outcome(told, _text(found))


def refine(
    trial: Annotated[
        str, Parameter(help="The trial whose sheet went through the profile, once it was read.")
    ],
    /,
    *,
    out: ProfileToWrite,
    v2: Version2 = False,
    description: Description = None,
    force: Force = False,
) -> Outcome:
    """Correct a profile by a print that went through it: build it again from its readings and from that print.

    What it was built from is known of a profile of this bench; others carry their measurements.
    """
    from tackside.cli.views.profiles.built import outcome_of
    from tackside.workflow.profiles.build import ProfileWishes, refine_own_profile

    bench = Bench.open(bench_folder(), create=False)
    wishes = ProfileWishes(description, v2)
    return outcome_of(
        refine_own_profile(bench, trial, out=out, wishes=wishes, force=force, progress=on_stderr())
    )


def _patch(each: KeptPromise) -> dict[str, Any]:
    return {
        "name": each.name,
        "rgb": list(each.asked),
        "promised": list(each.promised),
        "came": list(each.came),
        "de00": each.de00,
    }


def _text(found: ProfileCheck) -> RenderableType:
    rows: list[tuple[str, RenderableType | None]] = [
        ("Profile", found.through.profile),
        ("All patches", f"ΔE00 {found.median:.2f} in the middle, 95 % within {found.p95:.2f}"),
        ("Paper", _alone(found.paper)),
        ("Black", _alone(found.black)),
        ("Greys", _shift(found.shift)),
        ("The reading", f"trusted to about ΔE00 {found.uncertainty:.1f}"),
    ]
    notices: list[RenderableType] = (
        ["", facts.sentences(TERMINAL.texts(found.notices), "!", "yellow")] if found.notices else []
    )
    return facts.page(
        f"Trial {found.trial}: what was promised, and what came",
        facts.sentences([TERMINAL.text(found.told)], "→", "bold"),
        "",
        facts.facts(rows),
        "",
        "Farthest apart:",
        facts.listing(HEADS, [_line(each) for each in found.worst]),
        *notices,
    )


def _alone(de00: float | None) -> str | None:
    return None if de00 is None else f"ΔE00 {de00:.2f}"


def _shift(shift: tuple[float, float, float] | None) -> str | None:
    if shift is None:
        return None
    parts = (f"{name} {step:+.2f}" for name, step in zip(("L*", "a*", "b*"), shift, strict=True))
    return f"came off by {', '.join(parts)}, in the middle".replace("-", "−")


def _line(each: KeptPromise) -> tuple[str, str, str, str]:
    one, two = (
        " ".join(f"{value:.1f}" for value in lab).replace("-", "−") for lab in (each.promised, each.came)
    )
    return each.name, one, two, f"{each.de00:.2f}"
