"""Profiles and pictures of a bench: what was told of a kept file when it came. The file itself is found by its hash."""

from __future__ import annotations

from pydantic import Field

from tackside.messages.message import Message
from tackside.records.base import Record
from tackside.records.sheet_plan import Side

SHA256 = r"^[0-9a-f]{64}$"


class ArtFile(Record):
    """A kept file. ``name`` is what it was called, ``title`` what it says of itself, or its name again."""

    sha256: str = Field(pattern=SHA256)
    name: str = Field(min_length=1, max_length=255)
    title: str = Field(min_length=1, max_length=255)
    size_bytes: int = Field(ge=0)


class ProfileQuality(Record):
    """How good a profile is that was built here. ΔE are ΔE00 unless said otherwise.

    ``patches``: different ones that the fit rests on. ``noise``: one standard deviation of a reading, ΔE*ab, and
    whether ``noise_measured`` by repeats. ``fit_*``: patches beside the fitted surface. ``left_out_*``: patches
    beside what all others foretell, noise included. ``round_trip_*``: colours that the printer holds, to numbers and
    back by the relative tables. ``largest_bend``: second difference, ΔE*ab, along 64 steps from white to black and to
    each full colour (``bend_ramp`` names the ramp). ``grey_hue_swing``: the largest a*, b* distance from neutral among
    the neutral greys that the printer holds, asked for by their L*. ``grey_steps_back``: steps of 256 greys of equal
    numbers at which L* falls; ``grey_straightened``: by how much, L*, readings were changed to have none. Volumes in
    cubic CIELAB units, paper included, that of the readings by ``readings_volume_method``. ``white_lab`` and
    ``black_lab``: ICC-absolute.
    """

    patches: int
    noise: float
    noise_measured: bool
    fit_median: float
    fit_p95: float
    left_out_median: float
    left_out_p95: float
    round_trip_median: float
    round_trip_p99: float
    largest_bend: float
    bend_ramp: str
    grey_hue_swing: float
    grey_steps_back: int
    grey_straightened: float
    gamut_volume: float
    readings_volume: float
    readings_volume_method: str
    white_lab: tuple[float, float, float]
    black_lab: tuple[float, float, float]


class ProfileOrigin(Record):
    """What a profile of this bench was built from: the card (its stock, side and printer), its trials, their readings.

    ``notices`` are what was said when it was built.
    """

    stock: str
    side: Side
    printer: str
    trials: tuple[str, ...]
    readings: tuple[str, ...]
    quality: ProfileQuality
    notices: tuple[Message, ...] = ()


class ProfileFile(ArtFile):
    """A colour profile: ``kind`` and ``colour_space`` as its header has them, in our words; ``origin`` where it was
    built here."""

    kind: str = Field(max_length=40)
    colour_space: str = Field(max_length=20)
    origin: ProfileOrigin | None = None


class PictureFile(ArtFile):
    """A picture: what kind of file, and its size in pixels, upright."""

    kind: str = Field(max_length=20)
    size_px: tuple[int, int]
