"""Strict reading of TOML files: every key typed, no key unknown, every fault a sentence with its file and line.

A room opens a :class:`TomlFile`, reads its tables key by key through :class:`Table` (or its own kind of
:class:`Section`), and calls :meth:`TomlFile.finish`, which raises one ``FileFault`` with all that was found.
"""

from haleward.strict_toml.dataclass import read_dataclass
from haleward.strict_toml.file import TomlFile
from haleward.strict_toml.section import Section, is_tables
from haleward.strict_toml.table import Table, is_number

__all__ = ["Section", "Table", "TomlFile", "is_number", "is_tables", "read_dataclass"]
