"""``tackside stock export`` and ``import``: all that is known of a stock, as one file to hand on."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cli.session import Force, Outcome, bench_folder, on_stderr
from tackside.errors import BadRequest
from tackside.files.atomic import require_free


def export(
    name: Annotated[str, Parameter(help="Name of the stock.")],
    *,
    out: Annotated[Path, Parameter(help="The archive to write: FILE.zip.")],
    force: Force = False,
) -> Outcome:
    """Write a stock's record with its trials, readings, verdicts and scans into one archive to share."""
    from tackside.workflow.stocks.exchange import hand_on

    if out.suffix.lower() != ".zip":
        raise BadRequest(f"{out.name} does not say what it is to be", "end the name of --out in .zip")
    require_free(out, force=force)
    done = hand_on(Bench.open(bench_folder(), create=False), name, out, on_stderr())
    readings = sum(len(each.readings) for each in done.trials)
    document = {
        "file": str(out),
        "name": done.stock[0].record.name,
        "schema_version": done.schema_version,
        "trials": [each.trial.id for each in done.trials],
        "readings": readings,
        "files": len(done.files),
    }
    told = f"{len(done.trials)} trials, {readings} readings and {len(done.files)} files"
    return Outcome(document, f"Wrote {told} of {done.stock[0].record.name} to {out}.")


def import_(
    file: Annotated[Path, Parameter(help="An archive that stock export wrote.")],
    *,
    keep: Annotated[
        Literal["mine", "theirs", "both"] | None,
        Parameter(
            help="Where you both edited the stock: whose record to use, or both (theirs gets another name)."
        ),
    ] = None,
) -> Outcome:
    """Import what someone else found out about a stock. It is added to what you have; nothing of yours changes."""
    from tackside.workflow.stocks.exchange import take_in

    taken = take_in(Bench.open(bench_folder()), file, keep, on_stderr())
    document = {
        "name": taken.stock,
        "revisions": taken.revisions,
        "trials": taken.trials,
        "readings": taken.readings,
        "verdicts": taken.verdicts,
        "withdrawals": taken.withdrawals,
        "files": taken.files,
        "renamed": taken.renamed,
    }
    new = taken.revisions + len(taken.trials) + taken.readings + taken.verdicts + taken.withdrawals
    told = f"{len(taken.trials)} trials, {taken.readings} readings and {taken.verdicts} verdicts of {taken.stock}"
    warnings = tuple(
        f"their trial {theirs} is {ours} here: your own {theirs} is another print"
        for theirs, ours in taken.renamed.items()
    )
    return Outcome(document, f"Took in {told}." if new else "Nothing new: you have all of it.", warnings)


def schema() -> Outcome:
    """Print the JSON Schema of what an exported archive says of itself."""
    import json

    from tackside.bench.transfer.exchange import schema as made

    found = made()
    return Outcome(found, json.dumps(found, indent=1))
