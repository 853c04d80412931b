"""Why the workbench did not come up, as a page of its own: there is no terminal to say it at."""

from __future__ import annotations

import html
import locale
import os
import sys
import tempfile
import webbrowser
from pathlib import Path

from tackside.messages.message import Message

STYLE = (
    "body{font:1.1rem/1.5 system-ui,sans-serif;max-width:34rem;margin:12vh auto 0;padding:0 1.2rem;color:#22282b;"
    "background:#fbf9f5}h1{font-size:1.5rem;color:#1f4e5f}"
    "@media(prefers-color-scheme:dark){body{color:#e8e4dc;background:#1c2124}h1{color:#9cc4d2}}"
)


def show(fault: Message, language: str | None = None) -> Path:
    """Open the page in the browser, and return its file."""
    with tempfile.NamedTemporaryFile(
        "w", encoding="utf-8", prefix="tackside-", suffix=".html", delete=False
    ) as file:
        file.write(page(fault, language or language_of_system()))
    path = Path(file.name)
    webbrowser.open(path.as_uri())
    return path


def page(fault: Message, language: str) -> str:
    from tackside.messages.wording import Wording, as_sentence

    wording = Wording(language=language, where="page")
    title = html.escape(wording.text(Message("desktop.title")))
    said = "".join(
        f"<p>{html.escape(as_sentence(each))}</p>" for each in (wording.what(fault), wording.fix(fault))
    )
    return (
        f'<!doctype html><html lang="{language}"><head><meta charset="utf-8"><title>{title}</title>'
        f"<style>{STYLE}</style></head><body><h1>{title}</h1>{said}</body></html>\n"
    )


def language_of_system() -> str:
    """The language that the system speaks, where there are texts in it; English else."""
    from tackside.web.i18n.language import preferred

    if sys.platform == "win32":
        import ctypes

        name = locale.windows_locale.get(ctypes.windll.kernel32.GetUserDefaultUILanguage(), "")
    else:
        # In the order that POSIX gives them.
        name = next((said for key in ("LC_ALL", "LC_MESSAGES", "LANG") if (said := os.environ.get(key))), "")
    return preferred(name.partition(".")[0].replace("_", "-"))
