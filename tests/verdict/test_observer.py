"""What the invented people who teach the weights say of soft colours.

Figures of the prints are this project's own choice; the spaces are IEC 61966-2-1 and Adobe RGB (1998).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from training.observer import FULL, LIGHT_GREENS, RAMP, SOFT, Observer, Sight, answers
from training.prints import plan_of
from training.simulated_by_eye import filled_in
from training.teacher.prints import states_drawn

from tackside.colour.spaces import RGB_SPACES, rgb_to_lab
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel
from tackside.reading.eye import Answers
from tackside.reading.soft_colours import soft_patches
from tackside.records.sheet_plan import Space
from tackside.verdict.classifier.likelihoods import STATES

CARD = StockModel("card", (95.0, 0.0, -2.0), 12.0, takes_ink=True)
# Sees and measures without any error, and is never wrong.
EXACT = Observer(black=0, middle=0, chroma=0, tint=0, hue=0, creep=0, ruler=0, wrong=0)


def sight(space: Space = "srgb") -> Sight:
    """A print that shows just what the numbers ask for in ``space``."""
    return Sight.of(lambda numbers: rgb_to_lab(numbers, RGB_SPACES[space]), FULL)


def said(here: Sight, there: Sight, space: Space | None = "srgb", who: Observer = EXACT) -> Answers:
    return answers(
        here, there, CARD, PrinterModel(), CARD, (100.0, 100.0), np.random.default_rng(3), who, space
    )


def test_they_look_at_the_sheets_own_numbers() -> None:
    assert len(sight().ramp) == len(RAMP)
    assert len(sight().light_greens) == len(LIGHT_GREENS)
    for number, hue in zip(SOFT, ("cyans", "reds", "purples", "blues"), strict=True):
        # As greyish as what the form marks on a sheet.
        marked = np.array([patch.rgb for patch in soft_patches(plan_of("srgb"), hue)])
        assert (np.argsort(marked.mean(axis=0)) == np.argsort(number)).all()
        assert np.ptp(marked, axis=1).min() - 0.01 <= np.ptp(number) <= np.ptp(marked, axis=1).max() + 0.01


@pytest.mark.parametrize(
    ("printed", "meant", "cyans", "reds"),
    [
        ("srgb", "srgb", "same", "same"),
        ("adobe-rgb", "srgb", "much-more", "more"),
        ("srgb", "adobe-rgb", "much-less", "less"),
    ],
)
def test_a_space_misread_is_seen_beside_a_good_print(
    printed: Space, meant: Space, cyans: str, reds: str
) -> None:
    filled = said(sight(printed), sight(meant), meant)
    assert (filled.soft_cyans_beside_good, filled.soft_reds_beside_good) == (cyans, reds)


@pytest.mark.parametrize(
    ("turn", "words"),
    [(0.0, ("same",) * 3), (15.0, ("redder", "redder", "yellower")), (-15.0, ("bluer", "greener", "bluer"))],
)
def test_which_way_the_hue_of_soft_colours_has_turned(turn: float, words: tuple[str, ...]) -> None:
    plain = sight()
    angle = np.radians(turn)
    turned = plain.soft[:, 1:] @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    filled = said(replace(plain, soft=np.column_stack([plain.soft[:, 0], turned])), plain)
    hues = (
        filled.soft_purples_hue_beside_good,
        filled.soft_blues_hue_beside_good,
        filled.soft_reds_hue_beside_good,
    )
    assert hues == words
    # Where no colour is left to speak of, nobody sees a hue.
    grey = replace(plain, soft=plain.soft * [1.0, 0.0, 0.0])
    assert said(grey, plain).soft_reds_hue_beside_good == "same"


def test_beside_a_screen_only_where_the_file_has_a_space() -> None:
    assert said(sight(), sight(), None).soft_cyans_beside_screen is None
    assert said(sight(), sight()).soft_cyans_beside_screen == "same"
    half = replace(sight(), soft=sight().soft * [1.0, 0.5, 0.5])
    assert said(half, sight()).soft_reds_beside_screen == "much-less"


def test_paper_and_light_do_not_count_as_colour() -> None:
    # A yellowish paper tints whatever lies on it, and people see past it: XYZ over the paper's own.
    yellowish = rgb_to_lab(np.ones((1, 3)), RGB_SPACES["srgb"])[0] + [-5.0, 0.0, 8.0]
    faded = replace(sight(), paper=yellowish)
    assert said(faded, faded).soft_cyans_beside_good == "same"
    # Where neither print has any colour to speak of, nothing is told apart.
    grey = replace(sight(), soft=sight().soft * [1.0, 0.0, 0.0])
    assert said(grey, grey).soft_cyans_beside_good == "same"


def test_forms_of_the_teacher_hold_them() -> None:
    held = set()
    for at, renderings, place, rng in states_drawn(30, 5):
        held |= set(filled_in(at, renderings, STATES[place], rng).reading.attributes)
    assert {f"eye_soft_{hue}_{what}" for hue in ("cyans", "reds") for what in ("beside", "screen")} <= held
    assert {f"eye_soft_{hue}_hue" for hue in ("purples", "blues", "reds")} <= held
