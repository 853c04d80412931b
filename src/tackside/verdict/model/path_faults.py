"""What the patches would read under each fault of the path, from how they should look.

Each fault is drawn as a small grid of *variants*: degrees of severity and, where a rule of thumb leaves room,
shapes. None of this knows how a print was really made; it says what the fault does to numbers and inks:

- a space misread moves the numbers (by the definition of the two spaces, IEC 61966-2-1 and Adobe RGB (1998));
- management lays less ink in the middle tones, to make up for tone value increase, and least of magenta and yellow,
  since a grey wants more cyan (grey balance of about C 50 M 40 Y 40; docs/sources.md, S31). Done twice, the middle goes
  light and towards cyan; done by nobody, it goes dark and warm. Solids stay (docs/sources.md, S50);
- too little ink is the same print with part of the ink held back, solids included; too much reaches the full tone too
  early, so that shadows close;
- a missing ink leaves what the others print; where black carries the shadows, they stay dark (docs/sources.md, S55).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.rgb_spaces import RGB_SPACES, rgb_to_xyz_d50, xyz_d50_to_rgb
from tackside.colour.spaces import lab_to_xyz, xyz_to_lab
from tackside.records.sheet_plan import Space
from tackside.records.verdict import Cause
from tackside.verdict.measures.patch_table import Floats
from tackside.verdict.model.balanced import Balanced
from tackside.verdict.model.tone_response import BLACK, INKS_OF, PAPER, Response, shares

# (shown at the moved numbers, shown at the numbers asked for) → what the fault shows, each (m, 3) CIELAB.
Finish = Callable[[Floats, Floats], Floats]


@dataclass(frozen=True, eq=False)
class Variant:
    """One degree of one fault: its share of the cause's prior, the numbers (m, 3) at which to read the response.

    ``loose``: the middle tones may besides be off by any smooth cast. ``even``: all colours keep their relation to
    paper, black and solids.
    """

    cause: Cause
    share: float
    numbers: Floats
    finish: Finish | None = None
    loose: bool = False
    even: bool = False


@dataclass(frozen=True, eq=False)
class FaultyColours:
    """All variants drawn: ``lab`` (k, m, 3), the ``numbers`` (k, m, 3) whose card differences they carry, and which
    are ``loose`` (k,) and ``even`` (k,)."""

    causes: tuple[Cause, ...]
    log_shares: Floats
    lab: Floats
    numbers: Floats
    loose: NDArray[np.bool_]
    even: NDArray[np.bool_]


def draw(response: Response, asked: Floats, space: Space | None, *, path: bool) -> FaultyColours:
    """Every variant of every fault of colour for patches ``asked`` (m, 3), ``none`` first.

    ``space``: that of the sheet's numbers; ``path`` is False for a sheet printed with no management on purpose,
    where nobody can misread a space or manage twice.
    """
    meant = convert(asked, space or "srgb", response.space)
    variants = [Variant("none", 1.0, meant), *_ink_faults(meant)]
    if path:
        other: Space = "adobe-rgb" if space == "srgb" else "srgb"
        misread: Cause = "narrow-read-as-wide" if space == "srgb" else "wide-read-as-narrow"
        variants += [
            Variant(misread, 1.0, convert(asked, other, response.space)),
            *_management_faults(meant, response),
        ]
    numbers = np.stack([variant.numbers for variant in variants])
    shown = response.lab(numbers)
    plain = shown[0]
    lab = np.stack(
        [one if v.finish is None else v.finish(one, plain) for v, one in zip(variants, shown, strict=True)]
    )
    loose, even = np.array([v.loose for v in variants]), np.array([v.even for v in variants])
    return FaultyColours(
        tuple(v.cause for v in variants), np.log([v.share for v in variants]), lab, numbers, loose, even
    )


def with_known(drawn: FaultyColours, known: Mapping[Cause, Sequence[Floats]], share: float) -> FaultyColours:
    """The same with what is known (m, 3) of some causes' patches besides: these ways have ``share`` of their cause."""
    ways = [(cause, lab, len(labs)) for cause, labs in known.items() for lab in labs]
    if not ways:
        return drawn
    left = np.log(1.0 - share) * np.array([cause in known for cause in drawn.causes])
    plain = np.repeat(drawn.numbers[:1], len(ways), axis=0)
    nothing = np.zeros(len(ways), dtype=bool)
    return FaultyColours(
        (*drawn.causes, *(cause for cause, _, _ in ways)),
        np.concatenate([drawn.log_shares + left, [np.log(share / count) for _, _, count in ways]]),
        np.concatenate([drawn.lab, [lab for _, lab, _ in ways]]),
        np.concatenate([drawn.numbers, plain]),
        np.concatenate([drawn.loose, nothing]),
        np.concatenate([drawn.even, nothing]),
    )


def convert(numbers: Floats, space: Space, into: Space) -> Floats:
    """The numbers of the same colours in another space, clipped to what it holds."""
    if space == into:
        return numbers
    xyz = rgb_to_xyz_d50(numbers, RGB_SPACES[space])
    return np.clip(xyz_d50_to_rgb(xyz, RGB_SPACES[into]), 0.0, 1.0)


# Management brightens the numbers by a power, more for magenta and yellow than for cyan: a tone value increase of 11
# to 22 % at half is what it makes up for (docs/sources.md, S30).
_STRENGTHS = (1.35, 1.5, 1.7, 1.95)
_LEADS = (1.2, 1.4, 1.65)


def _management_faults(asked: Floats, response: Response) -> Iterator[Variant]:
    # By definition: the curve that makes this print's greys even, passed twice or never.
    balanced = Balanced(response.corners)
    depth, share = 1.0 - asked, _DEFINED_SHARE / (len(_TONE_GAINS) * len(_HELD))
    for gain in _TONE_GAINS:
        moved_by: dict[Cause, Floats] = {
            "managed-twice": balanced.managed_twice(depth, gain),
            "unmanaged": balanced.unmanaged(depth, gain),
        }
        for cause, moved in moved_by.items():
            for held in _HELD:
                yield Variant(cause, share, 1.0 - moved + held * depth**3 * (moved - depth))
    share = (1.0 - _LOOSE_SHARE - _DEFINED_SHARE) / (len(_STRENGTHS) * len(_LEADS))
    for strength in _STRENGTHS:
        for lead in _LEADS:
            power = strength * lead ** np.array([-0.5, 0.5, 0.5])
            yield Variant("managed-twice", share, asked ** (1.0 / power))
            yield Variant("unmanaged", share, asked**power)
    # A profile that was made for another card, applied twice or not at all, may cast any way.
    for hue in range(0, 360, 60):
        yield Variant("managed-twice", _LOOSE_SHARE / 6, asked, _cast(asked, hue), loose=True)
        yield Variant("unmanaged", _LOOSE_SHARE / 6, asked, _cast(asked, hue), loose=True)


def _cast(asked: Floats, hue_deg: float) -> Finish:
    """A cast towards a hue, strongest in the middle tones."""
    bump = _CAST * 4.0 * asked.mean(axis=1) * (1.0 - asked.mean(axis=1))
    towards = np.array([0.0, np.cos(np.radians(hue_deg)), np.sin(np.radians(hue_deg))])
    return lambda _, plain: np.asarray(plain + bump[:, None] * towards)


_DEFINED_SHARE, _LOOSE_SHARE, _CAST = 0.5, 0.15, 11.0
# Tone value increase at half, on coated and on uncoated card (docs/sources.md, S30).
_TONE_GAINS = (0.1, 0.14, 0.18, 0.23)
# How far black, which is steered by itself, holds the shadows where they were (this project's own).
_HELD = (0.0, 0.5, 1.0)
_LITTLE = (0.9, 0.84, 0.78, 0.71, 0.64, 0.56, 0.48, 0.4)
_MUCH = (1.1, 1.18, 1.26, 1.36, 1.48, 1.62)
# A setting for a lesser card holds ink back and keeps its greys even.
_SHALLOW = (0.9, 0.82, 0.74, 0.66)
_CLOSED = (0.1, 0.16, 0.22)
_LIGHT_SPREAD = 2.0  # Yule and Nielsen's n of an ordinary card


def _ink_faults(asked: Floats) -> Iterator[Variant]:
    for ink in _LITTLE:
        for layers in (2.5, 3.5, 5.0):
            finish = _thinned(_layers(asked, layers), ink)
            yield Variant("too-little-ink", 0.75 / (3 * len(_LITTLE)), asked, finish)
    for depth in _SHALLOW:
        yield Variant("too-little-ink", 0.25 / len(_SHALLOW), asked, _shallow(depth), even=True)
    for ink in _MUCH:
        for power in (1.25, 1.7):
            laid = np.minimum(ink * (1.0 - asked ** (1.0 / power)), 1.0)
            yield Variant("too-much-ink", 0.4 / len(_MUCH), (1.0 - laid) ** power)
    for closed in _CLOSED:  # pools in the shadows alone
        opened = asked - closed**4 / np.maximum(asked, 1e-6) ** 3
        yield Variant("too-much-ink", 0.2 / len(_CLOSED), np.clip(opened, 0.0, 1.0))
    for channel in range(3):
        without = asked.copy()
        without[:, channel] = 1.0
        for most in (0.75, 0.95):
            for power in (1.5, 3.0):
                for part in (0.5, 1.0):
                    yield Variant("missing-ink", 0.75 / 24, without, _covered(asked, most, power, part))
    for lighter in (12.0, 20.0, 28.0):
        for power in (2.0, 4.0):
            yield Variant("missing-ink", 0.25 / 6, asked, _no_black(asked, lighter, power))


def _layers(asked: Floats, black: float) -> Floats:
    """How many inks lie over one another: one or two in the solids and their tints, ``black`` in the greys."""
    held, inks = shares(asked), INKS_OF.sum(axis=1)
    inks[BLACK], held[:, PAPER] = black, 1e-6
    return np.asarray(held @ np.where(inks > 0, inks, 1.0) / held.sum(axis=1))


def _thinned(layers: Floats, ink: float) -> Finish:
    """Each of ``layers`` (m,) inks covers only ``ink`` of what it should, and lets what lies beneath shine through.

    With q the root of light beside bare paper's (Yule and Nielsen), one ink of tone a and root r gives
    q = 1 − a (1 − r); k alike give qᵏ. So q becomes (1 − ink (1 − q^(1/k)))ᵏ.
    """

    def finish(_: Floats, plain: Floats) -> Floats:
        light = np.maximum(lab_to_xyz(plain), 1e-5)
        paper = light[_paper(plain)]
        root = np.minimum(light / paper, 1.0) ** (1 / _LIGHT_SPREAD)
        k = layers[:, None]
        thin = (1.0 - ink * (1.0 - root ** (1 / k))) ** k
        return np.asarray(xyz_to_lab(paper * thin**_LIGHT_SPREAD))

    return finish


def _paper(lab: Floats) -> int:
    """Row of bare paper: the lightest with the least chroma, since a solid yellow may be as light."""
    return int(np.argmax(lab[:, 0] - np.hypot(lab[:, 1], lab[:, 2])))


def _shallow(depth: float) -> Finish:
    """All colours keep only this share of their depth below bare paper, and its square of their chroma."""

    def finish(_: Floats, plain: Floats) -> Floats:
        paper = plain[_paper(plain)]
        return np.asarray(paper + np.array([depth, depth**2, depth**2]) * (plain - paper))

    return finish


def _covered(asked: Floats, most: float, power: float, part: float) -> Finish:
    """A colour ink is missing, in part or whole; black covers the loss where the grey component is deep."""
    black = most * (1.0 - asked.max(axis=1, keepdims=True)) ** power

    def finish(without: Floats, plain: Floats) -> Floats:
        lost = (1.0 - black) * part
        return np.asarray(lost * without + (1.0 - lost) * plain)

    return finish


def _no_black(asked: Floats, lighter: float, power: float) -> Finish:
    """Black is missing: the grey component is left to the other inks, and the shadows stay light."""
    rise = lighter * (1.0 - asked.max(axis=1)) ** power

    def finish(_: Floats, plain: Floats) -> Floats:
        return np.asarray(plain + np.stack([rise, 0 * rise, 0 * rise], axis=-1))

    return finish
