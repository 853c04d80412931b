"""Scanners around and how they are named: announced ones, whatever they announce, and where a server may call."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from pathlib import Path
from unittest.mock import patch

import numpy as np
import pytest

from tackside.bench.store import Bench
from tackside.errors import BadRequest, NotFound, ScannerTrouble, TacksideError
from tackside.files.atomic import lock
from tackside.network.announced import AnnouncedService
from tackside.reading.scanning.escl_job import Patience
from tackside.workflow.scanning import found
from tackside.workflow.scanning.address import address_of, require_own_device, scanner_at
from tackside.workflow.scanning.found import scanners_around
from tackside.workflow.scanning.left_job import FOLDER
from tackside.workflow.scanning.scan import ScanOrder, scan_sheet, used_scanners
from tests import services
from tests.reading.scanning.escl_server import scanner_of
from tests.run.ipp.real_printer import announcing

GLASS = np.full((1200, 1200, 3), 50000, np.uint16)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench.open(tmp_path / "bench")


@pytest.mark.parametrize(
    ("typed", "address"),
    [
        ("http://scanner.local/eSCL", "http://scanner.local/eSCL"),
        ("scanner.local", "http://scanner.local/eSCL"),
        ("https://scanner.local:443/eSCL/", "https://scanner.local/eSCL"),
        ("http://192.168.1.9:8080", "http://192.168.1.9:8080/eSCL"),
        ("http://[fe80::1]:80/scan", "http://[fe80::1]/scan"),
        (" sane:test:0 ", "sane:test:0"),
    ],
)
def test_an_address_has_one_form(typed: str, address: str) -> None:
    assert address_of(typed) == address
    assert address_of(address) == address


@pytest.mark.parametrize(
    "typed",
    ["", "sane:", "ftp://scanner.local", "http://", "http://a:b@scanner.local", "http://scanner.local:99999",
     "my desk scanner", "sane:a\nb"],
)  # fmt: skip
def test_what_is_no_address_is_refused(typed: str) -> None:
    with pytest.raises(BadRequest):
        address_of(typed)


def test_a_page_calls_scanners_of_this_network_alone() -> None:
    for address, code in (
        ("http://93.184.216.34/eSCL", "scanning.not-nearby"),
        ("http://169.254.169.254/eSCL", "scanning.not-nearby"),
        ("http://127.0.0.1:22/eSCL", "scanning.not-a-scanning-port"),
        ("http://nobody.invalid/eSCL", "scanning.name-not-known"),
    ):
        with pytest.raises(TacksideError) as told:
            scanner_at(address, certificate=None, nearby_only=True)
        assert told.value.message.code == code
    assert (
        scanner_at("http://127.0.0.1:8080/eSCL", certificate=None, nearby_only=True).called_as == "127.0.0.1"
    )
    # SANE's own network backend would call whatever machine a device's name holds.
    with pytest.raises(BadRequest, match="does not list"):
        require_own_device("net:somewhere.example:test:0")


def announced(kind: str, host: str = "127.0.0.1", **texts: str) -> AnnouncedService:
    return AnnouncedService("Desk scanner", f"_{kind}._tcp.local.", host, 8443, texts, ("192.168.7.7",))


def test_a_scanner_is_listed_once_by_its_encrypted_way() -> None:
    heard = (
        announced("uscan", UUID="A-1", rs="eSCL", ty="Invented Scanner"),
        announced("uscans", UUID="a-1", rs="/eSCL/", ty="Invented\nScanner"),
        announced("uscan", host="nobody.invalid", UUID="b-2"),
        announced("uscan", host="93.184.216.34", UUID="c-3"),
    )
    with patch.object(found, "listen", lambda *_: heard), patch.object(found, "sane_devices", lambda: ()):
        all_of_them = scanners_around(0.1)
    assert [(each.name, each.address, each.model) for each in all_of_them] == [
        ("Desk scanner", "https://127.0.0.1:8443/eSCL", "Invented Scanner"),
        # Its name cannot be looked up here; the address in figures that it announced can be called.
        ("Desk scanner", "http://192.168.7.7:8443/eSCL", ""),
    ]


@pytest.mark.slow
@pytest.mark.skipif(services.publisher() is None, reason="no avahi-publish is installed")
def test_a_scanner_that_announces_itself_is_found() -> None:
    """DNS-SD (RFC 6763) over multicast DNS (RFC 6762), announced by Avahi: a code of its own beside what listens."""
    name = f"Invented Scanner {os.getpid()}"
    words = ["ty=Invented Scanner", "rs=eSCL", f"UUID=f{os.getpid()}", "is=platen"]
    with announcing() as address:
        process = subprocess.Popen(
            ["avahi-publish", "-s", name, "_uscans._tcp", "8098", *words],
            env={**os.environ, "DBUS_SYSTEM_BUS_ADDRESS": address},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        try:
            for _ in range(5):  # announcements are multicast and may be missed
                around = [each for each in scanners_around(3.0, ["127.0.0.1"]) if each.name == name]
                if around:
                    break
        finally:
            process.kill()
            process.wait()
    (scanner,) = around
    assert scanner.model == "Invented Scanner"
    assert re.fullmatch(r"https://(127\.0\.0\.1|tackside-test\.local):8098/eSCL", scanner.address)


def test_the_last_scanner_is_remembered_and_called_by_its_name(tmp_path: Path) -> None:
    bench = Bench.open(tmp_path / "bench")
    with pytest.raises(BadRequest, match="no scanner was used"):
        scan_sheet(bench, ScanOrder(), tmp_path)
    with scanner_of(GLASS, "first.pem") as one, scanner_of(GLASS) as other:
        scan_sheet(bench, ScanOrder(one.address, "By the window"), tmp_path)
        scan_sheet(bench, ScanOrder(other.address), tmp_path)
        assert [each.name for each in used_scanners(bench)] == ["Invented Scanner", "By the window"]
        made = scan_sheet(bench, ScanOrder("by the window", ppi=600), tmp_path)
        assert made.scanned.label == "By the window, 600 ppi, 16 bits, TIFF"
        assert used_scanners(bench)[0].address == one.address
        assert used_scanners(bench)[0].certificate
        assert used_scanners(bench)[1].certificate is None
        with pytest.raises(NotFound):
            scan_sheet(bench, ScanOrder(), tmp_path, trial="3K1P86AA")
        with pytest.raises(BadRequest, match="300 or 600"):
            scan_sheet(bench, ScanOrder(ppi=1200), tmp_path)
        port = int(one.address.split(":")[2].split("/")[0])
    with scanner_of(GLASS, "second.pem", port):
        with pytest.raises(ScannerTrouble, match="another certificate"):
            scan_sheet(bench, ScanOrder("By the window"), tmp_path)
        scan_sheet(bench, ScanOrder("By the window", new_certificate=True), tmp_path)
        scan_sheet(bench, ScanOrder("By the window"), tmp_path)


LEFT = """
import sys
from pathlib import Path
from tackside.bench.store import Bench
from tackside.workflow.scanning.left_job import FOLDER
from tackside.workflow.scanning.scan import ScanOrder, scan_sheet
scan_sheet(Bench.open(Path(sys.argv[1])), ScanOrder(scanner=sys.argv[2]), Path(sys.argv[3]))
"""
HURRIED = Patience(busy_s=0.6, least_pause_s=0.2)


@pytest.mark.skipif(os.name != "posix", reason="kill -9 is POSIX's")
def test_a_job_that_a_killed_program_left_at_the_scanner_is_ended_by_the_next_scan(
    bench: Bench, tmp_path: Path
) -> None:
    with scanner_of(GLASS, lie="hangs") as scanner:
        call = [sys.executable, "-c", LEFT, str(bench.folder), scanner.address, str(tmp_path)]
        with subprocess.Popen(call) as killed:
            while not any(file.stat().st_size for file in (bench.folder / FOLDER).glob("*.job")):
                assert killed.poll() is None
                time.sleep(0.05)
            killed.kill()
        left = set(scanner.open_jobs)
        assert len(left) == 1
        scanner.lie = ""
        made = scan_sheet(bench, ScanOrder(scanner=scanner.address), tmp_path, patience=HURRIED)
        assert made.file.path.is_file()
        assert f"DELETE /eSCL/ScanJobs/{left.pop()}" in scanner.asked
        assert not scanner.open_jobs


def test_a_job_of_a_program_that_still_scans_is_left_alone(bench: Bench, tmp_path: Path) -> None:
    with scanner_of(GLASS) as scanner:
        scan_sheet(bench, ScanOrder(scanner=scanner.address), tmp_path)
        scanner.open_jobs.add("job-of-another")
        (note,) = (bench.folder / FOLDER).glob("*.job")
        assert note.read_bytes() == b""
        note.write_text(f"{scanner.address}/ScanJobs/job-of-another", encoding="ascii")
        with note.open("rb") as held:
            lock(held)
            with pytest.raises(ScannerTrouble, match="busy"):
                scan_sheet(bench, ScanOrder(scanner=scanner.address), tmp_path, patience=HURRIED)
            assert scanner.open_jobs == {"job-of-another"}
        scan_sheet(bench, ScanOrder(scanner=scanner.address), tmp_path, patience=HURRIED)


def test_a_note_of_another_address_is_not_called(bench: Bench, tmp_path: Path) -> None:
    with scanner_of(GLASS) as scanner, scanner_of(GLASS) as other:
        scan_sheet(bench, ScanOrder(scanner=scanner.address), tmp_path)
        (note,) = (bench.folder / FOLDER).glob("*.job")
        note.write_text(f"{other.address}/ScanJobs/job-1", encoding="ascii")
        scan_sheet(bench, ScanOrder(scanner=scanner.address), tmp_path)
        assert other.asked == []
        assert note.read_bytes() == b""
