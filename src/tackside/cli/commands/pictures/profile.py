"""``tackside profile``: profiles built, and looked into. A command only calls the floors below."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import App, Parameter

from tackside.cli.session import Force, Outcome
from tackside.files.atomic import require_free

app = App(
    name="profile",
    help="Build the card's own profile; say what profiles are, and what is wrong with them.",
    result_action="return_value",
)


@app.command
def show(
    file: Annotated[Path, Parameter(help="An ICC profile, or a picture with one embedded.")],
    *,
    page: Annotated[Path | None, Parameter(help="Write a page with plots as well: FILE.html.")] = None,
    force: Force = False,
) -> Outcome:
    """Show what a profile is: spaces, white and black, intents, round trips, gamut, smoothness, faults."""
    from tackside.cli.views.profiles import shown  # LittleCMS and numpy stay off the start-up path

    require_free(page, force=force, inputs=(file,))
    return shown.show(file, page)


@app.command(name="list")
def list_(
    folder: Annotated[Path | None, Parameter(help="A folder to look in as well.")] = None,
) -> Outcome:
    """List the colour profiles that this computer holds."""
    from tackside.cli.views.profiles import listed

    return listed.list_profiles(folder)


app.command(
    "tackside.cli.commands.pictures.profile_build:build",
    name="build",
    help="Build the card's own profile, and say how good it is.",
)
app.command(
    "tackside.cli.commands.pictures.profile_check:check",
    name="check",
    help="Say what a profile promised of a sheet printed through it, and what came.",
)
app.command(
    "tackside.cli.commands.pictures.profile_check:refine",
    name="refine",
    help="Build a profile again from its readings and a print through it.",
)
app.command(
    "tackside.cli.commands.pictures.profile_install:install",
    name="install",
    help="Put a profile where the system looks for them, or take it away again.",
)
app.command(
    "tackside.cli.commands.pictures.profile_match:match",
    name="match",
    help="Say which profile comes closest to a card.",
)
