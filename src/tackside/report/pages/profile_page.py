"""A profile as one HTML page that needs nothing from outside."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from tackside import __version__
from tackside.profile.faults.fault import MEANS, SEVERITIES, Fault
from tackside.profile.icc.ramps import Ramp
from tackside.profile.icc.summary import Colours, ProfileSummary, Tone
from tackside.report import profile_words as words
from tackside.report.pages.page import environment, style_sheet
from tackside.report.patches import to_screen
from tackside.report.plots.ramp_curves import cast_curves, ramp_curves, ramp_strips
from tackside.report.plots.series import sample
from tackside.report.plots.slices import slices_drawing, slices_of
from tackside.report.plots.solid import solid_drawing

DRAWN_RAMPS = ("black", "cyan", "magenta", "yellow")
# The two turns show opposite sides of the solid.
TURNS = ((150, "From the side of red and yellow"), (330, "From the side of blue and green"))


@dataclass(frozen=True)
class Figure:
    """A drawing with its caption and its legend of sample and name."""

    caption: str
    drawing: Markup
    legend: tuple[tuple[Markup, str], ...] = ()


@dataclass(frozen=True)
class ToneView:
    name: str
    screen: str
    absolute: str
    relative: str


@dataclass(frozen=True)
class ColoursView:
    """What comes out of a usable profile."""

    tones: tuple[ToneView, ...]
    gamut: str
    greys: str
    smoothness: str
    intent_heads: tuple[str, ...]
    intents: tuple[tuple[str, ...], ...]
    reach: Figure | None
    solids: tuple[Figure, ...]
    curves: tuple[Figure, ...]
    strips: Markup
    ramps: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class ProfileView:
    """The whole page."""

    title: str
    source: str
    lead: str
    identity: tuple[tuple[str, str | None], ...]
    colours: ColoursView | None
    unusable: str | None
    faults: tuple[tuple[str, str, tuple[Fault, ...]], ...]
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
        unusable=summary.unusable,
        faults=tuple((severity, MEANS[severity], faults) for severity, faults in grouped if faults),
        version=__version__,
    )


def _colours(colours: Colours) -> ColoursView:
    drawn = [ramp for ramp in colours.ramps if ramp.name in DRAWN_RAMPS]
    return ColoursView(
        tones=(_tone("White", colours.white), _tone("Black", colours.black)),
        gamut=words.gamut(colours),
        greys=words.greys(colours.neutral),
        smoothness=words.smoothness(colours.ramps),
        intent_heads=words.INTENT_HEADS,
        intents=tuple(words.intent_rows(colours.intents)),
        reach=_reach(colours),
        solids=_solids(colours),
        curves=(_tone_curves(drawn), _casts(colours)),
        strips=Markup(ramp_strips(colours.ramps)),
        ramps=tuple((ramp.name, f"{ramp.largest:.2f}", f"{ramp.rms:.2f}") for ramp in colours.ramps),
    )


def _tone(name: str, tone: Tone) -> ToneView:
    return ToneView(
        name, to_screen(tone.absolute[None])[0][0], words.lab(tone.absolute), words.lab(tone.media_relative)
    )


def _reach(colours: Colours) -> Figure | None:
    if colours.solid is None:
        return None
    slices = slices_of(colours.solid)
    legend = tuple((Markup(sample(index)), f"L* {one.lightness:g}") for index, one in enumerate(slices))
    return Figure("How far colours reach at several lightnesses", Markup(slices_drawing(slices)), legend)


def _solids(colours: Colours) -> tuple[Figure, ...]:
    if colours.solid is None:
        return ()
    return tuple(Figure(says, Markup(solid_drawing(colours.solid, turn, says))) for turn, says in TURNS)


def _tone_curves(ramps: list[Ramp]) -> Figure:
    legend = tuple((Markup(sample(index)), ramp.name) for index, ramp in enumerate(ramps))
    return Figure("How light the ramps come out", Markup(ramp_curves(ramps)), legend)


def _casts(colours: Colours) -> Figure:
    legend = ((Markup(sample(0)), "a*"), (Markup(sample(1)), "b*"))
    asked = colours.neutral.asked
    return Figure(
        "Casts of the neutrals that it prints when asked for grey"
        if asked
        else "Casts of greys of equal numbers",
        Markup(cast_curves(colours.neutral)),
        legend,
    )
