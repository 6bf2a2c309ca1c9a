"""The doors of the window."""

from __future__ import annotations

from django.urls import path, register_converter
from django.urls.converters import StringConverter

from shop.window.views import customer, shop_side


class SecretConverter(StringConverter):
    """A key's secret; shorter things in its place are pages of the shop's own."""

    regex = "[A-Za-z0-9_-]{20,80}"


register_converter(SecretConverter, "secret")

app_name = "window"
urlpatterns = [
    path("<secret:secret>/", customer.open_page, name="open"),
    path("<secret:secret>/answer/", customer.answer, name="answer"),
    path("<secret:secret>/withdraw/", customer.withdraw_contract, name="withdraw_contract"),
    path("<secret:secret>/word/", customer.say_word, name="say_word"),
    path("<secret:secret>/papers/<int:pk>/", customer.paper, name="paper"),
    path("<secret:secret>/pictures/<int:pk>/<slug:size>/", customer.picture, name="picture"),
    path("of/<str:number>/link/", shop_side.give_key, name="give_key"),
    path("of/<str:number>/withdraw/", shop_side.withdraw, name="withdraw"),
    path("of/<str:number>/reply/", shop_side.reply, name="reply"),
    path("of/<str:number>/seen/", shop_side.seen, name="seen"),
]
