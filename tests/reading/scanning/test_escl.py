"""A scan by eSCL from scanners that do as they are asked, and from those that lie or break."""

from __future__ import annotations

import threading
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import pyvips

from tackside.errors import ScannerTrouble
from tackside.reading.scanning.delivered import Delivered, delivered
from tackside.reading.scanning.escl import EsclScanner
from tackside.reading.scanning.escl_job import Patience, scan_by_escl
from tackside.reading.scanning.wish import ScanAsked, ScanWish, area_for, resolution_for
from tests.reading.scanning.escl_server import Scanner, scanner_of

HASTY = Patience(busy_s=1.0, picture_s=1.0, least_pause_s=0.05, most_pause_s=0.3)
SHEET = (100.0, 130.0)
GLASS = np.random.default_rng(4).integers(0, 65536, (1800, 1500, 3), dtype=np.uint16)


def scan(scanner: Scanner, folder: Path, wish: ScanWish | None = None, **how: Any) -> tuple[Delivered, Path]:
    asked, into = fetch(scanner, folder, wish, **how)
    return delivered(into, asked, "the scanner"), into


def fetch(
    scanner: Scanner,
    folder: Path,
    wish: ScanWish | None = None,
    stop: Any = lambda: False,
    patience: Patience = HASTY,
    **how: Any,
) -> tuple[ScanAsked, Path]:
    into = folder / "scan.part"
    client = EsclScanner(scanner.address, **{"answer_seconds": 5.0, "picture_seconds": 5.0, **how})
    asked, _ = scan_by_escl(client, wish or ScanWish(300, SHEET), into, lambda *_: None, stop, patience)
    return asked, into


@pytest.mark.parametrize("certificate", [None, "first.pem"])
def test_a_reading_gets_all_it_needs(tmp_path: Path, certificate: str | None) -> None:
    with scanner_of(GLASS, certificate) as scanner:
        found, file = scan(scanner, tmp_path)
    (asked,) = scanner.settings
    assert (asked["ColorMode"], asked["XResolution"], asked["YResolution"]) == ("RGB48", "300", "300")
    assert (asked["DocumentFormat"], asked["InputSource"], asked["Version"]) == (
        "image/tiff",
        "Platen",
        "2.63",
    )
    # The middle of what lightens, the least of what sharpens and packs: nothing is corrected.
    assert [asked[name] for name in ("Brightness", "Contrast", "Sharpen", "CompressionFactor")] == [
        "1000", "1000", "0", "0",
    ]  # fmt: skip
    # 110 × 140 mm in 1/300 inch, worked by hand: 110 / 25.4 * 300 = 1299.2, 140 / 25.4 * 300 = 1653.5.
    assert (asked["Width"], asked["Height"]) == ("1299", "1654")
    assert (found.bits, found.format, found.remarks) == (16, "image/tiff", ())
    assert found.ppi == pytest.approx(300, abs=0.01)
    pixels = pyvips.Image.new_from_file(str(file)).numpy()
    assert np.array_equal(pixels, GLASS[:1654, :1299])
    assert scanner.open_jobs == set()


def test_how_far_it_is_is_told_in_hundredths(tmp_path: Path) -> None:
    told: list[tuple[str, float]] = []
    with scanner_of(GLASS) as scanner:
        scan_by_escl(
            EsclScanner(scanner.address), ScanWish(300, SHEET), tmp_path / "scan",
            lambda doing, share: told.append((doing, share)), lambda: False, HASTY,
        )  # fmt: skip
    assert [doing for doing, _ in told[:2]] == ["asking", "scanning"]
    shares = [share for doing, share in told if doing == "scanning"]
    assert shares == sorted(set(shares))
    assert 1 < len(shares) <= 100


def test_600_ppi_of_the_whole_glass(tmp_path: Path) -> None:
    with scanner_of(GLASS, modes=("RGB24",), formats=("image/png",)) as scanner:
        found, _ = scan(scanner, tmp_path, ScanWish(600))
    assert (scanner.settings[0]["Width"], scanner.settings[0]["Height"]) == ("2550", "3508")
    assert (found.format, found.bits, found.width_px) == ("image/png", 8, 5100)
    assert found.remarks == ()


@pytest.mark.parametrize(
    ("formats", "format_", "remark"),
    [
        (("image/jpeg", "application/pdf"), "application/pdf", []),
        (("image/jpeg",), "image/jpeg", ["scanning.jpeg-only"]),
    ],
)
def test_what_loses_is_taken_where_there_is_no_other(
    tmp_path: Path, formats: tuple[str, ...], format_: str, remark: list[str]
) -> None:
    with scanner_of(GLASS, formats=formats) as scanner:
        found, _ = scan(scanner, tmp_path)
    assert scanner.settings[0]["ColorMode"] == "RGB24"
    assert (found.format, found.bits) == (format_, 8)
    assert [each.code for each in found.remarks] == remark


def test_a_busy_scanner_is_waited_for_as_long_as_it_asks(tmp_path: Path) -> None:
    with scanner_of(GLASS, busy_jobs=2, busy_documents=2) as scanner:
        scan(scanner, tmp_path, patience=Patience(60.0, 60.0, 0.05, 0.3))
    assert scanner.asked.count("POST /eSCL/ScanJobs") == 3
    assert scanner.open_jobs == set()


@pytest.mark.parametrize(("lie", "bits"), [("refuses corrections", 16), ("refuses depth", 8)])
def test_a_scanner_that_refuses_what_it_offers_is_asked_for_less(tmp_path: Path, lie: str, bits: int) -> None:
    with scanner_of(GLASS, lie=lie) as scanner:
        found, _ = scan(scanner, tmp_path)
    assert (found.bits, [each.code for each in found.remarks]) == (bits, ["scanning.asked-for-less"])
    assert "Sharpen" not in scanner.settings[-1]


REFUSED = {
    "redirect": "scanning.redirected",
    "entities": "scanning.bad-document",
    "not xml": "scanning.bad-document",
    "a document without end": "scanning.endless",
    "a glass of miles": "scanning.odd-glass",
    "no glass": "scanning.no-glass",
    "always busy": "scanning.busy",
    "refuses": "scanning.settings-refused",
    "no job": "scanning.no-job",
    "no picture": "scanning.no-picture",
    "never ready": "scanning.never-ready",
    "hangs": "scanning.silent",
    "endless": "scanning.endless",
    "drips": "scanning.too-slow",
    "cut": "scanning.broke-off",
}


@pytest.mark.parametrize("lie", REFUSED)
def test_a_scanner_that_lies_or_breaks_costs_one_line_and_nothing_else(lie: str, tmp_path: Path) -> None:
    started = time.monotonic()
    with (
        scanner_of(GLASS[:700, :700], lie=lie) as scanner,
        pytest.raises(ScannerTrouble) as told,
    ):
        fetch(scanner, tmp_path, picture_seconds=2.0, slow_seconds=0.5)
    assert told.value.message.code == REFUSED[lie]
    assert str(told.value).count("\n") == 0
    assert told.value.fix
    assert list(tmp_path.iterdir()) == []
    assert scanner.open_jobs == set()
    assert time.monotonic() - started < 45


UNFIT = {
    "truncated": "scanning.cut-short",
    "a page of words": "scanning.no-picture-file",
    "grey": "scanning.came-grey",
    "another resolution": "scanning.came-too-coarse",
    "finer than it says": "scanning.contradicts",
}


@pytest.mark.parametrize("lie", UNFIT)
def test_a_file_that_no_reading_should_rest_on_is_refused(lie: str, tmp_path: Path) -> None:
    with scanner_of(GLASS, lie=lie) as scanner, pytest.raises(ScannerTrouble) as told:
        scan(scanner, tmp_path)
    assert told.value.message.code == UNFIT[lie]


REMARKED = {
    "another size": "scanning.other-size",
    "the whole glass": "scanning.other-size",
    "eight bits": "scanning.fewer-bits",
    "eight bits in sixteen": "scanning.fewer-bits",
    "a JPEG": "scanning.jpeg-instead",
}


@pytest.mark.parametrize("lie", REMARKED)
def test_what_is_not_what_was_asked_for_is_told_by_the_file(lie: str, tmp_path: Path) -> None:
    with scanner_of(GLASS, lie=lie) as scanner:
        found, _ = scan(scanner, tmp_path)
    assert REMARKED[lie] in [each.code for each in found.remarks]


def test_a_job_that_it_says_is_elsewhere_is_asked_for_here(tmp_path: Path) -> None:
    with scanner_of(GLASS, lie="a job elsewhere") as scanner:
        scan(scanner, tmp_path)
    assert "GET /eSCL/ScanJobs/job-1/NextDocument" in scanner.asked


@pytest.mark.parametrize(
    ("reason", "code"),
    [
        ("cover-open", "scanning.cover-open"),
        ("CoverOpen", "scanning.cover-open"),
        ("media-jam", "scanning.jammed"),
    ],
)
def test_what_a_person_has_to_see_to_is_told_at_once(reason: str, code: str, tmp_path: Path) -> None:
    with (
        scanner_of(GLASS, lie="always busy", reasons=(reason,)) as scanner,
        pytest.raises(ScannerTrouble) as told,
    ):
        fetch(scanner, tmp_path)
    assert told.value.message.code == code
    assert scanner.asked.count("POST /eSCL/ScanJobs") == 1


def test_a_scan_that_is_stopped_is_cancelled_at_the_scanner(tmp_path: Path) -> None:
    stopping = threading.Event()
    threading.Timer(0.7, stopping.set).start()
    started = time.monotonic()
    with scanner_of(GLASS, lie="hangs") as scanner, pytest.raises(ScannerTrouble) as told:
        fetch(scanner, tmp_path, stop=stopping.is_set, picture_seconds=15.0)
    assert told.value.message.code == "scanning.stopped"
    assert time.monotonic() - started < 10
    assert "DELETE /eSCL/ScanJobs/job-1" in scanner.asked
    assert list(tmp_path.iterdir()) == []


def test_another_certificate_than_before_is_refused(tmp_path: Path) -> None:
    client = None
    with scanner_of(GLASS, "first.pem") as scanner:
        client = EsclScanner(scanner.address)
        client.document("ScannerStatus")
        port = int(scanner.address.split(":")[2].split("/")[0])
    known = client.seen_certificate
    assert known is not None
    with scanner_of(GLASS, "first.pem", port) as scanner:
        EsclScanner(scanner.address, certificate=known).document("ScannerStatus")
    with scanner_of(GLASS, "second.pem", port) as scanner, pytest.raises(ScannerTrouble) as told:
        EsclScanner(scanner.address, certificate=known).document("ScannerStatus")
    assert told.value.message.code == "scanning.other-certificate"
    with scanner_of(GLASS, None, port), pytest.raises(ScannerTrouble) as told:
        EsclScanner(client.address, certificate=known).document("ScannerStatus")
    assert told.value.message.code == "scanning.not-reached"


def test_the_area_lies_along_or_across_and_never_beyond_the_glass() -> None:
    assert area_for((100, 130), (216, 297)) == (110, 140)
    assert area_for((210, 297), (216, 297)) == (216, 297)
    assert area_for((250, 180), (216, 297)) == (190, 260)  # turned
    assert area_for((329, 483), (216, 297)) == (216, 297)  # panel by panel
    assert area_for(None, (216, 297)) == (216, 297)


def test_the_next_finer_resolution_stands_in_and_a_coarse_scanner_is_refused() -> None:
    assert resolution_for(300, (100, 300, 600)) == 300
    assert resolution_for(300, (100, 400, 1200)) == 400
    assert resolution_for(600, (100, 300)) == 300
    with pytest.raises(ScannerTrouble, match="150 ppi"):
        resolution_for(300, (75, 150))
