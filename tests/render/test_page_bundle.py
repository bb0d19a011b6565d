"""A page's files are put together into one scope: a name may be given once only."""

import re
from collections import Counter

import pytest

from haleward.render import page_bundle

NAME = re.compile(r"^(?:export )?(?:async )?(?:const|let|function\*?|class) (\w+)", re.MULTILINE)


@pytest.mark.parametrize(("entry", "known"), [("main.js", "makeFigure"), ("diary.js", "unpack")])
def test_no_two_files_of_a_page_give_the_same_name(entry: str, known: str):
    files: list[str] = []
    page_bundle._visit(entry, files)
    given = Counter(
        name for file in files for name in NAME.findall((page_bundle.ASSETS / file).read_text(encoding="utf-8"))
    )
    assert given[known] == 1
    assert [name for name, times in given.items() if times > 1] == []
