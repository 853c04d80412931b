"""How each printer's sheet comes back for its second side: what a person found out with the guide, kept in the bench.

One small JSON file beside the database, written whole: the newest answer holds, and it may be asked again at any time.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

from pydantic import Field, ValidationError

from tackside.bench.location import SECOND_SIDES
from tackside.errors import StorageTrouble
from tackside.files.atomic import explain, write_atomically
from tackside.records.base import Record

FILE = SECOND_SIDES
Corner = Literal[1, 2, 3, 4]


class SecondSide(Record):
    """The answer for one feed. ``corner`` is the number behind the corner marked A; see ``half_turned``."""

    printer: str
    feed: str
    corner: Corner
    noted_at: datetime

    @property
    def half_turned(self) -> bool:
        """Whether the sheet was turned head over foot: the second page then goes in the other way up."""
        return self.corner == 4


class _Answers(Record):
    answers: tuple[SecondSide, ...] = Field(default=())


def second_side_of(bench_folder: Path, printer: str, feed: str) -> SecondSide | None:
    """The answer that is kept, None where there is none. Raises StorageTrouble."""
    return next((each for each in _read(bench_folder) if (each.printer, each.feed) == (printer, feed)), None)


def keep_second_side(bench_folder: Path, printer: str, feed: str, corner: Corner) -> SecondSide:
    """Keep an answer in the place of an earlier one. Raises StorageTrouble."""
    answer = SecondSide(printer=printer, feed=feed, corner=corner, noted_at=datetime.now(UTC))
    others = [each for each in _read(bench_folder) if (each.printer, each.feed) != (printer, feed)]
    kept = _Answers(answers=(*others, answer))
    text = json.dumps(kept.model_dump(mode="json"), ensure_ascii=False, indent=1)
    write_atomically(bench_folder / FILE, text.encode("utf-8"))
    return answer


def _read(bench_folder: Path) -> tuple[SecondSide, ...]:
    path = bench_folder / FILE
    try:
        return _Answers.model_validate_json(path.read_bytes()).answers
    except FileNotFoundError:
        return ()
    except OSError as error:
        raise explain(error, path, "read") from error
    except ValidationError as error:
        raise StorageTrouble("bench.second-sides-damaged", file=str(path)) from error
