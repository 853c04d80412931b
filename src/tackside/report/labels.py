"""What measures and print-quality attributes are called for people, and in which order they are shown."""

from __future__ import annotations

from tackside.messages.message import Message

# Measures in the order in which they are shown; any other follows.
MEASURES: tuple[str, ...] = (
    "paper_lab",
    "black_l",
    "black_lab",
    "dmax",
    "l_range",
    "gamut_volume",
    "gamut_hull",
    "gamut_corners",
    "path_gamut",
    "chroma_c",
    "chroma_m",
    "chroma_y",
    "chroma_r",
    "chroma_g",
    "chroma_b",
    "weakest_solid",
    "solid_balance",
    "path_hue",
    "path_chroma",
    "grey_balance_mean",
    "grey_balance_max",
    "path_greys",
    "shadow_steps",
    "shadow_opens_at",
    "path_shadows",
    "highlight_steps",
    "highlight_opens_at",
    "reversals",
    "share_l_range",
    "share_chroma",
    "share_gamut_volume",
    "size_error",
)
MAIN_MEASURES = frozenset(
    {
        "paper_lab",
        "black_l",
        "dmax",
        "l_range",
        "gamut_volume",
        "weakest_solid",
        "grey_balance_mean",
        "shadow_steps",
        "highlight_steps",
        "size_error",
        "share_l_range",
        "share_chroma",
        "share_gamut_volume",
    }
)
# Measures whose label says their unit.
UNIT_IN_LABEL = frozenset({"paper_lab", "black_l", "black_lab", "dmax", "l_range", "reversals"})
# Attributes of a reading. One of several inks, directions and so on has these as a tail: ``line_gain_vertical``.
_ATTRIBUTES = frozenset(
    {
        "banding_amplitude",
        "banding_period",
        "bleed",
        "bleed_between",
        "bleed_between_raggedness",
        "doubling",
        "edge_mtf50",
        "eye_black_beside",
        "eye_colour_beside",
        "eye_creep",
        "eye_doubled",
        "eye_drag_other_side",
        "eye_drag_this_side",
        "eye_dull",
        "eye_hues_off",
        "eye_hues_wrong",
        "eye_light_greens_beside",
        "eye_light_lines",
        "eye_match_cyans",
        "eye_match_greens",
        "eye_match_greys",
        "eye_match_purples",
        "eye_match_reds",
        "eye_middle_beside",
        "eye_soft_blues_hue",
        "eye_soft_cyans_beside",
        "eye_soft_cyans_screen",
        "eye_soft_purples_hue",
        "eye_soft_reds_beside",
        "eye_soft_reds_hue",
        "eye_soft_reds_screen",
        "eye_missing",
        "eye_tint_a",
        "eye_tint_b",
        "feathering",
        "graininess",
        "highlight_step",
        "line_blurriness",
        "line_contrast",
        "line_gain",
        "line_raggedness",
        "line_width",
        "mottle",
        "repeatability",
        "shadow_step",
        "smudge",
        "text_legible",
        "unfit",
    }
)
_INKS = {
    "c": "cyan",
    "m": "magenta",
    "y": "yellow",
    "k": "black",
    "r": "red",
    "g": "green",
    "b": "blue",
}
# How a swatch differs that looks like a patch.
_STEPS = {"l": "lighter", "s": "stronger", "h": "turned"}
# Lines of other than black ink on bare card are told by what stands before.
_OF_LINES = frozenset({"reversed", "magenta", "cyan"})
_DETAILS = frozenset(
    {"across", "feed", "horizontal", "mid", "paper", "positive", "reversed", "soft", "solid", "vertical"}
)


def measure_label(name: str) -> Message:
    """The name of a measure, an attribute or a rule; of an unknown one its own name with spaces."""
    parts = name.split("_")
    if parts[0] in _OF_LINES and parts[1:2] == [
        "line"
    ]:  # ``magenta_line_gain_vertical``: which lines is a detail
        parts = [*parts[1:3], parts[0], *parts[3:]]
    for count in range(len(parts), 0, -1):
        stem, details = "_".join(parts[:count]), [_detail(each) for each in parts[count:]]
        if (stem in _ATTRIBUTES or stem in MEASURES) and None not in details:
            named = Message(f"measure.name.{stem.replace('_', '-')}")
            return Message("measure.name-of", name=named, of=details) if details else named
    return Message("measure.unnamed", name=name.replace("_", " ").replace("-", " ").capitalize())


def _detail(part: str) -> Message | None:
    if part in _STEPS:
        return Message(f"measure.detail.{_STEPS[part]}")
    ink = _INKS.get(part, part)
    if ink in _INKS.values():
        return Message(f"measure.solid.{ink}")
    return Message(f"measure.detail.{part}") if part in _DETAILS else None
