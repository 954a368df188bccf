"""The letterhead of a workshop: for owners."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from orders.web.access import WorkshopRequest, needs
from orders.web.forms import faults_in, posted, sent_files
from shop.services import letterhead

from .workshop_forms import LetterheadForm


@require_http_methods(["GET", "HEAD", "POST"])
@needs("shop.edit_workshop", zone="workshop")
def letterhead_page(request: WorkshopRequest) -> HttpResponse:
    """Logo, colour, language, country and account."""
    workshop = request.workshop
    form = LetterheadForm(posted(request), sent_files(request), workshop=workshop, row=workshop)
    if form.is_valid():
        values = form.values()
        picture, goes = values.pop("new_logo"), values.pop("takes_logo_away", False)
        with faults_in(form, {"logo": "new_logo"}):
            letterhead.change_letterhead(workshop, version=form.version, **values)
            if picture:
                letterhead.set_logo(workshop, picture.read())
            elif goes:
                letterhead.take_logo_away(workshop)
            messages.success(request, "The letterhead is kept; new papers have it.")
            return redirect("letterhead")
    has_logo = "takes_logo_away" in form.fields
    return render(request, "shop/letterhead.html", {"form": form, "has_logo": has_logo})


@require_safe
@needs("shop.edit_workshop", zone="workshop")
def logo_picture(request: WorkshopRequest) -> HttpResponse:
    """The logo as it is printed."""
    png = letterhead.logo_of(request.workshop)
    if not png:
        raise Http404("There is no logo.")
    return HttpResponse(
        png, content_type="image/png", headers={"Cache-Control": "private, no-cache"}
    )
