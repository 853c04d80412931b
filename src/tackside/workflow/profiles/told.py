"""What is said of a built profile: how good it is, figure by figure, and what to choose to print with it."""

from __future__ import annotations

from tackside.messages.message import Message
from tackside.records.assets import ProfileQuality

SUBJECT = "own-profile.quality"


def quality_told(quality: ProfileQuality, readings: int) -> tuple[tuple[Message, Message], ...]:
    """Label and figure, in the order of weight. ``readings``: how many were averaged."""
    noise = "measured" if quality.noise_measured else "guessed"
    back = "greys-back" if quality.grey_steps_back > 1 else "greys-of"
    rows = {
        "fit": Message(f"{SUBJECT}.two", median=quality.fit_median, high=quality.fit_p95),
        "left-out": Message(f"{SUBJECT}.two", median=quality.left_out_median, high=quality.left_out_p95),
        "round-trip": Message(
            f"{SUBJECT}.round-trip-of", median=quality.round_trip_median, high=quality.round_trip_p99
        ),
        "smoothness": Message(
            f"{SUBJECT}.smoothness-of",
            bend=quality.largest_bend,
            ramp=Message(f"profile-build.corner.{quality.bend_ramp}"),
            noise=quality.noise,
        ),
        "greys": Message(f"{SUBJECT}.{back}", swing=quality.grey_hue_swing, back=quality.grey_steps_back),
        "gamut": Message(
            f"{SUBJECT}.gamut-of", volume=quality.gamut_volume, readings=quality.readings_volume
        ),
        "ends": Message(f"{SUBJECT}.ends-of", white=quality.white_lab[0], black=quality.black_lab[0]),
        "noise": Message(f"{SUBJECT}.noise-{noise}", noise=quality.noise),
        "readings": Message(f"{SUBJECT}.readings-of", patches=quality.patches, count=readings),
    }
    return tuple((Message(f"{SUBJECT}.{name}"), told) for name, told in rows.items())


def instructions(profile: str, trial: str | None, media: str | None) -> tuple[Message, ...]:
    """What to choose in a program that prints. ``profile``: its description; ``media``: the paper setting, if noted."""
    driver = Message("own-profile.use.driver-as", media=media) if media else Message("own-profile.use.driver")
    ours = () if trial is None else (Message("own-profile.use.make", trial=trial),)
    return (
        *ours,
        Message("own-profile.use.program", profile=profile),
        Message("own-profile.use.intent"),
        driver,
        Message("own-profile.use.list"),
    )
