"""Papers for a run as PDF: a template of this package filled with plain data. Same data, same bytes, anywhere."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, datetime
from importlib.resources import as_file, files
from typing import Any

from tackside.errors import BadRequest

# A PDF holds the moment it was made; a fixed one keeps the same papers the same.
_MADE = datetime(2000, 1, 1, tzinfo=UTC)


def typeset(template: str, data: Mapping[str, Any]) -> bytes:
    """The PDF of ``templates/<template>.typ`` with ``data``; only the fonts that are shipped are used.

    Raises BadRequest where the data cannot be set, which no data of ours should bring about.
    """
    import typst  # slow to import

    source = files("tackside.run") / "templates" / f"{template}.typ"
    with as_file(files("tackside.sheet") / "fonts") as fonts, as_file(source) as page:
        try:
            made = typst.compile(
                page,
                font_paths=[fonts],
                ignore_system_fonts=True,
                sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
                timestamp=_MADE,
                format="pdf",
            )
        except (typst.TypstError, RuntimeError) as error:
            reason = " ".join(str(error).split())[:160]
            raise BadRequest(
                f"the paper cannot be set ({reason})", "check names and texts for odd characters"
            ) from error
    assert isinstance(made, bytes)
    return made
