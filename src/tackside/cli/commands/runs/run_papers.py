"""``tackside run picklist``, ``labels`` and ``instructions``: the papers of a run."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cautions import BLADES, SMALL_PARTS
from tackside.cli.session import Outcome, bench_folder
from tackside.errors import BadRequest
from tackside.files.atomic import write_atomically
from tackside.run.papers import papers
from tackside.run.plan import gather
from tackside.run.plan.plan import RunPlan

# Labels are cut apart and packed with the cards.
LABEL_CAUTIONS = (BLADES, SMALL_PARTS)

RunFile = Annotated[Path, Parameter(help="The run file (TOML): cards, quantities, prices.")]


def picklist(file: RunFile, *, out: Annotated[Path, Parameter(help="The PDF to write.")]) -> Outcome:
    """Write the pick list: what to fetch and print, in order, with places to count by hand."""
    _refuse_other_than(out, ".pdf")
    plan, _ = _plan(file)
    write_atomically(out, papers.pick_list(plan))
    return Outcome({"file": str(out)}, f"Wrote {out}.", cautions=papers.PICK_LIST_CAUTIONS)


def labels(file: RunFile, *, out: Annotated[Path, Parameter(help="The PDF to write.")]) -> Outcome:
    """Write a label for each card, on label sheets as the run file describes them. Print at 100 %."""
    _refuse_other_than(out, ".pdf")
    plan, _ = _plan(file)
    texts = papers.label_texts(plan)
    fonts = papers.label_fonts(plan, texts)
    write_atomically(out, papers.labels(plan, texts, fonts))
    return Outcome(
        {"file": str(out), "labels": len(texts), "warnings": list(fonts.warnings)},
        f"Wrote {out}: {len(texts):,} labels. Print them at 100 %.",
        fonts.warnings,
        LABEL_CAUTIONS,
    )


def instructions(
    file: RunFile,
    *,
    batch: Annotated[int | None, Parameter(help="One batch only, by its number.")] = None,
    out: Annotated[
        Path | None, Parameter(help="A PDF or text file to write; without it, it is shown here.")
    ] = None,
) -> Outcome:
    """Say line by line what to enter in the printer's driver, where the printer does not speak IPP."""
    if out is not None:
        _refuse_other_than(out, ".pdf", ".txt")
    plan, bench = _plan(file)
    if batch is not None and not 1 <= batch <= len(plan.batches):
        raise BadRequest(
            f"the run has no batch {batch}", f"its batches are numbered 1 to {len(plan.batches)}"
        )
    cards = [
        papers.instruction(each, bench.stocks.get(each.stock), bench.printers.get(each.printer))
        for each in plan.batches
        if batch in (None, each.number)
    ]
    text = papers.instructions_text(cards)
    if out is not None:
        pdf = out.suffix.lower() == ".pdf"
        write_atomically(out, papers.instructions_pdf(plan.run.name, cards) if pdf else text.encode())
    told = [{**card, "lines": dict(card["lines"])} for card in cards]
    return Outcome(
        {"file": None if out is None else str(out), "cards": told}, text if out is None else f"Wrote {out}."
    )


def _plan(file: Path) -> tuple[RunPlan, Bench]:
    bench = Bench.open(bench_folder(), create=False)
    return gather.plan(gather.load_run(file), bench), bench


def _refuse_other_than(out: Path, *suffixes: str) -> None:
    if out.suffix.lower() not in suffixes:
        raise BadRequest(
            f"{out.name} is no {' or '.join(suffixes)} file",
            f"end the name of --out in {' or '.join(suffixes)}",
        )
