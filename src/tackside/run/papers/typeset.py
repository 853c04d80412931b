"""Papers for a run as PDF: a template of this package filled with plain data. Same data and fonts, same bytes."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

from tackside.errors import BadRequest
from tackside.run.papers.paper_fonts import PaperFonts, fonts_for

# A PDF holds the moment it was made; a fixed one keeps the same papers the same.
_MADE = datetime(2000, 1, 1, tzinfo=UTC)


def typeset(template: str, data: Mapping[str, Any], fonts: PaperFonts | None = None) -> bytes:
    """The PDF of ``templates/<template>.typ`` with ``data``, in the shipped fonts.

    What these lack is set in ``fonts``, by default whatever this computer has. Raises BadRequest where the data cannot
    be set, which no data of ours should bring about.
    """
    import typst  # slow to import

    more = fonts_for(_strings(data)) if fonts is None else fonts
    with (
        tempfile.TemporaryDirectory(prefix="tackside-") as folder,
        as_file(files("tackside.sheet") / "fonts") as shipped,
        as_file(files("tackside.run.papers") / "templates") as templates,
    ):
        for number, face in enumerate(more.more):
            suffix = "ttc" if face.data[:4] == b"ttcf" else "otf"
            (Path(folder) / f"{number}.{suffix}").write_bytes(face.data)
        at_hand = typst.Fonts(
            include_system_fonts=False, include_embedded_fonts=False, font_paths=[shipped, Path(folder)]
        )
        try:
            made = typst.compile(
                templates / f"{template}.typ",
                font_paths=at_hand,
                sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
                timestamp=_MADE,
                format="pdf",
            )
        except (typst.TypstError, RuntimeError) as error:
            reason = " ".join(str(error).split())[:160]
            raise BadRequest("paper.not-set", reason=reason) from error
    assert isinstance(made, bytes)
    return made


def _strings(data: object) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    elif isinstance(data, Mapping):
        for each in data.values():
            yield from _strings(each)
    elif isinstance(data, list | tuple):
        for each in data:
            yield from _strings(each)
