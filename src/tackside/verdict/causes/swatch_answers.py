"""What people pick among swatches under each fault: steps of lightness, strength and hue from the file's own.

After what invented people picked of some 10 000 prints of those that the weights are taught on, rounded and widened.
Screens and people err by most of a step, and good prints differ by as much, so that one swatch says little; all those
of one screen err alike, which a table of single answers can't allow for, and the weights do.
"""

from __future__ import annotations

from collections.abc import Mapping

from tackside.records.verdict import Cause
from tackside.verdict.causes.traits import Normal

# As in ``answers.QUESTIONS``: "bare" is a card without a coating, "else" every fault that is not named.
MATCHES: dict[str, Mapping[Cause | str, Normal]] = {
    "eye_match_greys_l": {
        "else": Normal(0.5, 1.4),
        "bare": Normal(1.4, 1.8),
        "too-little-ink": Normal(2.1, 1.3),
        "too-much-ink": Normal(-1.4, 1.5),
        "managed-twice": Normal(0.7, 2.25),
        "unmanaged": Normal(-0.4, 2.3),
        "missing-ink": Normal(1.6, 1.55),
        "unknown": Normal(0.6, 1.95),
    },
    "eye_match_cyans_l": {
        "else": Normal(0.1, 1.45),
        "bare": Normal(0.9, 1.75),
        "too-little-ink": Normal(1.4, 1.55),
        "too-much-ink": Normal(-1.0, 1.6),
        "managed-twice": Normal(0.9, 1.85),
        "unmanaged": Normal(-0.9, 2.0),
        "missing-ink": Normal(1.1, 1.85),
        "unknown": Normal(0.2, 2.05),
    },
    "eye_match_cyans_s": {
        "else": Normal(-1.0, 1.65),
        "bare": Normal(-1.9, 1.6),
        "too-little-ink": Normal(-2.1, 1.35),
        "managed-twice": Normal(-2.0, 1.6),
        "unmanaged": Normal(-2.4, 1.25),
        "wide-read-as-narrow": Normal(-2.0, 1.2),
        "narrow-read-as-wide": Normal(0.2, 1.6),
        "missing-ink": Normal(-1.5, 1.85),
        "unknown": Normal(-2.1, 1.6),
    },
    "eye_match_cyans_h": {
        "else": Normal(0.3, 1.4),
        "bare": Normal(-0.2, 1.95),
        "managed-twice": Normal(-1.2, 2.25),
        "unmanaged": Normal(0.8, 2.45),
        "missing-ink": Normal(-0.2, 2.4),
        "unknown": Normal(0.2, 2.7),
    },
    "eye_match_reds_l": {
        "else": Normal(0.6, 1.4),
        "bare": Normal(1.6, 1.6),
        "too-little-ink": Normal(2.2, 1.25),
        "too-much-ink": Normal(-1.1, 1.55),
        "managed-twice": Normal(0.8, 1.9),
        "unmanaged": Normal(0.3, 2.15),
        "wide-read-as-narrow": Normal(0.0, 1.55),
        "narrow-read-as-wide": Normal(1.1, 1.45),
        "missing-ink": Normal(1.5, 1.55),
        "unknown": Normal(0.5, 2.0),
    },
    "eye_match_reds_s": {
        "else": Normal(-0.6, 1.65),
        "bare": Normal(-1.8, 1.6),
        "too-little-ink": Normal(-1.9, 1.4),
        "managed-twice": Normal(-1.1, 2.05),
        "unmanaged": Normal(-1.8, 1.8),
        "wide-read-as-narrow": Normal(-1.3, 1.45),
        "narrow-read-as-wide": Normal(0.2, 1.75),
        "missing-ink": Normal(-1.3, 2.15),
        "unknown": Normal(-1.8, 1.85),
    },
    "eye_match_reds_h": {
        "else": Normal(0.1, 1.1),
        "bare": Normal(0.3, 1.65),
        "managed-twice": Normal(-0.5, 2.05),
        "unmanaged": Normal(1.2, 1.6),
        "missing-ink": Normal(0.2, 2.35),
        "unknown": Normal(0.3, 2.55),
    },
    "eye_match_greens_l": {
        "else": Normal(0.1, 1.5),
        "bare": Normal(0.7, 1.8),
        "too-little-ink": Normal(1.2, 1.55),
        "too-much-ink": Normal(-1.2, 1.6),
        "managed-twice": Normal(1.0, 1.8),
        "unmanaged": Normal(-0.9, 1.95),
        "missing-ink": Normal(1.1, 1.75),
        "unknown": Normal(0.1, 2.1),
    },
    "eye_match_greens_s": {
        "else": Normal(-1.3, 1.7),
        "bare": Normal(-2.2, 1.4),
        "too-little-ink": Normal(-2.3, 1.2),
        "too-much-ink": Normal(-0.9, 1.8),
        "unmanaged": Normal(-2.4, 1.25),
        "wide-read-as-narrow": Normal(-2.0, 1.25),
        "missing-ink": Normal(-2.0, 1.65),
        "unknown": Normal(-2.3, 1.55),
    },
    "eye_match_greens_h": {
        "else": Normal(-0.2, 1.15),
        "bare": Normal(-0.3, 1.5),
        "managed-twice": Normal(-0.7, 1.5),
        "unmanaged": Normal(-0.7, 1.8),
        "wide-read-as-narrow": Normal(-1.0, 1.05),
        "narrow-read-as-wide": Normal(0.6, 1.15),
        "missing-ink": Normal(-0.6, 1.95),
        "unknown": Normal(-0.9, 1.95),
    },
    "eye_match_purples_l": {
        "else": Normal(0.6, 1.55),
        "bare": Normal(1.6, 1.65),
        "too-little-ink": Normal(2.1, 1.3),
        "too-much-ink": Normal(-1.0, 1.6),
        "managed-twice": Normal(0.2, 1.95),
        "unmanaged": Normal(0.3, 2.2),
        "wide-read-as-narrow": Normal(0.0, 1.6),
        "narrow-read-as-wide": Normal(1.0, 1.5),
        "missing-ink": Normal(1.5, 1.6),
        "unknown": Normal(0.8, 2.0),
    },
    "eye_match_purples_s": {
        "else": Normal(-1.2, 1.65),
        "bare": Normal(-2.2, 1.4),
        "too-little-ink": Normal(-2.2, 1.25),
        "unmanaged": Normal(-2.6, 1.2),
        "missing-ink": Normal(-1.6, 1.75),
        "unknown": Normal(-2.0, 1.8),
    },
    "eye_match_purples_h": {
        "else": Normal(0.1, 1.2),
        "bare": Normal(0.1, 1.75),
        "managed-twice": Normal(-1.0, 1.5),
        "unmanaged": Normal(1.7, 1.7),
        "wide-read-as-narrow": Normal(-0.4, 1.2),
        "narrow-read-as-wide": Normal(0.7, 1.25),
        "missing-ink": Normal(0.0, 2.35),
        "unknown": Normal(0.3, 2.5),
    },
}
