"""Under what light a file's colours hold: ISO 13655's M0 to M3, illuminant, observer, white base."""

from __future__ import annotations

import re
from collections.abc import Mapping

from tackside.messages.message import Message
from tackside.records.reading import MeasurementCondition

_CONDITION = re.compile(r"(?<![A-Z0-9/])M([0-3])(?![0-9])")
_ILLUMINANT = re.compile(r"(?<![A-Z0-9])(D\s?\d{2}|A|B|C|E|F\s?\d{1,2}|TL\s?84)(?![A-Z0-9])")
_OBSERVER = re.compile(r"(?<![0-9])(10|2)(?![0-9])")
# Programs write these into one text in words of their own: "illuminant=D50 observer: 2 white=paper" and the like.
_SOURCE_ILLUMINANT = re.compile(r"(?:ILLUM|LIGHT)\w*\s*[=:]\s*(\w+)")
_SOURCE_OBSERVER = re.compile(r"OBSERVER\w*\s*[=:]?\s*(\d+)")
_WHITE_ON_PAPER = re.compile(r"WHITE(?:\w*\s*[=:]|_?(?:BASE|REF\w*|POINT))\s*\"?PAP")
_CONDITION_KEYS = ("MEASUREMENT", "FILTER", "ILLUMINATION")


def condition_of(keywords: Mapping[str, str]) -> MeasurementCondition | None:
    """M0 to M3 where the file says so, by number or in words; None where it doesn't."""
    told = " ; ".join(value for key, value in keywords.items() if key.startswith(_CONDITION_KEYS)).upper()
    return condition_in(told)


def condition_in(told: str) -> MeasurementCondition | None:
    """The condition that a piece of text names."""
    told = told.upper()
    match = _CONDITION.search(told)
    numbered: dict[str, MeasurementCondition] = {"0": "M0", "1": "M1", "2": "M2", "3": "M3"}
    if match:
        return numbered[match.group(1)]
    if "UVCUT" in re.sub(r"[^A-Z]", "", told):
        return "M2"
    return "M0" if "TUNGSTEN" in told else None


def foreign_basis(keywords: Mapping[str, str]) -> tuple[Message, ...]:
    """What the file says of its colours that is not absolute D50 2°; nothing where nothing is amiss.

    Only keywords about the computation count: the lamp in the instrument may well be tungsten.
    """
    told: list[Message] = []
    for key, value in keywords.items():
        text = value.upper()
        if key in ("ILLUMINANT", "WEIGHTING_FUNCTION") or key.startswith("COMPUTATIONAL"):
            told += _foreign_illuminant(_ILLUMINANT.search(text.replace("ILLUMINANT", "")))
        if key == "OBSERVER" or "OBSERVER" in text or key == "WEIGHTING_FUNCTION":
            told += _foreign_observer(_OBSERVER.search(re.sub(r"[DF]\s?\d+", "", text)))
        angle = _SOURCE_OBSERVER.search(text)
        if key == "MEASUREMENT_SOURCE" and angle:
            told += _foreign_illuminant(_SOURCE_ILLUMINANT.search(text))
            told += _foreign_observer(angle)
        if _WHITE_ON_PAPER.search(f"{key}={text}"):
            told.append(Message("instrument.white-on-paper"))
    return tuple(dict.fromkeys(told))


def _foreign_illuminant(match: re.Match[str] | None) -> list[Message]:
    if match is None or match.group(1).replace(" ", "") == "D50":
        return []
    return [Message("instrument.illuminant", illuminant=match.group(1))]


def _foreign_observer(match: re.Match[str] | None) -> list[Message]:
    return [Message("instrument.observer-10")] if match and int(match.group(1)) == 10 else []
