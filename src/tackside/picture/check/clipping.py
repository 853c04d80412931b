"""Highlights and shadows that lost their steps before the picture came here.

Limits are common practice (docs/sources.md, S25): a hundredth of the picture without any step is seen, and one
channel at its end flattens petals, skies and skin.
"""

from __future__ import annotations

from typing import Literal

from tackside.picture.check.finding import Finding, percent
from tackside.picture.check.survey import Clipped

ALL_CHANNELS = 0.01
ONE_CHANNEL = 0.03
CHANNEL_NAMES = ("red", "green", "blue")

_SAYS = {
    "highlights": (
        "at the very top: that will be bare card",
        "lower the highlights and export it anew from the original, unless they are a white ground or glints",
    ),
    "shadows": (
        "at the very bottom: that will be one flat black",
        "lift the shadows and export it anew from the original, unless they are a black ground",
    ),
}


def on_clipping(end: Literal["highlights", "shadows"], clipped: Clipped | None) -> list[Finding]:
    """At most one finding an end; its figure is the share of all channels at once, else of the worst channel."""
    if clipped is None:
        return []
    what, mend = _SAYS[end]
    if clipped.all_channels >= ALL_CHANNELS:
        return [
            Finding(
                f"clipped-{end}",
                "mend" if clipped.all_channels >= 2 * ALL_CHANNELS else "note",
                f"{percent(clipped.all_channels)} of it is {what}{_by_channel(clipped)}",
                mend,
                round(clipped.all_channels, 5),
                "of the pixels",
            )
        ]
    if len(clipped.channels) < 3 or clipped.worst_channel < ONE_CHANNEL:
        return []
    worst = CHANNEL_NAMES[clipped.channels.index(clipped.worst_channel)]
    where = "highest" if end == "highlights" else "lowest"
    return [
        Finding(
            f"clipped-{end}-channel",
            "note",
            f"{worst} is at its {where} number in {percent(clipped.worst_channel)} of it: strong colours there may lie "
            "flat, without their finer tones",
            "take some saturation back and export it anew from the original, or convert from a wider space",
            round(clipped.worst_channel, 5),
            "of the pixels",
        )
    ]


def _by_channel(clipped: Clipped) -> str:
    if max(clipped.channels) - min(clipped.channels) < 0.001:
        return ""
    each = ", ".join(
        f"{name} {percent(share)}" for name, share in zip(CHANNEL_NAMES, clipped.channels, strict=True)
    )
    return f" ({each})"
