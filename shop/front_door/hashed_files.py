"""Style sheets, scripts and pictures under names that carry their content's hash, so that a browser may keep them for good."""

from __future__ import annotations

from whitenoise.storage import CompressedManifestStaticFilesStorage  # type: ignore[import-untyped]

IMPORT = r"""(?P<matched>import (?P<names>[^"';]+) from "(?P<url>\./[\w-]+\.js)";)"""


class HashedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # WhiteNoise carries no types
    """As WhiteNoise has it; and the shop's scripts import each other by hashed names, else each page asks for every one."""

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        ("js/*.js", ((IMPORT, 'import %(names)s from "%(url)s";'),)),
    )
