"""Two small pages about the house itself: the pattern page, and the choice of day or night."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.views.decorators.http import require_POST, require_safe

from shop.frame.doors import for_roles
from shop.frame.models import Role
from shop.frame.onward import within_the_house
from shop.frame.themes import THEME_AGE, THEME_COOKIE, THEMES
from shop.premises.patterns import PatternForm, pattern_context
from shop.premises.second_step.session import before_second_step


@require_safe
@for_roles(Role.OWNER)
def house(request: HttpRequest) -> HttpResponse:
    """Show every part of the look with its HTML; `?bench` draws the page as bench pages are drawn."""
    form = PatternForm({"name": "", "line_voltage": "1e309", "class_": "II"})
    form.is_valid()
    base = "base_bench.html" if "bench" in request.GET else "base.html"
    return render(request, "premises/house.html", {"base": base, "form": form, **pattern_context()})


@before_second_step
@require_POST
def set_theme(request: HttpRequest) -> HttpResponse:
    """Keep the chosen theme in a cookie and go back to the page it was chosen on."""
    response = HttpResponseRedirect(within_the_house(request, request.POST.get("back", "")) or "/")
    theme = request.POST.get("theme", "")
    if theme in THEMES:
        response.set_cookie(THEME_COOKIE, theme, max_age=THEME_AGE, samesite="Lax")
    return response
