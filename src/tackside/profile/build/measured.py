"""What was measured, checked, and averaged where a colour was printed or read more than once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats
from tackside.errors import BadRequest
from tackside.messages.message import Message

LEAST_PATCHES = 100  # different ones; this and the limits below: docs/sources.md, S109
CORNER_REACH = 0.2  # a patch must lie as near to each corner of the cube, along every channel
PAPERS_APART = 2.0  # ΔE00 between two readings of bare paper: more are two papers, or two ways to measure
MOST_SPREAD = 2.5  # ΔE00, root mean square, of repeats about their mean
SAME_NUMBERS = 5  # decimals
ENOUGH_REPEATS = 8
GUESSED_NOISE = (
    0.3  # ΔE, one standard deviation of each of L*, a*, b*, where nothing tells: a hand-held instrument
)
CORNERS = ("black", "blue", "green", "cyan", "red", "magenta", "yellow", "paper")


@dataclass(frozen=True, eq=False)
class MeasuredPatches:
    """Patches as they were read, one row each; what was printed or read more than once has several rows.

    ``device`` (n, 3) RGB or (n, 4) CMYK, 0 to 1. ``lab`` (n, 3) CIELAB D50 2°, against the perfect diffuser.
    ``noise`` (n,): one standard deviation of each row, ΔE*ab, or None where none is known. ``reading`` (n,): which of
    several readings a row came from, or None for one. ``names`` (n): what people call the patches, or none.
    """

    device: Floats
    lab: Floats
    noise: Floats | None = None
    reading: NDArray[np.intp] | None = None
    names: tuple[str, ...] = ()

    @classmethod
    def of(
        cls,
        device: ArrayLike,
        lab: ArrayLike,
        noise: ArrayLike | None = None,
        *,
        reading: ArrayLike | None = None,
        names: Sequence[str] = (),
    ) -> MeasuredPatches:
        """Rows with any kind of arrays, checked; ``noise`` may have NaN where it is not known.

        Raises BadRequest where columns or numbers are missing.
        """
        numbers, colours = (np.atleast_2d(np.asarray(each, dtype=np.float64)) for each in (device, lab))
        if numbers.ndim != 2 or numbers.shape[1] not in (3, 4):
            raise BadRequest("profile-build.device-columns", count=numbers.shape[-1])
        if colours.ndim != 2 or colours.shape[1] != 3:
            raise BadRequest("profile-build.colour-columns", count=colours.shape[-1])
        if len(numbers) != len(colours):
            raise BadRequest("profile-build.rows-differ", device=len(numbers), colours=len(colours))
        unknown = ~np.isfinite(np.column_stack([numbers, colours])).all(axis=1)
        names = tuple(names) if len(names) == len(numbers) else ()
        made = cls(
            numbers,
            colours,
            _known(noise),
            None if reading is None else np.asarray(reading, dtype=np.intp),
            names,
        )
        if unknown.any():
            raise BadRequest(
                "profile-build.numbers-missing",
                count=int(unknown.sum()),
                patch=made.name(int(np.argmax(unknown))),
            )
        beyond = np.any((numbers < -1e-6) | (numbers > 1 + 1e-6), axis=1)
        if beyond.any():
            raise BadRequest("profile-build.device-range", patch=made.name(int(np.argmax(beyond))))
        return made

    @classmethod
    def joined(cls, readings: Sequence[MeasuredPatches]) -> MeasuredPatches:
        """Several readings of one stock as one. Raises BadRequest where their channels differ."""
        if len({each.device.shape[1] for each in readings}) != 1:
            raise BadRequest("profile-build.channels-mixed")
        named = all(each.names for each in readings)
        told = all(each.noise is not None for each in readings)
        return cls.of(
            np.concatenate([each.device for each in readings]),
            np.concatenate([each.lab for each in readings]),
            np.concatenate([each.noise for each in readings if each.noise is not None]) if told else None,
            reading=np.repeat(np.arange(len(readings)), [len(each.device) for each in readings]),
            names=[name for each in readings for name in each.names] if named else (),
        )

    @property
    def channels(self) -> int:
        return int(self.device.shape[1])

    def name(self, row: int) -> str:
        """What to call a row: its name, else its number from 1."""
        return self.names[row] if self.names else str(row + 1)


def _known(noise: ArrayLike | None) -> Floats | None:
    """Noise with the usual one where a row has none (NaN); None where no row has any."""
    told = None if noise is None else np.array(noise, dtype=np.float64)
    if told is None or not np.isfinite(told).any():
        return None
    told[~np.isfinite(told)] = np.nanmedian(told[np.isfinite(told)])
    return told


@dataclass(frozen=True, eq=False)
class AveragedPatches:
    """Each colour once. ``device`` (n, channels), ``lab`` (n, 3) means; ``member``: the patch of each measured row.

    ``spread`` (n,): noise variance as a share of that of one plain row. ``noise`` (3,): one standard deviation of a row
    in L*, a*, b*, and ``sure_of_noise`` that of its logarithm. ``repeats``: rows beyond the first of their patch.
    """

    device: Floats
    lab: Floats
    spread: Floats
    member: NDArray[np.intp]
    noise: Floats
    sure_of_noise: float
    repeats: int


def averaged(measured: MeasuredPatches, keep: NDArray[np.bool_] | None = None) -> AveragedPatches:
    """The rows that are kept (n,), each colour once."""
    rows = np.ones(len(measured.device), dtype=bool) if keep is None else keep
    unique, member = np.unique(
        np.clip(measured.device, 0, 1).round(SAME_NUMBERS), axis=0, return_inverse=True
    )
    member = member.reshape(-1)
    told = np.ones(len(rows)) if measured.noise is None else np.maximum(measured.noise, 1e-3)
    # Half and double the usual noise at most: an estimate from one patch is itself uncertain.
    variance = np.clip(told / np.median(told), 0.5, 2.0) ** 2
    counts = np.bincount(member[rows], minlength=len(unique))
    weight = np.bincount(member[rows], 1 / variance[rows], minlength=len(unique))
    seen = counts > 0
    sums = np.zeros((len(unique), 3))
    np.add.at(sums, member[rows], measured.lab[rows] / variance[rows, None])
    means = sums / np.maximum(weight, 1e-12)[:, None]
    noise, sure = _noise(measured, rows, member, means, counts)
    place = np.cumsum(seen) - 1
    return AveragedPatches(
        unique[seen],
        means[seen],
        1 / weight[seen],
        np.where(seen[member], place[member], -1),
        noise,
        sure,
        int(counts[seen].sum() - seen.sum()),
    )


def _noise(
    measured: MeasuredPatches,
    rows: NDArray[np.bool_],
    member: NDArray[np.intp],
    means: Floats,
    counts: NDArray[np.intp],
) -> tuple[Floats, float]:
    """One standard deviation of a row in L*, a*, b*, and how sure that is."""
    repeated = rows & (counts[member] > 1)
    degrees = int(repeated.sum() - len(np.unique(member[repeated])))
    if degrees >= ENOUGH_REPEATS:
        count = counts[member[repeated]]
        away = (
            np.abs(measured.lab[repeated] - means[member[repeated]]) * np.sqrt(count / (count - 1))[:, None]
        )
        # By the median, which a few bad rows don't move; 1.4826 makes it a standard deviation.
        found = np.maximum(1.4826 * np.median(away, axis=0), 0.02)
        return np.asarray(found), max(0.1, 1 / np.sqrt(2 * degrees))
    if measured.noise is not None:
        return np.full(3, max(float(np.median(measured.noise)) / np.sqrt(3), 0.02)), 0.7
    return np.full(3, GUESSED_NOISE), 1.0


def require_sound(measured: MeasuredPatches, patches: AveragedPatches) -> None:
    """Raise BadRequest where the evidence is too thin, or contradicts itself."""
    if len(patches.device) < LEAST_PATCHES:
        raise BadRequest("profile-build.too-few-patches", count=len(patches.device), limit=LEAST_PATCHES)
    _require_corners(patches)
    _require_one_paper(measured)
    _require_agreement(measured, patches)
    paper, black = (end_lab(patches, lightest=lightest) for lightest in (True, False))
    if black[0] >= paper[0]:
        raise BadRequest("profile-build.black-lighter", black=black[0], paper=paper[0])


def end_rows(device: Floats, *, lightest: bool) -> NDArray[np.bool_]:
    """The rows of bare paper, or of all the ink that there is."""
    bare = 1.0 if (device.shape[1] == 3) == lightest else 0.0
    return np.asarray(np.all(np.abs(device - bare) < 1e-4, axis=1))


def end_lab(patches: AveragedPatches, *, lightest: bool) -> Floats:
    """CIELAB (3,) of the paper, or of the black of RGB 0, 0, 0."""
    return np.asarray(patches.lab[end_rows(patches.device, lightest=lightest)][0])


def _require_corners(patches: AveragedPatches) -> None:
    """Paper and black themselves, and something near each other corner of the cube of RGB."""
    for lightest, code in ((True, "profile-build.no-paper"), (False, "profile-build.no-black")):
        if not end_rows(patches.device, lightest=lightest).any():
            raise BadRequest(code)
    for number, name in enumerate(CORNERS):
        corner = np.array([number >> 2 & 1, number >> 1 & 1, number & 1], dtype=float)
        if np.abs(patches.device[:, :3] - corner).max(axis=1).min() > CORNER_REACH:
            raise BadRequest("profile-build.corner-missing", colour=Message(f"profile-build.corner.{name}"))


def _require_one_paper(measured: MeasuredPatches) -> None:
    bare = end_rows(measured.device, lightest=True)
    readings = np.zeros(len(bare), dtype=np.intp) if measured.reading is None else measured.reading
    papers = [
        np.median(measured.lab[bare & (readings == each)], axis=0) for each in np.unique(readings[bare])
    ]
    apart = [float(delta_e_2000(one, other)) for i, one in enumerate(papers) for other in papers[:i]]
    if apart and max(apart) > PAPERS_APART:
        raise BadRequest("profile-build.two-papers", apart=max(apart), limit=PAPERS_APART)


def _require_agreement(measured: MeasuredPatches, patches: AveragedPatches) -> None:
    counts = np.bincount(patches.member)
    repeated = counts[patches.member] > 1
    degrees = int(repeated.sum()) - len(np.unique(patches.member[repeated]))
    if degrees < ENOUGH_REPEATS:
        return
    off = delta_e_2000(measured.lab[repeated], patches.lab[patches.member[repeated]])
    # A few bad rows are outliers, which are found one by one: the rest has to agree.
    kept = np.sort(off)[: max(len(off) - len(off) // 20, 1)]
    spread = float(np.sqrt(np.sum(kept**2) / degrees))
    if spread > MOST_SPREAD:
        raise BadRequest("profile-build.repeats-disagree", spread=spread, limit=MOST_SPREAD)
