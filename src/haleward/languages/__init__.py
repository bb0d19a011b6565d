"""Other languages than English for what a person reads: catalogues, their checks, and wording made from them."""

from __future__ import annotations

from haleward.languages.catalogue import LANGUAGES_FOLDER, Catalogue, languages, load_catalogue, read_catalogue
from haleward.languages.texts import Text, person_texts
from haleward.languages.translated import TranslatedWording, Untranslated, translated

__all__ = [
    "LANGUAGES_FOLDER",
    "Catalogue",
    "Text",
    "TranslatedWording",
    "Untranslated",
    "languages",
    "load_catalogue",
    "person_texts",
    "read_catalogue",
    "translated",
]
