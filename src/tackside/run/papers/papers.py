"""The papers of a run: pick list, labels and instruction cards, as data for ``typeset``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tackside.card.file.design import filled, plain, variables_in
from tackside.cautions import PRINTING, PRINTING_AND_CUTTING, as_text
from tackside.errors import BadRecord
from tackside.fit.fold.panels import OTHER
from tackside.fit.full_fit import fit_in_full
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.messages.wording import Wording, documents
from tackside.records import Printer, Stock
from tackside.records.money import said
from tackside.records.sheet_plan import Side
from tackside.run.papers.paper_fonts import PaperFonts, fonts_for
from tackside.run.papers.typeset import typeset
from tackside.run.plan.batches import Batch
from tackside.run.plan.plan import RunPlan

# A paper names no command: it lies beside the printer, whoever made it.
PAPER = Wording(where="page")
_LABEL_INSET_MM = 3.0
_PLAIN_LABEL = "{card}\n{price}"


def pick_list(plan: RunPlan) -> bytes:
    """What to fetch and print, in order, with places to count by hand: an A4 PDF."""
    steps = plan.time.steps if plan.time else ()
    fetch = [
        {
            "name": each.name,
            "needed": f"{each.needed:,}",
            "packs": f"{each.packs:,} × {each.pack_count:,}" if each.packs else "in the drawer",
            "left_over": f"{each.left_over:,}",
        }
        for each in (*plan.stocks, *plan.others)
    ]
    ink = {"name": "ink", "needed": f"{plan.ink_ml[1]:.0f} ml", "packs": "", "left_over": ""}
    return typeset(
        "pick-list",
        {
            "title": f"Pick list: {plan.run.name}",
            "name": plan.run.name,
            "summary": f"{plan.quantity:,} cards on {plan.all_sheets:,} sheets"
            + (f", done on {plan.time.done:%A %d %B %Y at %H:%M}" if plan.time else ""),
            "fetch": [*fetch, ink],
            "batches": [
                {
                    "number": str(batch.number),
                    "stock": batch.stock,
                    "printer": batch.printer,
                    "setting": batch.setting,
                    "sheets": f"{sheets.total:,}",
                    "good": f"{sheets.good:,}",
                    "spoiled": f"{sheets.spoiled:,}",
                    "setup": f"{sheets.setup:,}",
                    "faces": batch.faces,
                    "cards": [
                        {
                            "name": line.card.name,
                            "sheets": f"{line.good_sheets:,}",
                            "rows": [f"{number} {name}".strip() for number, name in enumerate(line.names, 1)],
                        }
                        for line in batch.lines
                    ],
                }
                for batch, sheets in zip(plan.batches, plan.sheets, strict=True)
            ],
            "steps": [
                {
                    "start": f"{step.start:%a %d %b %H:%M}",
                    "end": f"{step.end:%a %d %b %H:%M}",
                    "which": "all" if step.batch is None else f"batch {step.batch}",
                    "what": PAPER.text(step.what),
                }
                for step in steps
            ],
            "cautions": [str(each) for each in PRINTING_AND_CUTTING],
        },
    )


def label_texts(plan: RunPlan) -> list[list[str]]:
    """The lines of each label, in the order of printing. A card's ``label`` says them; else name and retail price, or,
    of a personalised card, all that its row holds. Raises BadRecord for a name that the list does not have."""
    prices = {card.name: said(card.price.retail, plan.run.currency) for card in plan.cards}
    order = {card.name: at for at, card in enumerate(plan.run.cards)}
    found: list[list[str]] = []
    for batch in plan.batches:
        for line in batch.lines:
            common = {"card": line.card.name, "price": prices[line.card.name]}
            place = Place("run", ("cards", order[line.card.name], "label"))
            for row in line.recipients or ({},) * line.quantity:
                wording = line.card.label or (
                    "\n".join(f"{{{name}}}" for name in row) if row else _PLAIN_LABEL
                )
                words = plain(filled(wording, {**common, **row}))
                _refuse_unfilled(line.card.name, wording, {**common, **row}, place)
                found.append([part for part in (each.strip() for each in words.splitlines()) if part])
    return found


def label_fonts(plan: RunPlan, texts: Sequence[Sequence[str]]) -> PaperFonts:
    """The fonts that the labels take, and what to say of them. Raises BadRecord for a font that cannot be used."""
    own = [plan.run.folder / file for file in plan.run.labels.fonts]
    return fonts_for((line for lines in texts for line in lines), own)


def labels(plan: RunPlan, texts: Sequence[Sequence[str]], fonts: PaperFonts | None = None) -> bytes:
    """A label for each card, on the label sheets that the run file describes; ``fonts`` from ``label_fonts``."""
    sheet = plan.run.labels
    return typeset(
        "labels",
        {
            "title": f"Labels: {plan.run.name}",
            "page": sheet.page_mm,
            "columns": sheet.columns,
            "rows": sheet.rows,
            "size": sheet.size_mm,
            "margin": sheet.margin_mm,
            "pitch": sheet.pitch_mm or sheet.size_mm,
            "inset": min(_LABEL_INSET_MM, min(sheet.size_mm) / 8),
            "labels": texts,
        },
        label_fonts(plan, texts) if fonts is None else fonts,
    )


def instruction(batch: Batch, stock: Stock, printer: Printer) -> dict[str, Any]:
    """What to enter in the driver for one batch: ``lines`` of what and value, ``notes``, ``cautions``.

    ``caution`` is the cautions in one text.
    """
    outside = batch.outside_on
    fit = fit_in_full(stock, printer, side=outside)
    margins = fit.margins_mm
    size = f"{fit.size_mm[0]:g} × {fit.size_mm[1]:g} mm"
    enlarged = (
        f"; the driver enlarges by about {fit.enlargement_mm:g} mm an edge" if fit.enlargement_mm else ""
    )
    lines = [
        ("Card", stock.name),
        ("Feed", fit.feed or "none takes this card"),
        ("Load", _load(batch, stock, outside)),
        ("Paper size", fit.custom_size or f"{fit.size_name or 'custom'}, {size}"),
        ("Borderless", f"on{enlarged}" if fit.borderless else "off"),
        (
            "Margins",
            "none"
            if fit.borderless
            else f"top {margins.top:g}, bottom {margins.bottom:g}, left {margins.left:g}, right {margins.right:g} mm",
        ),
        ("Paper type and quality", batch.setting),
        ("Scaling", "100 %, actual size, no centring: no fitting to the page, no enlarging, no shrinking"),
        ("Colour", "by the application or by the driver, never by both"),
        (
            "Two-sided",
            "off" if batch.faces == 1 else "off; print the first face of all, let it dry, then the second",
        ),
        ("Copies", "; ".join(f"{line.card.name}: {line.good_sheets:,}" for line in batch.lines)),
    ]
    return {
        "batch": batch.number,
        "printer": printer.name,
        "lines": lines,
        "notes": [*fit.warnings, *fit.notes],
        "caution": as_text(PRINTING),
        "cautions": documents(PRINTING),
    }


def _load(batch: Batch, stock: Stock, outside: Side) -> str:
    """Which face of the stock takes the outside, and which the second face."""
    said = f"print the outside on the {outside} of the stock"
    if stock.coated == outside:
        said += ", the coated face: load the sheets with it as the printed face"
    elif stock.coated == OTHER[outside]:
        said += ", which is not coated, as the card asks"
    if batch.faces > 1:
        said += f"; then turn them for the {OTHER[outside]}"
    return said


def instructions_pdf(name: str, cards: Sequence[dict[str, Any]]) -> bytes:
    """Instruction cards, an A5 page each."""
    plain = [{**card, "notes": [PAPER.text(note) for note in card["notes"]]} for card in cards]
    return typeset("instructions", {"title": f"Instructions: {name}", "name": name, "cards": plain})


def instructions_text(cards: Sequence[dict[str, Any]]) -> str:
    """The same as plain text."""
    parts: list[str] = []
    for card in cards:
        width = max(len(what) for what, _ in card["lines"])
        parts.append(f"{card['printer']}, batch {card['batch']}")
        parts += [f"  {what:<{width}}  {value}" for what, value in card["lines"]]
        parts += [f"  - {PAPER.text(note)}" for note in card["notes"]]
        parts += [f"  {card['caution']}", ""]
    return "\n".join(parts)


def _refuse_unfilled(card: str, wording: str, values: dict[str, str], place: Place) -> None:
    unknown = [name for name in variables_in(wording) if name not in values]
    if unknown:
        raise BadRecord(
            "paper.label-asks",
            place=place,
            card=card,
            name=unknown[0],
            known=[Message("paper.variable", name=name) for name in values],
        )
