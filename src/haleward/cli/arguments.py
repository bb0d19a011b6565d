"""The commands and their options, as ``haleward --help`` shows them.

Each command names the module and the function that run it; only the chosen one is imported.
"""

from __future__ import annotations

import argparse
from datetime import date
from importlib.metadata import version
from pathlib import Path
from typing import TypeAlias

_NOTE = "For trained professionals. It supports local rules and clinical judgement; it does not replace them."


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line; each command sets ``module`` and ``action``."""
    top = argparse.ArgumentParser(prog="haleward", description="Exercise made for one person.", epilog=_NOTE)
    top.add_argument("--version", action="version", version=f"haleward {version('haleward')}")
    commands = top.add_subparsers(title="commands", required=True, metavar="COMMAND")
    _serve(commands)
    _calc(commands)
    _movements(commands)
    _protocol(commands)
    _languages(commands)
    _session(commands)
    return top


Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"


def _serve(commands: Commands) -> None:
    for name, words in (("serve", "serve the web application"), ("demo", "serve a fresh demo service")):
        command = commands.add_parser(name, help=words, description=f"{words.capitalize()} on this machine.")
        command.add_argument("--port", type=_port, default=8000, help="port on the loopback address (8000)")
        command.add_argument("--no-browser", action="store_true", help="do not open the browser")
        if name == "serve":
            command.add_argument("--data", type=Path, help="folder of the store (HALEWARD_DATA, else var)")
        command.set_defaults(module="web", action=name)


def _calc(commands: Commands) -> None:
    command = commands.add_parser(
        "calc",
        help="compute a named formula and show its working",
        epilog="Example: haleward calc reserve_target_bpm resting_bpm=62 maximum_bpm=140 fraction=0.5",
    )
    command.add_argument("name", nargs="?", help="the formula")
    command.add_argument("values", nargs="*", metavar="key=value", help="its inputs, each in the unit its name ends in")
    command.add_argument("--list", action="store_true", help="list the formulas")
    command.add_argument("--json", action="store_true", help="for machines")
    command.set_defaults(module="calc", action="run")


def _movements(commands: Commands) -> None:
    command = commands.add_parser(
        "movements",
        help="list, show, check or draw the movements",
        epilog="Examples: haleward movements sit_to_stand; haleward movements check my_movement.toml; "
        "haleward movements sheet --out movements.pdf",
    )
    command.add_argument("id", nargs="?", metavar="ID|check|sheet", help="the movement to show, or what to do with all")
    command.add_argument("path", nargs="?", type=Path, help="for check: a file or folder (the product's own movements)")
    command.add_argument("--thorough", action="store_true", help="for check: forty bodies and every instant, minutes")
    command.add_argument("--out", type=Path, metavar="FILE", help="for sheet: the .pdf or .html file to write")
    command.add_argument("--force", action="store_true", help="for sheet: overwrite a file that is there")
    command.add_argument("--json", action="store_true", help="for machines")
    command.set_defaults(module="library", action="run")


def _protocol(commands: Commands) -> None:
    command = commands.add_parser("protocol", help="check, show, compare or preview a protocol file")
    actions = command.add_subparsers(required=True, metavar="check|show|diff|preview")
    check = actions.add_parser("check", help="read a protocol file and name every fault")
    check.add_argument("file", type=Path)
    check.set_defaults(module="rules", action="check")
    show = actions.add_parser("show", help="show the rules of the default protocol, or of a file")
    show.add_argument("file", type=Path, nargs="?")
    show.set_defaults(module="rules", action="show")
    diff = actions.add_parser("diff", help="say what differs between two protocol files")
    diff.add_argument("before", type=Path, metavar="A")
    diff.add_argument("after", type=Path, metavar="B")
    diff.set_defaults(module="protocol_diff", action="diff")
    preview = actions.add_parser("preview", help="say whom a protocol file would touch, and how")
    preview.add_argument("file", type=Path)
    preview.add_argument("--people", type=Path, metavar="FOLDER", help="people's plain files (the demo's people)")
    preview.add_argument("--against", type=Path, metavar="FILE", help="the protocol in force (the default one)")
    preview.add_argument("--on", type=_day, metavar="YYYY-MM-DD", help="the day the people are looked at (today)")
    preview.set_defaults(module="protocol_preview", action="run")
    for action in (check, show, diff, preview):
        action.add_argument("--json", action="store_true", help="for machines")


def _languages(commands: Commands) -> None:
    command = commands.add_parser("languages", help="list, check or hand out translations of what a person reads")
    command.set_defaults(module="languages", action="show")
    actions = command.add_subparsers(metavar="check|template")
    check = actions.add_parser("check", help="say what to look at in a translation")
    check.add_argument("what", nargs="?", metavar="TAG|FILE", help="a language, a .po file or a folder of them (all)")
    check.set_defaults(module="languages", action="check")
    template = actions.add_parser("template", help="write the files that a translator works on")
    template.add_argument("tag", metavar="TAG", help="language tag such as de")
    template.add_argument("--out", type=Path, required=True, metavar="DIR", help="folder to write to")
    template.add_argument("--name", default="", help="of a new language: its name in itself")
    template.add_argument("--english-name", default="", metavar="NAME", help="of a new language: its English name")
    template.add_argument("--direction", choices=("ltr", "rtl"), default="ltr", help="of a new language (ltr)")
    template.add_argument("--force", action="store_true", help="overwrite files that are there")
    template.set_defaults(module="languages", action="template")


def _session(commands: Commands) -> None:
    command = commands.add_parser(
        "session",
        help="make one person's session page, booklet and worksheet from a plain file",
        epilog="The files in examples can be copied.",
    )
    command.add_argument("person", type=Path, metavar="PERSON.toml")
    command.add_argument("--out", type=Path, required=True, metavar="DIR", help="folder to write to")
    command.add_argument("--part", choices=("one", "two", "walk"), help="the part to make (the file's own)")
    command.add_argument("--protocol", type=Path, metavar="FILE", help="the team's protocol (the default one)")
    command.add_argument("--on", type=_day, metavar="YYYY-MM-DD", help="the day the session is made for (today)")
    command.add_argument(
        "--checked-by",
        metavar="NAME",
        default="",
        help='who has cleared the reasons of a "check first"; the name is kept in the worksheet',
    )
    command.add_argument("--language", default="", metavar="TAG", help="of what is shown; spoken words stay English")
    command.add_argument("--draft", action="store_true", help="look at a language that nobody has reviewed")
    command.add_argument("--large-print", action="store_true", help="make the booklet in large print as well")
    command.add_argument("--card", action="store_true", help="make the card for class as well")
    command.add_argument("--page-link", default="", metavar="ADDRESS", help="address of the page, as a code in print")
    command.add_argument("--film-link", default="", metavar="ADDRESS", help="address of the film, as a code in print")
    command.add_argument(
        "--film",
        nargs="?",
        const="large",
        choices=("large", "small"),
        help="make the film as well: large (720 rows, the usual) or small (480 rows)",
    )
    command.add_argument("--voice", action="store_true", help="make the spoken track by itself as well")
    command.add_argument("--voice-file", type=Path, metavar="FILE", help="another voice than the one that ships")
    command.add_argument("--kept", type=Path, metavar="DIR", help="where spoken sentences and clips are kept")
    command.add_argument("--force", action="store_true", help="overwrite files that are there")
    command.add_argument("--json", action="store_true", help="say what was made as JSON")
    command.set_defaults(module="session", action="run")


def _port(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f'"{text}" is not a port; write a number from 1 to 65535')
    return int(text)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f'"{text}" is not a date; write it like 2026-11-24') from error
