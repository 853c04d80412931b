"""``tackside profile build``: the card's own profile from its readings."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from tackside.cli.session import Force, Outcome, bench_folder, on_stderr

ProfileToWrite = Annotated[Path, Parameter(help="The profile to write: FILE.icc or FILE.icm.")]
Version2 = Annotated[bool, Parameter(negative=(), help="Version 2 of ICC, for older programs.")]
Description = Annotated[
    str | None, Parameter(help="The words by which programs list it; by default card and printer.")
]


def build(
    *trials: Annotated[str, Parameter(help="Trials of one card in one printer, by their ids.")],
    data: Annotated[
        list[Path] | None,
        Parameter(
            negative=(),
            help="An instrument file (CGATS or CxF) instead of trials; may be given more than once.",
        ),
    ] = None,
    out: ProfileToWrite,
    v2: Version2 = False,
    description: Description = None,
    force: Force = False,
) -> Outcome:
    """Build the card's own printer profile, and say how good it is.

    Takes trials whose sheets were printed with bare device numbers (tackside sheet --purpose device) and read by
    instrument or characterised scanner, or instrument files. Several readings are averaged; patches that nothing
    else explains are left out and named. 200 different patches are a start, 500 good.
    """
    from tackside.bench.store import Bench  # numpy and numba stay off the start-up path
    from tackside.cli.views.profiles.built import outcome_of
    from tackside.workflow.profiles.build import ProfileWishes, build_own_profile

    bench = Bench.open(bench_folder(), create=False) if trials else None
    wishes = ProfileWishes(description, v2)
    return outcome_of(
        build_own_profile(
            bench, trials, data or (), out=out, wishes=wishes, force=force, progress=on_stderr()
        )
    )
