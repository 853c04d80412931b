"""What Tackside says and hears, against a real IPP Everywhere server and Debian's own IPP tool."""

from __future__ import annotations

import plistlib
import re
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tackside.errors import DoesNotFit, PrinterTrouble
from tackside.messages.message import Message
from tackside.records import Margins
from tackside.run.ipp.client import Connection
from tackside.run.ipp.codec import decode, encode
from tackside.run.ipp.discovery import find_printers
from tackside.run.ipp.job import JobNews, Operation, ask_printer, cancel, follow, look, send
from tackside.run.ipp.printer_record import gaps, merged, printer_record
from tackside.run.ipp.ticket import PrintRequest, Ticket, ticket
from tackside.run.ipp.values import Collection, IppTag, attribute
from tests import services
from tests.run.ipp.real_printer import RealPrinter, real_printer, tool

pytestmark = pytest.mark.skipif(not services.printer_tools(), reason="no IPP test printer is installed")

A4 = PrintRequest((210, 297), Margins(), "photographic-semi-gloss", "rear")
QUICK = {"every_seconds": 0.1, "patience_seconds": 1.0}


@pytest.fixture(scope="module")
def printer(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealPrinter]:
    with real_printer(tmp_path_factory.mktemp("printer"), "exit 0") as found:
        yield found


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "card.pdf"
    path.write_bytes(b"%PDF-1.4 not printed by anyone\n" * 5000)
    return path


def sent(found: RealPrinter, file: Path) -> tuple[Connection, JobNews, Ticket]:
    connection = Connection(found.uri)
    told = ask_printer(connection)
    asked = ticket(told, A4)
    return (
        connection,
        send(connection, told, asked, file, "application/pdf", "Boats", every_seconds=0.2),
        asked,
    )


def test_the_record_is_what_the_printer_says(printer: RealPrinter) -> None:
    told = ask_printer(Connection(printer.uri))
    record = printer_record(told, "Tern 8")
    rear, cassette = record.feeds
    # The figures stand in tests/run/data/tern-8.conf, from which the server was started.
    assert (rear.name, rear.min_size_mm, rear.max_size_mm) == ("rear", (89, 127), (329, 1000))
    assert rear.margins_mm == Margins(top=3, bottom=5, left=3.4, right=3.4)
    assert rear.borderless_sizes_mm == ((101.6, 152.4), (210, 297))
    assert cassette.borderless_sizes_mm == ()
    assert record.grid_ppi == 600
    assert record.inks.count == 4
    assert "photographic-semi-gloss" in record.media_settings
    assert Message("ipp.gap-caliper") in gaps(told, record)


def test_what_a_person_noted_before_is_kept(printer: RealPrinter) -> None:
    told = printer_record(ask_printer(Connection(printer.uri)), "Tern 8")
    rear = told.feeds[0].model_copy(update={"max_caliper_mm": 0.6, "borderless_enlargement_mm": 2.5})
    known = told.model_copy(update={"feeds": (rear,), "notes": "by the window"})
    joined = merged(told, known)
    assert (joined.feeds[0].max_caliper_mm, joined.feeds[0].borderless_enlargement_mm) == (0.6, 2.5)
    assert joined.notes == "by the window"
    assert [feed.name for feed in joined.feeds] == ["rear", "cassette"]


def test_attributes_are_heard_as_debians_tool_hears_them(printer: RealPrinter) -> None:
    """ipptool (cups-ipp-utils) reads the same answer with a decoder of its own."""
    shown = subprocess.run(
        [tool("ipptool"), "-X", printer.uri, "get-printer-attributes.test"],
        capture_output=True,
        check=False,
    )
    theirs = plistlib.loads(shown.stdout)["Tests"][0]["ResponseAttributes"][1]
    asked = attribute("requested-attributes", IppTag.KEYWORD, "all", "media-col-database")
    ours = Connection(printer.uri).ask(Operation.GET_PRINTER_ATTRIBUTES, (asked,)).group(IppTag.PRINTER)
    assert {each.name for each in ours.attributes} == set(theirs)
    plain = {
        each.name: list(each.plain) if len(each.plain) > 1 else each.plain[0]
        for each in ours.attributes
        if all(isinstance(held, (str, int)) for held in each.plain) and "time" not in each.name
    }
    assert len(plain) > 50
    assert {name: held for name, held in plain.items() if theirs[name] != held} == {}


def test_an_answer_survives_our_own_coding(printer: RealPrinter) -> None:
    asked = attribute("requested-attributes", IppTag.KEYWORD, "all", "media-col-database")
    answer = Connection(printer.uri).ask(Operation.GET_PRINTER_ATTRIBUTES, (asked,))
    assert decode(encode(answer)) == (answer, b"")


def test_a_sheet_goes_out_with_exact_media_and_no_scaling(printer: RealPrinter, file: Path) -> None:
    connection, news, asked = sent(printer, file)
    heard: list[JobNews] = []
    last = follow(connection, news, heard.append, **QUICK)
    assert last.state == "completed"
    assert last.ignored == ()
    assert asked.left_out == ()
    # The server hands the job's attributes to its command in the environment: what it really understood.
    given = (printer.folder / "given.env").read_text(encoding="utf-8")
    told = dict(each.split("=", 1) for each in given.splitlines() if each.startswith("IPP_"))
    assert told["IPP_PRINT_SCALING"] == "none"
    assert told["IPP_PRINT_QUALITY"] in ("5", "high")
    assert told["IPP_PRINT_COLOR_MODE"] == "color"
    assert told["IPP_PRINT_CONTENT_OPTIMIZE"] == "photo"
    assert told["IPP_PRINT_RENDERING_INTENT"] == "relative-bpc"
    media = told["IPP_MEDIA_COL"]
    for part in (
        "x-dimension=21000",
        "y-dimension=29700",
        "media-top-margin=0",
        "media-type=photographic-semi-gloss",
        "media-source=rear",
    ):
        assert part in media
    (kept,) = (printer.folder / "spool").glob("*.pdf")
    assert kept.read_bytes() == file.read_bytes()
    kept.unlink()


def test_a_size_that_the_printer_does_not_list_is_never_sent(printer: RealPrinter) -> None:
    told = ask_printer(Connection(printer.uri))
    with pytest.raises(DoesNotFit, match="does not list a sheet of 60 × 90 mm"):
        ticket(told, PrintRequest((60, 90), Margins(top=3, bottom=5, left=3.4, right=3.4)))
    with pytest.raises(DoesNotFit, match="borderless"):
        ticket(told, PrintRequest((200, 250), Margins()))
    with pytest.raises(DoesNotFit, match='no paper type "velvet"'):
        ticket(told, PrintRequest((210, 297), Margins(), "velvet"))


def test_a_custom_size_is_asked_for_in_hundredths_of_a_millimetre(printer: RealPrinter) -> None:
    told = ask_printer(Connection(printer.uri))
    asked = ticket(told, PrintRequest((177.8, 254), Margins(top=3, bottom=5, left=3.4, right=3.4)))
    media = asked.attributes[0].plain[0]
    assert isinstance(media, Collection)
    (size,) = media.get("media-size")
    assert isinstance(size, Collection)
    assert (size.get("x-dimension"), size.get("y-dimension")) == ((17780,), (25400,))
    assert media.get("media-bottom-margin") == (500,)


def test_the_printer_refuses_what_it_cannot_do_and_says_what(printer: RealPrinter, file: Path) -> None:
    connection = Connection(printer.uri)
    told = ask_printer(connection)
    strange = Ticket((attribute("print-quality", IppTag.ENUM, 99),), ())
    with pytest.raises(PrinterTrouble, match=r"cannot do what was asked \(print-quality\)"):
        send(connection, told, strange, file, "application/pdf", "Boats")
    with pytest.raises(PrinterTrouble, match=r"\(document-format\)"):
        send(connection, told, ticket(told, A4), file, "image/tiff", "Boats")
    with pytest.raises(PrinterTrouble, match="no such job"):
        look(connection, 4711)


def test_a_job_that_the_printer_aborts_is_told_as_aborted(tmp_path: Path, file: Path) -> None:
    with real_printer(tmp_path / "aborting", "exit 1") as found:
        connection, news, _ = sent(found, file)
        assert follow(connection, news, lambda _: None, **QUICK).state == "aborted"


def test_a_job_that_is_cancelled_is_told_as_cancelled(tmp_path: Path, file: Path) -> None:
    with real_printer(tmp_path / "slow", "sleep 2") as found:
        connection, news, _ = sent(found, file)
        cancel(connection, news.id)
        assert follow(connection, news, lambda _: None, **QUICK).state == "canceled"


def test_a_printer_that_vanishes_in_mid_job_leaves_it_lost_and_says_so(tmp_path: Path, file: Path) -> None:
    with real_printer(tmp_path / "vanishing", "sleep 30") as found:
        connection, news, _ = sent(found, file)
        found.vanish()
        last = follow(connection, news, lambda _: None, **QUICK)
    assert last.state == "lost"
    assert last.trouble is not None
    assert last.trouble.code == "ipp.not-reached"


@pytest.mark.slow
def test_a_busy_printer_is_waited_for(tmp_path: Path, file: Path) -> None:
    with real_printer(tmp_path / "busy", "sleep 2") as found:
        first_connection, first, _ = sent(found, file)
        connection, second, _ = sent(found, file)  # it prints one job at a time and says busy meanwhile
        assert follow(first_connection, first, lambda _: None, **QUICK).state == "completed"
        assert follow(connection, second, lambda _: None, **QUICK).state == "completed"


@pytest.mark.slow
def test_a_printer_that_announces_itself_is_found(printer: RealPrinter) -> None:
    port = int(printer.uri.split(":")[2].split("/")[0])
    for _ in range(5):  # announcements are multicast and may be missed
        found = [each for each in find_printers(1.0, ["127.0.0.1"]) if f":{port}/" in each.uri]
        if found:
            break
    assert [each.uri.split("://")[0] for each in found] == ["ipp", "ipps"]
    assert found[0].model == "Invented Tern 8"
    assert found[0].uri.endswith("/ipp/print")


# What Tackside relies on, by its name in the conformance file.
RELIED_ON = (
    "4.2.1: Print-Job Operation",
    "4.2.3: Validate-Job Operation",
    "4.2.5: Get-Printer-Attributes Operation (default)",
    "4.3.4: Get-Job-Attributes Operation",
    "4.3.3: Cancel-Job Operation (completed job)",
)


@pytest.mark.slow
def test_the_server_conforms_where_we_rely_on_it(tmp_path: Path) -> None:
    """RFC 8011 by the conformance file ipp-1.1.test of Debian's cups-ipp-utils: what passes here is IPP, not a whim of
    this server. It prints one job at a time, so the file's jobs in a row are refused as busy; those are not counted."""
    document = tmp_path / "any.pdf"
    document.write_bytes(b"%PDF-1.4\n")
    with real_printer(tmp_path / "conforming", "exit 0", attributes=None) as found:
        time.sleep(1.1)  # the file wants a printer that has been up for a second
        shown = subprocess.run(
            [tool("ipptool"), "-tI", "-f", str(document), found.uri, "ipp-1.1.test"],
            capture_output=True,
            text=True,
            check=False,
        ).stdout
    results = dict(re.findall(r"^ +RFC 8011 section (\S+ .*?) +\[(\w+)\]", shown, flags=re.MULTILINE))
    for name in RELIED_ON:
        assert results.get(name) == "PASS", shown
