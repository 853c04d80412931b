"""A kept profile looked into, for its page: what it is, its faults, plots, gamut, and the cards it comes closest to."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from tackside.bench.store import Bench
from tackside.colour.spaces import SRGB, lab_to_rgb, lch_to_lab
from tackside.errors import TacksideError
from tackside.messages.message import Message
from tackside.picture.found_reading import found_from
from tackside.profile.device.device_model import device_numbers
from tackside.profile.gamut.gamut_solid import GamutSolid
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.summary import summarise
from tackside.profile.match.match import card_reading, match_profile, why_not
from tackside.profile.match.match_advice import advise
from tackside.records import Reading, Trial
from tackside.records.reading import ESTIMATES
from tackside.report.pages.profile_page import profile_view
from tackside.report.plots.slices import slices_of
from tackside.tasks.artifacts import preparing, tell
from tackside.workflow.pictures.gamut import KeptGamut
from tackside.workflow.pictures.read_cards import newest_readings
from tackside.workflow.prepared.gamut import prepare_gamut
from tackside.workflow.progress import Progress, part, unheard

ROOM = "profiles"
FORM = 2
BESIDE = "srgb"  # what a profile's gamut is first shown beside
REACH_L = 65.0
REACH = 110.0  # of the small drawing, so that profiles compare


def prepare_profile(
    bench: Bench, sha256: str, place: Path, gamut_place: Path, progress: Progress = unheard
) -> None:
    """Write what a kept profile's page needs into ``place``, and its gamut beside sRGB into ``gamut_place``.

    Raises NotFound, BadProfile.
    """
    kept = bench.profiles.get(sha256)
    profile = read_profile_file(bench.file(sha256))
    progress(0.1, Message("progress.inspecting-profile"))
    now = datetime.now(UTC)
    summary = summarise(profile, now.date())
    about: dict[str, Any] = {"profile": profile_view(summary, kept.name, embedded=False)}
    solid = summary.colours.solid if summary.colours else None
    about["has_gamut"] = solid is not None and summary.header.profile_class != "input"
    about["thumbnail"] = None if solid is None else reach_drawing(solid)
    if about["has_gamut"]:
        whose = KeptGamut("profile", sha256), KeptGamut("space", BESIDE)
        prepare_gamut(bench, gamut_place, *whose, progress=part(progress, 0.4, 0.6))
    progress(0.6, Message("progress.matching-cards"))
    about["matches"], about["left_out"] = _beside_cards(bench, kept.name, profile)
    about["looked_at"] = now.isoformat()
    with preparing(place) as making:
        tell(making, FORM, about)


def _beside_cards(
    bench: Bench, name: str, profile: bytes
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Every card that was read, closest first, and those it cannot be held against, with why."""
    found: list[dict[str, Any]] = []
    left: list[dict[str, Any]] = []
    for trial, reading in newest_readings(bench):
        told = _beside(trial, reading, name, profile)
        (left if "why" in told else found).append(told)
    return sorted(found, key=lambda each: (each["median"], each["p95"])), left


def _beside(trial: Trial, reading: Reading, name: str, profile: bytes) -> dict[str, Any]:
    known = found_from(trial, reading)
    card: dict[str, Any] = {"card": known.title, "printer": trial.printer, "trial": trial.id}
    if known.through_path:
        return {**card, "why": Message("match.through-management")}
    try:
        device, lab = device_numbers(reading, known.plan)
        numbers = card_reading(device, lab)
        reason = why_not(numbers, name, profile)
        if reason is not None:
            return {**card, "why": reason}
        match = match_profile(numbers, name, profile)
    except TacksideError as error:
        return {**card, "why": error.message}
    doubt, scanned = reading.uncertainty.de00, reading.kind in ESTIMATES
    advice = advise(numbers, [match], own=None, uncertainty=doubt, scanned=scanned)
    return {
        **card,
        "median": match.de00_median,
        "p95": match.de00_p95,
        "white": match.white,
        "black": match.black,
        "verdict": advice.verdict,
        "said": advice.sentences[0],
    }


def reach_drawing(solid: GamutSolid) -> str:
    """A small drawing: how far colours reach at one lightness, each direction in its own hue."""
    half = 50.0
    wedges = []
    found = slices_of(solid, (REACH_L,))
    ab = found[0].ab if found else np.zeros((0, 2))
    for one, other in zip(ab, np.roll(ab, -1, axis=0), strict=True):
        middle = (one + other) / 2
        chroma, hue = float(np.hypot(*middle)), math.degrees(math.atan2(middle[1], middle[0])) % 360
        lab = lch_to_lab(np.array([REACH_L, 0.8 * chroma, hue]))
        r, g, b = np.rint(255 * np.clip(lab_to_rgb(lab, SRGB), 0, 1)).astype(int)
        (x1, y1), (x2, y2) = (half + half * each / REACH * np.array([1, -1]) for each in (one, other))
        fill = f"#{r:02x}{g:02x}{b:02x}"
        wedges.append(
            f'<path d="M50 50L{x1:.1f} {y1:.1f} {x2:.1f} {y2:.1f}z" fill="{fill}" stroke="{fill}" stroke-width=".4"/>'
        )
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">{"".join(wedges)}</svg>'
