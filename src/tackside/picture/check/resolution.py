"""Whether a picture has pixels enough for its place on the card: beside the eye's limit and the printer's grid."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tackside.messages.message import Message
from tackside.picture.check.finding import PictureFinding, Severity, percent
from tackside.picture.check.spectrum import Detail
from tackside.units import MM_PER_INCH

# ppi = 3438 ÷ viewing distance in inches: 3438 minutes of arc make a radian, so a pixel is one minute wide
# (docs/sources.md, S21).
EYE_LIMIT = 3438.0
COARSE = 0.5  # under half the eye's limit pixels and softness are seen at once (docs/sources.md, S25)
MOST_CROPPED = 0.25  # a quarter lost is worth a look (docs/sources.md, S25)
# From real photographs, enlarged and not: above 0.6 the fall is an ordinary lens's.
DETAIL_LIMIT = 0.6
DETAIL_LIMIT_NOISY = 0.35  # so early an end counts even where noise was added later
REPEATED = 0.15


@dataclass(frozen=True)
class Use:
    """Where the picture goes: [width, height] in mm as it will be seen, filled by the picture.

    ``place`` names it for people; ``grid_ppi`` is the printer's own grid, None where no printer is named.
    """

    size_mm: tuple[float, float]
    place: Message
    grid_ppi: float | None = None
    distance_cm: float = 30.0


@dataclass(frozen=True)
class PrintResolution:
    """Pixels an inch in the place; ``eye_ppi`` is what the eye can tell at the distance; ``shown`` the share of
    the picture that is left once it fills the place (0 to 1)."""

    ppi: float
    eye_ppi: float
    shown: float


def resolution_in(size_px: tuple[int, int], use: Use) -> PrintResolution:
    """The true resolution of an upright picture that fills its place, its longer parts cropped."""
    along = [pixels / (mm / MM_PER_INCH) for pixels, mm in zip(size_px, use.size_mm, strict=True)]
    ppi = min(along)
    return PrintResolution(ppi, eye_limit_ppi(use.distance_cm), ppi / max(along))


def eye_limit_ppi(distance_cm: float) -> float:
    return EYE_LIMIT / (distance_cm / (MM_PER_INCH / 10))


def detail_share(detail: Detail | None) -> float:
    """How much of its pixels' resolution the picture really has, 0 to 1; 1 where nothing speaks against it."""
    if detail is None:
        return 1.0
    if detail.repeated >= REPEATED:
        return 1.0 - detail.repeated
    if detail.limit <= DETAIL_LIMIT_NOISY or (detail.missing_above and detail.limit <= DETAIL_LIMIT):
        return detail.limit
    return 1.0


def on_detail(detail: Detail | None, size_px: tuple[int, int]) -> list[PictureFinding]:
    """Enlarged, doubled or soft pictures: pixels that hold no detail."""
    share = detail_share(detail)
    if detail is None or share == 1.0:
        return []
    factor = 1 / share
    if detail.repeated >= REPEATED:
        told = Message("picture.pixels-repeated", times=factor)
        return [PictureFinding("pixels-repeated", "mend", told, round(factor, 2), "times")]
    width, height = (round(pixels * share) for pixels in size_px)
    told = Message(
        "picture.detail-missing", share=percent(share), width_px=width, height_px=height, times=factor
    )
    return [PictureFinding("detail-missing", "mend", told, round(share, 3), "of Nyquist")]


def on_resolution(size_px: tuple[int, int], detail: Detail | None, use: Use) -> list[PictureFinding]:
    found = resolution_in(size_px, use)
    share = detail_share(detail)
    true_ppi = found.ppi * share
    findings = []
    if true_ppi < found.eye_ppi:
        findings.append(_too_coarse(size_px, found, share, use))
    elif use.grid_ppi is not None and found.ppi > use.grid_ppi * 1.05:
        told = Message(
            "picture.resolution-beyond-grid", ppi=found.ppi, place=use.place, grid_ppi=use.grid_ppi
        )
        findings.append(PictureFinding("resolution-beyond-grid", "note", told, round(found.ppi, 1), "ppi"))
    if found.shown < 1 - MOST_CROPPED:
        told = Message(
            "picture.much-cropped", place=use.place, size_mm=use.size_mm, share=percent(found.shown)
        )
        findings.append(PictureFinding("much-cropped", "note", told, round(found.shown, 3), "shown"))
    return findings


def _too_coarse(size_px: tuple[int, int], found: PrintResolution, share: float, use: Use) -> PictureFinding:
    true_ppi = found.ppi * share
    aim = aimed_ppi(found.eye_ppi, use.grid_ppi)
    width, height = (math.ceil(mm * aim / MM_PER_INCH) for mm in use.size_mm)
    told = {
        "place": use.place,
        "size_mm": use.size_mm,
        "ppi": found.ppi,
        "distance_cm": use.distance_cm,
        "eye_ppi": found.eye_ppi,
        "width_px": width,
        "height_px": height,
        "aim_ppi": aim,
        "largest_mm": tuple(mm * true_ppi / found.eye_ppi for mm in use.size_mm),
    }
    message = (
        Message("picture.resolution-low", **told)
        if share == 1.0
        else Message("picture.resolution-low-for-its-detail", **told, filled_ppi=true_ppi)
    )
    severity: Severity = "mend" if true_ppi < COARSE * found.eye_ppi else "note"
    return PictureFinding("resolution-low", severity, message, round(true_ppi, 1), "ppi")


def aimed_ppi(eye_ppi: float, grid_ppi: float | None) -> float:
    """An exact part of the printer's grid near the eye's limit, which avoids a resampling (several secondary
    sources), where there is one; else the eye's limit itself."""
    if grid_ppi is None:
        return eye_ppi
    part = grid_ppi / max(1, math.floor(grid_ppi / eye_ppi * 1.04))  # 300 ppi satisfies an eye that tells 312
    return part if part <= 1.25 * eye_ppi else eye_ppi
