"""What all records share: frozen, strict about unknown fields, plain data inside."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Record(BaseModel):
    """A frozen, validated record. Equal by value; unknown fields are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)
