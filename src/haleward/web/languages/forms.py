"""The forms of the languages pages: a catalogue's files, and who reviewed a translation."""

from __future__ import annotations

import io
import zipfile
from pathlib import PurePosixPath
from typing import Any

from django import forms

MOST_BYTES = 4_000_000
_ZIP = "A catalogue is one .zip file with the .po files in it, as the export makes it."


class CatalogueForm(forms.Form):
    """A catalogue as one file."""

    file = forms.FileField(label="Catalogue, a .zip file of .po files")

    def clean_file(self) -> dict[str, str]:
        """The PO files by table."""
        upload: Any = self.cleaned_data["file"]
        try:
            with zipfile.ZipFile(io.BytesIO(upload.read(MOST_BYTES + 1))) as archive:
                members = [one for one in archive.infolist() if one.filename.endswith(".po")]
                if upload.size > MOST_BYTES or sum(one.file_size for one in members) > MOST_BYTES:
                    raise forms.ValidationError(f"The file is larger than {MOST_BYTES // 1_000_000} MB.")
                files = {PurePosixPath(one.filename).stem: archive.read(one).decode("utf-8") for one in members}
        except zipfile.BadZipFile as error:
            raise forms.ValidationError(_ZIP) from error
        except UnicodeDecodeError as error:
            raise forms.ValidationError("A .po file in it is not UTF-8 text. Save it as UTF-8.") from error
        if not files:
            raise forms.ValidationError(_ZIP)
        return files


class ReviewForm(forms.Form):
    """Who read the translation, and what makes them able to."""

    digest = forms.CharField(widget=forms.HiddenInput)
    reviewer = forms.CharField(label="Reviewed by", max_length=120)
    qualification = forms.CharField(
        label="Qualification", max_length=160, help_text="For example: state-certified translator, Arabic."
    )
    read = forms.BooleanField(label="Every text of this translation was read beside the English.")
