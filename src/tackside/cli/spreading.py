"""The options of the commands whose work may be spread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from cyclopts import Parameter

from tackside.errors import BadRequest


@Parameter(name="*")
@dataclass(frozen=True)
class Spreading:
    """Where the work is done."""

    workers: Annotated[int | None, Parameter(help="How many processes; by default one for each core.")] = None
    cluster: Annotated[
        str | None, Parameter(help="Address of a Dask scheduler, as tcp://host:8786; else this machine.")
    ] = None

    def refuse_nonsense(self) -> None:
        """Raise BadRequest where the options make no sense."""
        if self.workers is not None and self.workers < 1:
            raise BadRequest(f"--workers is {self.workers}", "give 1 or more")
        if self.workers is not None and self.cluster is not None:
            raise BadRequest("a cluster has the workers that it has", "leave out --workers, or --cluster")


HERE = Spreading()
