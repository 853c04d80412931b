"""Whether a picture has pixels enough for its place on the card: beside the eye's limit and the printer's grid."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tackside.picture.check.finding import Finding, percent
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
    place: str
    grid_ppi: float | None = None
    distance_cm: float = 30.0


@dataclass(frozen=True)
class Resolution:
    """Pixels an inch in the place; ``eye_ppi`` is what the eye can tell at the distance; ``shown`` the share of
    the picture that is left once it fills the place (0 to 1)."""

    ppi: float
    eye_ppi: float
    shown: float


def resolution_in(size_px: tuple[int, int], use: Use) -> Resolution:
    """The true resolution of an upright picture that fills its place, its longer parts cropped."""
    along = [pixels / (mm / MM_PER_INCH) for pixels, mm in zip(size_px, use.size_mm, strict=True)]
    ppi = min(along)
    return Resolution(ppi, eye_limit_ppi(use.distance_cm), ppi / max(along))


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


def on_detail(detail: Detail | None, size_px: tuple[int, int]) -> list[Finding]:
    """Enlarged, doubled or soft pictures: pixels that hold no detail."""
    share = detail_share(detail)
    if detail is None or share == 1.0:
        return []
    factor = 1 / share
    if detail.repeated >= REPEATED:
        return [
            Finding(
                "pixels-repeated",
                "mend",
                f"rows and columns of pixels repeat their neighbours: it was enlarged about {factor:.1f} times "
                "without smoothing, and its steps will show",
                "find the picture as it was before it was enlarged",
                round(factor, 2),
                "times",
            )
        ]
    held = " × ".join(f"{pixels * share:,.0f}".replace(",", " ") for pixels in size_px)
    return [
        Finding(
            "detail-missing",
            "mend",
            f"its detail ends at {percent(share)} of what its pixels could hold, as if {held} pixels had been enlarged "
            f"{factor:.1f} times; a lens out of focus or strong smoothing looks the same",
            "find the original file; if this is it, print it smaller or live with the softness",
            round(share, 3),
            "of Nyquist",
        )
    ]


def on_resolution(size_px: tuple[int, int], detail: Detail | None, use: Use) -> list[Finding]:
    found = resolution_in(size_px, use)
    share = detail_share(detail)
    true_ppi = found.ppi * share
    findings = []
    if true_ppi < found.eye_ppi:
        findings.append(_too_coarse(size_px, found, share, use))
    elif use.grid_ppi is not None and found.ppi > use.grid_ppi * 1.05:
        findings.append(
            Finding(
                "resolution-beyond-grid",
                "note",
                f"{found.ppi:.0f} ppi on {use.place} is finer than the printer's grid of {use.grid_ppi:g} ppi",
                f"nothing to do; reduced to {use.grid_ppi:g} ppi the file would print the same and be smaller",
                round(found.ppi, 1),
                "ppi",
            )
        )
    if found.shown < 1 - MOST_CROPPED:
        findings.append(
            Finding(
                "much-cropped",
                "note",
                f"filling {use.place} ({_size(use.size_mm)}) shows only {percent(found.shown)} of the picture",
                "choose the crop yourself, or keep all of it with a border",
                round(found.shown, 3),
                "shown",
            )
        )
    return findings


def _too_coarse(size_px: tuple[int, int], found: Resolution, share: float, use: Use) -> Finding:
    true_ppi = found.ppi * share
    counted = f"{found.ppi:.0f} ppi" + ("" if share == 1.0 else f", of which its detail fills {true_ppi:.0f}")
    wide, high = (mm * true_ppi / found.eye_ppi for mm in use.size_mm)
    aim = aimed_ppi(found.eye_ppi, use.grid_ppi)
    pixels = " × ".join(str(math.ceil(mm * aim / MM_PER_INCH)) for mm in use.size_mm)
    return Finding(
        "resolution-low",
        "mend" if true_ppi < COARSE * found.eye_ppi else "note",
        f"on {use.place} ({_size(use.size_mm)}) it has {counted}; at {use.distance_cm:g} cm the eye can tell "
        f"{found.eye_ppi:.0f}",
        f"use a file of {pixels} pixels ({aim:.0f} ppi), or print it no larger than {wide:.0f} × {high:.0f} mm",
        round(true_ppi, 1),
        "ppi",
    )


def aimed_ppi(eye_ppi: float, grid_ppi: float | None) -> float:
    """An exact part of the printer's grid near the eye's limit, which avoids a resampling (several secondary
    sources), where there is one; else the eye's limit itself."""
    if grid_ppi is None:
        return eye_ppi
    part = grid_ppi / max(1, math.floor(grid_ppi / eye_ppi * 1.04))  # 300 ppi satisfies an eye that tells 312
    return part if part <= 1.25 * eye_ppi else eye_ppi


def _size(size_mm: tuple[float, float]) -> str:
    return f"{size_mm[0]:.5g} × {size_mm[1]:.5g} mm"
