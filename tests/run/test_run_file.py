"""A run file with card files beside it: gathered, planned, refused where it is wrong."""

from __future__ import annotations

import shutil
import time
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tackside.bench.store import Bench
from tackside.card.file.design import Card, load_card
from tackside.card.make import make_card
from tackside.card.series.list_file import read_rows
from tackside.card.series.row_faults import Rows
from tackside.card.series.rows import personalised
from tackside.errors import BadRecord, NotFound
from tackside.messages.message import Message
from tackside.press.printer.ink import laid_ink
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import semi_gloss
from tackside.records.load import load_printer, load_stock
from tackside.run.ink import coverage
from tackside.run.ink.coverage import coverage_of
from tackside.run.ink.row_coverage import _doubt, coverage_of_rows
from tackside.run.plan.load_run import load_run
from tackside.workflow.runs.plan import plan
from tests.cli.bench_of_examples import CRAFT, SATIN, TERN
from tests.refusals import refused
from tests.run.files import CARD, PHOTOGRAPH, RUN


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    made = Bench.open(tmp_path / "bench")
    for file in (SATIN, CRAFT):
        made.stocks.add(load_stock(file))
    made.printers.add(load_printer(TERN))
    shutil.copy(PHOTOGRAPH, tmp_path / "coffee.png")
    (tmp_path / "boats.toml").write_text(CARD, encoding="utf-8")
    return made


def written(folder: Path, text: str = RUN) -> Path:
    file = folder / "run.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_a_run_is_planned_from_its_card_files(bench: Bench, tmp_path: Path) -> None:
    told = plan(bench, load_run(written(tmp_path)))
    # 40 ÷ (1 − 0.075) = 43.2, so 44 printed, and 3 to set up (docs/sources.md, S59).
    assert told.all_sheets == 47
    assert told.all_packs == 2
    # Half an A4 sheet with a border of 12 mm is 0.0232 m²; a photograph takes 9.7 to 20.5 ml/m² (docs/sources.md, S56).
    (line,) = told.batches[0].lines
    assert 0.0232 * 9.7 < float(line.ink_ml) < 0.0232 * 20.5 * 1.15
    assert told.ink_ml[0] < told.ink_ml[1] < told.ink_ml[2]
    by_code = {each.code: each for each in told.assumptions}
    assert by_code["ink.usual"].value("why") == Message("ink.no-cartridge", printer="Tern 8")
    assert by_code["run.waste"].value("spoilage") == Message("run.spoilage-usual", least=0.05, most=0.10)


def test_coverage_is_what_the_press_would_lay_for_the_same_card(bench: Bench, tmp_path: Path) -> None:
    """The card's own raster through the press against the card's coverage: the same area, margins and enlargement."""
    card = load_card(tmp_path / "boats.toml")
    stock, printer = bench.stocks.get("Harbour Satin 300"), bench.printers.get("Tern 8")
    made = make_card(card, stock, printer.model_copy(update={"grid_ppi": 150.0}), tmp_path / "card.tif")
    with Image.open(made.files["outside"]) as image:
        pixels = np.asarray(image.convert("RGB"))
    pressed = PrinterModel(enlargement_mm=2.5)  # the printer's record says so of its borderless sizes
    truth = laid_ink(pixels, 150, semi_gloss(), pressed).total_ml
    plain = np.asarray(Image.open(PHOTOGRAPH).convert("RGB"))
    # Calibrated on the bare photograph, the two must agree as areas do: within 2 %.
    from tackside.run.ink.ink import full_tones_m2

    ml_m2 = laid_ink(plain, 150, semi_gloss(), PrinterModel()).total_ml / full_tones_m2(plain, 150)
    assert coverage_of(card, stock, printer).tones_m2 * ml_m2 == pytest.approx(truth, rel=0.02)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("quantity = 40", "quantity = 0"), "quantity"),
        (("quantity = 40", "quantity = -3"), "quantity"),
        (("quantity = 40", 'quantity = "forty"'), "quantity"),
        (("quantity = 40", ""), "recipients"),
        (("boats.toml", "../boats.toml"), "leaves the folder"),
        (("boats.toml", "/etc/passwd"), "leaves the folder"),
        (("boats.toml", "gulls.toml"), "there is no file"),
        (('price = "128.00"', "price = 128.00"), "in quotes"),
        (('currency = "GBP"\n[[cards]]', 'currency = "EUR"\n[[cards]]'), "mixed currencies"),
        (('currency = "GBP"\n[[cards]]', 'currency = "GPB"\n[[cards]]'), "GPB"),
        (('currency = "GBP"\n[[cards]]', 'curency = "GBP"\n[[cards]]'), "curency"),
        (("ml = 112", "ml = 0"), "ml"),
        (('[inks."Tern 8"]', '[inks."Tern 9"]'), "what ink for Tern 8 costs"),
    ],
)
def test_faults_are_told_by_file_field_and_fix(
    bench: Bench, tmp_path: Path, change: tuple[str, str], said: str
) -> None:
    assert change[0] in RUN
    with pytest.raises(BadRecord) as found:
        plan(bench, load_run(written(tmp_path, RUN.replace(*change, 1))))
    assert said in str(found.value)
    assert found.value.fix


def test_an_unknown_stock_is_told_with_the_nearest(bench: Bench, tmp_path: Path) -> None:
    wrong = RUN.replace('name = "Boats"', 'name = "Boats"\nstock = "Harbor Satin 300"')
    with refused(NotFound, "bench.no-stock", hint=Message("file.did-you-mean", near="Harbour Satin 300")):
        plan(bench, load_run(written(tmp_path, wrong)))


def test_a_list_of_recipients_gives_the_quantity(bench: Bench, tmp_path: Path) -> None:
    (tmp_path / "boats.toml").write_text(
        CARD + '[[texts]]\npanel = "back"\ntext = "For {name}"\n', encoding="utf-8"
    )
    (tmp_path / "people.csv").write_text("name\nAda\nBo\n", encoding="utf-8")
    text = RUN.replace("quantity = 40", 'recipients = "people.csv"')
    told = plan(bench, load_run(written(tmp_path, text)))
    assert told.quantity == 2
    assert told.batches[0].lines[0].recipients == ({"name": "Ada"}, {"name": "Bo"})
    (tmp_path / "people.csv").write_text("nam\nAda\n", encoding="utf-8")
    with refused(BadRecord, "card-rows.unknown-field-near", near="nam", name="name"):
        plan(bench, load_run(written(tmp_path, text)))
    (tmp_path / "people.csv").unlink()
    with refused(BadRecord, "card-rows.no-file"):
        plan(bench, load_run(written(tmp_path, text)))


def test_what_is_missing_is_refused_before_any_ink_is_counted(
    bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tackside.run.ink.coverage.make_card", lambda *_, **__: pytest.fail("counted"))
    text = RUN.replace('[inks."Tern 8"]', '[inks."Gull 4"]')
    with refused(BadRecord, "money.no-ink-price", printer="Tern 8"):
        plan(bench, load_run(written(tmp_path, text)))


def test_ink_is_counted_once_for_the_same_content(
    bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[str] = []
    whole = coverage.make_card

    def make_card(card: Card, *asked: Any) -> Any:
        made.append(card.pictures[0].file)
        return whole(card, *asked)

    monkeypatch.setattr(coverage, "make_card", make_card)
    (tmp_path / "boats.toml").write_text(CARD, encoding="utf-8")
    first = plan(bench, load_run(written(tmp_path, RUN)))
    assert plan(bench, load_run(written(tmp_path, RUN))) == first
    assert made == ["coffee.png"]
    Image.new("RGB", (60, 40), (255, 255, 255)).save(
        tmp_path / "coffee.png"
    )  # another picture under the same name
    assert plan(bench, load_run(written(tmp_path, RUN))).ink_ml != first.ink_ml
    assert made == ["coffee.png"] * 2


def test_the_ink_of_a_short_list_is_that_of_all_its_rows(bench: Bench, tmp_path: Path) -> None:
    """Each row's own picture counts, not the first one's."""
    Image.new("RGB", (60, 40), (255, 255, 255)).save(tmp_path / "bare.png")
    (tmp_path / "boats.toml").write_text(CARD.replace("coffee.png", "{picture}.png"), encoding="utf-8")
    (tmp_path / "people.csv").write_text("picture\nbare\ncoffee\nbare\nbare\n", encoding="utf-8")
    text = RUN.replace("quantity = 40", 'recipients = "people.csv"')
    told = plan(bench, load_run(written(tmp_path, text)))
    (line,) = told.batches[0].lines
    (tmp_path / "whole.toml").write_text(CARD, encoding="utf-8")
    whole = coverage_of(
        load_card(tmp_path / "whole.toml"),
        bench.stocks.get("Harbour Satin 300"),
        bench.printers.get("Tern 8"),
    )
    assert line.tones_m2 == pytest.approx(whole.tones_m2 / 4, rel=1e-6)
    remark = Message("run.of-card", card="Boats", remark=Message("ink.all-rows", rows=4))
    assert remark in told.assumptions


def test_the_ink_of_a_long_list_is_sampled_and_says_how_far_that_holds(bench: Bench, tmp_path: Path) -> None:
    Image.new("RGB", (60, 40), (255, 255, 255)).save(tmp_path / "bare.png")
    (tmp_path / "boats.toml").write_text(CARD.replace("coffee.png", "{picture}.png"), encoding="utf-8")
    rows = "\n".join("bare" if number % 3 else "coffee" for number in range(60))
    (tmp_path / "people.csv").write_text(f"picture\n{rows}\n", encoding="utf-8")
    card = load_card(tmp_path / "boats.toml")
    stock, printer = bench.stocks.get("Harbour Satin 300"), bench.printers.get("Tern 8")
    listed = read_rows(tmp_path / "people.csv")
    found = coverage_of_rows(card, listed, stock, printer)
    whole = coverage_of(personalised(card, listed)[0], stock, printer).tones_m2
    assert abs(found.mean.tones_m2 - whole / 3) <= found.doubt * found.mean.tones_m2
    assert 0 < found.doubt < 1
    assert found.basis == Message("ink.some-rows", counted=16, rows=60, doubt=found.doubt)
    within = f"on 16 of 60 rows, drawn at random: the mean of all lies within ±{100 * found.doubt:.1f} %"
    assert within in str(found.basis)
    few = Rows(listed.file, listed.names, listed.rows[:16])
    assert coverage_of_rows(card, few, stock, printer).doubt == 0


def test_the_interval_of_a_sample_holds_the_mean_of_all_nineteen_times_in_twenty() -> None:
    chance = np.random.default_rng(7)
    everyone = chance.gamma(4, 0.01, 200)  # as skewed as a mix of pictures is
    held = 0
    for _ in range(1000):
        some = chance.choice(everyone, 16, replace=False)
        held += abs(some.mean() - everyone.mean()) <= _doubt(list(some), 200) * some.mean()
    assert 0.92 <= held / 1000 <= 0.98


def test_postage_is_held_against_the_dated_limits_of_the_post(bench: Bench, tmp_path: Path) -> None:
    posted = (
        RUN
        + '[postage]\nservice = "letter"\ncountry = "United Kingdom"\nprice = "0.87"\ndated = 2026-04-07\n'
    )
    told = plan(bench, load_run(written(tmp_path, posted)))
    (posting,) = told.post
    letter = next(each for each in posting.services if each.country == "United Kingdom")
    # UK letters up to 240 × 165 × 5 mm and 100 g (docs/sources.md, S10). A5 goes into a C5 envelope,
    # 229 × 162 mm (ISO 269).
    assert posting.mailed is not None
    assert posting.mailed.size_mm == (229, 162)
    assert letter.goes
    assert told.parts["postage"] == Decimal("34.80")
    (bench.folder / "post.toml").write_text(
        '[[services]]\ncountry = "United Kingdom"\nname = "letter"\nmax_mass_g = 5\n'
        'noted = 2026-05-01\nsource = "invented for this test"\n',
        encoding="utf-8",
    )
    told = plan(bench, load_run(written(tmp_path, posted)))
    (refused,) = (each for each in told.assumptions if each.code == "run.post-does-not-go")
    (reason,) = refused.values["reasons"]  # type: ignore[misc,union-attr]
    assert isinstance(reason, Message)
    assert reason.code == "post.too-heavy"
    unknown = posted.replace('service = "letter"', 'service = "pigeon"')
    told = plan(bench, load_run(written(tmp_path, unknown)))
    (unchecked,) = (each for each in told.assumptions if each.code == "run.post-unknown")
    assert unchecked.value("service") == "pigeon"


def test_ten_thousand_personalised_cards_are_planned_in_under_five_seconds(
    bench: Bench, tmp_path: Path
) -> None:
    (tmp_path / "boats.toml").write_text(
        CARD + '[[texts]]\npanel = "back"\ntext = "For {name} at {town}"\n', encoding="utf-8"
    )
    rows = "\n".join(f"Person {number},Town {number % 97}" for number in range(10_000))
    (tmp_path / "people.csv").write_text(f"name,town\n{rows}\n", encoding="utf-8")
    text = RUN.replace("quantity = 40", 'recipients = "people.csv"') + "[calendar]\nstart = 2026-05-04\n"
    run = load_run(written(tmp_path, text))
    began = time.process_time()
    told = plan(bench, run)
    assert time.process_time() - began < 5
    assert told.quantity == 10_000
    assert told.all_sheets == 10_814  # 10,000 ÷ 0.925, up, and 3
    assert told.all_packs == 433
