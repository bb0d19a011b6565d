"""Static files under names that carry a hash of their content, so that a browser never keeps an old one."""

from __future__ import annotations

from django.contrib.staticfiles.storage import ManifestStaticFilesStorage


class HashedStaticFiles(ManifestStaticFilesStorage):
    """Also rewrites the imports inside our JavaScript modules (each import line ends with a semicolon)."""

    support_js_module_import_aggregation = True
