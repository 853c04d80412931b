"""``tackside bench``: where the records lie; a check, a backup, a restore, a move to another place, a repair."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any

from cyclopts import App, Parameter

from tackside.cli.session import Force, Outcome, bench_folder
from tackside.errors import BadRequest, StorageTrouble, TacksideError
from tackside.files.atomic import require_free
from tackside.messages.message import Message
from tackside.messages.wording import TERMINAL
from tackside.messages.wording import document as document_of

app = App(
    name="bench",
    help="Look after the bench: show, check, back up, restore, move, repair.",
    result_action="return_value",
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
    document = {
        "file": str(out), "rows": done.rows, "files": done.files, "beside": done.beside,
        "lacks": _told(done.lacks),
    }  # fmt: skip
    text = f"Kept {done.rows} records and {done.files} files in {out}."
    return Outcome(document, text, faults=_faults(done.lacks))


@app.command
def check() -> Outcome:
    """Hold every record and file against what was kept, and say what is damaged or missing. Changes nothing."""
    from tackside.bench.location import place_of
    from tackside.bench.transfer.backup import check_bench

    place = place_of(bench_folder())
    done = check_bench(place, _say)
    document = {
        "bench": str(place.database), "rows": done.rows, "files": done.files, "flaws": _told(done.flaws)
    }  # fmt: skip
    sound = f"{done.rows} records and {done.files} files are as they were kept"
    text = f"{sound}." if not done.flaws else f"{sound}; {len(done.flaws)} faults were found."
    return Outcome(document, text, faults=_faults(done.flaws))


@app.command
def repair(
    into: Annotated[str, Parameter(help="Where to: an empty folder, or the URL of an empty database.")],
) -> Outcome:
    """Save what can be saved of a damaged bench into a new one. The damaged one stays as it is."""
    from tackside.bench.location import place_of
    from tackside.bench.transfer.repair import repair as save

    place, target = place_of(bench_folder()), place_of(into)
    done = save(place, target, _say)
    document = {
        "from": str(place.database), "to": str(target.database), "rows": done.rows, "files": done.files,
        "beside": done.beside, "lacks": _told(done.lacks),
    }  # fmt: skip
    text = f"Saved {done.rows} records and {done.files} files to {target.database}."
    return Outcome(document, text, faults=_faults(done.lacks))


@app.command
def restore(file: Annotated[Path, Parameter(help="An archive that bench backup wrote.")]) -> Outcome:
    """Restore a backup to the bench that --bench names; it must hold no records yet."""
    from tackside.bench.location import place_of
    from tackside.bench.transfer.restore import restore as bring_back

    place = place_of(bench_folder())
    done = bring_back(file, place, _say)
    document = {
        "bench": str(place.database),
        "rows": done.rows,
        "files": done.files,
        "beside": done.beside,
        "lacks": _told(done.lacks),
    }
    told = f"{done.rows} records and {done.files} files, all counts and hashes right"
    lacked = "" if not done.lacks else " What follows was damaged before that backup was made."
    return Outcome(document, f"Restored {told}, to {place.database}.{lacked}", faults=_faults(done.lacks))


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
        "lacking": _told(moved.lacking),
    }
    told = f"Moved {rows} records and {moved.files} files to {to.database}; all counts and hashes are right"
    sealed = "The old ones are sealed; remove them when you have a backup of the new."
    return Outcome(document, f"{told}.\n{sealed}", faults=_faults(moved.lacking))


def _faults(flaws: Sequence[Message]) -> tuple[TacksideError, ...]:
    return tuple(StorageTrouble.saying(flaw) for flaw in flaws)


def _told(flaws: Sequence[Message]) -> list[dict[str, Any]]:
    return [document_of(flaw) for flaw in flaws]


def _say(message: Message) -> None:
    if sys.stderr.isatty():
        print(f"\r\033[K{TERMINAL.text(message)}", end="", file=sys.stderr, flush=True)
