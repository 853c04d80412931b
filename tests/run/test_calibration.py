"""The user's own cartridges say how much ink a tone takes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from tackside.messages.message import Message
from tackside.records.run import InkChange, Tally
from tackside.run.ink.calibration import OWN_DOUBT, calibrate
from tackside.run.ink.ink import FULL_TONE_ML_M2, USUAL_DOUBT

START = datetime(2026, 3, 1, tzinfo=UTC)


def change(ink: str, day: float, ml: float = 14.0) -> InkChange:
    return InkChange(printer="Tern 8", ink=ink, ml=ml, made_at=START + timedelta(days=day))


def printed(day: float, tones_m2: float | None) -> Tally:
    return Tally(
        run="R",
        batch=1,
        stock="Harbour Satin 300",
        printer="Tern 8",
        kind="good",
        sheets=10,
        tones_m2=tones_m2,
        made_at=START + timedelta(days=day),
    )


def test_the_inks_shares_add_up() -> None:
    changes = [change("cyan", 0), change("cyan", 10), change("yellow", 2), change("yellow", 12)]
    told = calibrate("Tern 8", 2, changes, [printed(1, 1.0), printed(5, 4.0), printed(11, 3.0)])
    # Cyan: 14 ml over 1 + 4 m²; yellow: 14 ml over 4 + 3 m².
    assert told.ml_m2 == pytest.approx(14 / 5 + 14 / 7)
    assert told.doubt == OWN_DOUBT
    assert told.basis == Message("ink.from-cartridges", printer="Tern 8")


def test_all_cartridges_between_the_first_and_the_last_change_count() -> None:
    told = calibrate(
        "Tern 8", None, [change("set", day, 112) for day in (0, 5, 10)], [printed(1, 8.0), printed(7, 6.0)]
    )
    assert told.ml_m2 == pytest.approx(2 * 112 / 14)


@pytest.mark.parametrize(
    ("inks", "changes", "tallies", "why"),
    [
        (2, [], [], "ink.no-cartridge"),
        (2, [change("cyan", 0), change("cyan", 9)], [printed(1, 5.0)], "ink.some-inks-only"),
        (None, [change("cyan", 0), change("cyan", 9)], [printed(1, 5.0)], "ink.count-unknown"),
        (1, [change("black", 0)], [printed(1, 5.0)], "ink.changed-once"),
        (1, [change("black", 0), change("black", 9)], [printed(1, 0.5)], "ink.too-little-printed"),
        (
            1,
            [change("black", 0), change("black", 9)],
            [printed(1, 5.0), printed(2, None)],
            "ink.coverage-missing",
        ),
        (2, [change("set", 0), change("cyan", 9)], [printed(1, 5.0)], "ink.sets-and-single"),
    ],
)
def test_too_little_to_go_by_falls_back_on_the_usual_figures_and_says_why(
    inks: int | None, changes: list[InkChange], tallies: list[Tally], why: str
) -> None:
    told = calibrate("Tern 8", inks, changes, tallies)
    assert (told.ml_m2, told.doubt) == (FULL_TONE_ML_M2, USUAL_DOUBT)
    assert (told.basis.code, told.basis.value("least"), told.basis.value("most")) == ("ink.usual", 9.7, 20.5)
    reason = told.basis.value("why")
    assert isinstance(reason, Message)
    assert reason.code == why
