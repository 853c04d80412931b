"""From the matches of profiles to a sentence or two that a card maker can act on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.profile.match.match import CardReading, Match, too_close

# ΔE00: 2 to 3.5 is a usual commercial limit, about 1 just visible (several secondary sources agree).
FITS, USABLE, VISIBLE = 2.0, 3.5, 1.0
HALF = 0.5
TINTS = {(1, 1): "redder", (1, -1): "greener", (2, 1): "yellower", (2, -1): "bluer"}


@dataclass(frozen=True)
class OwnReading:
    """What the card's own reading predicts, each patch from all the others: ΔE00."""

    de00_median: float
    de00_p95: float


@dataclass(frozen=True)
class Advice:
    """``sentences`` say it all; ``verdict``: ``fits``, ``but-for-white``, ``but-for-black``, ``but-for-tone``,
    ``near`` or ``none``. ``profile`` is the file to use, None where none fits; ``close`` are files as good.
    """

    verdict: str
    profile: str | None
    close: tuple[str, ...]
    use_own_reading: bool
    sentences: tuple[str, ...]


def advise(
    card: CardReading,
    matches: Sequence[Match],
    *,
    own: OwnReading | None,
    uncertainty: float,
    scanned: bool = False,
) -> Advice:
    """What to do with these ``matches``, best first, which must not be empty.

    ``own`` is None where the reading has too few patches. ``uncertainty`` is the reading's, one standard
    uncertainty in ΔE00: what lies within it fits.
    """
    best = matches[0]
    limit = max(FITS, uncertainty)
    verdict = _verdict(matches, limit)
    close = tuple(other.file for other in matches[1:] if too_close(best, other, uncertainty))
    told = [_about(verdict, card, matches)]
    if close and verdict != "none":
        told.append(f"It is a close call: this reading cannot tell it from {listed(close)}.")
    if scanned:
        told.append(
            f"The reading is a scan, good to about ΔE00 {uncertainty:.1f}: take all this as an estimate."
        )
    # White and black are the card's in any print by relative colorimetric with black point compensation.
    left = {"but-for-white": best.after.white, "but-for-black": best.after.black}.get(
        verdict, best.de00_median
    )
    serves = own is not None and left > limit and left - max(own.de00_median, uncertainty) >= VISIBLE
    told.append(_about_own(serves, left <= limit, own))
    return Advice(verdict, None if verdict == "none" else best.file, close, serves, tuple(told))


def _verdict(matches: Sequence[Match], limit: float) -> str:
    best = matches[0]
    if best.de00_median <= limit:
        return "fits"
    if _too_little(matches):
        return "none"
    for name, left in (("white", best.after.white), ("black", best.after.black), ("tone", best.after.tone)):
        if left <= limit:
            return f"but-for-{name}"
    return "near" if best.de00_median <= max(USABLE, limit) else "none"


def _too_little(matches: Sequence[Match]) -> bool:
    """Whether the card holds less than half of the volume of each profile."""
    shares = [match.volume_share for match in matches if match.volume_share is not None]
    return bool(shares) and max(shares) < HALF


def _about(verdict: str, card: CardReading, matches: Sequence[Match]) -> str:
    best = matches[0]
    name = f'"{best.description}" ({best.file})'
    errors = f"ΔE00 median {best.de00_median:.1f}, 95th percentile {best.de00_p95:.1f}"
    if verdict == "fits":
        tail = ", though some colours are far off" if best.de00_p95 > 2 * USABLE else ""
        return f"{name} fits this card: {errors}{tail}."
    if verdict == "but-for-white":
        return (
            f"{name} is right but for the white ({errors}; {best.after.white:.1f} with the white made equal): the "
            f"card is {_white_words(best, card)}. Relative colorimetric and perceptual leave the white to the card."
        )
    if verdict == "but-for-black":
        return (
            f"{name} is right but for white and black ({errors}; {best.after.black:.1f} with both made equal): it "
            f"expects {_black_words(best)}. Print with black point compensation."
        )
    if verdict == "but-for-tone":
        return (
            f"{name} has the card's colours, but not its tone ({errors}; {best.after.tone:.1f} with white, black "
            f"and tone made equal). {_tone_words(best)}"
        )
    if verdict == "near":
        return f"{name} is the nearest, and usable at most: {errors}. {_what_is_wrong(best)}"
    if _too_little(matches):
        most = max(match.volume_share or 0.0 for match in matches)
        whose = f"what {name} expects" if len(matches) == 1 else "what any of these expects"
        return (
            f"None fits: the card holds less than half of {whose} ({100 * most:.0f} % at most), and no profile will "
            f"change that. The nearest is {name}: {errors}."
        )
    return f"None fits: the nearest, {name}, is far off ({errors}). {_what_is_wrong(best)}"


def _white_words(best: Match, card: CardReading) -> str:
    paper = card.lab[card.white]
    steps = [float(paper[axis]) - best.white_lab[axis] for axis in range(3)]
    words = []
    if abs(steps[0]) >= 0.5:
        words.append(f"{abs(steps[0]):.1f} L* {'lighter' if steps[0] > 0 else 'darker'}")
    words += [
        f"{TINTS[axis, 1 if steps[axis] > 0 else -1]} by {abs(steps[axis]):.1f}"
        for axis in (1, 2)
        if abs(steps[axis]) >= 0.5
    ]
    return listed(tuple(words)) if words else f"ΔE00 {best.white:.1f} away"


def _black_words(best: Match) -> str:
    return f"a black {abs(best.black):.1f} L* {'deeper' if best.black < 0 else 'lighter'} than the card's"


def _tone_words(best: Match) -> str:
    shift = best.tone_shift or 0.0
    if abs(shift) < 0.5 * (best.tone or 0.0):
        return (
            "Greys print partly lighter, partly darker than it expects: check the driver's own adjustments."
        )
    way, ink = ("darker", "less") if shift > 0 else ("lighter", "more")
    return (
        f"Greys print {abs(shift):.1f} L* {way} than it expects: try a media setting that lays {ink} ink, and "
        "measure again."
    )


def _what_is_wrong(best: Match) -> str:
    """The step of white, black and tone that takes most away, or what is left."""
    left = [best.de00_median, best.after.white, best.after.black, best.after.tone]
    gains = {
        "Most of the error lies in the white.": left[0] - left[1],
        f"Most of the error lies in the black: it expects {_black_words(best)}.": left[1] - left[2],
        f"Most of the error lies in the tone. {_tone_words(best)}": left[2] - left[3],
        f"Most of the error lies in hue and chroma{_chroma_words(best)}.": left[3],
    }
    return max(gains, key=lambda words: gains[words])


def _chroma_words(best: Match) -> str:
    if best.chroma is None or abs(best.chroma - 1) < 0.03:
        return ""
    way = "fuller" if best.chroma > 1 else "weaker"
    return f": colours print {100 * abs(best.chroma - 1):.0f} % {way} than it expects"


def _about_own(serves: bool, profile_does: bool, own: OwnReading | None) -> str:
    if profile_does:
        return "The profile will do; the card's own reading is not needed."
    if own is None:
        return "The reading has too few patches to stand in for a profile."
    figures = (
        f"ΔE00 median {own.de00_median:.1f}, 95th percentile {own.de00_p95:.1f}, each patch from the others"
    )
    if serves:
        return f"Use the card's own reading instead of any profile: it predicts this card better ({figures})."
    return f"The card's own reading is hardly better ({figures})."


def listed(words: tuple[str, ...]) -> str:
    """One, two and three."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
