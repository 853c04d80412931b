"""The parsers of what comes from outside, as a fuzzer calls them: bytes in, and nothing but our own errors out."""

from __future__ import annotations

import io
import json
import re
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pyvips

from tackside.bench.transfer.exchange import DOCUMENT
from tackside.bench.transfer.manifest import MANIFEST
from tackside.errors import TacksideError
from tackside.files.tiff import extra_channels, holds_its_pixels
from tackside.messages.message import Message
from tackside.run.ipp.client import Connection
from tackside.run.ipp.codec import encode
from tackside.run.ipp.job import look
from tackside.run.ipp.values import AttributeGroup, IppMessage, IppTag, attribute
from tests.bad_files import Reader, readers

CORPUS = Path(__file__).parent / "corpus"
NAMES = ("profile", "cgats", "cxf", "tiff", "archive", "toml", "ipp", "escl")
Read = Callable[[Path], object]


@dataclass(frozen=True)
class Target:
    """``seeds``: sound inputs. ``reads``: what is done with a file of such bytes, each in turn. ``most_bytes``: what a
    fuzzer makes; more only makes it slow."""

    seeds: tuple[bytes, ...]
    reads: tuple[Read, ...]
    most_bytes: int

    def try_out(self, data: bytes, place: Path) -> None:
        """Read ``data`` from ``place``. Raises what is none of our errors, and AssertionError for one without words."""
        for read in self.reads:
            place.write_bytes(data)
            try:
                read(place)
            except TacksideError as error:
                if not str(error):
                    raise AssertionError("an error that says nothing") from error

    def words(self) -> list[bytes]:
        """What a fuzzer should know how to spell: keywords, tags, keys and signatures, as they stand in the seeds."""
        found = {
            word for seed in self.seeds for word in re.findall(rb"</?[\w:]+|[A-Za-z_][\w.-]{2,30}", seed)
        }
        return sorted(found, key=lambda word: (len(word), word))[:500]


def targets(folder: Path) -> dict[str, Target]:
    """By name. ``folder`` is an empty one, for the archives that are made there."""
    known = readers(folder)
    return {
        "profile": _of(known["profile"], most_bytes=4096),
        "cgats": _of(known["cgats"], most_bytes=4096),
        "cxf": _of(known["cxf"], most_bytes=8192),
        "tiff": Target(
            tuple(_tiffs()),
            (holds_its_pixels, extra_channels, known["scan"].read, known["picture"].read),
            most_bytes=4096,
        ),
        "archive": _archives(known["stock archive"], known["backup"]),
        "toml": _of(known["stock"], known["printer"], known["card"], known["run"], most_bytes=4096),
        "ipp": Target(
            (*known["ipp"].seeds, *_news()),
            (known["ipp"].read, lambda path: look(_Recorded(path.read_bytes()), 7)),
            most_bytes=4096,
        ),
        "escl": _of(known["escl"], most_bytes=8192),
    }


def _of(*known: Reader, most_bytes: int) -> Target:
    seeds = tuple(seed for each in known for seed in each.seeds)
    return Target(seeds, tuple(each.read for each in known), most_bytes)


def _tiffs() -> Iterator[bytes]:
    """As small as a scan may be, and of one colour, so that little else than their tables is in them."""
    flat = pyvips.Image.new_from_array(np.full((200, 200, 3), 240, np.uint8))
    image = flat.copy(interpretation="srgb", xres=11.8, yres=11.8)
    turned = image.copy()
    turned.set_type(pyvips.GValue.gint_type, "orientation", 6)
    deep = image.cast("ushort", shift=True).copy(interpretation="rgb16")
    for each, how in (
        (image, {"compression": "deflate"}),
        (turned, {"compression": "lzw", "tile": True}),
        (deep, {"compression": "deflate", "predictor": "horizontal"}),
        (image.bandjoin(255), {"compression": "packbits"}),
        (image.bandjoin([0, 9]), {"compression": "deflate", "bigtiff": True}),
        (image.colourspace("cmyk"), {"compression": "deflate"}),
        (image.colourspace("b-w"), {"compression": "ccittfax4", "bitdepth": 1}),
        (image, {"compression": "jpeg"}),
        (image, {"compression": "deflate", "pyramid": True, "subifd": True, "tile": True}),
    ):
        yield bytes(each.tiffsave_buffer(keep="none", **how))


def _archives(stock: Reader, backup: Reader) -> Target:
    """Zips as they are, and what stands in them by itself: what is no zip is put into a sound one, in place of the
    document that says what is in it. A zip's own sums would keep a fuzzer out of it."""
    seeds = tuple(_packed_lightly(seed) for seed in (*stock.seeds, *backup.seeds))
    documents = [_entry(seed, name) for seed, name in zip(seeds, (DOCUMENT, MANIFEST), strict=True)]
    lack = Message("transfer.file-missing", archive="bench.zip", file="files/1")
    lacking = json.loads(documents[1]) | {"lacks": [lack.as_data()]}
    documents.append(json.dumps(lacking).encode())

    def read(path: Path) -> None:
        data = path.read_bytes()
        for reader, seed, name in zip((stock, backup), seeds, (DOCUMENT, MANIFEST), strict=True):
            path.write_bytes(data if data.startswith(b"PK") else _with_entry(seed, name, data))
            reader.read(path)

    return Target((*seeds, *documents), (read,), most_bytes=16384)


def _packed_lightly(archive: bytes) -> bytes:
    """The same archive, not packed: so its words can be seen, and changed one by one."""
    with zipfile.ZipFile(io.BytesIO(archive)) as found:
        return _zip({each.filename: found.read(each) for each in found.infolist()})


def _entry(archive: bytes, name: str) -> bytes:
    with zipfile.ZipFile(io.BytesIO(archive)) as found:
        return found.read(name)


def _with_entry(archive: bytes, name: str, data: bytes) -> bytes:
    with zipfile.ZipFile(io.BytesIO(archive)) as found:
        return _zip({each.filename: found.read(each) for each in found.infolist()} | {name: data})


def _zip(entries: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        for name, data in entries.items():
            made.writestr(zipfile.ZipInfo(name), data)
    return out.getvalue()


class _Recorded(Connection):
    """A printer that gives these bytes to every question, as the answer to that very question."""

    def __init__(self, answer: bytes) -> None:
        super().__init__("ipp://tern.local/ipp/print")
        self._answer = answer

    def _exchange(self, request: bytes, document: Path | None) -> bytes:
        return self._answer[:4] + request[4:8] + self._answer[8:]


def _news() -> Iterator[bytes]:
    """What a printer says of a job, and how it refuses one."""
    job = AttributeGroup(
        IppTag.JOB,
        (
            attribute("job-id", IppTag.INTEGER, 7),
            attribute("job-state", IppTag.ENUM, 5),
            attribute("job-state-reasons", IppTag.KEYWORD, "job-printing"),
            attribute("job-media-sheets-completed", IppTag.INTEGER, 2),
        ),
    )
    said = AttributeGroup(IppTag.OPERATION, (attribute("status-message", IppTag.TEXT, "Paper jam."),))
    faulty = AttributeGroup(IppTag.UNSUPPORTED_GROUP, (attribute("media-col", IppTag.UNSUPPORTED, None),))
    yield encode(IppMessage(0, 1, (job,)))
    yield encode(IppMessage(1, 1, (job, faulty)))
    yield encode(IppMessage(0x040B, 1, (said, faulty)))
