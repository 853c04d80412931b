"""The sheet for a profile: what is asked of it, by what the bench knows of the card, and what to say of it."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.bench.store import Bench
from tackside.errors import BadRequest, TacksideError
from tackside.messages.message import Message
from tackside.profile.device.device_model import DeviceModel
from tackside.records import SheetPlan
from tackside.records.sheet_plan import Purpose, Side
from tackside.sheet.chart.cut import BY_HAND_MM, LEAST_MM, MOST_MM, SCANNED_MM
from tackside.sheet.chart.lay_out import LEAST_PATCHES, MOST_PATCHES, ChartAsked


@dataclass(frozen=True)
class ChartWish:
    """``asked`` of the sheet; ``trial``: the earlier one whose reading tells where the printer bends."""

    asked: ChartAsked
    trial: str | None


def chart_wish(
    bench: Bench,
    stock: str,
    printer: str,
    *,
    purpose: Purpose,
    side: Side,
    patches: int | None,
    patch_mm: float | None,
) -> ChartWish | None:
    """None where no number of patches is asked for. Raises BadRequest where what is asked does not go together."""
    if patches is None and patch_mm is None:
        return None
    if purpose != "device":
        raise BadRequest("sheet.chart-without-device")
    if patches is None:
        raise BadRequest("sheet.chart-uncounted")
    if not LEAST_PATCHES <= patches <= MOST_PATCHES:
        raise BadRequest("sheet.chart-count", patches=patches, least=LEAST_PATCHES, most=MOST_PATCHES)
    least = SCANNED_MM if patch_mm is None else patch_mm
    if not LEAST_MM <= least <= MOST_MM:
        raise BadRequest("sheet.chart-side", patch_mm=least, least_mm=LEAST_MM, most_mm=MOST_MM)
    trial, known = _earlier(bench, stock, printer, side)
    return ChartWish(ChartAsked(patches, least, known), trial)


def _earlier(bench: Bench, stock: str, printer: str, side: Side) -> tuple[str | None, DeviceModel | None]:
    """The newest reading of bare device numbers on this side of the card that a model can be fitted to."""
    for trial in reversed(bench.trials.list(stock=stock, printer=printer)):
        if trial.sheet.purpose != "device" or trial.side != side:
            continue
        for reading in reversed(bench.readings.list(trial.id)):
            if reading.kind == "eye" or "unfit" in reading.attributes:
                continue
            try:
                return trial.id, DeviceModel.fitted(reading, trial.sheet)
            except TacksideError:  # too little of the sheet was read: an older reading may do
                continue
    return None, None


def chart_remarks(plan: SheetPlan, wish: ChartWish) -> tuple[Message, ...]:
    """What a chart costs, what reads it, and what it was chosen by."""
    wide, tall = (min(sides) for sides in zip(*(patch.box_mm[2:] for patch in plan.patches), strict=True))
    repeated = [patch for patch in plan.patches if "repeat" in patch.roles]
    colours = len({patch.rgb for patch in repeated})
    by_hand = min(wide, tall) >= BY_HAND_MM - 0.1  # whole dots may cost a little
    found = [
        Message(
            "sheet.chart-economy", count=plan.pages, patches=len(plan.patches), patch_mm=(wide, tall),
            colours=len({patch.rgb for patch in plan.patches}), repeated=colours, copies=len(repeated) // colours,
        ),
        Message("sheet.chart-by-hand") if by_hand else Message("sheet.chart-by-scan", by_hand_mm=BY_HAND_MM),
    ]  # fmt: skip
    if wish.trial is not None:
        found.append(Message("sheet.chart-by-reading", trial=wish.trial))
    return tuple(found)
