"""Lengths and weights of parcels in the shop's measure."""

from __future__ import annotations

from django import template

from shop.dispatch.measures import length, weight

register = template.Library()
register.filter("parcel_length", length)
register.filter("parcel_weight", weight)
