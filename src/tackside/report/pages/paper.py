"""The comparison as a paged PDF for print, with its data attached: set by typst from a template of this package.

Same entries, same bytes, on any machine: only the fonts that are shipped are used, and the date is the page's.
"""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import UTC, datetime
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

from tackside import __version__
from tackside.errors import BadRequest
from tackside.files.atomic import explain
from tackside.report.data import attachments
from tackside.report.entry import Entry
from tackside.report.pages.views import PICTURE_SCALE, Extras, PageView, page_view
from tackside.report.ranking import groups_of

# The drawings' classes as the sheet of paper has them; the style sheet of the page has them for screens.
_INKS = {"s1": "#0b5c78", "s2": "#a8431f", "s3": "#3c6e2f", "s4": "#6a4690", "s5": "#7d6100", "s6": "#45413b"}
_DASHES = {"s2": "9 3", "s3": "3 3", "s4": "12 3 3 3", "s5": "6 6", "s6": "1.5 4"}
_STYLE = "".join(
    [
        "text{font-family:Cabin}.tick,.axis,.letter,.patch-row{font-size:12px;fill:#474747}.axis{font-size:13px;fill:#000}",
        ".letter{font-size:13px;font-weight:700;fill:#000}.patch-row{fill:#111}",
        ".middle{text-anchor:middle}.end{text-anchor:end}",
        ".grid{stroke:#ddd;stroke-width:1;fill:none}.grid.zero{stroke:#999}",
        ".line{fill:none;stroke-width:2;stroke-linejoin:round}.mark{stroke-width:1.6}",
        *(
            f".line.{name},.mark.{name},.{name} .line,.{name} .mark{{stroke:{ink}}}"
            for name, ink in _INKS.items()
        ),
        *(f".line.{name}{{stroke-dasharray:{dash}}}" for name, dash in _DASHES.items()),
        ".line.aim{stroke:#777;stroke-width:1.2;stroke-dasharray:2 4}",
        ".step{fill:none;stroke:#474747;stroke-width:1}.step.on{fill:#000;stroke:#000}.pointer{fill:#5c2a10}",
    ]
)


def render_pdf(
    entries: Sequence[Entry],
    *,
    title: str | None = None,
    note: str | None = None,
    made_at: datetime | None = None,
    extras: Extras | None = None,
) -> bytes:
    """The comparison of trials as a PDF in A4. Raises BadRequest without entries, StorageTrouble on a full disk."""
    if not entries:
        raise BadRequest("report.no-trials")
    more = extras or Extras()
    view = page_view(entries, title, note, made_at, __version__, Extras(more.pictures, False, more.licence))
    data = _plain(view)
    inner: dict[str, bytes] = {}
    ordered = [ranked for group in groups_of(entries) for ranked in group.ranked]
    data["prints"] = []
    for number, one in enumerate(ordered):
        found = more.pictures.get(one.entry.trial.id)
        if found is not None:
            inner[f"print-{number}.jpg"] = found.jpeg
            shown = {"file": f"print-{number}.jpg", "label": one.label}
            size = {"width_mm": found.width_mm / PICTURE_SCALE, "height_mm": found.height_mm / PICTURE_SCALE}
            data["prints"].append({**shown, **size})
    data["files"] = []
    if more.data:
        for attached in attachments([one.entry for one in ordered], [one.label for one in ordered]):
            inner[attached.name] = attached.data
            data["files"].append({"name": attached.name, "type": attached.media_type, "said": attached.said})
    moment = made_at or max(entry.verdict.made_at for entry in entries)
    return typeset("report", data, inner, moment)


def typeset(template: str, data: Mapping[str, Any], inner: Mapping[str, bytes], moment: datetime) -> bytes:
    """The PDF of ``templates/<template>.typ`` with ``data`` and the files that it names.

    Raises BadRequest where the data cannot be set, which no data of ours should bring about.
    """
    import typst  # slow to import

    source = files("tackside.report") / "templates" / f"{template}.typ"
    try:
        with (
            tempfile.TemporaryDirectory(prefix="tackside-") as name,
            as_file(files("tackside.sheet") / "fonts") as fonts,
        ):
            folder = Path(name)
            (folder / "page.typ").write_bytes(source.read_bytes())
            (folder / "data.json").write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
            for file, content in inner.items():
                (folder / file).write_bytes(content)
            made = typst.compile(
                folder / "page.typ",
                root=folder,
                font_paths=[fonts],
                ignore_system_fonts=True,
                timestamp=moment.astimezone(UTC).replace(microsecond=0),
                format="pdf",
            )
    except OSError as error:
        raise explain(error, Path(tempfile.gettempdir()), "write") from error
    except (typst.TypstError, RuntimeError) as error:
        reason = " ".join(str(error).split())[:200]
        raise BadRequest("report.pdf-not-set", reason=reason) from error
    assert isinstance(made, bytes)
    return made


def _plain(view: PageView) -> dict[str, Any]:
    """The view as JSON data; its drawings are given the style that a page has outside of them."""
    data: dict[str, Any] = _drawn(asdict(view))
    for group in data["groups"]:
        for one in group["plots"]:
            one["legend"] = [key for key in one["legend"] if key["label"]]
    return data


def _drawn(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _drawn(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_drawn(inner) for inner in value]
    if isinstance(value, str) and value.startswith("<svg "):
        return _stand_alone(str(value))
    return value


def _stand_alone(svg: str) -> str:
    """A drawing of the page as a file of its own: with name space, size and style."""
    found = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    size = (
        f' width="{found[1]}" height="{found[2]}"' if found and " width=" not in svg.partition(">")[0] else ""
    )
    head, _, rest = svg.partition(">")
    return f'{head} xmlns="http://www.w3.org/2000/svg"{size}><style>{_STYLE}</style>{rest}'
