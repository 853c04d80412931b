"""The form of answers by eye: the sheet in the hand, and no scanner."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from tackside.cautions import DAMP_FINGERTIP
from tackside.files.record_faults import field_faults
from tackside.messages.message import Message
from tackside.reading.eye import Answers
from tackside.reading.eye_questions import as_given
from tackside.records import SheetPlan
from tackside.web.forms.numbers import number, whole
from tackside.web.forms.received import Form
from tackside.web.forms.stock_form import Filled
from tackside.web.shell.navigation import _


@dataclass(frozen=True)
class EyeQuestion:
    """One question. ``choices`` are answer and words; none for a number. ``drawing`` shows what to look at.

    ``caution`` stands over the questions that it is about. ``hint`` may name ``%(mm)s``, the length that the sheet
    asked for. ``of_the_same``: it is about the patches of the question before, and stands under its drawing.
    ``swatches``: one is picked that looks like the marked patch. ``lead``: what to mind, over the first of a group.
    """

    field: str
    words: str
    choices: tuple[tuple[str, str], ...] = ()
    unit: str = ""
    drawing: str = ""
    hint: str = ""
    caution: Message | None = None
    of_the_same: bool = False
    swatches: bool = False
    lead: str = ""


_CANNOT_TELL = ("", _("I cannot tell"))
_BESIDE = (
    _CANNOT_TELL, ("more", _("More vivid")), ("same", _("The same")), ("less", _("Duller")),
    ("much-less", _("Much duller")),
)  # fmt: skip
_SOFT = (_CANNOT_TELL, ("much-more", _("Much more vivid")), *_BESIDE[1:])
_REDDER, _YELLOWER, _GREENER, _BLUER = (
    ("redder", _("Redder")), ("yellower", _("Yellower")), ("greener", _("Greener")), ("bluer", _("Bluer")),
)  # fmt: skip
_SAME_HUE = ("same", _("The same"))
_DRAG = (_CANNOT_TELL, ("yes", _("Yes, it drags")), ("unsure", _("Perhaps")), ("no", _("No, it slides")))
_LIGHTER = _("The marked patch. Lighter swatches are to the right.")


def _matched(hue: str, words: str) -> tuple[EyeQuestion, EyeQuestion]:
    return (
        EyeQuestion(
            f"soft_{hue}_match",
            words,
            hint=_("The marked patch. Lighter swatches are at the top, stronger ones to the right."),
            swatches=True,
        ),
        EyeQuestion(
            f"soft_{hue}_hue_match", _("And which of these hues has it?"), of_the_same=True, swatches=True
        ),
    )


_BESIDE_THE_SCREEN = _(
    "Lay the sheet beside the screen, under daylight, with the screen at its usual brightness and any night colours"
    " off. Where the card looks as white as what surrounds the swatches, pick the one that looks most like the"
    " patch; better none than a guess."
)
QUESTIONS: tuple[tuple[str, tuple[EyeQuestion, ...]], ...] = (
    (
        _("The greys"),
        (
            EyeQuestion("dark_steps_alike", _("How many steps next to black look just as black?")),
            EyeQuestion("light_steps_alike", _("How many steps next to white look like bare card?")),
            EyeQuestion(
                "greys_tint",
                _("Which way are the greys tinted?"),
                (
                    _CANNOT_TELL, ("none", _("Not at all")), ("red", _("Red")), ("yellow", _("Yellow")),
                    ("green", _("Green")), ("cyan", _("Cyan")), ("blue", _("Blue")), ("magenta", _("Magenta")),
                ),
            ),
            EyeQuestion(
                "tint_strength", _("How much?"), (_CANNOT_TELL, ("slight", _("A little")), ("strong", _("Plainly")))
            ),
        ),
    ),
    (
        _("Type and lines"),
        (
            EyeQuestion("smallest_type_pt", _("The smallest black type that you can read"), unit="pt"),
            EyeQuestion("smallest_reversed_type_pt", _("The smallest white type on black"), unit="pt"),
            EyeQuestion(
                "doubled_lines",
                _("Are thin lines doubled?"),
                (
                    _CANNOT_TELL, ("none", _("No")), ("vertical", _("The vertical ones")),
                    ("horizontal", _("The horizontal ones")), ("both", _("Both")),
                ),
            ),
        ),
    ),
    (
        _("Solids and picture"),
        (
            EyeQuestion(
                "creep",
                _("Do the edges of solids look furred?"),
                (_CANNOT_TELL, ("no", _("No")), ("slightly", _("A little")), ("much", _("Plainly"))),
            ),
            EyeQuestion(
                "light_lines",
                _("Are there fine light lines across the solids?"),
                (_CANNOT_TELL, ("none", _("No")), ("few", _("A few")), ("many", _("Many"))),
            ),
            EyeQuestion(
                "missing_inks",
                _("Does one ink print nothing, or only stripes?"),
                (
                    _CANNOT_TELL, ("none", _("No, all print")), ("c", _("Cyan")), ("m", _("Magenta")),
                    ("y", _("Yellow")), ("k", _("Black")),
                ),
            ),
            EyeQuestion("beside_screen", _("The picture's colours, beside the screen"), _BESIDE),
            EyeQuestion(
                "hues_off",
                _("How many of the six full colours are plainly another colour?"),
                (
                    _CANNOT_TELL, ("0", _("None, each has its own hue")), ("1", _("One")), ("2", _("Two")),
                    ("3", _("Three")), ("4", _("Four or more")),
                ),
                drawing="hues",
                hint=_("The last patch of each row of inks and overprints: cyan, magenta, yellow, red, green, blue."),
            ),
        ),
    ),
    (
        _("Beside swatches on the screen"),
        (
            EyeQuestion(
                "greys_match", _("Which swatch looks like the middle grey?"), hint=_LIGHTER, swatches=True,
                lead=_BESIDE_THE_SCREEN,
            ),
            *_matched("cyans", _("Which swatch looks like the soft cyan?")),
            *_matched("reds", _("Which swatch looks like the soft red?")),
            *_matched("greens", _("Which swatch looks like the soft green?")),
            *_matched("purples", _("Which swatch looks like the soft purple?")),
        ),
    ),
    (
        _("A steel rule on the printed rulers"),
        (
            EyeQuestion(
                "ruler_across_mm",
                _("From the 10 mm mark at the left edge to the one at the right"),
                unit="mm",
                drawing="ruler_across",
                hint=_("The sheet asks for %(mm)s mm. Read it to half a millimetre."),
            ),
            EyeQuestion(
                "ruler_along_mm",
                _("From the 10 mm mark at the top to the one at the bottom"),
                unit="mm",
                drawing="ruler_along",
                hint=_("The sheet asks for %(mm)s mm. Read it to half a millimetre."),
            ),
        ),
    ),
    (
        _("The card itself"),
        (
            EyeQuestion(
                "drag_this_side",
                _("Does a damp fingertip drag on the printed side, in a clear corner?"),
                _DRAG,
                caution=DAMP_FINGERTIP,
            ),
            EyeQuestion("drag_other_side", _("And on the other side?"), _DRAG),
            EyeQuestion("drying_hours", _("For how long has it dried?"), unit="h"),
        ),
    ),
    (
        _("Beside a print known to be good"),
        (
            EyeQuestion(
                "black_beside_good",
                _("How deep is the black?"),
                (
                    _CANNOT_TELL, ("same", _("As deep")), ("less", _("Greyer")), ("much-less", _("Much greyer")),
                ),
            ),
            EyeQuestion("colour_beside_good", _("How strong are the colours?"), _BESIDE),
            EyeQuestion(
                "light_greens_beside_good",
                _("How strong are the light greens and cyans?"),
                _BESIDE,
                drawing="light_greens",
                hint=_("The light patches of the green row and of the cyan row."),
            ),
            EyeQuestion(
                "middle_beside_good",
                _("How dark are the middle greys?"),
                (
                    _CANNOT_TELL, ("lighter", _("Lighter than there")), ("same", _("As dark")),
                    ("darker", _("Darker than there")),
                ),
                drawing="middle",
                hint=_("Lay the grey rows side by side and look at their middles."),
            ),
            EyeQuestion(
                "soft_cyans_beside_good",
                _("How strong are the soft cyans?"),
                _SOFT,
                hint=_("The marked patches of the cube. Leave it out if that print's sheet has another colour space."),
            ),
            EyeQuestion(
                "soft_reds_beside_good",
                _("How strong are the soft reds?"),
                _SOFT,
                hint=_("The marked patches of the cube. Leave it out if that print's sheet has another colour space."),
            ),
            EyeQuestion(
                "soft_reds_hue_beside_good",
                _("What hue do the soft reds have?"),
                (_CANNOT_TELL, _YELLOWER, _SAME_HUE, _BLUER),
                of_the_same=True,
            ),
            EyeQuestion(
                "soft_purples_hue_beside_good",
                _("What hue do the soft purples have?"),
                (_CANNOT_TELL, _REDDER, _SAME_HUE, _BLUER),
                hint=_("The marked patches of the cube. Leave it out if that print's sheet has another colour space."),
            ),
            EyeQuestion(
                "soft_blues_hue_beside_good",
                _("What hue do the soft blues have?"),
                (_CANNOT_TELL, _REDDER, _SAME_HUE, _GREENER),
                hint=_("The marked patches of the cube. Leave it out if that print's sheet has another colour space."),
            ),
        ),
    ),
)  # fmt: skip
_COUNTS = ("dark_steps_alike", "light_steps_alike")
# Ruler across and along: the edges that it lies between.
_RULERS = {"ruler_across_mm": ("left", "right"), "ruler_along_mm": ("top", "bottom")}
_MARK_MM = 10.0
FIELDS = tuple(asked.field for _, group in QUESTIONS for asked in group)


def rulers_of(sheet: SheetPlan) -> dict[str, float]:
    """The length between the 10 mm marks of two opposite edges, mm, for each ruler that the sheet has."""
    edges = {target.name.rsplit("-", 2)[1] for target in sheet.targets if target.kind == "ruler"}
    sides = dict(zip(_RULERS, sheet.size_mm, strict=True))
    return {field: sides[field] - 2 * _MARK_MM for field, ends in _RULERS.items() if edges.issuperset(ends)}


def answers_from(form: Form, sheet: SheetPlan) -> Answers | Filled:
    """What was answered, or the form to be shown again."""
    rulers = rulers_of(sheet)
    data: dict[str, Any] = {}
    for _group, questions in QUESTIONS:
        for asked in questions:
            typed = form.get(asked.field)
            if typed:
                read = whole if asked.field in _COUNTS else number
                is_word = asked.choices or asked.swatches
                data[asked.field] = as_given(asked.field, typed) if is_word else read(typed)
            if asked.field in data and asked.field in rulers:
                data[asked.field] = (rulers[asked.field], data[asked.field])
    try:
        return Answers.model_validate(data)
    except ValidationError as error:
        faults: dict[str, Message] = {}
        for fault in field_faults(error, Answers):
            faults.setdefault(str(fault.place.path[0]) if fault.place.path else "", fault.message)
        return Filled(form.typed(), faults)
