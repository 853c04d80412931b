"""Pictures of prints: the virtual press' scans, cut to one part of the sheet, all at one scale."""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image

from tackside.bench.store import Bench
from tackside.records import SheetPlan
from tackside.report.prints import print_picture
from tackside.workflow.practice.practise import practise

QUALITY = 82  # of WebP


def save(image: Image.Image, file: Path, longest: int = 1600) -> None:
    """A WebP of at most ``longest`` pixels; the same pixels give the same bytes."""
    if max(image.size) > longest:
        scale = longest / max(image.size)
        size = (round(image.width * scale), round(image.height * scale))
        image = image.resize(size, Image.Resampling.LANCZOS)
    image.convert("RGB").save(file, "WEBP", quality=QUALITY, method=6)


def upright(scan: Path, plan: SheetPlan, trial: str) -> Image.Image:
    """A print's scan, upright and cut to the sheet."""
    found = print_picture(scan, plan, trial)
    if found is None:
        raise SystemExit(f"no print was found in {scan}")
    return Image.open(io.BytesIO(found.jpeg)).convert("RGB")


def part_of(whole: Image.Image, plan: SheetPlan, names: tuple[str, ...]) -> Image.Image:
    """The part of a print that holds these pictures of the sheet, and the words under them."""
    boxes = [each.box_mm for each in plan.targets if each.name in names]
    scale = whole.width / plan.size_mm[0]
    left, top = min(each.x for each in boxes) - 0.5, min(each.y for each in boxes) - 0.5
    right, bottom = max(each.x + each.w for each in boxes) + 0.5, max(each.y + each.h for each in boxes) + 3
    return whole.crop((round(left * scale), round(top * scale), round(right * scale), round(bottom * scale)))


def print_with_fault(
    bench: Bench, trial: str, folder: Path, fault: str, shown: tuple[str, ...]
) -> Image.Image:
    """Pictures of a trial's sheet as the press prints it with a fault."""
    plan = bench.trials.get(trial).sheet
    file = folder / f"{fault}.tif"
    made = practise(bench, trial, file, fault=fault, force=True)
    return part_of(upright(file, plan, made.trial.id), plan, shown)
