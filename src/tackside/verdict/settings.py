"""Two trials beside each other: which settings differ, and what a single difference did."""

from __future__ import annotations

from tackside.messages.message import Message
from tackside.records import Trial
from tackside.records.verdict import Measure
from tackside.verdict.measures.all import number, spread

# Settings compared, and the family of messages that names their values, where those are not the user's own words.
SETTINGS: dict[str, str | None] = {
    "media_setting": None,
    "quality": None,
    "colour_managed_by": "managed-by",
    "profile": None,
    "intent": "intent",
    "black_point_compensation": "compensation",
    "source_space": "space",
}
# Measures shown, as ``verdict.changed.…`` has them, with the smallest change worth telling.
_FIGURES = (
    ("black_l", "black", 1.0),
    ("grey_balance_mean", "greys", 0.7),
    ("line_gain", "lines", 8.0),
)


def differing(one: Trial, other: Trial) -> tuple[str, ...]:
    """Names of the settings, known of both, that differ; ``side`` and ``stock`` too."""
    names = [
        name
        for name in SETTINGS
        if None not in (getattr(one.settings, name), getattr(other.settings, name))
        and getattr(one.settings, name) != getattr(other.settings, name)
    ]
    names += [name for name in ("stock", "side", "printer") if getattr(one, name) != getattr(other, name)]
    return tuple(names)


def compared(
    one: Trial, other: Trial, measures: dict[str, Measure], reference: dict[str, Measure]
) -> tuple[Message, ...]:
    """What one setting did, where just one differs between two trials of the same side of the same card."""
    names = differing(one, other)
    if len(names) != 1 or names[0] not in SETTINGS:
        return ()
    name = names[0]
    changes = []
    for measure, changed, least in _FIGURES:
        here, there = number(measures, measure), number(reference, measure)
        if here is None or there is None:
            continue
        sd = max(spread(measures, measure), 0.1) if measure != "black_l" else 0.5
        if abs(here - there) >= max(least, 2 * sd):
            changes.append(Message(f"verdict.changed.{changed}", there=there, here=here))
    differs = {
        "setting": Message(f"verdict.setting.{name.replace('_', '-')}"),
        "there": value_of(other, name),
        "here": value_of(one, name),
    }
    if not changes:
        return (Message("verdict.only-setting-changed-nothing", **differs),)
    return (Message("verdict.only-setting", **differs, changes=changes),)


def value_of(trial: Trial, name: str) -> str | Message:
    value, family = getattr(trial.settings, name), SETTINGS[name]
    if family is None:
        return str(value)
    if isinstance(value, bool):
        value = "on" if value else "off"
    return Message(f"verdict.{family}.{value}")
