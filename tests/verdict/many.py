"""A range of invented prints, one of each kind of answer: sound, bare, with each fault, by eye, and unexplained."""

from __future__ import annotations

from collections.abc import Iterator

from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import (
    StockModel,
    cotton_etching,
    craft_card,
    matt_coated,
    matt_uncoated_back,
    semi_gloss,
)
from tackside.reading.eye import read_answers
from tackside.reading.eye_questions import answers_from
from tackside.records import Placement, Reading, Settings, Trial
from tackside.verdict.known_print import KnownPrint
from tests.sheet.sheets import plan
from tests.verdict.printed import printed
from tests.verdict.readings import reading, stock, trial
from tests.verdict.test_symptom_to_cause import FEATHERED, with_lines

SRGB, WIDE, GOOD = trial(), trial(space="adobe-rgb"), trial(name="2B4C6D8E")
WIDE_GOOD = trial(space="adobe-rgb", name="2B4C6D8E")
FAULTS: dict[str, tuple[StockModel, PrinterModel, Trial]] = {
    "sound": (semi_gloss(), PrinterModel(), SRGB),
    "sound on matt": (matt_coated(), PrinterModel(), SRGB),
    "bare": (craft_card(), PrinterModel(), SRGB),
    "bare back": (matt_uncoated_back(), PrinterModel(), SRGB),
    "bare and unmanaged": (craft_card(), PrinterModel(managed="nobody"), SRGB),
    "too little ink": (matt_coated(), PrinterModel(ink=0.6), SRGB),
    "too much ink": (matt_coated(), PrinterModel(ink=1.35), SRGB),
    "managed twice": (cotton_etching(), PrinterModel(managed="twice"), SRGB),
    "unmanaged": (semi_gloss(), PrinterModel(managed="nobody"), SRGB),
    "wide read as narrow": (matt_coated(), PrinterModel(reads_as="srgb"), WIDE),
    "narrow read as wide": (matt_coated(), PrinterModel(reads_as="adobe-rgb"), SRGB),
    "missing ink": (semi_gloss(), PrinterModel(missing=("m",)), SRGB),
}
BY_EYE = {
    "good by eye": {"black_beside_good": "same", "creep": "no", "drag_this_side": "yes", "hues_off": 0,
                    "beside_screen": "same", "colour_beside_good": "same"},
    "bare by eye": {"black_beside_good": "much-less", "creep": "much", "drag_this_side": "no",
                    "beside_screen": "less", "hues_off": 0},
}  # fmt: skip


def many() -> Iterator[tuple[str, KnownPrint]]:
    """Each kind's name and print: alone, and with a good print beside it where it has a fault of the path."""
    for name, (model, printer, sheet) in FAULTS.items():
        bare = name.startswith("bare")
        one = with_lines(
            printed(sheet, model, printer), **({"gain": FEATHERED, "mottle": 1.1} if bare else {})
        )
        yield name, KnownPrint(one, sheet)
        yield f"{name}, scanned", KnownPrint(as_scan(one), sheet, stock(coated="unknown"))
        good = printed(sheet, semi_gloss() if bare else model, true_for(sheet), seed=2)
        yield (
            f"{name}, beside a good print",
            KnownPrint(one, sheet, reference=KnownPrint(with_lines(good), good_of(sheet))),
        )
    sharp = printed(SRGB, semi_gloss())
    beside = KnownPrint(with_lines(printed(SRGB, semi_gloss(), seed=2)), GOOD)
    yield "doubled", KnownPrint(with_lines(sharp, doubling=90.0), SRGB, reference=beside)
    place = Placement(scale_x=0.96, scale_y=0.96, residual_um=30.0, marks_found=8)
    small = with_lines(sharp).model_copy(update={"placement": place})
    yield "scaled", KnownPrint(small, SRGB, reference=beside)
    magenta = with_lines(printed(SRGB, semi_gloss(), PrinterModel(missing=("m",))))
    yield (
        "missing and scaled",
        KnownPrint(magenta.model_copy(update={"placement": place}), SRGB, reference=beside),
    )
    for side in ("front", "back"):
        known = trial(side="back", name="9X8Y7Z6W")
        bare = with_lines(printed(known, matt_uncoated_back()), gain=FEATHERED, mottle=1.1)
        yield (
            f"bare, coated on its {side}",
            KnownPrint(bare, known, stock(coated=side, coated_found_by="damp-fingertip")),
        )
    for black, chroma in ((22.0, 0.65), (29.0, 0.55), (37.0, 0.4)):
        yield f"dull to L* {black:.0f}", KnownPrint(reading(black=black, chroma=chroma), SRGB)
    device = trial(purpose="device")
    yield "sound device sheet", KnownPrint(reading(black=12.0), device, stock(coated="front"))
    yield "sound data, no trial", KnownPrint(reading(black=16.0))
    yield "pale data, no trial", KnownPrint(reading(black=31.0, chroma=0.5))
    noted = trial(settings=Settings(colour_managed_by="application"))
    unmanaged = with_lines(printed(noted, semi_gloss(), PrinterModel(managed="nobody")))
    yield "unmanaged, noted otherwise", KnownPrint(unmanaged, noted, reference=beside)
    sheet = SRGB.model_copy(update={"sheet": plan("a5-folded")})
    for name, said in BY_EYE.items():
        yield name, KnownPrint(read_answers(answers_from(said), sheet.sheet, trial=sheet.id), sheet)


def good_of(sheet: Trial) -> Trial:
    return WIDE_GOOD if sheet is WIDE else GOOD


def true_for(sheet: Trial) -> PrinterModel:
    return PrinterModel(reads_as="adobe-rgb") if sheet is WIDE else PrinterModel()


def as_scan(one: Reading) -> Reading:
    """The same as a scanner would see it that nobody characterised."""
    key = "scan | device flatbed | 300 ppi"
    trust = one.uncertainty.model_copy(update={"de00": 3.0, "comparable_with": key})
    return one.model_copy(update={"kind": "scan", "uncertainty": trust})
