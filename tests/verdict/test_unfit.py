"""Unfit evidence never gives a confident verdict, and the verdict says why."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tackside.messages.message import Message
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel, craft_card, matt_coated, semi_gloss
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.scanning import scan
from tackside.reading.eye import Answers, read_answers
from tackside.reading.scan.fitness import ScanFlaw, dried, with_faults
from tackside.reading.scan.read import read_scan
from tackside.records import Attribute, Reading, Verdict
from tackside.records.reading import Flaw
from tackside.verdict.causes.finding import fitness, trust_in, unfit_notice
from tackside.verdict.causes.weigh import prior_odds
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.reading.scan import prints, scans
from tests.sheet.sheets import plan
from tests.verdict.printed import printed
from tests.verdict.readings import reading, trial
from tests.verdict.test_symptom_to_cause import FEATHERED, with_lines

SHEET = trial()
CONFIDENT = 0.75  # of a cause; what was known beforehand may be surer, as for a card known to be bare
# Fault, model and printer whose cause is told for sure from sound evidence beside a good print of the same card.
PLAIN: list[tuple[str, StockModel, PrinterModel]] = [
    ("missing ink", semi_gloss(), PrinterModel(missing=("m",))),
    ("managed twice", matt_coated(), PrinterModel(managed="twice")),
    ("too little ink", matt_coated(), PrinterModel(ink=0.6)),
]
# What the reading part states of such evidence, by its own codes and degrees (reading.scan.fitness, drying).
FAULTS = {
    "sharpened": ScanFlaw(Message("scan.sharpened", file="x.tif", overshoot=0.12), 0.5, 1.0),
    "automatic tone": ScanFlaw(Message("scan.dark-cut-off", file="x.tif"), 0.5, 2.0),
    "heavy JPEG": ScanFlaw(Message("scan.heavy-jpeg", file="x.jpg", quality=20), 0.5, 1.0),
    "phone picture": ScanFlaw(Message("scan.photograph-by-tags", file="x.jpg"), 1.0, 8.0),
    "screen photograph": ScanFlaw(Message("scan.screen-pattern", file="x.jpg"), 1.0, 8.0),
}
# A sound scan, under names that hold words for what spoils one.
NAMES = ("phone.tif", "mixed media card.tif", "JPEG automatic sharpen.tif", "half-wet photograph of it.tif")


def beside_good(there: Reading, model: StockModel) -> Verdict:
    good = with_lines(printed(SHEET, model, seed=2))
    return judge(
        KnownPrint(there, trial=SHEET, reference=KnownPrint(good, SHEET.model_copy(update={"id": "GOOD"})))
    )


def spoilt(one: Reading, fault: ScanFlaw) -> Reading:
    """As the reading part marks it; the key is kept, so that a comparison is not refused for another reason."""
    marked = with_faults(one, [fault])
    trust = marked.uncertainty.model_copy(update={"comparable_with": one.uncertainty.comparable_with})
    return marked.model_copy(update={"notices": (fault.message, *one.notices), "uncertainty": trust})


@pytest.mark.parametrize(("model", "printer"), [row[1:] for row in PLAIN], ids=[row[0] for row in PLAIN])
@pytest.mark.parametrize("fault", FAULTS.values(), ids=list(FAULTS))
def test_no_cause_is_sure_from_an_unfit_scan(
    model: StockModel, printer: PrinterModel, fault: ScanFlaw
) -> None:
    there = with_lines(printed(SHEET, model, printer))
    sound, unfit = beside_good(there, model), beside_good(spoilt(there, fault), model)
    assert sound.causes[sound.cause] > CONFIDENT  # else the rest would prove nothing
    assert max(unfit.causes.values()) < CONFIDENT
    assert max(unfit.causes.values()) < sound.causes[sound.cause]
    assert "verdict.evidence-not-sound" in [notice.code for notice in unfit.notices]
    assert fault.message in unfit.notices
    assert unfit.next_steps or max(unfit.causes.values()) < 0.5


@pytest.mark.parametrize("name", ["phone picture", "screen photograph"])
def test_of_a_photograph_nothing_is_concluded_beyond_what_was_known_beforehand(name: str) -> None:
    there = spoilt(with_lines(printed(SHEET, craft_card()), gain=FEATHERED, mottle=1.2), FAULTS[name])
    odds = prior_odds(trial=SHEET)
    total = sum(odds.values())
    found = judge(KnownPrint(there, trial=SHEET))
    assert found.causes == pytest.approx({cause: weight / total for cause, weight in odds.items()})
    assert found.combined == ()


def test_a_half_wet_print_gives_no_sure_cause() -> None:
    there = with_lines(printed(SHEET, matt_coated(), PrinterModel(managed="twice")))
    wet = dried(there, 0.3)
    assert fitness(wet) < 1.0
    wet = wet.model_copy(
        update={"uncertainty": wet.uncertainty.model_copy(update={"comparable_with": "colorimetric"})}
    )
    assert max(beside_good(wet, matt_coated()).causes.values()) < CONFIDENT


def test_answers_about_a_half_wet_print_count_for_less() -> None:
    said = {
        "creep": "much",
        "drag_this_side": "no",
        "black_beside_good": "much-less",
        "colour_beside_good": "much-less",
        "hues_off": 0,
    }
    sheet = SHEET.model_copy(update={"sheet": plan("a5-folded")})
    dry, wet = (
        read_answers(Answers.model_validate({**said, "drying_hours": hours}), sheet.sheet, trial=sheet.id)
        for hours in (30.0, 0.2)
    )
    assert fitness(dry) == 1.0
    assert fitness(wet) < 1.0
    sure, unsure = (max(judge(KnownPrint(one, trial=sheet)).causes.values()) for one in (dry, wet))
    assert unsure < sure


def test_answers_that_contradict_each_other_give_no_sure_cause() -> None:
    sheet = SHEET.model_copy(update={"sheet": plan("a5-folded")})
    said = {
        "black_beside_good": "much-less", "colour_beside_good": "more", "creep": "much", "drag_this_side": "no",
        "drag_other_side": "yes", "smallest_reversed_type_pt": 3.0, "light_lines": "none", "hues": "right",
    }  # fmt: skip
    told = read_answers(Answers.model_validate(said), sheet.sheet, trial=sheet.id)
    verdict = judge(KnownPrint(told, trial=sheet))
    assert "eye.black-weaker-colours-richer" in [notice.code for notice in verdict.notices]
    assert max(verdict.causes.values()) < 0.5
    # The same answers without the two that contradict: those may be surer.
    kept = {name: said[name] for name in said if name != "smallest_reversed_type_pt"}
    kept |= {"colour_beside_good": "much-less"}
    plain = read_answers(Answers.model_validate(kept), sheet.sheet, trial=sheet.id)
    assert max(judge(KnownPrint(plain, trial=sheet)).causes.values()) > max(verdict.causes.values())


@pytest.mark.parametrize("de00", [6.0, 8.0, 15.0])
def test_trust_falls_with_a_scans_own_uncertainty(de00: float) -> None:
    trust, why = trust_in(reading(kind="scan", de00=de00))
    assert trust == pytest.approx(5.0 / de00)
    assert why
    assert trust_in(reading(kind="scan", de00=3.0)) == (1.0, [])


def test_trust_is_the_worst_that_is_said() -> None:
    mild = reading(more={"attributes": {"unfit": Attribute(value=0.3, unit="1")}})
    assert trust_in(mild)[0] == pytest.approx(0.7)
    both = mild.model_copy(update={"flaws": (Flaw(code="scan.sharpened", degree=0.5),)})
    assert trust_in(both)[0] == pytest.approx(0.45)
    nothing = reading(more={"attributes": {"unfit": Attribute(value=1.0, unit="1")}})
    assert trust_in(nothing)[0] == 0.0


def test_no_notice_makes_a_reading_unfit() -> None:
    told = tuple(fault.message for fault in FAULTS.values())
    spoken = reading().model_copy(update={"notices": told})
    assert fitness(spoken) == 1.0
    assert trust_in(spoken) == (1.0, [])
    assert unfit_notice(spoken) is None


@pytest.fixture(scope="module")
def sound() -> np.ndarray:
    """A scan of a sound print by a plain flatbed."""
    flatbed = ScannerModel(ppi=300, space="srgb", bits=8, compression="none")
    return np.asarray(scan(prints.printed(), flatbed).image)


@pytest.mark.parametrize("name", NAMES)
def test_what_a_sound_scan_is_called_does_not_change_its_verdict(
    sound: np.ndarray, name: str, tmp_path: Path
) -> None:
    sheet = SHEET.model_copy(update={"id": prints.TRIAL, "sheet": prints.planned()})

    def judged(called: str) -> Verdict:
        # Without a resolution in the file a notice names it, as it may well do of a sound scan.
        path = scans.save(sound, tmp_path / called, ppi=None)
        found = read_scan(path, prints.planned())
        assert fitness(found) == 1.0
        assert any(called in str(notice) for notice in found.notices)
        return judge(KnownPrint(found, trial=sheet))

    plain, odd = judged("scan.tif"), judged(name)
    assert odd.causes == plain.causes
    assert (odd.grade, odd.cause, odd.combined) == (plain.grade, plain.cause, plain.combined)
    assert odd.measures == plain.measures
    assert odd.reasons == plain.reasons
    assert [notice.code for notice in odd.notices] == [notice.code for notice in plain.notices]


@pytest.mark.parametrize(("degree", "left"), [(0.3, 0.7), (0.5, 0.45), (1.0, 0.0)])
def test_a_reading_kept_before_there_were_flaws_goes_by_its_attribute(degree: float, left: float) -> None:
    earlier = reading(more={"attributes": {"unfit": Attribute(value=degree, unit="1")}})
    written = earlier.model_dump(mode="json")
    del written["flaws"]
    written["notices"] = ["phone.tif was sharpened: edges overshoot by 12 %."]
    written["uncertainty"]["basis"] = "an estimate"
    kept = Reading.model_validate(written)
    assert fitness(kept) == pytest.approx(left)
    assert str(kept.notices[0]) == written["notices"][0]
    assert str(kept.uncertainty.basis) == "an estimate"


def test_colours_that_a_scanner_cuts_off_weaken_the_evidence_and_do_not_spoil_it() -> None:
    # As reading.scan.read states it; a good scan in sRGB has it too, for solids beyond that space.
    there = reading().model_copy(
        update={"flaws": (Flaw(code="scan.clipped", degree=0.5, weakens_only=True),)}
    )
    assert fitness(there) == 1.0
    assert unfit_notice(there) is None
    assert trust_in(there)[0] == pytest.approx(0.45)


def test_a_reference_that_is_missing_or_was_read_otherwise_is_not_ranked_against() -> None:
    there = with_lines(printed(SHEET, matt_coated(), PrinterModel(ink=0.6)))
    unlike = with_lines(printed(SHEET, matt_coated(), seed=2, key="scanner B, 300 ppi"))
    verdict = judge(
        KnownPrint(there, trial=SHEET, reference=KnownPrint(unlike, SHEET.model_copy(update={"id": "GOOD"})))
    )
    alone = judge(KnownPrint(there, trial=SHEET))
    assert verdict.causes == alone.causes
    assert "verdict.not-read-alike" in [notice.code for notice in verdict.notices]
    assert not any(name.startswith("share") for name in verdict.measures)
