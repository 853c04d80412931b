"""``tackside profile``: what colour profiles are, and which the system holds. A command only calls the floors below."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import App, Parameter

from tackside.cli.session import Outcome

app = App(
    name="profile",
    help="Say what colour profiles are, and what is wrong with them.",
    result_action="return_value",
)


@app.command
def show(
    file: Annotated[Path, Parameter(help="An ICC profile, or a picture with one embedded.")],
    *,
    page: Annotated[Path | None, Parameter(help="Write a page with plots as well: FILE.html.")] = None,
) -> Outcome:
    """Show what a profile is: spaces, white and black, intents, round trips, gamut, smoothness, faults."""
    from tackside.cli.views import profile_show  # LittleCMS and numpy stay off the start-up path

    return profile_show.show(file, page)


@app.command(name="list")
def list_(
    folder: Annotated[Path | None, Parameter(help="A folder to look in as well.")] = None,
) -> Outcome:
    """List the colour profiles that this computer holds."""
    from tackside.cli.views import profile_list

    return profile_list.list_profiles(folder)


app.command(
    "tackside.cli.commands.pictures.profile_match:match",
    name="match",
    help="Say which profile comes closest to a card.",
)
