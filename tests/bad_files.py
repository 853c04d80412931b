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
from tackside.card.file.load import load_card
from tackside.card.series.list_file import read_rows
from tackside.card.type.typeface import typefaces_in
from tackside.errors import ScannerTrouble, TacksideError
from tackside.files.toml_records import load_record
from tackside.picture.check.check import check_picture
from tackside.picture.file.open import open_picture
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.summary import summarise
from tackside.reading.document.pages import scanned_pages
from tackside.reading.instrument.file import parse_instrument
from tackside.reading.instrument.text import load_bytes
from tackside.reading.scan.image_file import open_scan
from tackside.reading.scanning.escl_offers import escl_offers, escl_status
from tackside.records.load import load_printer, load_stock
from tackside.run.ipp.capabilities import capabilities
from tackside.run.ipp.codec import decode, encode
from tackside.run.ipp.values import AttributeGroup, IppMessage, IppTag, Range, attribute, collection
from tackside.run.plan.run_file import Run
from tests.bench import invented
from tests.cli.bench_of_examples import SATIN, TERN
from tests.profile.fuzz import seeds as profiles
from tests.reading.instrument.dialects import Dialect, write_cgats, write_cxf
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
        "cgats": Reader(_charts(write_cgats), lambda path: parse_instrument(load_bytes(path), path.name)),
        "cxf": Reader(_charts(write_cxf), lambda path: parse_instrument(load_bytes(path), path.name)),
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
        restore(path, place_of(place))
    except TacksideError:
        assert not place.exists(), "something is left of a backup that was refused"
        raise
    finally:
        shutil.rmtree(place, ignore_errors=True)


def _answer() -> IppMessage:
    size = collection(
        attribute("x-dimension", IppTag.INTEGER, 21000), attribute("y-dimension", IppTag.INTEGER, 29700)
    )
    media = collection(
        attribute("media-size", IppTag.COLLECTION, size), attribute("media-top-margin", IppTag.INTEGER, 300)
    )
    return IppMessage(
        0,
        1,
        (
            AttributeGroup(
                IppTag.PRINTER,
                (
                    attribute("media-col-database", IppTag.COLLECTION, media),
                    attribute("media-supported", IppTag.KEYWORD, "iso_a4_210x297mm", "custom_min_89x127mm"),
                    attribute("printer-info", IppTag.TEXT, "Tern 8"),
                    attribute("copies-supported", IppTag.RANGE, Range(1, 99)),
                ),
            ),
        ),
    )


def _printer(path: Path) -> None:
    message, _ = decode(path.read_bytes())
    for group in message.groups:
        capabilities(group)


def _escl(path: Path) -> None:
    data = path.read_bytes()
    for read in (escl_offers, escl_status):
        with contextlib.suppress(ScannerTrouble):
            read(data, "desk")
