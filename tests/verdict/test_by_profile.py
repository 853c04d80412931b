"""A profile's prediction as the reference: what it predicts, how far it is trusted, what it is refused for.

How sure it is to be, and the figures of each invented print, are this project's own choice: docs/sources.md, S54.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from training.stocks import varied

from tackside.colour.difference import delta_e_2000
from tackside.errors import BadProfile, BadRequest
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel, cotton_etching, craft_card, matt_coated, semi_gloss
from tackside.profile.icc.working_space import working_space_profile
from tackside.records import Cause, Reading, Settings, Trial
from tackside.records.sheet_plan import Space
from tackside.verdict.causes.by_profile import PREDICTED_DE00, ProfileOf, predict
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.profile.card_profiles import fogra39_profile, press_profile
from tests.profile.small_profiles import grey_profile
from tests.refusals import refused
from tests.verdict.printed import printed
from tests.verdict.readings import reading, trial

SEMI, MATT, COTTON = semi_gloss(), matt_coated(), cotton_etching()
BARE_NUMBERS = trial(purpose="device")
NOTED = Settings(colour_managed_by="application", intent="relative", black_point_compensation=True)
BY_APPLICATION = trial(settings=NOTED)


def labs(one: Reading) -> np.ndarray:
    return np.array([patch.lab for patch in one.patches])


@pytest.mark.parametrize("model", [SEMI, MATT, COTTON], ids=lambda model: model.name)
def test_a_profile_of_this_card_predicts_the_print(model: StockModel) -> None:
    # The press's own colours are the truth; its profile is a table of 33 nodes at 16 bits.
    for sheet, through in ((BARE_NUMBERS, None), (BY_APPLICATION, press_profile(model))):
        there = printed(sheet, model, through=through)
        told = predict(press_profile(model), there, trial=sheet, of="card").reading
        assert np.percentile(delta_e_2000(labs(told), labs(there)), 95) < 1.0


def test_a_profile_of_the_class_is_laid_on_the_paper_that_was_read() -> None:
    there = printed(BARE_NUMBERS, MATT)
    told = predict(press_profile(SEMI), there, trial=BARE_NUMBERS, of="class").reading
    white = [patch.rgb == (1.0, 1.0, 1.0) for patch in there.patches].index(True)
    assert labs(told)[white] == pytest.approx(labs(there)[white], abs=0.3)
    own = predict(press_profile(SEMI), there, trial=BARE_NUMBERS, of="card").reading
    assert labs(own)[white] == pytest.approx(SEMI.paper_lab, abs=0.3)


def test_uncertainty_says_how_much_was_taken_for_granted() -> None:
    there = printed(BARE_NUMBERS, MATT)

    def de00(of: ProfileOf, sheet: Trial) -> float:
        return predict(press_profile(MATT), there, trial=sheet, of=of).reading.uncertainty.de00

    assert de00("card", BARE_NUMBERS) == PREDICTED_DE00["card"] < de00("class", BARE_NUMBERS)
    assert de00("card", BY_APPLICATION) == PREDICTED_DE00["card"]
    assert de00("card", trial()) > 2 * de00("card", BY_APPLICATION)  # who converted, and how, was not noted


@pytest.mark.parametrize("model", [SEMI, MATT, COTTON], ids=lambda model: model.name)
@pytest.mark.parametrize("of", ["card", "class"])
@pytest.mark.parametrize(
    "sheet", [BARE_NUMBERS, BY_APPLICATION, trial()], ids=["device", "noted", "not noted"]
)
def test_a_sound_print_is_sound_beside_its_profile(model: StockModel, of: ProfileOf, sheet: Trial) -> None:
    profile = press_profile(model)
    there = printed(sheet, model, through=profile if sheet.sheet.purpose == "path" else None)
    verdict = judge(KnownPrint(there, trial=sheet, prediction=predict(profile, there, trial=sheet, of=of)))
    assert verdict.cause == "none"
    assert verdict.causes["none"] > 0.8


@pytest.mark.parametrize(
    ("printer", "cause"),
    [
        (PrinterModel(ink=0.7), "too-little-ink"),
        (PrinterModel(missing=("m",)), "missing-ink"),
        (PrinterModel(missing=("c",)), "missing-ink"),
    ],
)
@pytest.mark.parametrize("model", [SEMI, MATT, COTTON], ids=lambda model: model.name)
def test_faults_are_named_beside_the_cards_own_profile(
    model: StockModel, printer: PrinterModel, cause: Cause
) -> None:
    there = printed(BARE_NUMBERS, model, printer)
    prediction = predict(press_profile(model), there, trial=BARE_NUMBERS, of="card")
    assert judge(KnownPrint(there, trial=BARE_NUMBERS, prediction=prediction)).cause == cause


@pytest.mark.parametrize("of", ["card", "class"])
@pytest.mark.parametrize("model", [SEMI, MATT, COTTON], ids=lambda model: model.name)
@pytest.mark.parametrize(
    ("meant", "read_as", "times", "cause"),
    [
        ("srgb", "srgb", 0, "unmanaged"),
        ("adobe-rgb", "adobe-rgb", 0, "unmanaged"),
        ("srgb", "srgb", 2, "managed-twice"),
        ("adobe-rgb", "adobe-rgb", 2, "managed-twice"),
        ("adobe-rgb", "srgb", 1, "wide-read-as-narrow"),
        ("srgb", "adobe-rgb", 1, "narrow-read-as-wide"),
    ],
)
def test_a_path_misused_is_named_by_what_the_profile_itself_predicts(
    model: StockModel, of: ProfileOf, meant: Space, read_as: Space, times: int, cause: Cause
) -> None:
    # Another printer of the kind, and for "class" another pack: the profile is not of the very print.
    rng = np.random.default_rng(7)
    other = varied(model, rng, 0.2 if of == "card" else 0.6)
    sheet = trial(space=meant, settings=NOTED)
    there = printed(trial(space=read_as), other, through=press_profile(model), times=times)
    verdict = judge(
        KnownPrint(there, trial=sheet, prediction=predict(press_profile(model), there, trial=sheet, of=of))
    )
    assert verdict.cause == cause
    assert verdict.causes[cause] > 0.5


def test_a_card_without_coating_is_told_from_a_coated_ones_profile() -> None:
    there = printed(BARE_NUMBERS, craft_card())
    verdict = judge(
        KnownPrint(
            there, trial=BARE_NUMBERS, prediction=predict(press_profile(MATT), there, trial=BARE_NUMBERS)
        )
    )
    assert verdict.causes["stock"] + verdict.causes["side"] > 0.8


def test_the_reasons_say_what_was_the_reference() -> None:
    there = printed(BARE_NUMBERS, MATT)
    prediction = predict(press_profile(SEMI), there, trial=BARE_NUMBERS)
    verdict = judge(KnownPrint(there, trial=BARE_NUMBERS, prediction=prediction))
    (said,) = prediction.sentences
    assert said in verdict.reasons
    assert said.code == "verdict.profile-of-class"
    assert said.value("de00") == 3.0
    assert "verdict.beside-profile" in {reason.code for reason in verdict.reasons}
    assert 0 < float(np.ravel(verdict.measures["share_l_range"].value)[0]) < 1


def test_what_was_not_noted_is_said_to_be_taken_for_granted() -> None:
    there = printed(trial(), MATT, through=press_profile(MATT))
    prediction = predict(press_profile(MATT), there, trial=trial(), of="card")
    assert prediction.assumed
    assert prediction.sentences[1].code == "verdict.converted-compensated-assumed"
    assert prediction.spread == "class"


def test_a_scan_with_colours_of_its_own_is_not_set_beside_a_profile() -> None:
    there = printed(BARE_NUMBERS, MATT, key="scanner A, 300 ppi")
    prediction = predict(press_profile(MATT), there, trial=BARE_NUMBERS, of="card")
    verdict = judge(KnownPrint(there, trial=BARE_NUMBERS, prediction=prediction))
    (told,) = (notice for notice in verdict.notices if notice.code == "verdict.profile-beside-a-scan")
    assert "tackside scanner learn" in str(told)  # what to do about it, at the terminal
    assert not set(prediction.sentences) & set(verdict.reasons)
    assert not any(name.startswith("share") for name in verdict.measures)


def test_a_profile_of_bare_card_serves_no_cause() -> None:
    there = printed(BARE_NUMBERS, MATT)
    prediction = predict(press_profile(craft_card()), there, trial=BARE_NUMBERS)
    assert any(
        notice.code == "verdict.weak-profile-beside"
        for notice in judge(KnownPrint(there, trial=BARE_NUMBERS, prediction=prediction)).notices
    )


@pytest.mark.parametrize(
    ("profile", "told"),
    [
        (lambda: working_space_profile("srgb"), "of the class display"),
        (fogra39_profile, "for CMYK numbers, and the sheet holds RGB"),
        (lambda: grey_profile(2.2), "display"),
    ],
    ids=["screen", "other numbers", "grey"],
)
def test_no_other_profile_is_taken(profile: Callable[[], bytes], told: str) -> None:
    with pytest.raises(BadProfile, match=told):
        predict(profile(), printed(BARE_NUMBERS, MATT), trial=BARE_NUMBERS)


@pytest.mark.parametrize("who", ["driver", "nobody"])
def test_a_sheet_that_the_application_did_not_convert_has_no_prediction_colours(who: str) -> None:
    sheet = trial(settings=Settings(colour_managed_by=who))  # type: ignore[arg-type]
    with pytest.raises(BadRequest, match="no profile predicts") as error:
        predict(press_profile(MATT), printed(sheet, MATT), trial=sheet)
    assert "--purpose device" in error.value.fix


def test_a_verdict_takes_one_reference() -> None:
    there = printed(BARE_NUMBERS, MATT)
    with refused(BadRequest, "verdict.two-references"):
        judge(
            KnownPrint(there, reference=KnownPrint(reading()), prediction=predict(press_profile(MATT), there))
        )
