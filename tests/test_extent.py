"""What is drawn of a study: another share at each commit, each case in its turn, and all in full."""

from __future__ import annotations

import pytest

from tests import extent


def test_every_case_has_its_turn_and_in_full_all_are_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    cases = list("abcdefghij")
    monkeypatch.delenv(extent.FULL, raising=False)
    met: list[str] = []
    for commit in range(4):
        monkeypatch.setattr(extent, "_commit", lambda at=commit: at)
        drawn = extent.share(cases, 4)
        assert drawn == extent.share(cases, 4)
        assert len(drawn) in (2, 3)
        assert drawn != extent.share(cases, 4, 1)
        met += drawn
    assert sorted(met) == cases
    monkeypatch.setenv(extent.FULL, "1")
    assert extent.share(cases, 4) == cases


def test_the_commit_is_a_number() -> None:
    assert 0 <= extent._commit() < 16**7
