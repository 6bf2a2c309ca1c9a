"""Customers: finding one, adding one, putting one right."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from shop.counter import actions, queries
from shop.counter.forms import CustomerForm, NewCustomerForm
from shop.counter.models import Customer
from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.models import Role
from shop.frame.sorting import MOST, sorted_by

at_the_counter = for_roles(Role.COUNTER)

COLUMNS: dict[str, Callable[[Customer], Any]] = {
    "name": str,
    "phone": lambda one: one.phone,
    "email": lambda one: one.email,
    "added": lambda one: one.pk,
}
"""How a customer stands in each column of the list."""


@require_safe
@at_the_counter
def customers(request: StaffRequest) -> HttpResponse:
    """Find a customer by name, phone or a part of either; without a word, those added last."""
    who = request.GET.get("who", "").strip()
    found = (
        queries.find_customers(who, limit=30)
        if who
        else list(queries.known_customers().order_by("-id")[:MOST])
    )
    template = (
        "counter/parts/customer_list.html"
        if request.headers.get("HX-Target") == "customer-list"
        else "counter/customers.html"
    )
    return render(request, template, {"who": who, "order": sorted_by(request.GET, found, COLUMNS)})


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_counter
def add_customer(request: StaffRequest) -> HttpResponseBase:
    """Write a new customer down; a likely double is offered first, not forced. `?expected`: to announce a parcel next."""
    next_step = "counter:announce_for" if "expected" in request.GET else "counter:book_in_for"
    form = NewCustomerForm(request.POST or None, initial={"name": request.GET.get("name", "")})
    return joint.answer(
        request,
        form,
        lambda key: actions.add_customer(**form.details(), by=request.user, once_key=key),
        then=lambda made: reverse(next_step, args=[made]),
        page=lambda: _new_customer_page(request, form, next_step),
    )


def _new_customer_page(request: StaffRequest, form: NewCustomerForm, next_step: str) -> HttpResponse:
    context = {"form": form, "doubles": form.doubles, "next_step": next_step}
    return render(request, "counter/add_customer.html", context, status=422 if form.is_bound else 200)


@require_safe
@at_the_counter
def customer(request: StaffRequest, pk: int) -> HttpResponse:
    """One customer: how to reach them, their units and jobs."""
    who = get_object_or_404(Customer, pk=pk)
    context = {
        "customer": who,
        "units": queries.units_of(who)[:50],
        "jobs": queries.jobs_of(who)[:50],
    }
    return render(request, "counter/customer.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_counter
def change_customer(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Put what is known of a customer right."""
    who = get_object_or_404(queries.known_customers(), pk=pk)
    initial = {name: getattr(who, name) for name in CustomerForm.base_fields if hasattr(who, name)}
    form = CustomerForm(request.POST or None, initial=initial)
    return joint.answer(
        request,
        form,
        lambda key: actions.change_customer(customer=who, **form.details(), by=request.user, once_key=key),
        then=reverse("counter:customer", args=[who.pk]),
        said="Corrected.",
        page=lambda: _customer_form_page(request, who, form),
    )


def _customer_form_page(request: StaffRequest, who: Customer, form: CustomerForm) -> HttpResponse:
    return render(
        request,
        "counter/change_customer.html",
        {"form": form, "customer": who},
        status=422 if form.is_bound else 200,
    )
