"""The files of the project, for the tests of its shape."""

from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "haleward"
FRAMEWORK_ROOMS = ("web", "cli")
# Made by tools, or by people at work, and not part of the project.
NOT_OURS = ("var", "out", "dist", "build", "node_modules", "__pycache__")


def source_files(suffix: str) -> list[Path]:
    """Our own source files with this suffix: not what others wrote, and not migrations."""
    return [
        path
        for path in sorted(SOURCE.rglob(f"*{suffix}"))
        if not {"vendor", "migrations", "__pycache__"} & set(path.relative_to(SOURCE).parts)
    ]


def domain_rooms() -> list[str]:
    """The rooms that know no framework, by name."""
    found = {path.stem for path in SOURCE.iterdir() if path.suffix == ".py" or (path / "__init__.py").exists()}
    return sorted(found - {"__init__", *FRAMEWORK_ROOMS})


def domain_files() -> list[Path]:
    """The Python files of the domain rooms."""
    rooms = domain_rooms()
    return [path for path in source_files(".py") if path.relative_to(SOURCE).parts[0].removesuffix(".py") in rooms]


def project_files(folder: Path = ROOT) -> Iterator[Path]:
    """Every file that belongs to the project."""
    for path in sorted(folder.iterdir()):
        if path.name in NOT_OURS or (path.name.startswith(".") and path.name not in (".ci", ".gitignore")):
            continue
        if path.is_dir():
            yield from project_files(path)
        elif path.suffix != ".pyc":
            yield path


def place(path: Path) -> str:
    """The path as the project names it."""
    return path.relative_to(ROOT).as_posix()
