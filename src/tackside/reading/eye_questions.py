"""The questions of the form for a print in the hand, asked one after the other, and what was said as answers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tackside.cautions import DAMP_FINGERTIP
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.reading.eye import DEGREES, DRAGS, LINES, SOFT, TONES, TURNS, VIVID, Answers
from tackside.reading.swatches import MATCHED
from tackside.records.reading import TINT_HUES


@dataclass(frozen=True)
class Question:
    """One question of the form: the field it fills, and the answers that it takes (empty: a number).

    ``caution`` is said before it is asked.
    """

    field: str
    choices: tuple[str, ...] = ()
    caution: Message | None = None

    @property
    def words(self) -> Message:
        return Message(f"eye.ask-{self.field.replace('_', '-')}")


# Answers of two numbers: steps lighter and stronger.
_TWO_STEPS = tuple(f"soft_{what}_match" for what in MATCHED if what != "greys")
QUESTIONS = (
    Question("dark_steps_alike"),
    Question("light_steps_alike"),
    Question("smallest_type_pt"),
    Question("smallest_reversed_type_pt"),
    Question("creep", tuple(DEGREES)),
    Question("drag_this_side", tuple(DRAGS), DAMP_FINGERTIP),
    Question("drag_other_side", tuple(DRAGS)),
    Question("beside_screen", tuple(VIVID)),
    Question("greys_match"),
    Question("soft_cyans_match"),
    Question("soft_cyans_hue_match"),
    Question("soft_reds_match"),
    Question("soft_reds_hue_match"),
    Question("soft_greens_match"),
    Question("soft_greens_hue_match"),
    Question("soft_purples_match"),
    Question("soft_purples_hue_match"),
    Question("greys_tint", ("none", *TINT_HUES)),
    Question("tint_strength", ("slight", "strong")),
    Question("light_lines", tuple(LINES)),
    Question("doubled_lines", ("none", "vertical", "horizontal", "both")),
    Question("ruler_across_mm"),
    Question("ruler_along_mm"),
    Question("black_beside_good", ("same", "less", "much-less")),
    Question("colour_beside_good", tuple(VIVID)),
    Question("middle_beside_good", tuple(TONES)),
    Question("light_greens_beside_good", tuple(VIVID)),
    Question("soft_cyans_beside_good", tuple(SOFT)),
    Question("soft_reds_beside_good", tuple(SOFT)),
    Question("soft_reds_hue_beside_good", tuple(TURNS["reds"])),
    Question("soft_purples_hue_beside_good", tuple(TURNS["purples"])),
    Question("soft_blues_hue_beside_good", tuple(TURNS["blues"])),
    Question("hues_off"),
    Question("missing_inks"),
    Question("drying_hours"),
)
# Asked before there were swatches to match, and taken still.
_EARLIER = (
    Question("soft_cyans_beside_screen", tuple(SOFT)),
    Question("soft_reds_beside_screen", tuple(SOFT)),
)

Asker = Callable[[Question], str]


def asked(ask: Asker) -> Answers:
    """The form gone through with ``ask``, which gives the answer's words, empty for none. Raises BadRequest."""
    given: dict[str, object] = {}
    for question in QUESTIONS:
        if question.field == "tint_strength" and given.get("greys_tint") in (None, "none"):
            continue
        words = ask(question).strip()
        if words:
            given[question.field] = as_given(question.field, words)
    return answers_from(given)


def as_given(field: str, words: str) -> object:
    """An answer in words as its field takes it: the two lengths of a ruler, the inks that are missing, else a word."""
    several = words.replace(",", " ").split()
    if field == "missing_inks":
        return [] if several == ["none"] else several
    return several if field.startswith("ruler") or field in _TWO_STEPS else words


def answers_from(given: dict[str, object]) -> Answers:
    """Checked answers from plain words or a TOML table. Raises BadRequest that names the first wrong answer."""
    from pydantic import ValidationError

    try:
        return Answers.model_validate(given)
    except ValidationError as error:
        fault = error.errors()[0]
        field = str(fault["loc"][0]) if fault["loc"] else "answers"
        known = next((one for one in (*QUESTIONS, *_EARLIER) if one.field == field), None)
        if known is None and field not in Answers.model_fields:
            raise BadRequest(
                "eye.unknown-question", question=field, questions=tuple(Answers.model_fields)
            ) from error
        said = str(given.get(field))[:40]
        place = Place("answers", (field,))
        if known is not None and known.choices:
            raise BadRequest(
                "eye.no-answer", place=place, question=field, answer=said, choices=known.choices
            ) from error
        raise BadRequest("eye.no-number", place=place, question=field, answer=said) from error
