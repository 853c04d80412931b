"""The address of a workbench with its key in it, and how a browser is led there without anybody else seeing the key.

What a program is called with, every account of the computer may read while it runs. So the browser is not called with
the address: it is called with a page of our own, readable by its owner alone, that leads on to it.
"""

from __future__ import annotations

import contextlib
import html
import secrets
import sys
import tempfile
import threading
import webbrowser
from pathlib import Path
from urllib.parse import urlencode

from tackside.bench.location import PAGE_OPENING
from tackside.files.atomic import new_private_file

# A browser that has to start first takes its time.
GONE_SECONDS = 60.0


def with_key(url: str, key: str) -> str:
    """``url`` is that of a workbench, with the slash at its end."""
    return f"{url}open?{urlencode({'key': key})}"


def open_in_browser(address: str, folder: Path) -> threading.Timer | None:
    """Open an address that holds a key. The page that leads to it lies in ``folder`` (a browser that is shut in sees a
    user's own folders, and no temporary ones), else where passing files lie.

    Returns the clock that removes the page, which ``clear`` stops; on Windows, where nobody else sees what a program is
    called with, there is no page.
    """
    if sys.platform == "win32":
        webbrowser.open(address)
        return None
    page = _page(address, folder)
    webbrowser.open(page.as_uri())
    clock = threading.Timer(GONE_SECONDS, _remove, (page,))
    clock.daemon = True
    clock.start()
    return clock


def clear(clock: threading.Timer | None) -> None:
    """Remove the page now."""
    if clock is not None:
        clock.cancel()
        clock.function(*clock.args)


def wait(clock: threading.Timer | None, seconds: float = 5.0) -> None:
    """Give a browser time to read the page before a program that only led to it ends."""
    if clock is not None:
        clock.join(seconds)
        clear(clock)


def _page(address: str, folder: Path) -> Path:
    shown = html.escape(address, quote=True)
    text = (
        f'<!doctype html><meta charset="utf-8"><meta http-equiv="refresh" content="0; url={shown}">'
        f'<title>Tackside</title><p><a href="{shown}">Tackside</a></p>\n'
    ).encode()
    for place in (folder, Path(tempfile.gettempdir())):
        page = place.absolute() / f"{PAGE_OPENING}{secrets.token_hex(8)}.html"
        try:
            with new_private_file(page) as file:
                file.write(text)
        except OSError as error:
            last = error
        else:
            return page
    raise last


def _remove(page: Path) -> None:
    with contextlib.suppress(OSError):
        page.unlink()
