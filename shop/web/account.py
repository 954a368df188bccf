"""One's own account: name, password, and the tokens with which one's programs sign in."""

from __future__ import annotations

from datetime import datetime, time
from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.forms import PasswordChangeForm
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST, require_safe

from orders.web.access import SIGNED_IN, WorkshopRequest, needs
from orders.web.forms import SheetForm, faults_in
from shop.models import ApiToken
from shop.services.access import memberships_of
from shop.services.tokens import end_token, make_token

SECRET = "new-token"


class NameForm(forms.Form):
    """How others see the person."""

    name = forms.CharField(max_length=120)


class OwnPasswordForm(PasswordChangeForm):
    """The old password, and the new one twice."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["old_password"].widget.attrs.pop("autofocus", None)


class TokenForm(SheetForm):
    """The program that will use the token, and the last day of it."""

    name = forms.CharField(label="Program", max_length=80)
    until = forms.DateField(
        label="Last day",
        required=False,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        help_text="Leave empty for a token that works until it is revoked.",
    )

    def _focus(self) -> None:
        """One of three forms on the page; none takes the focus."""

    def clean_until(self) -> Any:
        """Not a day that has passed."""
        until = self.cleaned_data["until"]
        if until and until < timezone.localdate():
            raise forms.ValidationError("The last day must not have passed.")
        return until

    @property
    def ends_at(self) -> datetime | None:
        """The last instant of that day."""
        until = self.cleaned_data["until"]
        return timezone.make_aware(datetime.combine(until, time.max)) if until else None


@require_safe
@needs(SIGNED_IN)
def account(request: WorkshopRequest) -> HttpResponse:
    """Everything of one's own; a token that was just made is shown this once."""
    return drawn(request, secret=request.session.pop(SECRET, ""))


@require_POST
@needs(SIGNED_IN)
def change_name(request: WorkshopRequest) -> HttpResponse:
    """How others see the person."""
    form = NameForm(request.POST)
    if not form.is_valid():
        return drawn(request, name_form=form)
    request.user.name = form.cleaned_data["name"].strip()
    request.user.save(update_fields=["name"])
    messages.success(request, "Your name is kept.")
    return redirect("account")


@sensitive_post_parameters()
@require_POST
@needs(SIGNED_IN)
def change_password(request: WorkshopRequest) -> HttpResponse:
    """Another password; this browser stays signed in, all others do not."""
    form = OwnPasswordForm(request.user, request.POST)
    if not form.is_valid():
        return drawn(request, password_form=form)
    user = form.save()
    update_session_auth_hash(request, user)
    messages.success(request, "The new password is kept; other browsers are signed out.")
    return redirect("account")


@require_POST
@needs(SIGNED_IN)
def token_add(request: WorkshopRequest) -> HttpResponse:
    """A token for one's program, in this workshop."""
    form = TokenForm(request.POST, workshop=request.workshop)
    if form.is_valid():
        with faults_in(form):
            _, secret = make_token(
                request.membership, form.cleaned_data["name"], ends_at=form.ends_at
            )
            request.session[SECRET] = secret
            return redirect("account")
    return drawn(request, token_form=form)


@require_POST
@needs(SIGNED_IN)
def token_remove(request: WorkshopRequest, pk: int) -> HttpResponse:
    """Revoke one's own token at once."""
    own = ApiToken.objects.of(request.workshop).filter(membership=request.membership)
    token = get_object_or_404(own, pk=pk)
    end_token(token)
    messages.success(request, f"The token “{token}” no longer works.")
    return redirect("account")


def drawn(
    request: WorkshopRequest,
    *,
    name_form: forms.Form | None = None,
    password_form: forms.Form | None = None,
    token_form: forms.Form | None = None,
    secret: str = "",
) -> HttpResponse:
    """The page with its three forms."""
    page = {
        "name_form": name_form or NameForm(initial={"name": request.user.name}),
        "password_form": password_form or OwnPasswordForm(request.user),
        "token_form": token_form or TokenForm(workshop=request.workshop),
        "tokens": ApiToken.objects.filter(membership=request.membership),
        "secret": secret,
        "places": memberships_of(request.user),
    }
    response = render(request, "shop/account.html", page)
    if secret:
        response["Cache-Control"] = "no-store"
    return response
