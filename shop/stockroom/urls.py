"""The doors of the stockroom."""

from __future__ import annotations

from django.urls import path

from shop.stockroom.views import devices, labels, orders, parts, stock_take, suppliers

app_name = "stockroom"
urlpatterns = [
    path("", parts.parts, name="parts"),
    path("parts/add/", parts.add_part, name="add_part"),
    path("parts/<int:pk>/", parts.part, name="part"),
    path("parts/<int:pk>/change/", parts.change_part, name="change_part"),
    path("parts/<int:pk>/receive/", parts.receive, name="receive"),
    path("parts/<int:pk>/salvage/", parts.salvage, name="salvage"),
    path("parts/<int:pk>/scrap/", parts.scrap, name="scrap"),
    path("parts/<int:pk>/count/", parts.count, name="count"),
    path("parts/<int:pk>/numbers/", parts.add_number, name="add_number"),
    path("numbers/<int:pk>/take-away/", parts.forget_number, name="forget_number"),
    path("parts/<int:pk>/pictures/", parts.keep_pictures, name="keep_pictures"),
    path("parts/<int:pk>/substitutes/", parts.allow_substitute, name="allow_substitute"),
    path("substitutes/<int:pk>/withdraw/", parts.withdraw_substitute, name="withdraw_substitute"),
    path("parts/<int:pk>/retire/", parts.retire, name="retire"),
    path("parts/<int:pk>/bring-back/", parts.bring_back, name="bring_back"),
    path("parts/<int:pk>/devices/", devices.devices, name="devices"),
    path("parts/<int:pk>/devices/keep/", devices.keep_device, name="keep_device"),
    path("parts/<int:pk>/devices/fit/", devices.fit_devices, name="fit_devices"),
    path("devices/<int:pk>/discard/", devices.discard_device, name="discard_device"),
    path("count/", stock_take.stock_take, name="stock_take"),
    path("count/drawer/", stock_take.count_drawer, name="count_drawer"),
    path("to-order/", orders.order_list, name="order_list"),
    path("to-order/<str:sheet>/open/", orders.open_order, name="open_order"),
    path("wanted/<int:pk>/came/", orders.note_came, name="note_came"),
    path("wanted/<int:pk>/drop/", orders.drop_want, name="drop_want"),
    path("orders/", orders.orders, name="orders"),
    path("orders/<int:pk>/", orders.order, name="order"),
    path("orders/<int:pk>/lines/", orders.add_line, name="add_line"),
    path("orders/<int:pk>/send/", orders.send_order, name="send_order"),
    path("orders/<int:pk>/delivery/", orders.receive_delivery, name="receive_delivery"),
    path("orders/<int:pk>/close/", orders.close_order, name="close_order"),
    path("lines/<int:pk>/change/", orders.change_line, name="change_line"),
    path("lines/<int:pk>/take-off/", orders.take_line_off, name="take_line_off"),
    path("lines/<int:pk>/give-up/", orders.give_up_line, name="give_up_line"),
    path("labels/", labels.labels, name="labels"),
    path("labels/print/", labels.print_labels, name="print_labels"),
    path("labels/outlines/", labels.print_outlines, name="print_outlines"),
    path("labels/set/", labels.set_labels, name="set_labels"),
    path("suppliers/", suppliers.suppliers, name="suppliers"),
    path("suppliers/add/", suppliers.add_supplier, name="add_supplier"),
    path("suppliers/<int:pk>/", suppliers.supplier, name="supplier"),
    path("prices/", suppliers.prices, name="prices"),
    path("prices/<int:pk>/withdraw/", suppliers.withdraw_price_rule, name="withdraw_price_rule"),
]
