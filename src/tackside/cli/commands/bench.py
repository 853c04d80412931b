"""``tackside bench``: where the records lie; a backup, a restore, a move to another place."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

from cyclopts import App, Parameter

from tackside.cli.session import Force, Outcome, bench_folder
from tackside.errors import BadRequest
from tackside.files.atomic import require_free
from tackside.messages.message import Message
from tackside.messages.wording import TERMINAL

app = App(
    name="bench", help="Look after the bench: show, back up, restore, move.", result_action="return_value"
)
app.command(
    "tackside.cli.commands.bench_rejudge:rejudge",
    name="rejudge",
    help="Judge all readings again, on all cores or on a cluster.",
)


@app.command
def show() -> Outcome:
    """Show where the records and files are, and how many there are."""
    from tackside.bench.location import place_of
    from tackside.bench.store import Bench
    from tackside.bench.transfer.sidecar_files import kept_hashes

    place = place_of(bench_folder())
    bench = Bench.open(place.folder, create=False)
    counted = bench.counts()
    files = sum(1 for _ in kept_hashes(place.folder))
    told = [
        f"Records: {place.database}",
        f"Files: {files} in {place.folder / 'files'}",
        *(f"{name.replace('_', ' ').capitalize()}: {count}" for name, count in counted.items() if count),
    ]
    document = {"records": str(place.database), "folder": str(place.folder), "files": files, "rows": counted}
    return Outcome(document, "\n".join(told))


@app.command
def backup(
    out: Annotated[Path, Parameter(help="The archive to write: FILE.zip.")], *, force: Force = False
) -> Outcome:
    """Write the whole bench, records and files, into one archive; you can keep working meanwhile."""
    from tackside.bench.location import place_of
    from tackside.bench.transfer.backup import back_up

    if out.suffix.lower() != ".zip":
        raise BadRequest(f"{out.name} does not say what it is to be", "end the name in .zip")
    require_free(out, force=force)
    done = back_up(place_of(bench_folder()), out, _say)
    document = {"file": str(out), "rows": done.rows, "files": done.files, "beside": done.beside}
    return Outcome(document, f"Kept {done.rows} records and {done.files} files in {out}.")


@app.command
def restore(file: Annotated[Path, Parameter(help="An archive that bench backup wrote.")]) -> Outcome:
    """Restore a backup to the bench that --bench names; it must hold no records yet."""
    from tackside.bench.location import place_of
    from tackside.bench.transfer.backup import restore as bring_back

    place = place_of(bench_folder())
    done = bring_back(file, place, _say)
    document = {
        "bench": str(place.database),
        "rows": done.rows,
        "files": done.files,
        "beside": done.beside,
    }
    told = f"{done.rows} records and {done.files} files, all counts and hashes right"
    return Outcome(document, f"Restored {told}, to {place.database}.")


@app.command
def move(
    source: Annotated[str, Parameter(help="The bench to move: its folder or URL.")],
    target: Annotated[
        str, Parameter(help="Where to: an empty folder, or postgresql://user@host/name?files=FOLDER.")
    ],
) -> Outcome:
    """Move all records and files to another place, every count and hash verified.

    The old rows and files stay where they are, sealed: nothing reads or writes them any more.
    """
    from tackside.bench.location import place_of
    from tackside.bench.transfer.move import move_bench

    from_, to = place_of(source), place_of(target)
    moved = move_bench(from_, to, _say)
    rows = sum(moved.rows.values())
    document = {
        "from": str(from_.database),
        "to": str(to.database),
        "rows": moved.rows,
        "files": moved.files,
        "beside": moved.beside,
    }
    told = f"Moved {rows} records and {moved.files} files to {to.database}; all counts and hashes are right"
    return Outcome(
        document, f"{told}.\nThe old ones are sealed; remove them when you have a backup of the new."
    )


def _say(message: Message) -> None:
    if sys.stderr.isatty():
        print(f"\r\033[K{TERMINAL.text(message)}", end="", file=sys.stderr, flush=True)
