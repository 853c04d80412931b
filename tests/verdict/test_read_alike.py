"""Whether two scans were read alike, by what their files say; where nothing tells, a comparison that trusts less."""

from __future__ import annotations

from typing import Any

import pytest

from tackside.records import Reading, Verdict
from tackside.records.reading import FileSays
from tackside.verdict.causes.weigh import UNTOLD_DE00, differences
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.verdict.readings import reading, trial

SAID = FileSays(
    make="Invented Makers", model="F1", software="Scan 2", ppi=300, bits=8, settings=(("Gamma", 2.2),)
)
SILENT = FileSays(ppi=300, bits=8)


def scan(source: str, says: FileSays | None, **look: Any) -> Reading:
    key = f"scan | {source} | 300 ppi, 8 bits, sRGB assumed"
    return reading(kind="scan", key=key, de00=3.0, **look).model_copy(update={"file_says": says})


def beside(mine: Reading, theirs: Reading) -> Verdict:
    return judge(KnownPrint(mine, trial=trial(), reference=KnownPrint(theirs, trial(name="OTHER"))))


def codes(verdict: Verdict) -> list[str]:
    return [notice.code for notice in verdict.notices]


@pytest.mark.parametrize("says", [SILENT, None])
def test_scans_that_nothing_is_known_of_are_compared_with_a_wider_uncertainty(says: FileSays | None) -> None:
    mine, theirs = scan("file 1", says, chroma=0.5), scan("file 2", says)
    assert differences(mine, theirs) is None
    untold = beside(mine, theirs)
    alike = beside(scan("device A", says, chroma=0.5), scan("device A", says))
    assert "verdict.not-known-alike" in codes(untold)
    assert "verdict.not-read-alike" not in codes(untold)
    for name in ("share_l_range", "share_chroma"):
        wide, narrow = untold.measures[name], alike.measures[name]
        assert wide.value == narrow.value
        assert wide.sd is not None
        assert narrow.sd is not None
        # 3 and 2 in squares, of which the patches' own spread takes nothing.
        assert narrow.sd < wide.sd <= narrow.sd * (3.0**2 + UNTOLD_DE00**2) ** 0.5 / 3.0 * 1.001
    # The print's own figures and its grade are as they were.
    assert untold.measures["black_l"] == alike.measures["black_l"]
    assert untold.grade == alike.grade


@pytest.mark.parametrize(
    ("changed", "code", "here", "there"),
    [
        ({"make": "Other Makers"}, "verdict.differs.make", "Invented Makers", "Other Makers"),
        ({"model": "F2"}, "verdict.differs.model", "F1", "F2"),
        ({"software": "Scan 3"}, "verdict.differs.software", "Scan 2", "Scan 3"),
        ({"ppi": 600}, "verdict.differs.ppi", 300, 600),
        ({"bits": 16}, "verdict.differs.bits", 8, 16),
        ({"settings": (("Gamma", 1.0),)}, "verdict.differs.setting", 2.2, 1.0),
    ],
)
def test_what_differs_is_said_with_its_values(
    changed: dict[str, Any], code: str, here: object, there: object
) -> None:
    mine, theirs = scan("told 1", SAID), scan("told 2", SAID.model_copy(update=changed))
    verdict = beside(mine, theirs)
    assert not [name for name in verdict.measures if name.startswith("share")]
    assert "verdict.not-read-alike" in codes(verdict)
    said = differences(mine, theirs)
    assert said is not None
    assert [each.code for each in said] == [code]
    assert (said[0].value("here"), said[0].value("there")) == (here, there)
    told = next(notice for notice in verdict.notices if notice.code == "verdict.read-unlike")
    assert str(there) in str(told).replace("1 there", "1.0 there")


def test_a_profile_of_the_same_name_and_other_bytes_is_another() -> None:
    mine = SAID.model_copy(update={"profile": "Flatbed", "profile_sha256": "a"})
    theirs = SAID.model_copy(update={"profile": "Flatbed", "profile_sha256": "b"})
    said = differences(scan("told 1", mine), scan("told 2", theirs))
    assert said is not None
    assert [each.code for each in said] == ["verdict.differs.profile-bytes"]


def test_a_label_on_one_alone_does_not_part_files_that_say_the_same() -> None:
    assert scan("device A", SAID).is_read_like(scan("told 1", SAID))
    assert not scan("device A", SILENT).is_read_like(scan("file 1", SILENT))
    assert differences(scan("device A", SILENT), scan("file 1", SILENT)) is None
    assert not scan("device A", SAID).is_read_like(scan("device B", SAID))


def test_an_instrument_and_a_learnt_scanner_are_other_ways_of_reading() -> None:
    for other in (reading(), scan("scanner S", SAID)):
        assert differences(scan("told 1", SAID), other) == ()
        assert "verdict.not-read-alike" in codes(beside(scan("told 1", SAID), other))
