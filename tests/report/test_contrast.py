"""Type and lines can be read: WCAG 2.2, 1.4.3 (4.5 : 1 for text) and 1.4.11 (3 : 1 for lines), on every
ground.
"""

from __future__ import annotations

import re
from importlib import resources

import pytest

CSS = resources.files("tackside.report").joinpath("templates", "report.css").read_text(encoding="utf-8")
LIGHT, DARK, PRINT = (
    dict(re.findall(r"--([\w-]+):\s*(#\w+)", block))
    for block in (
        CSS.split("@media (prefers-color-scheme: dark)")[0],
        CSS.split("@media (prefers-color-scheme: dark)")[1].split("* {")[0],
        CSS.split("@media print")[1],
    )
)
SCHEMES = {"light": LIGHT, "dark": DARK, "print": PRINT}


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    channels = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_black_on_white_is_21() -> None:
    assert contrast("#000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("text", ["ink", "soft", "accent", "stamp"])
@pytest.mark.parametrize("ground", ["paper", "bench"])
def test_text_has_four_and_a_half(scheme: str, text: str, ground: str) -> None:
    assert contrast(SCHEMES[scheme][text], SCHEMES[scheme][ground]) >= 4.5


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("line", ["s1", "s2", "s3", "s4", "s5", "s6", "aim"])
def test_lines_have_three(scheme: str, line: str) -> None:
    assert contrast(SCHEMES[scheme][line], SCHEMES[scheme]["paper"]) >= 3


@pytest.mark.parametrize("scheme", SCHEMES)
def test_samples_lie_on_neutral_grey_with_readable_labels(scheme: str) -> None:
    grey = SCHEMES[scheme]["surround"]
    assert grey[1:3] == grey[3:5] == grey[5:7]
    assert contrast(SCHEMES[scheme]["on-surround"], grey) >= 4.5
