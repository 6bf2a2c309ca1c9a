"""The page that opens the shop: shown once, to whoever has the code from the terminal."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from shop.opening import code
from shop.opening.actions import open_shop
from shop.opening.forms import CountryForm, OpeningForm, first_guess
from shop.opening.queries import is_open


@sensitive_post_parameters("password", "again")
@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@login_not_required
def opening(request: HttpRequest, offered: str) -> HttpResponse:
    """Show the opening form, or open the shop and sign its owner in."""
    if not code.fits(offered) or is_open():
        raise Http404
    where = CountryForm.asked(request.GET.get("country", ""))
    form = OpeningForm(request.POST or None, initial=first_guess(where["country"].value()))
    if request.method == "POST" and form.is_valid():
        owner = open_shop(
            profile=form.profile,
            username=form.cleaned_data["username"],
            password=form.cleaned_data["password"],
            full_name=form.cleaned_data["full_name"],
            next_numbers=form.next_numbers,
        )
        code.spend()
        login(request, owner)
        messages.success(request, "The shop is open. The first job is booked in at the counter.")
        return redirect("/")
    context = {"form": form, "where": where}
    return render(request, "opening/opening.html", context, status=422 if form.is_bound else 200)
