"""Style, scripts and fonts, served under an address that holds their fingerprint, so that browsers may keep them."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from pathlib import Path

from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

FOLDER = Path(__file__).parents[1] / "assets"
FOREVER = "public, max-age=31536000, immutable"


@lru_cache
def fingerprint() -> str:
    """Changes whenever any shipped file does."""
    digest = hashlib.sha256()
    for file in sorted(FOLDER.rglob("*")):
        if file.is_file():
            digest.update(file.relative_to(FOLDER).as_posix().encode() + b"\0" + file.read_bytes())
    return digest.hexdigest()[:12]


def asset(name: str) -> str:
    """The address of a shipped file, such as ``css/bench.css``."""
    return f"/assets/{fingerprint()}/{name}"


class Shipped(StaticFiles):
    """Files that never change under their address."""

    def __init__(self) -> None:
        super().__init__(directory=FOLDER)

    async def get_response(self, path: str, scope: Scope) -> Response:
        response = await super().get_response(path, scope)
        response.headers["cache-control"] = FOREVER
        return response
