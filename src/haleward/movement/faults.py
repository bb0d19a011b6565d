"""A table of a movement file that remembers which keys were read, so that an unknown key is a fault."""

from __future__ import annotations

from typing import Any, TypeVar

from haleward.errors import FileFault
from haleward.movement.model import Triple

Choice = TypeVar("Choice", bound=str)
_REQUIRED = object()


class Table:
    """Typed access to one TOML table; every error names the file and the key."""

    def __init__(self, file: str, place: str, data: dict[str, Any]) -> None:
        self.file, self.place, self._data = file, place, data
        self._left = set(data)

    def fault(self, key: str, problem: str) -> FileFault:
        """An error about ``key`` of this table."""
        where = ".".join(part for part in (self.place, key) if part)
        return FileFault([f"{self.file}: {where or 'the file'} {problem}."])

    def close(self) -> None:
        """Refuse whatever was not read."""
        if self._left:
            raise self.fault(sorted(self._left)[0], "is not a known key; remove it or correct its name")

    def has(self, key: str) -> bool:
        """Whether the key is there."""
        return key in self._data

    @property
    def names(self) -> tuple[str, ...]:
        """All keys, in file order."""
        return tuple(self._data)

    def _get(self, key: str, default: object = _REQUIRED) -> Any:
        self._left.discard(key)
        if key in self._data:
            return self._data[key]
        if default is _REQUIRED:
            raise self.fault(key, "is missing")
        return default

    def text(self, key: str, default: str | None = None) -> str:
        """A text; required unless a default is given."""
        value = self._get(key, _REQUIRED if default is None else default)
        if not isinstance(value, str):
            raise self.fault(key, f"is {value!r}; it must be a text")
        return value

    def choice(self, key: str, allowed: tuple[Choice, ...], default: Choice | None = None) -> Choice:
        """A text out of ``allowed``."""
        value = self.text(key, default)
        for option in allowed:
            if option == value:
                return option
        raise self.fault(key, f'is "{value}"; it must be one of {", ".join(o or chr(34) * 2 for o in allowed)}')

    def flag(self, key: str, default: bool | None = None) -> bool:
        """True or false."""
        value = self._get(key, _REQUIRED if default is None else default)
        if not isinstance(value, bool):
            raise self.fault(key, f"is {value!r}; it must be true or false")
        return value

    def number(self, key: str, default: float | None) -> float | None:
        """A number, or ``default`` where the key is missing."""
        value = self._get(key, default)
        return default if value is None else self._number(key, value)

    def size(self, key: str, default: float | None = None) -> float:
        """A number that must be there unless a default is given."""
        return self._number(key, self._get(key, _REQUIRED if default is None else default))

    def _number(self, key: str, value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.fault(key, f"is {value!r}; it must be a number")
        return float(value)

    def whole(self, key: str) -> int:
        """A whole number from 1."""
        value = self._get(key)
        if isinstance(value, bool) or not isinstance(value, int) or value < 1:
            raise self.fault(key, f"is {value!r}; it must be a whole number from 1")
        return value

    def items(self, key: str, default: list[Any] | None = None) -> list[Any]:
        """A list."""
        value = self._get(key, _REQUIRED if default is None else default)
        if not isinstance(value, list):
            raise self.fault(key, f"is {value!r}; it must be a list")
        return value

    def texts(self, key: str, default: list[str] | None = None) -> tuple[str, ...]:
        """A list of texts."""
        values = self.items(key, default)
        if not all(isinstance(value, str) for value in values):
            raise self.fault(key, "must hold texts only")
        return tuple(values)

    def numbers(self, key: str, count: int) -> tuple[float, ...]:
        """A list of exactly ``count`` numbers."""
        values = self.items(key)
        if len(values) != count:
            raise self.fault(key, f"has {len(values)} numbers; it must have {count}")
        return tuple(self._number(key, value) for value in values)

    def triple(self, key: str) -> Triple:
        """Three numbers."""
        x, y, z = self.numbers(key, 3)
        return x, y, z

    def table(self, key: str) -> Table:
        """A table within this one."""
        value = self._get(key)
        if not isinstance(value, dict):
            raise self.fault(key, "must be a table")
        return Table(self.file, f"{self.place}.{key}" if self.place else key, value)

    def tables(self, key: str, default: list[Any] | None = None) -> tuple[Table, ...]:
        """A list of tables."""
        values = self.items(key, default)
        if not all(isinstance(value, dict) for value in values):
            raise self.fault(key, "must be a list of tables")
        place = f"{self.place}.{key}" if self.place else key
        return tuple(Table(self.file, f"{place}[{i}]", value) for i, value in enumerate(values))

    def strings_by_key(self, key: str, allowed: tuple[str, ...]) -> dict[str, str]:
        """A table of texts whose keys must be among ``allowed``."""
        table = self.table(key)
        found = {name: table.text(name) for name in allowed if table.has(name)}
        table.close()
        return found
