"""What holds of every verdict, whatever the weights learnt: twins are sound, more of a fault never looks better, and
what has nothing to do with the print changes nothing. Paths are real conversions through tables, by all four intents.

How sure it is to be is this project's own choice (docs/sources.md, S54).
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import pytest

from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel, cotton_etching, matt_coated, semi_gloss
from tackside.profile.device.device import Intent
from tackside.records import Reading, Settings, Trial, Verdict
from tackside.records.sheet_plan import Space
from tackside.records.verdict import GRADES
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.profile.card_profiles import press_profile
from tests.verdict.printed import printed
from tests.verdict.readings import trial

COATED = (semi_gloss(), matt_coated(), cotton_etching())
RENDERED: list[tuple[Intent, bool]] = [
    ("perceptual", False),
    ("relative", True),
    ("relative", False),
    ("saturation", False),
    ("absolute", False),
]


@cache
def sheet(space: Space = "srgb", name: str = "7K3M9QPA") -> Trial:
    return trial(space=space, name=name)


@cache
def through_profile(model: StockModel, space: Space, intent: Intent, bpc: bool, seed: int = 1) -> Reading:
    return printed(sheet(space), model, through=press_profile(model), intent=intent, bpc=bpc, seed=seed)


def by_model(model: StockModel) -> str:
    return model.name


@pytest.mark.parametrize("model", COATED, ids=by_model)
@pytest.mark.parametrize(("intent", "bpc"), RENDERED)
@pytest.mark.parametrize("space", ["srgb", "adobe-rgb"])
def test_a_print_beside_its_twin_is_sound(model: StockModel, space: Space, intent: Intent, bpc: bool) -> None:
    here, twin = (through_profile(model, space, intent, bpc, seed) for seed in (1, 2))
    verdict = judge(KnownPrint(here, sheet(space), reference=KnownPrint(twin, sheet(space, "GOOD"))))
    assert verdict.cause == "none"
    assert verdict.causes["none"] >= 0.95


@pytest.mark.parametrize("model", COATED, ids=by_model)
@pytest.mark.parametrize(("intent", "bpc"), RENDERED)
@pytest.mark.parametrize("space", ["srgb", "adobe-rgb"])
def test_a_sound_print_alone_is_not_accused_by_any_intent(
    model: StockModel, space: Space, intent: Intent, bpc: bool
) -> None:
    settings = Settings(colour_managed_by="application", intent=intent, black_point_compensation=bpc)
    for noted in (Settings(), settings):
        known = sheet(space).model_copy(update={"settings": noted})
        alone = judge(KnownPrint(through_profile(model, space, intent, bpc), known))
        assert alone.cause == "none"
    # A good print of the same card beside it never makes it less sound.
    beside = judge(
        KnownPrint(
            through_profile(model, space, intent, bpc),
            sheet(space),
            reference=KnownPrint(through_profile(model, space, intent, bpc, 2), sheet(space, "GOOD")),
        )
    )
    assert beside.causes["none"] >= alone.causes["none"] - 0.01


def series(model: StockModel, inks: tuple[float, ...]) -> list[Verdict]:
    profile = press_profile(model)
    good = KnownPrint(through_profile(model, "srgb", "relative", True, 2), sheet("srgb", "GOOD"))
    return [
        judge(
            KnownPrint(
                printed(sheet(), model, PrinterModel(ink=ink), through=profile), sheet(), reference=good
            )
        )
        for ink in inks
    ]


@pytest.mark.parametrize("model", COATED, ids=by_model)
@pytest.mark.parametrize(
    ("cause", "inks"),
    [
        ("too-little-ink", (1.0, 0.9, 0.8, 0.7, 0.6, 0.5)),
        ("too-much-ink", (1.0, 1.1, 1.2, 1.35, 1.5)),
    ],
)
def test_more_of_a_fault_never_makes_its_chance_smaller_nor_the_grade_better(
    model: StockModel, cause: str, inks: tuple[float, ...]
) -> None:
    verdicts = series(model, inks)
    chances = [one.causes[cause] for one in verdicts]  # type: ignore[index]
    assert chances[0] < 0.05
    assert chances[-1] > 0.5
    # From 0.9 on a cause is settled, as the reasons have it, and what it gains or loses there says nothing.
    settled = [min(chance, 0.9) for chance in chances]
    assert all(more >= less - 0.03 for less, more in pairwise(settled)), chances
    grades = [GRADES.index(one.grade) for one in verdicts]
    assert grades == sorted(grades)


def test_a_name_and_the_order_of_patches_change_nothing() -> None:
    here = printed(sheet(), matt_coated(), PrinterModel(ink=0.7), through=press_profile(matt_coated()))
    plain = judge(KnownPrint(here, sheet()))
    renamed = here.model_copy(update={"source_name": "phone JPEG mixed automatic.tif"})
    turned = here.model_copy(update={"patches": here.patches[::-1]})
    for other in (renamed, turned):
        again = judge(KnownPrint(other, sheet()))
        assert again.grade == plain.grade
        assert again.causes == pytest.approx(plain.causes, abs=1e-9)


def test_a_note_that_contradicts_the_print_is_asked_about() -> None:
    told = Settings(colour_managed_by="driver")
    noted = sheet().model_copy(update={"settings": told})
    good = KnownPrint(printed(sheet(), semi_gloss(), seed=2), sheet("srgb", "GOOD"))
    nobody = printed(sheet(), semi_gloss(), PrinterModel(managed="nobody"))
    codes = {each.code for each in judge(KnownPrint(nobody, noted, reference=good)).notices}
    assert "verdict.contradicts.unmanaged" in codes
    fine = judge(KnownPrint(printed(sheet(), semi_gloss()), noted, reference=good))
    assert not any(each.code.startswith("verdict.contradicts") for each in fine.notices)
