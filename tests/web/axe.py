"""What axe finds on a page, by its rules for WCAG 2.2 A and AA and for good practice; how far a page spills."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.sync_playwright import Axe

SPILL = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
TAGS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
_RUN = """async (options) => (await axe.run(document, options)).violations.flatMap(
    each => each.nodes.map(node => `${each.id}: ${node.html.slice(0, 160)}`))"""


def faults_in(page: Any, theme: str) -> list[str]:
    """All findings in the light; in the dark only the colours differ."""
    return findings(page, rules=("color-contrast",) if theme == "dark" else ())


def findings(page: Any, *, rules: tuple[str, ...] = (), without: tuple[str, ...] = ()) -> list[str]:
    """One line each, all that axe finds, however small; of ``rules`` alone, or of all but those ``without``."""
    only = {"type": "rule", "values": list(rules)} if rules else {"type": "tag", "values": list(TAGS)}
    options = {
        "runOnly": only,
        "rules": {name: {"enabled": False} for name in without},
        "resultTypes": ["violations"],
    }
    if not page.evaluate("'axe' in window"):
        page.evaluate(Axe().axe_script)
    return list(page.evaluate(_RUN, options))
