"""Invented entries for the report's tests: prints whose colours follow a simple rule, so that figures are
known.
"""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import product

import numpy as np

from tackside.colour.spaces import SRGB, rgb_to_lab
from tackside.records import (
    Attribute,
    Crease,
    Feed,
    Inks,
    Measure,
    Pack,
    Patch,
    PatchReading,
    Placement,
    Printer,
    Reading,
    RuleOutcome,
    Settings,
    SheetPlan,
    Stock,
    Trial,
    Uncertainty,
    Verdict,
)
from tackside.records.verdict import Cause, Grade
from tackside.report.entry import Entry
from tackside.units import Box

NOON = datetime(2026, 5, 14, 12, 0, tzinfo=UTC)
PRINTER = Printer(
    name="Tern 8",
    inks=Inks(kind="dye", count=8),
    feeds=(Feed(name="rear", min_size_mm=(89, 127), max_size_mm=(329, 1000)),),
)


def device_colours() -> list[tuple[str, tuple[float, float, float], tuple[str, ...]]]:
    """Name, RGB and roles: 21 greys, ramps of six hues and a cube of five steps."""
    found: list[tuple[str, tuple[float, float, float], tuple[str, ...]]] = []
    for n in range(21):
        value = n / 20
        role = "black" if n == 0 else "white" if n == 20 else "grey"
        found.append((f"grey-{n:02d}", (value, value, value), (role,)))
    inks = {"c": (0, 1, 1), "m": (1, 0, 1), "y": (1, 1, 0), "r": (1, 0, 0), "g": (0, 1, 0), "b": (0, 0, 1)}
    for ink, solid in inks.items():
        for n in range(1, 9):
            share = n / 8
            rgb = tuple(1 - share * (1 - channel) for channel in solid)
            found.append(
                (f"{ink}-{n}", (rgb[0], rgb[1], rgb[2]), (f"solid-{ink}" if n == 8 else f"ramp-{ink}",))
            )
    for n, (r, g, b) in enumerate(product(np.linspace(0, 1, 5), repeat=3)):
        found.append((f"cube-{n:03d}", (float(r), float(g), float(b)), ("cube",)))
    return found


def printed(
    rgb: np.ndarray, paper_l: float, black_l: float, reach: float, tint_b: float = -2.0
) -> np.ndarray:
    """Lab of a print whose lightness runs from ``black_l`` to ``paper_l`` and whose chroma is ``reach`` of
    sRGB's.
    """
    lab = rgb_to_lab(rgb, SRGB)
    lightness = black_l + (paper_l - black_l) * lab[:, :1] / 100
    return np.hstack([lightness, lab[:, 1:] * reach + [0.0, tint_b] * (lab[:, :1] / 100)])


def entry(
    name: str = "Harbour Satin 300",
    *,
    grade: Grade = "sell",
    cause: Cause = "none",
    paper_l: float = 95.0,
    black_l: float = 6.0,
    reach: float = 0.9,
    trial_id: str = "HS300-T8-1",
    comparable_with: str = "flatbed-1/600/16",
    estimate: bool = True,
    side: str = "front",
    space: str | None = "srgb",
    media: str | None = "Photo satin",
    stock: Stock | None = None,
    reasons: tuple[str, ...] = (),
) -> Entry:
    """One invented trial with everything filled in."""
    colours = device_colours()
    rgb = np.array([each[1] for each in colours])
    lab = printed(rgb, paper_l, black_l, reach)
    sheet = SheetPlan(
        version=1,
        size_mm=(210, 297),
        ppi=600,
        size_px=(4961, 7016),
        space=space,
        purpose="path" if space else "device",
        side=side,
        borderless=False,
        panels=(),
        creases=(),
        patches=tuple(
            Patch(name=n, rgb=c, box_mm=Box(0, 0, 5, 5), roles=roles, panel="front")
            for n, c, roles in colours
        ),
        marks=(),
        tags=(),
        targets=(),
    )
    volume = 900_000 * reach**2 * (paper_l - black_l) / 90
    dmax = -np.log10(((black_l + 16) / 116) ** 3)
    chances: dict[Cause, float] = (
        {"none": 0.9, "unknown": 0.1} if cause == "none" else {cause: 0.82, "unknown": 0.18}
    )
    return Entry(
        trial=Trial(
            id=trial_id,
            stock=name,
            stock_revision=1,
            printer=PRINTER.name,
            printer_revision=1,
            feed="rear",
            side=side,
            settings=Settings(
                media_setting=media,
                quality="Best",
                colour_managed_by="application",
                profile="Tern satin",
                intent="relative",
                black_point_compensation=True,
                drying_hours=24,
            ),
            sheet=sheet,
            made_at=NOON,
        ),
        stock=stock
        or Stock(
            name=name,
            base="photo",
            surface="semi-gloss",
            weight_gsm=300,
            caliper_mm=0.32,
            coated="front",
            coated_found_by="damp-fingertip",
            open_size_mm=(210, 297),
            creases=(Crease(direction="horizontal", at_mm=148.5),),
            pack=Pack(count=25, price="14.50", currency="GBP"),
            sold_for_inkjet=True,
        ),
        printer=PRINTER,
        reading=Reading(
            trial=trial_id,
            kind="scan",
            source_name="scan-01.tif",
            source_sha256="0" * 64,
            made_at=NOON,
            device="Flatbed 1, 600 ppi",
            profile="sRGB (assumed)",
            patches=tuple(
                PatchReading(name=n, rgb=c, lab=tuple(map(float, row)), sd=0.4)
                for (n, c, _), row in zip(colours, lab, strict=True)
            ),
            placement=Placement(
                scale_x=0.9991,
                scale_y=0.9968,
                rotation_deg=-0.12,
                offset_mm=(0.3, -0.4),
                residual_um=21,
                marks_found=8,
            ),
            attributes={
                "line_width_black_0.2": Attribute(value=0.234, unit="mm", sd=0.006),
                "graininess": Attribute(value=0.41, unit="ΔL*", sd=0.03),
            },
            uncertainty=Uncertainty(
                de00=1.4, basis="scanned without a print that is known", comparable_with=comparable_with
            ),
        ),
        verdict=Verdict(
            trial=trial_id,
            made_at=NOON,
            grade=grade,
            estimate=estimate,
            cause=cause,
            causes=chances,
            measures={
                "gamut_volume": Measure(value=volume, unit="ΔE*ab³", sd=volume * 0.03, method="device solid"),
                "paper_lab": Measure(value=(paper_l, 0.0, -2.0), unit="CIELAB", sd=0.6),
                "black_l": Measure(value=black_l, unit="L*", sd=0.7),
                "dmax": Measure(value=float(dmax), unit="D", sd=0.03),
                "l_range": Measure(value=paper_l - black_l, unit="L*", sd=0.9),
            },
            rules=(
                RuleOutcome(
                    rule="black",
                    grade=grade,
                    sentence=f"Its black is L* {black_l:.1f}; gloss and satin cards reach 9 to 4.",
                    source="classes of inkjet card: several secondary sources agree",
                ),
            ),
            reasons=reasons
            or (f"The deepest black is L* {black_l:.1f}.", f"It holds {volume:,.0f} units of colour."),
        ),
    )


def four() -> list[Entry]:
    """The report's usual case: four stocks on one printer, scanned alike."""
    return [
        entry(),
        entry(
            "Fulmar Etching 310", grade="send", paper_l=94, black_l=16.5, reach=0.72, trial_id="FE310-T8-1"
        ),
        entry(
            "Plover Matt 230",
            grade="draft",
            cause="side",
            paper_l=93,
            black_l=30,
            reach=0.5,
            trial_id="PM230-T8-1",
        ),
        entry(
            "Shingle Craft 250",
            grade="reject",
            cause="stock",
            paper_l=91,
            black_l=34,
            reach=0.42,
            trial_id="SC250-T8-1",
        ),
    ]
