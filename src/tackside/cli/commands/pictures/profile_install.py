"""``tackside profile install``: a profile where the system's programs find it, and away again."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from tackside.cli.session import Outcome
from tackside.errors import BadRequest
from tackside.messages.message import Message


def install(
    file: Annotated[Path | None, Parameter(help="The profile, FILE.icc; with --undo its name there.")] = None,
    /,
    *,
    undo: Annotated[
        bool, Parameter(negative=(), help="Remove it again; without FILE the one installed last.")
    ] = False,
    force: Annotated[
        bool, Parameter(negative=(), help="Replace one of the same name that was installed this way.")
    ] = False,
) -> Outcome:
    """Put a profile into your own folder of profiles, where programs look for them, and say where.

    --undo removes what was put there this way, and nothing else.
    """
    from tackside.workflow.profiles.install import SystemPlace, install_profile, take_away

    if file is None and not undo:
        raise BadRequest("own-profile.install-what")
    place = SystemPlace.of(sys.platform, os.environ, Path.home(), file)
    if undo:
        gone = take_away(place, file)
        return Outcome({"removed": str(gone)}, str(Message("own-profile.taken-away", file=str(gone))))
    assert file is not None
    done = install_profile(file, place, force=force)
    code = "own-profile.installed" if done.is_new else "own-profile.installed-already"
    return Outcome(
        {"file": str(done.file), "description": done.description, "new": done.is_new},
        str(Message(code, file=str(done.file))),
    )
