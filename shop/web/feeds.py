"""Calendar feeds: making and ending them, and what a calendar reads."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from orders.web.access import WorkshopRequest, needs, open_to_everybody
from shop.models import Hand, Station
from shop.services import feeds


class FeedForm(forms.Form):
    """Whose feed, and what is to be done with it."""

    hand = forms.IntegerField(required=False)
    station = forms.IntegerField(required=False)
    act = forms.ChoiceField(choices=[("make", "make"), ("end", "end")])


@require_http_methods(["GET", "HEAD", "POST"])
@needs("shop.see_own_day", zone="day-sheets")
def feed_list(request: WorkshopRequest) -> HttpResponse:
    """Everybody's feeds, or one's own; sent, one is made or ended."""
    page: dict[str, Any] = {}
    if request.method == "POST":
        form = FeedForm(request.POST)
        if not form.is_valid():
            raise Http404
        whose = whose_of(request, form.cleaned_data["hand"], form.cleaned_data["station"])
        if form.cleaned_data["act"] == "end":
            feeds.end_feed(whose)
            messages.success(request, f"The calendar of {whose} is no longer read from here.")
            return redirect("feeds")
        secret = feeds.make_feed(whose, by=request.user, at=timezone.now())
        address = request.build_absolute_uri(reverse("feed", args=[secret]))
        page = {"whose": whose, "address": address}
    hands = Hand.objects.of(request.workshop).filter(is_in_use=True).select_related("feed")
    if not sees_all(request):
        hands = hands.filter(membership=request.membership)
    stations = Station.objects.of(request.workshop).filter(is_in_use=True).select_related("feed")
    page |= {"hands": hands, "stations": stations if sees_all(request) else ()}
    response = render(request, "shop/feeds.html", page)
    response["Cache-Control"] = "no-store"
    return response


@open_to_everybody
@require_safe
def feed(request: HttpRequest, feed: str) -> HttpResponse:
    """The work of a hand or a station, as a calendar reads it."""
    now = timezone.now()
    found = feeds.feed_of(feed, at=now)
    if found is None:
        raise Http404
    answer = HttpResponse(feeds.written(found, at=now), content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = 'inline; filename="work.ics"'
    answer["Cache-Control"] = "private, max-age=300"
    answer["X-Robots-Tag"] = "noindex"
    return answer


def sees_all(request: WorkshopRequest) -> bool:
    """Whether they may have everybody's."""
    return request.user.has_perm("shop.see_schedule")


def whose_of(request: WorkshopRequest, hand: int | None, station: int | None) -> Hand | Station:
    """The hand or the station that is meant; a hand has only their own."""
    if hand:
        row: Hand = get_object_or_404(Hand.objects.of(request.workshop), pk=hand)
        if row.membership_id != request.membership.pk and not sees_all(request):
            raise PermissionDenied
        return row
    if not sees_all(request):
        raise PermissionDenied
    found: Station = get_object_or_404(Station.objects.of(request.workshop), pk=station or 0)
    return found
