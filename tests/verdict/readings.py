"""Invented readings: a print that maps sRGB between a paper white and a black, with a share of its chroma."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import SRGB, rgb_to_lab
from tackside.records import (
    Patch,
    PatchReading,
    Reading,
    Settings,
    SheetPanel,
    SheetPlan,
    Stock,
    Trial,
    Uncertainty,
)
from tackside.units import Box

Floats = NDArray[np.float64]
NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
WHITE, BLACK = (95.0, 0.0, -2.0), 16.0


def device_numbers() -> Floats:
    """A cube of five levels and finer greys, all of them 8-bit numbers."""
    axis = np.linspace(0, 1, 5)
    cube = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)
    ramp = [0.02, 0.04, 0.06, 0.08, 0.1, 0.15, 0.2, 0.4, 0.6, 0.8, 0.88, 0.92, 0.96, 0.98]
    rgb = np.vstack([cube, np.repeat(np.array(ramp)[:, None], 3, axis=1)])
    return np.asarray(np.round(rgb * 255) / 255)


def print_lab(
    rgb: Floats,
    *,
    black: float = BLACK,
    white: tuple[float, float, float] = WHITE,
    chroma: float = 0.75,
    cast: tuple[float, float] = (0.0, 0.0),
    closed: float = 0.0,
) -> Floats:
    """CIELAB of ``rgb`` (n, 3) on the invented print; shadows are black up to the device value ``closed``."""
    lab = rgb_to_lab(np.where(rgb <= closed, 0.0, rgb), SRGB)
    depth = 1 - lab[:, 0] / 100
    lightness = white[0] - depth * (white[0] - black)
    paper = np.array(white[1:]) * (1 - 0.85 * depth)[:, None]
    inked = (4 * depth * (1 - depth))[:, None]  # the cast is strongest in the middle, and paper has none
    return np.column_stack([lightness, lab[:, 1:] * chroma + paper + inked * np.array(cast)])


def reading(
    *,
    sd: float | None = 0.2,
    de00: float = 0.5,
    key: str = "colorimetric",
    kind: Literal["scan", "instrument"] = "instrument",
    size_error: float | None = None,
    more: dict[str, Any] | None = None,
    **look: Any,
) -> Reading:
    """A reading of such a print; ``look`` goes to ``print_lab``."""
    rgb = device_numbers()
    lab = print_lab(rgb, **look)
    patches = tuple(
        PatchReading(name=f"P{i}", rgb=(r, g, b), lab=(L, A, B), sd=sd)
        for i, ((r, g, b), (L, A, B)) in enumerate(zip(rgb.tolist(), lab.tolist(), strict=True))
    )
    return Reading(
        kind=kind,
        source_name="invented.txt",
        source_sha256="0" * 64,
        made_at=NOON,
        patches=patches,
        uncertainty=Uncertainty(de00=de00, basis="as the test says", comparable_with=key),
        **(more or {}),
    )


def showing(lab: Floats) -> Reading:
    """A reading whose patches show these colours (n, 3)."""
    whole = reading()
    patches = tuple(
        patch.model_copy(update={"lab": tuple(row)})
        for patch, row in zip(whole.patches, lab.tolist(), strict=True)
    )
    return whole.model_copy(update={"patches": patches})


def trial(
    *,
    side: Literal["front", "back"] = "front",
    purpose: Literal["path", "device"] = "path",
    space: Literal["srgb", "adobe-rgb"] = "srgb",
    settings: Settings | None = None,
    name: str = "7K3M9QPA",
) -> Trial:
    """A trial of a sheet that holds the patches of ``reading``."""
    whole = Box(0, 0, 210, 297)
    patches = tuple(
        Patch(name=f"P{i}", rgb=(r, g, b), box_mm=Box(5, 5, 5, 5), roles=("cube",), panel="front")
        for i, (r, g, b) in enumerate(device_numbers().tolist())
    )
    sheet = SheetPlan(
        version=1,
        size_mm=(210, 297),
        ppi=600,
        size_px=(4961, 7016),
        space=space if purpose == "path" else None,
        purpose=purpose,
        side=side,
        borderless=False,
        panels=(SheetPanel(name="front", trim=whole, printable=whole),),
        creases=(),
        patches=patches,
        marks=(),
        tags=(),
        targets=(),
    )
    return Trial(
        id=name,
        stock="Harbour Satin 300",
        stock_revision=1,
        printer="Tern 8",
        printer_revision=1,
        feed="rear",
        side=side,
        settings=settings or Settings(),
        sheet=sheet,
        made_at=NOON,
    )


def stock(**more: Any) -> Stock:
    return Stock(**{"name": "Harbour Satin 300", "open_size_mm": (210, 297), **more})
