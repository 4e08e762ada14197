"""What every part has: an id, a title, a mass, a price, and for each value a source and a grade."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, ValidationInfo, field_validator

from voltwright.quantity.entry import Entry, MassOrNone, MoneyAmount
from voltwright.quantity.frozen import ReadOnly
from voltwright.quantity.provenance import Grade
from voltwright.quantity.words import one


class Frozen(BaseModel):
    """Immutable, and refuses what it does not know."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        arbitrary_types_allowed=True,
        str_max_length=2000,
        defer_build=True,  # a validator is made when a document first needs it
    )


Text = Annotated[str, Field(min_length=1, max_length=200)]
Id = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*/[a-z0-9.]+(-[a-z0-9.]+)*$", max_length=80)]


class Reason(Frozen):
    """The source and grade of one field that differ from those of the whole datasheet."""

    source: Text
    grade: Grade


class Part(Frozen):
    """Anything that can be bought. `source` and `grade` hold for every value that `fields` does not name."""

    id: Id
    kind: str
    title: Text
    source: Text
    grade: Grade
    remarks: str = ""
    fields: Annotated[dict[str, Reason], AfterValidator(ReadOnly)] = ReadOnly()
    mass: MassOrNone | None
    price: MoneyAmount | None = None

    @field_validator("id")
    @classmethod
    def _id_names_the_kind(cls, value: str) -> str:
        kind = str(cls.model_fields["kind"].default)
        if value.split("/")[0] != kind:
            raise ValueError(f"the id of {one(kind)} must begin with {kind}/")
        return value

    @field_validator("fields")
    @classmethod
    def _fields_are_known(cls, value: dict[str, Reason]) -> dict[str, Reason]:
        for name in value:
            if name not in cls.model_fields:
                raise ValueError(f"'{name}' is not a field of this kind of part")
        return value

    def entries(self) -> Iterator[tuple[str, Entry]]:
        """Every quantity of the datasheet by its field."""
        for name in type(self).model_fields:
            value = getattr(self, name)
            if isinstance(value, Entry):
                yield name, value

    def grade_of(self, field: str) -> Grade:
        return self.fields[field].grade if field in self.fields else self.grade


def _listed(raw: Any) -> Any:
    return tuple(raw) if isinstance(raw, list) else raw


def in_order(*names: str, equal: bool = False) -> Any:
    """A validator: these quantities must rise in this order. It speaks even while other fields are wrong or missing."""

    def check(value: Entry | None, info: ValidationInfo) -> Entry | None:
        here = names.index(info.field_name or "")
        for there, other in enumerate(names):
            seen = info.data.get(other)
            if value is None or seen is None:
                continue
            low, high = (seen.value, value.value) if there < here else (value.value, seen.value)
            if low > high or (low == high and not equal):
                words = ("at least", "at most") if equal else ("above", "below")
                raise ValueError(f"must be {words[there > here]} {other}")
        return value

    return field_validator(*names)(check)


Numbers = Annotated[tuple[float, ...], BeforeValidator(_listed)]
