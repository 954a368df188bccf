"""Reads environment variables, and refuses a malformed one in a sentence."""

import os
import secrets
from contextlib import suppress
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

TRUE = {"1", "true", "yes", "on"}
FALSE = {"0", "false", "no", "off", ""}


def text(name: str, default: str = "") -> str:
    """The variable, or the content of the file that NAME_FILE names, or the default."""
    file = os.environ.get(f"{name}_FILE")
    if file:
        try:
            return Path(file).read_text(encoding="utf-8").strip()
        except OSError as error:
            raise ImproperlyConfigured(
                f"{name}_FILE names {file}, which cannot be read."
            ) from error
    return os.environ.get(name, default).strip()


def flag(name: str, *, default: bool) -> bool:
    """Yes or no."""
    value = text(name, "yes" if default else "no").lower()
    if value in TRUE:
        return True
    if value in FALSE:
        return False
    raise ImproperlyConfigured(f"{name} must be yes or no; it is {value!r}.")


def number(name: str, default: int) -> int:
    """A whole number."""
    value = text(name, str(default))
    try:
        return int(value)
    except ValueError as error:
        raise ImproperlyConfigured(f"{name} must be a whole number; it is {value!r}.") from error


def words(name: str, default: str = "") -> list[str]:
    """A list separated by commas."""
    return [word.strip() for word in text(name, default).split(",") if word.strip()]


def folder(name: str, default: Path) -> Path:
    """A folder that exists, or is made, and can be written."""
    path = Path(text(name) or default).expanduser().resolve()
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ImproperlyConfigured(f"{name} is {path}, which cannot be made.") from error
    if not os.access(path, os.W_OK):
        raise ImproperlyConfigured(f"{name} is {path}, which cannot be written.")
    return path


def kept_secret(file: Path) -> str:
    """The secret that the file holds; made at the first start, readable by its owner only.

    Several machines that serve one shop must be given the same secret instead.
    """
    if not file.exists():
        fresh = file.with_name(f"{file.name}.{os.getpid()}")
        fresh.touch(mode=0o600)
        fresh.write_text(secrets.token_urlsafe(50), encoding="utf-8")
        with suppress(FileExistsError):
            os.link(fresh, file)
        fresh.unlink()
    return file.read_text(encoding="utf-8").strip()
