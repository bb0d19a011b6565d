"""``haleward languages`` and a session in a language that nobody has reviewed."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdfium2 import PdfDocument

from haleward.cli import main, session
from haleward.languages import load_catalogue
from tests.cli.test_session import arguments
from tests.languages.whole import whole_catalogue

Capture = pytest.CaptureFixture[str]


def test_the_list_says_that_each_is_a_draft_and_what_is_missing(capsys: Capture) -> None:
    assert main(["languages"]) == 0
    out = capsys.readouterr().out
    assert "Arabic (العربية), rtl: draft, needs review by a qualified translator" in out
    assert "German (Deutsch), ltr: draft" in out
    assert "texts missing" in out


def test_a_shipped_draft_has_no_fault(capsys: Capture) -> None:
    assert main(["languages", "check"]) == 0
    out, err = capsys.readouterr()
    assert "German:" in out
    assert not err


def test_the_template_of_a_language_is_its_catalogue_and_can_be_checked(capsys: Capture, tmp_path: Path) -> None:
    assert main(["languages", "template", "de", "--out", str(tmp_path)]) == 0
    file = tmp_path / "safety.po"
    assert main(["languages", "check", str(file)]) == 0
    right, wrong = 'msgstr "Rufen Sie {emergency_number}', 'msgstr "Rufen Sie {number}'
    content = file.read_text(encoding="utf-8")
    assert right in content
    file.write_text(content.replace(right, wrong, 1), encoding="utf-8")
    assert main(["languages", "check", str(tmp_path)]) == 2
    assert "the words in braces must be those of the English" in capsys.readouterr().err


def test_the_template_of_a_new_language_asks_for_its_names_and_is_empty(capsys: Capture, tmp_path: Path) -> None:
    assert main(["languages", "template", "cy", "--out", str(tmp_path)]) == 2
    assert '"cy" is a new language: add --name' in capsys.readouterr().err
    names = ["--name", "Cymraeg", "--english-name", "Welsh"]
    assert main(["languages", "template", "cy", "--out", str(tmp_path), *names]) == 0
    content = (tmp_path / "session.po").read_text(encoding="utf-8")
    assert '"X-Native-Name: Cymraeg\\n"' in content
    assert content.count('msgstr ""') > 100


@pytest.mark.parametrize("what", ["klingon", "missing.po"])
def test_something_that_is_no_language_is_one_sentence(capsys: Capture, what: str) -> None:
    assert main(["languages", "check", what]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_a_draft_is_refused_without_being_asked_for(capsys: Capture, tmp_path: Path) -> None:
    assert main(arguments("morag", tmp_path / "out", "--language", "ar")) == 2
    assert "Arabic is a draft" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_draft_says_so_on_page_and_print(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(session, "load_catalogue", lambda tag: whole_catalogue(load_catalogue(tag).tag))
    assert main(arguments("morag", tmp_path, "--language", "ar", "--draft")) == 0
    html = (tmp_path / "session.html").read_text(encoding="utf-8")
    assert '<html lang="ar" dir="rtl">' in html
    assert "Draft, not reviewed: this Arabic is not for any person yet." in html
    worksheet = (tmp_path / "worksheet.txt").read_text(encoding="utf-8")
    assert worksheet.startswith("Worksheet for Morag")
    pages = [page.get_textpage().get_text_range() for page in PdfDocument(tmp_path / "booklet.pdf")]
    assert all("Draft" in page and "reviewed" in page for page in pages)
