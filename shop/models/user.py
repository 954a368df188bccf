"""A person who signs in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from django.contrib.auth.models import AbstractUser, BaseUserManager
from django.db import models

if TYPE_CHECKING:
    from .workshop import Membership


class UserManager(BaseUserManager["User"]):
    """Makes users, who are known by their e-mail address."""

    def create_user(self, email: str, password: str | None = None, **more: Any) -> User:
        """A person; without a password they can sign in only after a reset."""
        user = self.model(email=self.normalize_email(email).lower(), **more)
        user.set_password(password)
        user.save()
        return user

    def create_superuser(self, email: str, password: str | None = None, **more: Any) -> User:
        """A person who may run the installation."""
        return self.create_user(email, password, is_staff=True, is_superuser=True, **more)

    def get_by_natural_key(self, username: str | None) -> User:
        """Addresses are compared without regard to case."""
        return self.get(email=(username or "").lower())


class User(AbstractUser):
    """A person; what they may do follows from their membership of the current workshop."""

    username = None  # type: ignore[assignment]
    first_name = None  # type: ignore[assignment]
    last_name = None  # type: ignore[assignment]
    email = models.EmailField("e-mail address", unique=True)
    name = models.CharField(max_length=120, blank=True)

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    objects: ClassVar[UserManager] = UserManager()  # type: ignore[assignment]

    membership: Membership | None = None
    """The membership under which this request is made; set at the door, never stored."""

    class Meta:
        default_permissions = ()

    def __str__(self) -> str:
        return self.name or self.email

    def get_full_name(self) -> str:
        return self.name or self.email

    def get_short_name(self) -> str:
        return self.name or self.email
