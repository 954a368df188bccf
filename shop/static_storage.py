"""Static files under hashed names, compressed quickly, since each start of the server collects them."""

from typing import Any

from whitenoise.compress import Compressor
from whitenoise.storage import CompressedManifestStaticFilesStorage


class QuicklyCompressed(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # untyped
    """Gzip alone: the best level of Brotli takes a minute for what it saves."""

    def create_compressor(self, **kwargs: Any) -> Compressor:
        """The compressor that makes the small copies."""
        return Compressor(**{**kwargs, "use_brotli": False})
