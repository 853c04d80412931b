"""What axe finds on a page: its rules for WCAG 2.2 A and AA, and what it holds to be good practice."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.sync_playwright import Axe

TAGS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
_RUN = """async (options) => (await axe.run(document, options)).violations.flatMap(
    each => each.nodes.map(node => `${each.id}: ${node.html.slice(0, 160)}`))"""


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
