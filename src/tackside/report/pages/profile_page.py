"""A profile as one HTML page that needs nothing from outside."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from tackside import __version__
from tackside.messages.message import Message
from tackside.profile.faults.fault import MEANS, SEVERITIES, ProfileFault
from tackside.profile.icc.ramps import ProfileRamp
from tackside.profile.icc.summary import EndTone, ProfileColours, ProfileSummary
from tackside.report import profile_words as words
from tackside.report.pages.page import environment, style_sheet
from tackside.report.patches import to_screen
from tackside.report.plots.ramp_curves import cast_curves, ramp_curves, ramp_strips
from tackside.report.plots.series import sample
from tackside.report.plots.slices import slices_drawing, slices_of
from tackside.report.plots.solid import solid_drawing

DRAWN_RAMPS = ("black", "cyan", "magenta", "yellow")
# The two turns show opposite sides of the solid.
TURNS = (
    (150, Message("profile.drawing.from-red-and-yellow")),
    (330, Message("profile.drawing.from-blue-and-green")),
)


@dataclass(frozen=True)
class ProfileDrawing:
    """A drawing with its caption and its legend of sample and name."""

    caption: Message
    drawing: Markup
    legend: tuple[tuple[Markup, Message | str], ...] = ()


@dataclass(frozen=True)
class ToneView:
    name: Message
    screen: str
    absolute: Message
    relative: Message


@dataclass(frozen=True)
class ColoursView:
    """What comes out of a usable profile."""

    tones: tuple[ToneView, ...]
    gamut: Message
    greys: Message
    smoothness: Message
    intent_heads: tuple[Message, ...]
    intents: tuple[tuple[Message | str, ...], ...]
    reach: ProfileDrawing | None
    solids: tuple[ProfileDrawing, ...]
    curves: tuple[ProfileDrawing, ...]
    strips: Markup
    ramps: tuple[tuple[Message, str, str], ...]


@dataclass(frozen=True)
class ProfileView:
    """The whole page."""

    title: str
    source: str
    lead: Message
    identity: tuple[words.Fact, ...]
    colours: ColoursView | None
    unusable: Message | None
    faults: tuple[tuple[str, Message, tuple[ProfileFault, ...]], ...]
    version: str


def render_profile(summary: ProfileSummary, *, source: str, embedded: bool = False) -> str:
    """The page. ``source`` is the name of the file; ``embedded`` says that it was a picture. Same input, same page."""
    view = profile_view(summary, source, embedded=embedded)
    return environment().get_template("profile.html.j2").render(page=view, style=style_sheet())


def profile_view(summary: ProfileSummary, source: str, *, embedded: bool) -> ProfileView:
    grouped = ((each, tuple(f for f in summary.faults if f.severity == each)) for each in SEVERITIES)
    return ProfileView(
        title=summary.description,
        source=f"embedded in {source}" if embedded else source,
        lead=words.lead(summary),
        identity=tuple(words.identity(summary)),
        colours=None if summary.colours is None else _colours(summary.colours),
        unusable=None if summary.unusable is None else Message("profile.no-colours", reason=summary.unusable),
        faults=tuple((severity, MEANS[severity], faults) for severity, faults in grouped if faults),
        version=__version__,
    )


def _colours(colours: ProfileColours) -> ColoursView:
    drawn = [ramp for ramp in colours.ramps if ramp.name in DRAWN_RAMPS]
    return ColoursView(
        tones=(_tone("white", colours.white), _tone("black", colours.black)),
        gamut=words.gamut(colours),
        greys=words.greys(colours.neutral),
        smoothness=words.smoothness(colours.ramps),
        intent_heads=words.INTENT_HEADS,
        intents=tuple(words.intent_rows(colours.intents)),
        reach=_reach(colours),
        solids=_solids(colours),
        curves=(_tone_curves(drawn), _casts(colours)),
        strips=Markup(ramp_strips(colours.ramps)),
        ramps=tuple(
            (words.ramp_name(ramp), f"{ramp.largest:.2f}", f"{ramp.rms:.2f}") for ramp in colours.ramps
        ),
    )


def _tone(name: str, tone: EndTone) -> ToneView:
    return ToneView(
        Message(f"profile.label.{name}"),
        to_screen(tone.absolute[None])[0][0],
        words.lab(tone.absolute),
        words.lab(tone.media_relative),
    )


def _reach(colours: ProfileColours) -> ProfileDrawing | None:
    if colours.solid is None:
        return None
    slices = slices_of(colours.solid)
    legend = tuple(
        (Markup(sample(index)), Message("profile.drawing.lightness", lightness=one.lightness))
        for index, one in enumerate(slices)
    )
    return ProfileDrawing(Message("profile.drawing.reach"), Markup(slices_drawing(slices)), legend)


def _solids(colours: ProfileColours) -> tuple[ProfileDrawing, ...]:
    if colours.solid is None:
        return ()
    return tuple(
        ProfileDrawing(says, Markup(solid_drawing(colours.solid, turn, str(says)))) for turn, says in TURNS
    )


def _tone_curves(ramps: list[ProfileRamp]) -> ProfileDrawing:
    legend = tuple((Markup(sample(index)), words.ramp_name(ramp)) for index, ramp in enumerate(ramps))
    return ProfileDrawing(Message("profile.drawing.tone-curves"), Markup(ramp_curves(ramps)), legend)


def _casts(colours: ProfileColours) -> ProfileDrawing:
    legend: tuple[tuple[Markup, Message | str], ...] = ((Markup(sample(0)), "a*"), (Markup(sample(1)), "b*"))
    asked = colours.neutral.asked
    return ProfileDrawing(
        Message("profile.drawing.casts-asked" if asked else "profile.drawing.casts-equal"),
        Markup(cast_curves(colours.neutral)),
        legend,
    )
