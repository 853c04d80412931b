"""``tackside read``: printed sheets read back from scans or instrument files."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter
from rich.console import RenderableType

from tackside.bench.ids import ID_LENGTH
from tackside.bench.store import Bench
from tackside.cli.session import Force, Outcome, bench_folder, faults_document, on_stderr
from tackside.cli.views.reading_page import reading_lines, reading_page, readings_page
from tackside.errors import BadRequest
from tackside.files.atomic import require_free
from tackside.messages.message import Message
from tackside.messages.wording import documents
from tackside.records import Reading, Trial
from tackside.workflow.read import read_print
from tackside.workflow.sent_files import SentFile


def read(
    *files: Annotated[
        str,
        Parameter(
            name="FILE",
            help="Scans (TIFF, PNG, JPEG, a scanner's PDF) and instrument files (CGATS, CxF), told by content. "
            "The id of a trial before them says that all are its.",
        ),
    ],
    device: Annotated[
        str | None,
        Parameter(help="The scanner and its settings in your words: readings with the same are comparable."),
    ] = None,
    scanner: Annotated[
        str | None, Parameter(help="A scanner that you have characterised: see tackside scanner learn.")
    ] = None,
    photo: Annotated[
        bool,
        Parameter(
            negative=(),
            help="FILE is one photograph of a new print beside a known one, by daylight, as a phone takes it.",
        ),
    ] = False,
    beside: Annotated[
        str | None,
        Parameter(help="With --photo: the trial of the known print, where its tag cannot be read."),
    ] = None,
    spoilt_picture: Annotated[
        Path | None,
        Parameter(help="Write a picture of where the scan shows that a program changed it: a .png file."),
    ] = None,
    full: Annotated[
        bool, Parameter(negative=(), help="Show everything: where the print fell, lines, all notices.")
    ] = False,
    force: Force = False,
) -> Outcome:
    """Read printed sheets back, from scans or instrument files.

    The tag on each sheet says which trial it is, so that all scans of an evening can be given at once. One file that
    cannot be read costs one line; the others are read. An instrument file does not say its trial: name it.

    The files of one trial make one reading. Scans of single panels are put together; each patch comes from the scan
    that shows the most marks. With an instrument file all colours are its own, and scans add only placement and lines.

    With --photo a phone stands in for the scanner: lay the new print beside one that was scanned or measured, in even
    daylight, and photograph both whole. Both tags are read; the new print's colours are told by the known one's.
    """
    trial, paths = parted(files)
    _require_png(spoilt_picture)
    require_free(spoilt_picture, force=force, inputs=paths)
    if photo:
        return _photographed(trial, beside, paths, full=full, picture=spoilt_picture)
    if beside is not None:
        raise BadRequest("photo.beside-without-photo")
    bench = Bench.open(bench_folder(), create=False)
    sent = [SentFile.at(path) for path in paths]
    shown = reading_page if full else reading_lines
    if trial is not None:
        kept = read_print(bench, trial, sent, device=device, scanner=scanner, progress=on_stderr())
        return _one(bench, kept, bench.trials.get(trial), shown, spoilt_picture)
    from tackside.workflow.arrived.many import read_prints  # the tags are looked for where no trial is named

    found = read_prints(bench, sent, device=device, scanner=scanner, progress=on_stderr())
    trials = {reading.trial: bench.trials.get(reading.trial or "") for reading in found.readings}
    if len(paths) == 1 and len(found.readings) + len(found.faults) == 1:
        for _, fault in found.faults:
            raise fault
        (kept,) = found.readings
        return _one(bench, kept, trials[kept.trial], shown, spoilt_picture)
    faults = faults_document((file.name, error) for file, error in found.faults)
    return Outcome(
        {
            "readings": [
                {**document(each), "practice": trials[each.trial].practice} for each in found.readings
            ],
            "faults": faults,
        },
        readings_page([(each, trials[each.trial]) for each in found.readings], full=full),
        (*_marked(trials.values()), *_pictured(bench, found.readings, spoilt_picture)),
        faults=tuple(error for _, error in found.faults),
    )


def _photographed(
    trial: str | None, beside: str | None, paths: Sequence[Path], *, full: bool, picture: Path | None
) -> Outcome:
    from tackside.workflow.photo.read import read_photo  # a phone's pictures are read by what no scan needs

    if len(paths) != 1:
        raise BadRequest("photo.one-at-a-time", count=len(paths))
    bench = Bench.open(bench_folder(), create=False)
    found = read_photo(bench, SentFile.at(paths[0]), trial=trial, beside=beside, progress=on_stderr())
    first, *others = found.readings
    its = bench.trials.get(first.trial or "")
    shown = (reading_page if full else reading_lines)(first, its)
    plain = {**document(first), "practice": its.practice, "others": [document(each) for each in others]}
    return Outcome(plain, shown, (*_marked([its]), *_pictured(bench, [first], picture)))


def _one(
    bench: Bench,
    kept: Reading,
    trial: Trial,
    shown: Callable[[Reading, Trial], RenderableType],
    picture: Path | None,
) -> Outcome:
    said = (*_marked([trial]), *_pictured(bench, [kept], picture))
    return Outcome({**document(kept), "practice": trial.practice}, shown(kept, trial), said)


def _pictured(bench: Bench, readings: Sequence[Reading], picture: Path | None) -> Iterable[Message]:
    if picture is None:
        return []
    from tackside.workflow.prepared.spoilt import write_spoilt_picture  # seldom asked for

    written = write_spoilt_picture(bench, readings, picture)
    if written:
        return [Message("spoilt.picture-written", file=str(picture))]
    photographs = [reading for reading in readings if reading.kind == "photo"]
    code = "spoilt.not-of-photographs" if photographs else "spoilt.nothing-to-show"
    return [Message(code, file=str(picture))]


def _require_png(picture: Path | None) -> None:
    if picture is not None and picture.suffix.lower() != ".png":
        raise BadRequest("spoilt.picture-format", file=picture.name)


def _marked(trials: Iterable[Trial]) -> Iterable[Message]:
    """Said once where a print of the virtual press is among them."""
    return [Message("practice.marked")] if any(trial.practice for trial in trials) else []


def parted(words: Sequence[str]) -> tuple[str | None, list[Path]]:
    """The trial that stands before the files, None where there is none. Raises BadRequest where no file is named."""
    if words and _names_a_trial(words[0], alone=len(words) == 1):
        trial, words = words[0], words[1:]
    else:
        trial = None
    if not words:
        raise BadRequest("reading.no-file")
    return trial, [Path(word) for word in words]


def _names_a_trial(word: str, *, alone: bool) -> bool:
    """Whether the first word is a trial's id, well or badly typed, and no file."""
    if len(word) == ID_LENGTH and word.isascii() and word.isalnum():
        return not (alone and Path(word).is_file())
    bare = Path(word).name == word and not Path(word).suffix
    return bare and not Path(word).exists()


def document(reading: Reading) -> dict[str, Any]:
    """The reading as plain data, under the names that scripts rely on."""
    plain = reading.model_dump(mode="json")
    basis = reading.uncertainty.basis
    plain["uncertainty"] |= {
        "basis": str(basis),
        "basis_code": basis.code,
        "basis_values": basis.as_data()["values"],
    }
    plain["notices"] = documents(reading.notices)
    sources = [
        {"name": reading.source_name, "sha256": reading.source_sha256},
        *(source.model_dump() for source in reading.further_sources),
    ]
    return {
        "reading": plain.pop("id"),
        **{name: value for name, value in plain.items() if name != "further_sources"},
        "sources": sources,
    }
