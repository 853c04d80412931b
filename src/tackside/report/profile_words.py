"""A profile's summary in words, the same on the terminal and on the page."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.colour.spaces import Floats
from tackside.profile.icc.intents import IntentUse, TableUse
from tackside.profile.icc.ramps import Neutral, Ramp
from tackside.profile.icc.summary import Colours, ProfileSummary

INTENT_HEADS = ("intent", "to colours", "from colours", "round trip ΔE00", "95 % within")
CLASS_SAYS = {
    "input": "a scanner or camera",
    "display": "a display or a working space",
    "output": "a printer",
    "colour space": "a colour space",
    "device link": "a link from one device to another",
    "abstract": "an abstract change of colours",
    "named colour": "a list of named colours",
    "unknown": "an unknown class",
}


def identity(summary: ProfileSummary) -> list[tuple[str, str | None]]:
    header = summary.header
    made = None if summary.created is None else f"{summary.created:%Y-%m-%d %H:%M} UTC"
    return [
        ("Profile of", f"{CLASS_SAYS[header.profile_class]} (class {header.profile_class})"),
        ("Spaces", f"{header.colour_space} to {header.connection_space}"),
        ("Version", ".".join(map(str, header.version))),
        ("Made", made),
        ("Size", f"{summary.size:,} bytes".replace(",", "\u202f")),
        ("Intent in the header", summary.header_intent),
    ]


def intent_rows(intents: Sequence[IntentUse]) -> list[tuple[str, ...]]:
    return [
        (
            use.intent,
            _table(use.to_colours, use.intent),
            "no way back" if use.to_device is None else _table(use.to_device, use.intent),
            "–" if use.round_trip_median is None else f"{use.round_trip_median:.2f}",
            "–" if use.round_trip_p95 is None else f"{use.round_trip_p95:.2f}",
        )
        for use in intents
    ]


def _table(use: TableUse, intent: str) -> str:
    if intent == "absolute":
        return "relative, on the medium's white"
    if use.repeats is not None:
        return f"repeats {use.repeats}" if use.exact else f"as {use.repeats}, to within what can be seen"
    return "primaries and curves" if use.tag is None else f"table {use.tag}"


def gamut(colours: Colours) -> str:
    if colours.solid is None:
        return "none: greys alone"
    volume = f"{round(colours.gamut_volume, -3):,.0f}".replace(",", "\u202f")
    return f"{volume} cubic CIELAB units ({colours.gamut_method})"


def greys(neutral: Neutral) -> str:
    kind = "neutrals asked for" if neutral.asked else "equal numbers"
    return f"largest cast a*, b* {neutral.largest_cast:.1f} among {kind}"


def smoothness(ramps: Sequence[Ramp]) -> str:
    """The worst ramp, and the greys, which come first."""
    worst = max(ramps, key=lambda ramp: ramp.largest)
    first = f"greys bend by {ramps[0].largest:.2f} ΔE at most (RMS {ramps[0].rms:.2f})"
    if worst is ramps[0]:
        return f"{first} from one of 64 steps to the next"
    return f"{first}, {worst.name} by {worst.largest:.2f} (RMS {worst.rms:.2f})"


def lab(values: Floats) -> str:
    return " ".join(f"{value + 0.0:.1f}".replace("-0.0", "0.0").replace("-", "\u2212") for value in values)


def lead(summary: ProfileSummary) -> str:
    """What matters most, in one or two sentences."""
    wrong = sum(fault.severity == "wrong" for fault in summary.faults)
    doubtful = sum(fault.severity == "doubtful" for fault in summary.faults)
    kind = CLASS_SAYS[summary.header.profile_class]
    first = f"A profile of {kind}, for {summary.header.colour_space} numbers."
    if summary.unusable is not None:
        return f"{first} It shows no colours: {summary.unusable}."
    if wrong:
        return f"{first} {_counted(wrong, 'thing')} in it {_is(wrong)} against the standard."
    if doubtful:
        return f"{first} {_counted(doubtful, 'thing')} in it {_is(doubtful)} doubtful, none plainly wrong."
    return f"{first} No fault was found in it."


def _counted(count: int, what: str) -> str:
    names = {1: "One", 2: "Two", 3: "Three", 4: "Four", 5: "Five", 6: "Six"}
    return f"{names.get(count, count)} {what}{'' if count == 1 else 's'}"


def _is(count: int) -> str:
    return "is" if count == 1 else "are"
