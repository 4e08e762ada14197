"""The frozen base of every section of a build, and the short texts in it."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field


class Frozen(BaseModel):
    """Immutable; unknown names are refused."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, arbitrary_types_allowed=True, str_max_length=2000
    )


Text = Annotated[str, Field(min_length=1, max_length=200)]
Name = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=40)]
PartId = Annotated[str, Field(pattern=r"^[a-z0-9-]+/[a-z0-9.-]+$", max_length=80)]
Count = Annotated[int, Field(ge=1, le=1000)]
