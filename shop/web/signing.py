"""Coming in and going out: sign-in, sign-out, password reset, the choice of workshop, home."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.contrib.auth import views as auth
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.views.decorators.http import require_http_methods, require_safe

from orders.web.access import SIGNED_IN, WorkshopRequest, declare, needs, open_to_everybody
from shop.core.roles import Role
from shop.services.access import memberships_of

from .middleware import SESSION_KEY


class SignInForm(AuthenticationForm):
    """E-mail address and password."""

    error_messages = {
        "invalid_login": "This e-mail address and password do not belong together. Look at both"
        " again; capitals count in the password.",
        "inactive": "This account is closed. Ask the owner of the workshop.",
    }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.fields["username"].label = "E-mail address"
        self.fields["username"].widget.attrs["autocomplete"] = "username"


sign_in = open_to_everybody(
    auth.LoginView.as_view(
        template_name="shop/sign_in.html",
        authentication_form=SignInForm,
        redirect_authenticated_user=True,
    )
)
sign_out = open_to_everybody(auth.LogoutView.as_view(http_method_names=["post", "options"]))
password_reset = open_to_everybody(
    auth.PasswordResetView.as_view(
        template_name="shop/password_reset.html",
        email_template_name="shop/password_reset_mail.txt",
        subject_template_name="shop/password_reset_subject.txt",
        success_url=reverse_lazy("password-reset-sent"),
    )
)
password_reset_sent = open_to_everybody(
    auth.PasswordResetDoneView.as_view(template_name="shop/password_reset_sent.html")
)
password_reset_set = open_to_everybody(
    auth.PasswordResetConfirmView.as_view(
        template_name="shop/password_reset_set.html",
        success_url=reverse_lazy("sign-in"),
        post_reset_login=False,
    )
)


class ChoiceForm(forms.Form):
    """One of the workshops the person belongs to."""

    workshop = forms.IntegerField()


@require_http_methods(["GET", "HEAD", "POST"])
def choose_workshop(request: HttpRequest) -> HttpResponseBase:
    """The workshops of a person; one of them is the one whose sheets they see."""
    if not request.user.is_authenticated:
        return redirect_to_login(request.get_full_path())
    places = memberships_of(request.user)
    if request.method == "POST":
        form = ChoiceForm(request.POST)
        chosen = form.cleaned_data["workshop"] if form.is_valid() else None
        if chosen in {place.workshop_id for place in places}:
            request.session[SESSION_KEY] = chosen
            return redirect("home")
        messages.error(request, "Choose one of the workshops in the list.")
    return render(request, "shop/choose_workshop.html", {"places": places})


declare(choose_workshop, SIGNED_IN, "")


@require_safe
@needs(SIGNED_IN)
def home(request: WorkshopRequest) -> HttpResponse:
    """The first sheet of the day: the bench for a hand, the commissions for an office."""
    if request.membership.role == Role.HAND:
        return redirect("bench")
    if request.user.has_perm("orders.see_commissions"):
        return redirect("commissions")
    return redirect("wall-chart")
