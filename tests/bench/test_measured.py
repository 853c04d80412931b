"""What was measured on each card is told from narrow rows, and is what opening every reading would tell."""

from __future__ import annotations

import random
from collections.abc import Iterable
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import text

from tackside.bench.database import storage as vault
from tackside.bench.database.storage import WRITES, connect, sqlite_url
from tackside.bench.location import place_of
from tackside.bench.repositories.measured import PrintedBy
from tackside.bench.store import Bench
from tackside.records import Placement, Reading, Trial
from tackside.records.reading import STANDING_ORDER
from tests.bench import invented
from tests.extent import drawn

STOCK, PRINTER = "Harbour Satin 300", "Tern 8"
WAY = PrintedBy("rear", "front", (210, 297), borderless=True)
HALF_A_MM = 0.5


def placed(x: float) -> Placement:
    return Placement(
        scale_x=1.001,
        scale_y=0.999,
        rotation_deg=0.2,
        skew_deg=0.1,
        offset_mm=(x, -0.5),
        residual_um=12,
        marks_found=4,
    )


def furnish(bench: Bench) -> None:
    for name in (STOCK, "Shingle Craft 250"):
        bench.stocks.add(invented.stock(name=name))
    bench.printers.add(invented.printer())


def fill(bench: Bench, count: int, seed: int = 5) -> None:
    """Trials of two stocks, printed in several ways, read not at all or several times, in any order."""
    chance = random.Random(seed)
    furnish(bench)
    for number in range(count):
        size = chance.choice([(210, 297), (210, 297), (210.3, 296.8), (297, 210)])
        sheet = invented.sheet().model_copy(update={"size_mm": size, "borderless": chance.random() < 0.8})
        trial = invented.trial(
            f"T{number:03}",
            stock=chance.choice([STOCK, STOCK, "Shingle Craft 250"]),
            feed=chance.choice(["rear", "rear", "rear", "tray"]),
            side=chance.choice(["front", "front", "back"]),
            sheet=sheet,
        )
        bench.trials.add(trial)
        for _ in range(chance.randrange(4)):
            bench.readings.add(
                invented.reading(
                    trial.id,
                    kind=chance.choice(["scan", "instrument", "eye"]),
                    made_at=invented.NOON + timedelta(hours=chance.randrange(5)),
                    placement=chance.choice([None, placed(number + chance.random())]),
                )
            )


def opened(bench: Bench) -> Iterable[tuple[Trial, Reading]]:
    for trial in bench.trials.list():
        for reading in bench.readings.list(trial.id):
            yield trial, reading


def foremost_placements(bench: Bench, way: PrintedBy) -> tuple[tuple[str, Placement], ...]:
    """The same by opening every record: what the narrow rows stand in for."""
    foremost: dict[str, Reading] = {}
    for trial, reading in opened(bench):
        apart = max(abs(a - b) for a, b in zip(trial.sheet.size_mm, way.size_mm, strict=True))
        printed = PrintedBy(trial.feed, trial.side, way.size_mm, trial.sheet.borderless)
        if trial.stock != STOCK or reading.placement is None or apart > HALF_A_MM or printed != way:
            continue
        before = foremost.get(trial.id)
        if before is None or STANDING_ORDER.index(reading.kind) <= STANDING_ORDER.index(before.kind):
            foremost[trial.id] = reading
    return tuple((name, each.placement) for name, each in foremost.items() if each.placement is not None)


def newest_of_cards(bench: Bench) -> tuple[tuple[str, str | None], ...]:
    """The newest of the readings that stand, one a trial: an instrument's before a scan, a later before an earlier."""
    standing: dict[str, tuple[Trial, Reading]] = {}
    for trial, reading in opened(bench):
        before = standing.get(trial.id)
        kept = before is not None and (before[1].kind, reading.kind) == ("instrument", "scan")
        if reading.kind != "eye" and not kept:
            standing[trial.id] = (trial, reading)
    newest: dict[tuple[str, str, str], tuple[Trial, Reading]] = {}
    for trial, reading in standing.values():
        card = (trial.stock, trial.side, trial.printer)
        if card not in newest or reading.made_at >= newest[card][1].made_at:
            newest[card] = (trial, reading)
    return tuple((trial.id, reading.id) for trial, reading in newest.values())


def told(bench: Bench, way: PrintedBy = WAY) -> tuple[tuple[str, Placement], ...]:
    return bench.measured.placements(STOCK, PRINTER, way, within_mm=HALF_A_MM)


def test_a_ruler_laid_on_later_does_not_replace_what_a_scan_says_of_the_place(bench: Bench) -> None:
    furnish(bench)
    bench.trials.add(invented.trial("T1", stock=STOCK))
    for kind, x in (("scan", 1.0), ("eye", 5.0)):
        bench.readings.add(invented.reading("T1", kind=kind, placement=placed(x)))
    ((_, found),) = told(bench, bench.measured.ways(STOCK, PRINTER)[0])
    assert found == placed(1.0)
    bench.readings.add(invented.reading("T1", kind="scan", placement=placed(2.0)))
    ((_, found),) = told(bench, bench.measured.ways(STOCK, PRINTER)[0])
    assert found == placed(2.0)


@pytest.mark.parametrize("seed", range(drawn(1, 3)))
def test_narrow_rows_tell_what_the_records_do(bench: Bench, seed: int) -> None:
    fill(bench, 50, seed)
    ways = [WAY, PrintedBy("tray", "back", (297, 210), borderless=False)]
    assert len(told(bench)) > 2
    assert [told(bench, way) for way in ways] == [foremost_placements(bench, way) for way in ways]
    assert bench.measured.newest() == newest_of_cards(bench)
    of_one = tuple(each for each in newest_of_cards(bench) if bench.trials.get(each[0]).stock == STOCK)
    assert bench.measured.newest(stock=STOCK, printer=PRINTER) == of_one
    assert bench.measured.newest(printer="another") == ()


def test_ways_stand_in_the_order_of_their_first_trials(bench: Bench) -> None:
    furnish(bench)
    for number, feed in enumerate(["tray", "rear", "tray"]):
        trial = bench.trials.add(invented.trial(f"T{number}", feed=feed))
        bench.readings.add(invented.reading(trial.id, placement=placed(number)))
    unplaced = bench.trials.add(invented.trial("T9", feed="cassette"))
    bench.readings.add(invented.reading(unplaced.id))
    assert bench.measured.ways(STOCK, PRINTER) == (WAY._replace(feed="tray"), WAY)


def test_a_number_grows_with_each_reading_that_is_placed(bench: Bench) -> None:
    furnish(bench)
    assert bench.measured.last_placement(STOCK, PRINTER) == 0
    trial = bench.trials.add(invented.trial())
    bench.readings.add(invented.reading(trial.id, placement=placed(1)))
    first = bench.measured.last_placement(STOCK, PRINTER)
    bench.readings.add(invented.reading(trial.id))
    assert bench.measured.last_placement(STOCK, PRINTER) == first > 0
    bench.readings.add(invented.reading(trial.id, placement=placed(2)))
    assert bench.measured.last_placement(STOCK, PRINTER) > first
    assert bench.measured.last_placement("Shingle Craft 250", PRINTER) == 0


def test_a_bench_from_before_tells_the_same_once_it_is_opened(bench: Bench) -> None:
    fill(bench, 30)
    before = told(bench), bench.measured.newest()
    where = place_of(bench.folder).url or sqlite_url(bench.folder / "bench.sqlite")
    with connect(where).execution_options(**{WRITES: True}).begin() as connection:  # the form that 0005 left
        for step in invented.WITHOUT_DIGESTS:
            connection.execute(text(step))
        connection.execute(text("DROP TABLE placement"))
        connection.execute(text("DROP INDEX ix_reading_listing"))
        connection.execute(text("ALTER TABLE job DROP COLUMN fault"))
        connection.execute(text("ALTER TABLE job ADD COLUMN what TEXT"))
        connection.execute(text("ALTER TABLE job ADD COLUMN mend TEXT"))
        connection.execute(text("DROP TABLE withdrawal"))
        connection.execute(text("DROP TABLE practice"))
        connection.execute(text("UPDATE alembic_version SET version_num = '0005'"))
    again = Bench.open(bench.folder)
    assert before[0]
    assert (told(again), again.measured.newest()) == before


def test_no_trial_and_no_reading_is_opened(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    fill(bench, 30)
    revive, revived = vault.Vault.revive, set()

    def watched(self: Any, kind: Any, body: Any) -> Any:
        revived.add(kind)
        return revive(self, kind, body)

    monkeypatch.setattr(vault.Vault, "revive", watched)
    assert told(bench)
    assert bench.measured.newest()
    assert bench.measured.ways(STOCK, PRINTER)
    assert revived == {Placement}
