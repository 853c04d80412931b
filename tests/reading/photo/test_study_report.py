"""What the study of photographs states: the very same grades first, and prints at a limit apart."""

from __future__ import annotations

from training.phone.study import Photographed, Said, report

from tackside.records.verdict import Grade


def _said(grade: Grade, *close: Grade, at_limit: bool = False) -> Said:
    return Said(grade, close, "none", at_limit)


def _photographed(photo: Said, scanned: Said, again: Said) -> Photographed:
    return Photographed(
        truth=("none",), by="scan", refused=None, de00=0.6, p95=1.5, stated=0.6, before=5.0, photo=photo,
        scanned=scanned, again=again, left_out=0, seconds=2.0, fold=False, falloff=0.4,
    )  # fmt: skip


def test_a_close_call_is_not_counted_as_the_same_grade_and_prints_at_a_limit_stand_apart() -> None:
    found = [
        _photographed(_said("sell"), _said("sell"), _said("sell")),
        _photographed(_said("send", "sell"), _said("sell", at_limit=True), _said("sell")),
        _photographed(_said("sell"), _said("sell", "send", at_limit=True), _said("send")),
        _photographed(_said("draft"), _said("send"), _said("send")),
    ]
    said = dict(line.strip("| ").split(" | ") for line in report(found).splitlines()[2:])
    assert said["grade the same as the scan's"] == "2 of 4 (50.0%)"
    assert said["a second device's grade the same as the first's"] == "3 of 4 (75.0%)"
    assert said["another grade within one standard uncertainty of the scan's own figures"] == "2 of 4 (50.0%)"
    assert said["grade the same as the scan's, of prints that lie at no such limit"] == "1 of 2 (50.0%)"
    assert said["a second device's grade the same as the first's, likewise"] == "2 of 2 (100.0%)"
