"""How static files are named and compressed."""

from whitenoise.storage import CompressedManifestStaticFilesStorage

OWN_MODULES = [f"{folder}/*.js" for folder in ("site", "plots", "blends", "fieldlog")]
IMPORT = (r"""(?P<matched>from "(?P<url>\.\.?/[\w./-]+)";)""", 'from "%(url)s";')
LATER = (r"""(?P<matched>import\("(?P<url>\.\.?/[\w./-]+)"\))""", 'import("%(url)s")')


class StaticStorage(CompressedManifestStaticFilesStorage):
    """Hashed names inside our modules' imports too, so that a page never mixes two releases.

    Django's own switch for this reads the comments of third-party files as imports.
    """

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        *((folder, (IMPORT, LATER)) for folder in OWN_MODULES),
    )
