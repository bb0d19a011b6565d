"""Plain values to and from JSON-able dictionaries: how records, programmes and cue sheets are stored and sent."""

from __future__ import annotations

from typing import Any, TypeVar

from cattrs.errors import BaseValidationError
from cattrs.preconf.json import make_converter
from cattrs.v import transform_error

from haleward.errors import Inconsistent

_CONVERTER = make_converter(forbid_extra_keys=True)
T = TypeVar("T")


def to_plain(value: object) -> Any:
    """A dataclass (or a tuple or dict of them) as dictionaries, lists, strings and numbers; dates in ISO form."""
    return _CONVERTER.unstructure(value)


def from_plain(kind: type[T], data: object) -> T:
    """The value of ``kind`` that :func:`to_plain` wrote. Raises :class:`Inconsistent` naming each fault."""
    try:
        return _CONVERTER.structure(data, kind)
    except BaseValidationError as error:
        faults = "; ".join(transform_error(error))
        raise Inconsistent(f"These data are not a {kind.__name__}: {faults}.") from error
