"""Sound files of every kind that comes from outside, damage to them, and what reads them."""

from __future__ import annotations

import contextlib
import io
import random
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import pikepdf
import pyvips

from tackside.bench.location import place_of
from tackside.bench.repositories.kept_files import Shelf
from tackside.bench.store import Bench
from tackside.bench.transfer.backup import back_up
from tackside.bench.transfer.exchange import export_stock
from tackside.bench.transfer.exchange_archive import opened
from tackside.bench.transfer.restore import restore
from tackside.card.file.design import load_card
from tackside.card.series.list_file import read_rows
from tackside.card.type.typeface import typefaces_in
from tackside.errors import TacksideError
from tackside.files.toml_records import load_record
from tackside.messages.wording import TERMINAL
from tackside.picture.check.check import check_picture
from tackside.picture.file.open import open_picture
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.summary import summarise
from tackside.reading.document.pages import scanned_pages
from tackside.reading.instrument.file import parse_instrument, read_instrument_file
from tackside.reading.instrument.matching import planned_patches
from tackside.reading.scan.image_file import open_scan
from tackside.reading.scanning.escl_offers import escl_offers, escl_status
from tackside.reading.scanning.escl_settings import asked_in_turn, asked_of, settings_document
from tackside.reading.scanning.wish import ScanWish
from tackside.records.load import load_printer, load_stock
from tackside.records.sheet_plan import Patch, SheetPlan
from tackside.run.ipp.capabilities import capabilities
from tackside.run.ipp.codec import decode, encode
from tackside.run.ipp.printer_record import gaps, merged, printer_record
from tackside.run.ipp.values import (
    AttributeGroup,
    IppMessage,
    IppTag,
    Range,
    Resolution,
    attribute,
    collection,
)
from tackside.run.plan.run_file import Run
from tackside.units import Box
from tests.bench import invented
from tests.cli.bench_of_examples import SATIN, TERN
from tests.profile.fuzz import seeds as profiles
from tests.reading.instrument.dialects import CHART_RGB, NAMES, Dialect, write_cgats, write_cxf
from tests.reading.scanning.escl_server import Scanner
from tests.run.files import CARD, RUN

_scanner = Scanner(np.zeros((9, 9, 3), np.uint8))
FONT = Path(__file__).parents[1] / "src" / "tackside" / "sheet" / "fonts"
LISTS = (b'name,file\r\nAnn,a.png\r\n"Bo, Cy",b.png\r\n', "name;x\nZoë;1\n".encode("utf-16"))
# What a number of a file's own structure is put in place of.
_ODD_NUMBERS = (0, 1, 0x7F, 0x80, 0xFF, 0x7FFF, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF)
_SIGNS = (
    b"\0",
    b"\xff\xfe",
    b"\r\n",
    b'"',
    b"[[",
    b"=",
    b",",
    b"<",
    b"&",
    b"9" * 400,
    b"-",
    b"\x1b[2J",
    "\u202e".encode(),
)


@dataclass(frozen=True)
class Reader:
    """What reads files of one kind: ``seeds`` are sound ones, ``read`` takes the place of any."""

    seeds: tuple[bytes, ...]
    read: Callable[[Path], object]


def damaged(data: bytes, chance: random.Random) -> bytes:
    """A copy that is cut, flipped, doubled, overwritten or put together anew in one to three ways."""
    out = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 3))):
        if not out:
            return bytes(out)
        at, kind = chance.randrange(len(out)), chance.randrange(7)
        if chance.random() < 0.5:  # most of what says how a file is built stands at its beginning
            at = chance.randrange(min(len(out), 400))
        if kind == 0:
            del out[at:]
        elif kind == 1:
            for _ in range(chance.choice((1, 4, 30))):
                out[chance.randrange(len(out))] ^= 1 << chance.randrange(8)
        elif kind == 2:
            number, size = chance.choice(_ODD_NUMBERS), chance.choice((1, 2, 4))
            order = chance.choice(("little", "big"))
            out[at : at + size] = (number & (256**size - 1)).to_bytes(
                size, "little" if order == "little" else "big"
            )
        elif kind == 3:
            out[at:at] = chance.choice(_SIGNS) * chance.choice((1, 1, 3, 50))
        elif kind == 4:
            del out[at : at + chance.choice((1, 4, 40))]
        elif kind == 5:
            part = out[at : at + chance.choice((2, 20, 200))]
            out[at:at] = bytes(part) * chance.choice((1, 2, 40))
        else:
            other = chance.randrange(len(out))
            out[at : at + 16] = out[other : other + 16]
    return bytes(out)


def readers(folder: Path) -> dict[str, Reader]:
    """By the kind of file. ``folder`` is an empty one, for the archives that are made there."""
    bench = Bench.open(folder / "bench")
    bench.stocks.add(invented.stock(), SATIN)
    bench.printers.add(invented.printer())
    bench.trials.add(invented.trial())
    export_stock(bench, "Harbour Satin 300", folder / "stock.zip")
    back_up(place_of(bench.folder), folder / "bench.zip")
    return {
        "profile": Reader(
            tuple(profiles().values()), lambda path: summarise(read_profile_file(path), date(2026, 12, 1))
        ),
        "cgats": Reader(_charts(write_cgats), _measured),
        "cxf": Reader(_charts(write_cxf), _measured),
        "picture": Reader(_pictures(), _look_at),
        "scan": Reader(_pictures(), open_scan),
        "scanned pdf": Reader((_pdf(),), _pages),
        "stock": Reader((SATIN.read_bytes(),), load_stock),
        "printer": Reader((TERN.read_bytes(),), load_printer),
        "card": Reader((CARD.encode(),), load_card),
        "run": Reader((RUN.encode(),), lambda path: load_record(path, Run)),
        "list": Reader(LISTS, read_rows),
        "font": Reader((next(FONT.glob("*.ttf"), next(FONT.glob("*.otf"))).read_bytes(),), typefaces_in),
        "stock archive": Reader(((folder / "stock.zip").read_bytes(),), _open_archive),
        "backup": Reader(((folder / "bench.zip").read_bytes(),), lambda path: _restore(path, folder / "new")),
        "ipp": Reader((encode(_answer()),), _printer),
        "escl": Reader((_scanner.capabilities().encode(), _scanner.status().encode()), _escl),
    }  # fmt: skip


def fault_in(reader: Reader, data: bytes, place: Path) -> Exception | None:
    """What a file of these bytes raises that is none of the program's errors."""
    place.write_bytes(data)
    try:
        reader.read(place)
    except TacksideError as error:
        return None if str(error) else AssertionError("an error that says nothing")
    except Exception as error:  # noqa: BLE001  that is what is looked for
        return error
    return None


def cases(reader: Reader, chance: random.Random) -> Iterator[bytes]:
    """Without end."""
    while True:
        yield damaged(chance.choice(reader.seeds), chance)


def _charts(write: Callable[..., bytes]) -> tuple[bytes, ...]:
    if write is write_cgats:
        return tuple(write(Dialect(colour=each)) for each in ("lab", "xyz", "spectral"))
    return tuple(write(colour=each) for each in ("lab", "spectral"))


def _measured(path: Path) -> None:
    """As a file of its own, and as that of a sheet."""
    read_instrument_file(path)
    planned_patches(parse_instrument(path.read_bytes(), path.name), _sheet_of_the_chart(), path.name)


def _sheet_of_the_chart() -> SheetPlan:
    patches = tuple(
        Patch(name=name, rgb=tuple(rgb), box_mm=Box(10, 10, 5, 5), roles=(), panel="front")
        for name, rgb in zip(NAMES, CHART_RGB.tolist(), strict=True)
    )
    return invented.sheet().model_copy(update={"patches": patches})


def _pictures() -> tuple[bytes, ...]:
    pixels = np.random.default_rng(5).integers(0, 255, (230, 240, 3), dtype=np.uint8)
    image = pyvips.Image.new_from_array(pixels).copy(interpretation="srgb", xres=11.8, yres=11.8)
    turned = image.copy()
    turned.set_type(pyvips.GValue.gint_type, "orientation", 6)
    deep = image.cast("ushort", shift=True).copy(interpretation="rgb16")
    made = (
        image.pngsave_buffer(), deep.pngsave_buffer(), image.jpegsave_buffer(), turned.jpegsave_buffer(),
        image.tiffsave_buffer(), turned.tiffsave_buffer(compression="deflate"),
        deep.tiffsave_buffer(compression="lzw", tile=True), image.webpsave_buffer(),
    )  # fmt: skip
    return tuple(bytes(each) for each in made)


def _pdf() -> bytes:
    with pikepdf.new() as pdf:
        page = pdf.add_blank_page(page_size=(72, 69))
        jpeg = next(each for each in _pictures() if each.startswith(b"\xff\xd8"))
        image = pikepdf.Stream(pdf, jpeg)
        image.Type, image.Subtype, image.Width, image.Height = (
            pikepdf.Name.XObject,
            pikepdf.Name.Image,
            240,
            230,
        )
        image.ColorSpace, image.BitsPerComponent, image.Filter = (
            pikepdf.Name.DeviceRGB,
            8,
            pikepdf.Name.DCTDecode,
        )
        page.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(Im0=image))
        page.Contents = pdf.make_stream(b"q 72 0 0 69 0 0 cm /Im0 Do Q")
        return _saved(pdf)


def _saved(pdf: pikepdf.Pdf) -> bytes:
    out = io.BytesIO()
    pdf.save(out, deterministic_id=True)
    return out.getvalue()


def _look_at(path: Path) -> None:
    check_picture(path)
    picture = open_picture(path)
    with contextlib.suppress(pyvips.Error):  # which whoever asks for pixels translates
        picture.in_space(picture.stream(), "srgb").avg()


def _pages(path: Path) -> None:
    for page in scanned_pages(path, path.name):
        assert page.data or page.fault


def _open_archive(path: Path) -> None:
    with opened(path) as archive:
        for file in archive.exchange.files:
            archive.shelve(file, Shelf(path.parent / "shelf"))


def _restore(path: Path, place: Path) -> None:
    try:
        for lack in restore(path, place_of(place)).lacks:
            assert TERMINAL.text(lack)
    except TacksideError:
        assert not place.exists(), "something is left of a backup that was refused"
        raise
    finally:
        shutil.rmtree(place, ignore_errors=True)


def _answer() -> IppMessage:
    """What a printer says that says all that is asked for."""
    size = collection(
        attribute("x-dimension", IppTag.INTEGER, 21000), attribute("y-dimension", IppTag.INTEGER, 29700)
    )
    any_size = collection(
        attribute("x-dimension", IppTag.RANGE, Range(8900, 32900)),
        attribute("y-dimension", IppTag.RANGE, Range(12700, 100000)),
    )
    margins = [
        attribute(f"media-{edge}-margin", IppTag.INTEGER, 300) for edge in ("top", "bottom", "left", "right")
    ]
    media = [
        collection(
            attribute("media-size", IppTag.COLLECTION, each), *margins,
            attribute("media-source", IppTag.KEYWORD, "rear"), attribute("media-type", IppTag.KEYWORD, "matte"),
        )
        for each in (size, any_size)
    ]  # fmt: skip
    said = (
        attribute("media-col-database", IppTag.COLLECTION, *media),
        attribute("media-size-supported", IppTag.COLLECTION, size),
        attribute("media-supported", IppTag.KEYWORD, "iso_a4_210x297mm", "custom_min_89x127mm", "custom_max_13x44in"),
        *(
            attribute(f"media-{edge}-margin-supported", IppTag.INTEGER, 0, 300)
            for edge in ("top", "bottom", "left", "right")
        ),
        attribute("media-source-supported", IppTag.KEYWORD, "auto", "rear"),
        attribute("media-type-supported", IppTag.KEYWORD, "matte", "photographic"),
        attribute("printer-info", IppTag.TEXT, "Tern 8"),
        attribute("printer-is-accepting-jobs", IppTag.BOOLEAN, True),
        attribute("printer-state-reasons", IppTag.KEYWORD, "marker-supply-low-warning"),
        attribute("printer-resolution-supported", IppTag.RESOLUTION, Resolution(600, 600, 3), Resolution(236, 236, 4)),
        attribute("print-quality-supported", IppTag.ENUM, 4, 5),
        attribute("document-format-supported", IppTag.MIME_TYPE, "image/jpeg", "image/pwg-raster"),
        attribute("copies-supported", IppTag.RANGE, Range(1, 99)),
        attribute("jpeg-k-octets-supported", IppTag.RANGE, Range(0, 16384)),
        attribute("jpeg-x-dimension-supported", IppTag.RANGE, Range(0, 16384)),
        attribute("jpeg-y-dimension-supported", IppTag.RANGE, Range(1, 16384)),
        attribute("marker-names", IppTag.NAME, "Cyan ink", "Waste ink"),
        attribute("marker-types", IppTag.KEYWORD, "ink", "waste-ink"),
        attribute("printer-supply", IppTag.OCTETS, b"class=supplyThatIsConsumed;type=ink;colorantname=cyan;"),
    )  # fmt: skip
    return IppMessage(0, 1, (AttributeGroup(IppTag.PRINTER, said),))


def _printer(path: Path) -> None:
    message, _ = decode(path.read_bytes())
    for group in message.groups:
        told = capabilities(group)
        record = printer_record(told)
        gaps(told, merged(record, invented.printer()))


def _escl(path: Path) -> None:
    data = path.read_bytes()
    escl_status(data, "desk")
    if b"ScannerStatus" in data:
        return
    offers = escl_offers(data, "desk")
    for wish in (ScanWish(), ScanWish(600, (148.0, 210.0))):
        for asked in asked_in_turn(asked_of(offers, wish, "desk")):
            settings_document(offers, asked)
