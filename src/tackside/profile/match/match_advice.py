"""From the matches of profiles to advice that a card maker can act on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.messages.message import Message
from tackside.profile.match.match import ComparableReading, Match, too_close

# ΔE00: 2 to 3.5 is a usual commercial limit, about 1 just visible (several secondary sources agree).
FITS, USABLE, VISIBLE = 2.0, 3.5, 1.0
HALF = 0.5
LEAST_STEP = 0.5  # of L*, a* or b* that is worth naming
TINTS = {(1, 1): "redder", (1, -1): "greener", (2, 1): "yellower", (2, -1): "bluer"}


@dataclass(frozen=True)
class OwnReading:
    """What the card's own reading predicts, each patch from all the others: ΔE00."""

    de00_median: float
    de00_p95: float


@dataclass(frozen=True)
class MatchAdvice:
    """``sentences`` say it all, the verdict first; ``verdict``: ``fits``, ``but-for-white``, ``but-for-black``,
    ``but-for-tone``, ``near`` or ``none``. ``profile`` is the file to use, None where none fits; ``close`` are files as
    good.
    """

    verdict: str
    profile: str | None
    close: tuple[str, ...]
    use_own_reading: bool
    sentences: tuple[Message, ...]


def advise(
    card: ComparableReading,
    matches: Sequence[Match],
    *,
    own: OwnReading | None,
    uncertainty: float,
    scanned: bool = False,
) -> MatchAdvice:
    """What to do with these ``matches``, best first, which must not be empty.

    ``own`` is None where the reading has too few patches. ``uncertainty`` is the reading's, one standard
    uncertainty in ΔE00. It widens what is said, and never what is approved: no limit grows with it, and what the
    reading itself may be off is told beside them.
    """
    best = matches[0]
    verdict = _verdict(matches, uncertainty)
    close = tuple(other.file for other in matches[1:] if too_close(best, other, uncertainty))
    told = [_about(verdict, card, matches, uncertainty)]
    if close and verdict != "none":
        told.append(Message("match.close", others=close))
    if scanned:
        # What is measured lies no further from the truth than the reading is off (the triangle's sides).
        least, most = max(best.de00_median - uncertainty, 0.0), best.de00_median + uncertainty
        told.append(Message("match.estimate", uncertainty=uncertainty, least=least, most=most))
    # White and black are the card's in any print by relative colorimetric with black point compensation.
    left = {"but-for-white": best.after.white, "but-for-black": best.after.black}.get(
        verdict, best.de00_median
    )
    serves = own is not None and left > FITS and left - max(own.de00_median, uncertainty) >= VISIBLE
    told.append(_about_own(serves, left, own, uncertainty))
    return MatchAdvice(verdict, None if verdict == "none" else best.file, close, serves, tuple(told))


def _verdict(matches: Sequence[Match], uncertainty: float) -> str:
    best = matches[0]
    if best.de00_median <= FITS:
        return "fits"
    if _too_little(matches):
        return "none"
    for name, left in (("white", best.after.white), ("black", best.after.black), ("tone", best.after.tone)):
        # Corrections take the reading's own errors away as well: so what is left must be known to be small.
        if left <= FITS and left + uncertainty <= USABLE:
            return f"but-for-{name}"
    return "near" if best.de00_median <= USABLE else "none"


def _too_little(matches: Sequence[Match]) -> bool:
    """Whether the card holds less than half of the volume of each profile."""
    shares = [match.volume_share for match in matches if match.volume_share is not None]
    return bool(shares) and max(shares) < HALF


def _about(verdict: str, card: ComparableReading, matches: Sequence[Match], uncertainty: float) -> Message:
    best = matches[0]
    may_fit = best.de00_median - uncertainty <= FITS
    told = {
        "profile": best.description,
        "file": best.file,
        "median": best.de00_median,
        "p95": best.de00_p95,
    }
    if verdict == "fits":
        far = best.de00_p95 > 2 * USABLE
        return Message("match.fits-with-outliers" if far else "match.fits", **told)
    if verdict == "but-for-white":
        return Message("match.but-for-white", **told, after=best.after.white, card=_white(best, card))
    if verdict == "but-for-black":
        return Message("match.but-for-black", **told, after=best.after.black, black=_black(best))
    if verdict == "but-for-tone":
        return Message("match.but-for-tone", **told, after=best.after.tone, tone=_tone(best))
    if verdict == "near":
        return Message("match.near-by-this-reading" if may_fit else "match.near", **told, wrong=_wrong(best))
    if _too_little(matches):
        most = max(match.volume_share or 0.0 for match in matches)
        alone = len(matches) == 1
        code = "match.none-holds-so-little" if alone else "match.none-holds-so-little-of-any"
        return Message(code, **told, held=most)
    return Message("match.none-by-this-reading" if may_fit else "match.none", **told, wrong=_wrong(best))


def _white(best: Match, card: ComparableReading) -> tuple[Message, ...]:
    """How the card's white differs from the profile's."""
    paper = card.lab[card.white]
    steps = [float(paper[axis]) - best.white_lab[axis] for axis in range(3)]
    found = []
    if abs(steps[0]) >= LEAST_STEP:
        code = "match.white.lighter" if steps[0] > 0 else "match.white.darker"
        found.append(Message(code, step=abs(steps[0])))
    for axis in (1, 2):
        if abs(steps[axis]) >= LEAST_STEP:
            tint = TINTS[axis, 1 if steps[axis] > 0 else -1]
            found.append(Message(f"match.white.{tint}", step=abs(steps[axis])))
    return tuple(found) or (Message("match.white.away", step=best.white),)


def _black(best: Match) -> Message:
    """The black that the profile expects."""
    return Message("match.black.deeper" if best.black < 0 else "match.black.lighter", step=abs(best.black))


def _tone(best: Match) -> Message:
    shift = best.tone_shift or 0.0
    if abs(shift) < 0.5 * (best.tone or 0.0):
        return Message("match.tone.mixed")
    return Message("match.tone.darker" if shift > 0 else "match.tone.lighter", shift=abs(shift))


def _wrong(best: Match) -> Message:
    """The step of white, black and tone that takes most away, or what is left."""
    left = [best.de00_median, best.after.white, best.after.black, best.after.tone]
    gains = (
        (left[0] - left[1], Message("match.wrong.white")),
        (left[1] - left[2], Message("match.wrong.black", black=_black(best))),
        (left[2] - left[3], Message("match.wrong.tone", tone=_tone(best))),
        (left[3], _colour(best)),
    )
    return max(gains, key=lambda each: each[0])[1]


def _colour(best: Match) -> Message:
    if best.chroma is None or abs(best.chroma - 1) < 0.03:
        return Message("match.wrong.colour")
    code = "match.wrong.colour-fuller" if best.chroma > 1 else "match.wrong.colour-weaker"
    return Message(code, share=abs(best.chroma - 1))


def _about_own(serves: bool, left: float, own: OwnReading | None, uncertainty: float) -> Message:
    """Whether the card's own reading is needed, where the profile leaves ``left``, ΔE00."""
    if left <= FITS:
        sure = left + uncertainty <= USABLE
        return Message("match.profile-will-do" if sure else "match.profile-will-do-by-this-reading")
    if own is None:
        return Message("match.no-own-reading")
    told = {"median": own.de00_median, "p95": own.de00_p95}
    if serves:
        return Message("match.use-own-reading", **told)
    if left - own.de00_median >= VISIBLE:
        return Message("match.own-no-surer", **told, uncertainty=uncertainty)
    return Message("match.own-hardly-better", **told)
