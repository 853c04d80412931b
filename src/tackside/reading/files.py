"""All the files of one trial to one Reading: scans of its panels, an instrument file, or both.

Colours of two kinds of device are never mixed in one reading. Where an instrument file is among the files, all
colours are its own, and scans add placement and print-quality attributes. Several scans must share their
settings; each patch is taken from the scan that shows the most marks, and the others add what it lacks.

Readings that can't be right are refused: the sheet's own file given as a scan, numbers without noise, blacks and papers
that do not exist. Told from the reading alone, so resizing, JPEG or another profile hide nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import RGB_SPACES, rgb_to_lab
from tackside.errors import BadImage, BadRequest, BadScan
from tackside.files.outside import SCAN, picture_kind
from tackside.messages.message import Message
from tackside.reading.instrument.text import looks_like_instrument_file
from tackside.reading.quality.evenness import with_repeats
from tackside.reading.scan.image_file import is_image, scan_sha256
from tackside.reading.scan.read import (
    ScanReading,
    finished,
    left_out,
    read_pages,
    require_patches,
    trial_of,
    unseen_edges,
)
from tackside.reading.scan.uncertainty import uncertainty_of
from tackside.records import Attribute, Placement, Reading, SheetPlan
from tackside.records.reading import Source, Spoiling

if TYPE_CHECKING:  # of a scanner that was learnt
    from tackside.reading.scanners.use import ScannerUse

FileKind = Literal["scan", "instrument"]
HEAD_BYTES = 65536
# Two scans of one print with one scanner differ by well under this, ΔE00 in the middle; two prints of one file on one
# card often too, but not on two cards.
SAME_PRINT, FEWEST_SHARED = 4.0, 6


def read_files(
    paths: Sequence[Path],
    plan: SheetPlan,
    *,
    trial: str | None = None,
    device: str | None = None,
    scanner: ScannerUse | None = None,
    hashing: Callable[[Path], str] = scan_sha256,
) -> Reading:
    """Read one trial back from all its files.

    ``trial`` is its id, by default the one on the plan's tag. ``device`` names the scanner and its settings, or the
    instrument, as the user does. ``scanner`` is one that was learnt. ``hashing`` gives a scan file's SHA-256. Raises
    BadRequest, BadImage, BadScan, BadInstrumentFile.
    """
    if not paths:
        raise BadRequest("reading.no-file")
    trial = trial or trial_of(plan)
    kinds = {path: kind_of(path) for path in paths}
    measured = [path for path, kind in kinds.items() if kind == "instrument"]
    if len(measured) > 1:
        raise BadRequest("reading.two-instrument-files", file=measured[0].name, other=measured[1].name)
    sharpness = () if scanner is None else scanner.scanner.sharpness
    scans = [
        page
        for path, kind in kinds.items()
        if kind == "scan"
        for page in read_pages(path, plan, trial, device, sharpness, hashing)
    ]
    if not measured:
        return with_repeats(joined(scans, plan, device, scanner))
    from tackside.reading.instrument.file import read_instrument_file  # slow to import, and a scan needs none

    instrument = read_instrument_file(measured[0], plan).model_copy(update={"trial": trial})
    if scans:
        return with_repeats(_measured_and_placed(instrument, _ranked(scans)))
    return with_repeats(instrument.model_copy(update={"device": instrument.device or device}))


def kind_of(path: Path) -> FileKind:
    """Whether a file is a scan or an instrument file, told by its first bytes and never by its suffix.

    Raises BadImage for neither, and where it can't be read.
    """
    head = SCAN.head(path, HEAD_BYTES)
    if is_image(head):
        return "scan"
    if looks_like_instrument_file(head) or head.lstrip(b"\xef\xbb\xbf\xff\xfe\0 \t\r\n").startswith(b"<"):
        return "instrument"
    if not head:
        raise BadImage("reading.empty-file", file=path.name)
    kind = picture_kind(head)
    if kind is not None:
        raise BadImage("reading.other-picture", file=path.name, kind=kind)
    raise BadImage("reading.unknown-file", file=path.name)


def joined(
    scans: Sequence[ScanReading], plan: SheetPlan, device: str | None, scanner: ScannerUse | None = None
) -> Reading:
    """One reading from scans of one sheet."""
    for other in scans[1:]:
        if other.settings != scans[0].settings:
            raise BadScan(
                "reading.unlike-settings",
                file=scans[0].name,
                other=other.name,
                settings=scans[0].settings.message,
                other_settings=other.settings.message,
            )
    ranked = _ranked(scans)
    _refuse_mixed(ranked)
    found = {patch.name: patch for scan in reversed(ranked) for patch in scan.reading.patches}
    patches = tuple(found[patch.name] for patch in plan.patches if patch.name in found)
    require_patches(patches, [scan.name for scan in scans])
    notices = [notice for scan in ranked for notice in (*scan.colour_notices, *scan.place_notices)]
    placement = _placement(ranked)
    first = ranked[0]
    said = {scan.reading.file_says for scan in ranked}
    says = first.reading.file_says if len(said) == 1 else None
    reading = first.reading.model_copy(
        update={
            "patches": patches,
            "placement": placement,
            "attributes": _attributes(ranked),
            "uncertainty": uncertainty_of(
                first.settings,
                device,
                list(dict.fromkeys(scan.reading.source_sha256 for scan in ranked)),
                says,
                at_ends=max(scan.at_ends for scan in ranked),
            ),
            "file_says": says,
            "further_sources": _sources(ranked, but=first.reading.source_sha256),
            "notices": _once([*notices, *unseen_edges(placement), *left_out(plan, patches)]),
            "flaws": tuple(dict.fromkeys(flaw for scan in ranked for flaw in scan.reading.flaws)),
            "spoilt": _spoilt(ranked),
        }
    )
    faults = list(dict.fromkeys(fault for scan in ranked for fault in scan.faults))
    return finished(reading, first.settings, faults, scanner)


def _refuse_mixed(ranked: Sequence[ScanReading]) -> None:
    """Scans of one print agree on the patches that they share, scans of its pages on the colours that these repeat."""
    for other in ranked[1:]:
        first = {patch.rgb: patch.lab for patch in ranked[0].reading.patches}
        shared = [patch for patch in other.reading.patches if patch.rgb in first]
        if len(shared) < FEWEST_SHARED:
            continue
        gap = delta_e_2000(
            np.array([first[patch.rgb] for patch in shared]), np.array([patch.lab for patch in shared])
        )
        if float(np.median(gap)) > SAME_PRINT:
            raise BadScan(
                "reading.mixed-prints", file=ranked[0].name, other=other.name, de00=float(np.median(gap))
            )


def _measured_and_placed(measured: Reading, ranked: Sequence[ScanReading]) -> Reading:
    """The instrument's colours with what only a scan can tell."""
    placement = _placement(ranked)
    notices = [
        *measured.notices,
        Message("reading.colours-by-instrument"),
        *(notice for scan in ranked for notice in scan.place_notices),
        *unseen_edges(placement),
    ]
    return measured.model_copy(
        update={
            "placement": placement,
            "attributes": _attributes(ranked),
            "further_sources": _sources(ranked),
            "spoilt": _spoilt(ranked),
            "notices": _once(notices),
        }
    )


def _ranked(scans: Sequence[ScanReading]) -> list[ScanReading]:
    """The scan with the most marks first; among equals, the first named."""
    return sorted(scans, key=lambda scan: -scan.marks_found)


def _placement(ranked: Sequence[ScanReading]) -> Placement | None:
    """From the first scan that shows the sheet's edges, else from the first."""
    placements = [scan.reading.placement for scan in ranked if scan.reading.placement is not None]
    whole = [one for one in placements if one.offset_mm is not None]
    return next(iter(whole + placements), None)


def _attributes(ranked: Sequence[ScanReading]) -> dict[str, Attribute]:
    return {name: one for scan in reversed(ranked) for name, one in scan.reading.attributes.items()}


def _spoilt(ranked: Sequence[ScanReading]) -> tuple[Spoiling, ...]:
    """Of each scan file what was done to it, once: one may show several pages."""
    found = {(one.source_sha256, one.code): one for scan in ranked for one in scan.reading.spoilt}
    return tuple(found.values())


def _sources(scans: Iterable[ScanReading], but: str = "") -> tuple[Source, ...]:
    """The files, each once: one scan may show several pages."""
    found = {scan.reading.source_sha256: scan.name for scan in scans if scan.reading.source_sha256 != but}
    return tuple(Source(name=name, sha256=sha256) for sha256, name in found.items())


def _once(notices: Iterable[Message]) -> tuple[Message, ...]:
    return tuple(dict.fromkeys(notices))


# No print shows its file's own colours from ink black to paper white: black at L* 0 and white at L* 100 are in no ink
# and no paper. Rounding to 8 bits and JPEG at quality 50 move a flat patch by less than this, ΔE00.
SAME_COLOUR = 1.0
NEARLY_ALL = 0.9
# Under glass, paper and dots alone scatter a patch's pixels by more than this, ΔE*ab.
NO_NOISE = 0.02
FEWEST = 8  # patches, before anything is said of nearly all
# Common practice, no source: L* 1 is a density of 2.96, and the deepest ink on gloss stays near 2.7. A polarising
# filter (M3) takes the surface's own reflection away, so its blacks are not held to this.
LEAST_BLACK_L = 1.0
# Common practice, no source: brighteners shine in the blue and lift Z, hardly Y. L* 100.5 is Y = 1.013.
MOST_PAPER_L = 100.5
# These scans are told to be cut off, and trusted less, already.
_CUT_OFF = ("scan.dark-cut-off", "scan.both-ends-cut-off")


def require_plausible(reading: Reading) -> None:
    """Raises BadScan (a scan) or BadRequest (an instrument's file) for a reading that no print gives."""
    if not reading.patches or reading.kind == "eye":
        return
    if reading.kind == "scan":
        _refuse_own_file(reading)
    _refuse_without_noise(reading)
    error = BadScan if reading.kind == "scan" else BadRequest
    lightness = [patch.lab[0] for patch in reading.patches]
    darkest, lightest = min(lightness), max(lightness)
    held_to_black = reading.condition != "M3" and not any(flaw.code in _CUT_OFF for flaw in reading.flaws)
    if darkest < LEAST_BLACK_L and held_to_black:
        raise error("reading.too-black", file=reading.source_name, lightness=darkest, least=LEAST_BLACK_L)
    if lightest > MOST_PAPER_L:
        raise error("reading.too-white", file=reading.source_name, lightness=lightest, most=MOST_PAPER_L)


def _refuse_own_file(reading: Reading) -> None:
    """By colours: nearly all patches show just what the file asks for, in one of the spaces that sheets are made in."""
    asked = np.array([patch.rgb for patch in reading.patches if patch.rgb is not None])
    if len(asked) < FEWEST:
        return
    shown = np.array([patch.lab for patch in reading.patches if patch.rgb is not None])
    for space in RGB_SPACES.values():
        gaps = delta_e_2000(shown, rgb_to_lab(asked, space))
        same = int(np.sum(gaps <= SAME_COLOUR))
        if same >= NEARLY_ALL * len(asked):
            raise BadScan("reading.own-file", file=reading.source_name, same=same, patches=len(asked))


def _refuse_without_noise(reading: Reading) -> None:
    spread = [patch.sd for patch in reading.patches if patch.sd is not None]
    if len(spread) < FEWEST:
        return
    if reading.kind == "scan":
        still = sum(sd <= NO_NOISE for sd in spread)
        if still >= NEARLY_ALL * len(spread):
            raise BadScan("reading.no-noise", file=reading.source_name, still=still, patches=len(spread))
    elif max(spread) <= 1e-9:
        raise BadRequest("reading.repeats-alike", file=reading.source_name, patches=len(spread))
