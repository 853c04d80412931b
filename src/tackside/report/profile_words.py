"""A profile's summary as messages, the same on the terminal and on pages."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.colour.gamut import CMYK_METHOD, RGB_METHOD
from tackside.colour.spaces import Floats
from tackside.messages.message import Message
from tackside.profile.icc.intents import IntentUse, TableUse
from tackside.profile.icc.ramps import Neutral, ProfileRamp
from tackside.profile.icc.summary import NO_VOLUME, EndTone, ProfileColours, ProfileSummary

INTENT_HEADS = (
    Message("profile.intent"),
    Message("profile.to-colours"),
    Message("profile.from-colours"),
    Message("profile.round-trip"),
    Message("profile.within-95"),
)
METHODS = {
    RGB_METHOD: Message("gamut.method.rgb"),
    CMYK_METHOD: Message("gamut.method.cmyk"),
    NO_VOLUME: Message("profile.gamut-method-greys"),
}
Fact = tuple[Message, Message | str | None]


def identity(summary: ProfileSummary) -> list[Fact]:
    """Label and value of what the header says; None where it says nothing."""
    header, created = summary.header, summary.created
    made = None if created is None else Message("profile.made", moment=f"{created:%Y-%m-%d %H:%M}")
    return [
        (
            Message("profile.label.of"),
            Message("profile.of", whose=class_of(summary), kind=header.profile_class),
        ),
        (
            Message("profile.label.spaces"),
            Message("profile.spaces", device=header.colour_space, connection=header.connection_space),
        ),
        (Message("profile.label.version"), ".".join(map(str, header.version))),
        (Message("profile.label.made"), made),
        (Message("profile.label.size"), Message("profile.size", bytes=summary.size)),
        (Message("profile.label.intent"), _intent(summary.header_intent)),
    ]


def class_of(summary: ProfileSummary) -> Message:
    """Of what a profile of its class is."""
    return Message(f"profile.class.{summary.header.profile_class.replace(' ', '-')}")


def intent_rows(intents: Sequence[IntentUse]) -> list[tuple[Message | str, ...]]:
    """One row an intent, in the order of INTENT_HEADS."""
    return [
        (
            _intent(use.intent),
            _table(use.to_colours, use.intent),
            Message("profile.table-none-back")
            if use.to_device is None
            else _table(use.to_device, use.intent),
            _figure(use.round_trip_median),
            _figure(use.round_trip_p95),
        )
        for use in intents
    ]


def _figure(value: float | None) -> Message | str:
    return "–" if value is None else Message("profile.de00", value=value)


def _intent(intent: str) -> Message:
    return Message(f"profile.intent.{intent}")


def _table(use: TableUse, intent: str) -> Message:
    if intent == "absolute":
        return Message("profile.table-on-white")
    if use.repeats is not None:
        return Message(
            "profile.table-repeats" if use.exact else "profile.table-as", intent=_intent(use.repeats)
        )
    return Message("profile.table-primaries") if use.tag is None else Message("profile.table", tag=use.tag)


def gamut(colours: ProfileColours) -> Message:
    if colours.solid is None:
        return Message("profile.gamut-of-greys")
    method = METHODS[colours.gamut_method]
    return Message("profile.gamut", volume=round(colours.gamut_volume, -3), method=method)


def greys(neutral: Neutral) -> Message:
    return Message(
        "profile.greys-asked" if neutral.asked else "profile.greys-equal", cast=neutral.largest_cast
    )


def smoothness(ramps: Sequence[ProfileRamp]) -> Message:
    """The worst ramp, and the greys, which come first."""
    worst, first = max(ramps, key=lambda ramp: ramp.largest), ramps[0]
    if worst is first:
        return Message("profile.smooth-greys", greys=first.largest, greys_rms=first.rms)
    return Message(
        "profile.smooth-worst",
        greys=first.largest,
        greys_rms=first.rms,
        ramp=ramp_name(worst),
        worst=worst.largest,
        worst_rms=worst.rms,
    )


def ramp_name(ramp: ProfileRamp) -> Message:
    return Message(f"profile.ramp.{ramp.name}")


def lab(values: Floats) -> Message:
    """To the tenth that is shown."""
    lightness, a, b = (round(float(value), 1) for value in values)
    return Message("profile.lab", lightness=lightness, a=a, b=b)


def tone(seen: EndTone) -> Message:
    """A white or a black as an instrument sees it, and beside the medium's white where that differs."""
    absolute, relative = lab(seen.absolute), lab(seen.media_relative)
    if absolute == relative:
        return Message("profile.tone", absolute=absolute)
    return Message("profile.tone-beside", absolute=absolute, relative=relative)


def lead(summary: ProfileSummary) -> Message:
    """What matters most, in one or two sentences."""
    wrong = sum(fault.severity == "wrong" for fault in summary.faults)
    doubtful = sum(fault.severity == "doubtful" for fault in summary.faults)
    told = {"whose": class_of(summary), "space": summary.header.colour_space}
    if summary.unusable is not None:
        return Message("profile.lead-no-colours", **told, reason=summary.unusable)
    if wrong:
        return Message("profile.lead-wrong", **told, count=wrong)
    if doubtful:
        return Message("profile.lead-doubtful", **told, count=doubtful)
    return Message("profile.lead-sound", **told)
