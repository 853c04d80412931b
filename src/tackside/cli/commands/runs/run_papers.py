"""``tackside run picklist``, ``labels`` and ``instructions``: the papers of a run."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cautions import BLADES, PRINTING_AND_CUTTING, SMALL_PARTS
from tackside.cli.session import Force, Outcome, bench_folder
from tackside.errors import BadRequest
from tackside.files.atomic import require_free, write_atomically
from tackside.messages.wording import documents

# Labels are cut apart and packed with the cards.
LABEL_CAUTIONS = (BLADES, SMALL_PARTS)

RunFile = Annotated[Path, Parameter(help="The run file (TOML): cards, quantities, prices.")]
PdfToWrite = Annotated[Path, Parameter(help="The PDF to write.")]


def picklist(file: RunFile, *, out: PdfToWrite, force: Force = False) -> Outcome:
    """Write the pick list: what to fetch and print, in order, with space to count by hand."""
    from tackside.workflow.runs import write_papers  # slow to import: for this command alone
    from tackside.workflow.runs.keep import plan_file

    _refuse_other_than(out, ".pdf")
    require_free(out, force=force, inputs=(file,))
    write_atomically(out, write_papers.pick_list(plan_file(_bench(), file)))
    return Outcome({"file": str(out)}, f"Wrote {out}.", cautions=PRINTING_AND_CUTTING)


def labels(file: RunFile, *, out: PdfToWrite, force: Force = False) -> Outcome:
    """Write a label for each card, on label sheets as the run file describes them. Print at 100 %."""
    from tackside.workflow.runs import write_papers  # slow to import: for this command alone
    from tackside.workflow.runs.keep import plan_file

    _refuse_other_than(out, ".pdf")
    require_free(out, force=force, inputs=(file,))
    made = write_papers.labels(plan_file(_bench(), file))
    write_atomically(out, made.pdf)
    return Outcome(
        {"file": str(out), "labels": made.count, "warnings": documents(made.fonts.warnings)},
        f"Wrote {out}: {made.count:,} labels. Print them at 100 %.",
        made.fonts.warnings,
        LABEL_CAUTIONS,
    )


def instructions(
    file: RunFile,
    *,
    batch: Annotated[int | None, Parameter(help="One batch only, by its number.")] = None,
    out: Annotated[
        Path | None, Parameter(help="A PDF or text file to write; without it, the text is shown here.")
    ] = None,
    force: Force = False,
) -> Outcome:
    """Show line by line what to enter in the printer's driver, for printers that do not support IPP."""
    from tackside.workflow.runs import write_papers  # slow to import: for this command alone
    from tackside.workflow.runs.keep import plan_file

    if out is not None:
        _refuse_other_than(out, ".pdf", ".txt")
        require_free(out, force=force, inputs=(file,))
    bench = _bench()
    plan = plan_file(bench, file)
    cards = write_papers.instructions(bench, plan, batch)
    text = write_papers.instructions_text(cards)
    if out is not None:
        pdf = out.suffix.lower() == ".pdf"
        write_atomically(out, write_papers.instructions_pdf(plan, cards) if pdf else text.encode())
    told = [{**card, "lines": dict(card["lines"]), "notes": documents(card["notes"])} for card in cards]
    return Outcome(
        {"file": None if out is None else str(out), "cards": told}, text if out is None else f"Wrote {out}."
    )


def _bench() -> Bench:
    return Bench.open(bench_folder(), create=False)


def _refuse_other_than(out: Path, *suffixes: str) -> None:
    if out.suffix.lower() not in suffixes:
        pdf_alone = suffixes == (".pdf",)
        raise BadRequest("paper.not-a-pdf" if pdf_alone else "paper.neither-pdf-nor-text", file=out.name)
