"""The job that looks into a profile: what it is, its faults, its plots, its gamut, and which cards it is nearest to."""

from __future__ import annotations

import math
from dataclasses import asdict
from datetime import UTC, datetime
from typing import Any

import numpy as np

from tackside.colour.rgb_spaces import SRGB, lab_to_rgb
from tackside.colour.spaces import lch_to_lab
from tackside.errors import TacksideError
from tackside.picture.found_reading import found_from
from tackside.picture.read_cards import newest_readings
from tackside.profile.device.device_model import device_numbers
from tackside.profile.gamut.gamut_solid import GamutSolid
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.summary import summarise
from tackside.profile.match.match import card_reading, match_profile, why_not
from tackside.profile.match.match_advice import advise
from tackside.records import Reading, Trial
from tackside.report.pages.profile_page import profile_view
from tackside.report.plots.slices import slices_of
from tackside.web.forms.queries.gamut_query import GamutAsked
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.gamut import make
from tackside.web.shell.artifacts import place_of, preparing, tell

ROOM = "profiles"
FORM = 1
BESIDE = "srgb"  # what a profile's gamut is first shown beside
REACH_L = 65.0
REACH = 110.0  # of the small drawing, so that profiles compare


def look(task: Task) -> dict[str, Any]:
    """Asked: ``sha256`` of a kept profile. Result: the same."""
    sha256 = task.asked["sha256"]
    kept = task.bench.profiles.get(sha256)
    profile = read_profile_file(task.bench.file(sha256))
    task.tell(0.1, "looking into the profile")
    now = datetime.now(UTC)
    summary = summarise(profile, now.date())
    about: dict[str, Any] = {"profile": asdict(profile_view(summary, kept.name, embedded=False))}
    solid = summary.colours.solid if summary.colours else None
    about["has_gamut"] = solid is not None and summary.header.profile_class != "input"
    about["thumbnail"] = None if solid is None else reach_drawing(solid)
    if about["has_gamut"]:
        task.tell(0.4, "working out the colours")
        make(task, GamutAsked(f"profile-{sha256}", BESIDE))
    task.tell(0.6, "holding it against the cards that were read")
    about["matches"], about["left_out"] = _beside_cards(task, kept.name, profile)
    about["looked_at"] = now.isoformat()
    with preparing(place_of(task.cache, ROOM, sha256)) as making:
        tell(making, FORM, about)
    return {"sha256": sha256}


def _beside_cards(task: Task, name: str, profile: bytes) -> tuple[list[dict[str, Any]], list[dict[str, str]]]:
    """Every card that was read, nearest first, and those it cannot be held against, with why."""
    found: list[dict[str, Any]] = []
    left: list[dict[str, str]] = []
    for trial, reading in newest_readings(task.bench):
        told = _beside(trial, reading, name, profile)
        (left if "why" in told else found).append(told)
    return sorted(found, key=lambda each: (each["median"], each["p95"])), left


def _beside(trial: Trial, reading: Reading, name: str, profile: bytes) -> dict[str, Any]:
    known = found_from(trial, reading)
    card: dict[str, Any] = {"card": known.title, "printer": trial.printer, "trial": trial.id}
    if known.through_path:
        why = "its sheet was printed through colour management, so the reading mixes profile and card"
        return {**card, "why": why}
    try:
        device, lab = device_numbers(reading, known.plan)
        numbers = card_reading(device, lab)
        reason = why_not(numbers, profile)
        if reason is not None:
            return {**card, "why": f"the profile {reason}"}
        match = match_profile(numbers, name, profile)
    except TacksideError as error:
        return {**card, "why": error.what}
    doubt, scanned = reading.uncertainty.de00, reading.kind == "scan"
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
