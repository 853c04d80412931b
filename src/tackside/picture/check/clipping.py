"""Highlights and shadows that lost their steps before the picture came here.

Limits are common practice (docs/sources.md, S25): a hundredth of the picture without any step is seen, and one
channel at its end flattens petals, skies and skin.
"""

from __future__ import annotations

from typing import Literal

from tackside.messages.message import Message
from tackside.picture.check.finding import PictureFinding, percent
from tackside.picture.check.survey import Clipped

ALL_CHANNELS = 0.01
ONE_CHANNEL = 0.03
CHANNEL_NAMES = ("red", "green", "blue")
UNEVEN = 0.001  # the channels' shares differ by as much: then each is named


def on_clipping(end: Literal["highlights", "shadows"], clipped: Clipped | None) -> list[PictureFinding]:
    """At most one finding an end; its figure is the share of all channels at once, else of the worst channel."""
    if clipped is None:
        return []
    if clipped.all_channels >= ALL_CHANNELS:
        return [
            PictureFinding(
                f"clipped-{end}",
                "mend" if clipped.all_channels >= 2 * ALL_CHANNELS else "note",
                _all_channels(end, clipped),
                round(clipped.all_channels, 5),
                "of the pixels",
            )
        ]
    if len(clipped.channels) < 3 or clipped.worst_channel < ONE_CHANNEL:
        return []
    worst = CHANNEL_NAMES[clipped.channels.index(clipped.worst_channel)]
    share = percent(clipped.worst_channel)
    return [
        PictureFinding(
            f"clipped-{end}-channel",
            "note",
            Message(
                f"picture.clipped-{end}-channel", channel=Message(f"picture.channel.{worst}"), share=share
            ),
            round(clipped.worst_channel, 5),
            "of the pixels",
        )
    ]


def _all_channels(end: str, clipped: Clipped) -> Message:
    share = percent(clipped.all_channels)
    if max(clipped.channels) - min(clipped.channels) < UNEVEN:
        return Message(f"picture.clipped-{end}", share=share)
    each = {name: percent(part) for name, part in zip(CHANNEL_NAMES, clipped.channels, strict=True)}
    return Message(f"picture.clipped-{end}-by-channel", share=share, **each)
