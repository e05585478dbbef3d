"""Suppliers with their terms and price lists: pages and API."""

from blends.services.listed_offers import store_list
from blends.services.price_lists import answer_names, receive_list
from blends.services.species import add_species
from blends.services.suppliers import add_supplier
from tests.isolation import COSTS, EDITORS, Row

TABLE = "Seed,Bag,Price\nHill oats,50,22\nSomething else,50,30"

ROWS = [
    Row("suppliers", "GET", COSTS),
    Row("suppliers", "POST", EDITORS, 302, body={"name": "Another mill"}),
    Row("supplier", "GET", COSTS),
    Row("supplier", "POST", EDITORS, 302, body={"act": "archive"}),
    Row("price-list-new", "GET", EDITORS),
    Row("price-list-new", "POST", EDITORS, 302, body={"supplier_name": "Mill", "text": TABLE}),
    Row("price-list", "GET", EDITORS),
    Row("price-list", "POST", EDITORS, 302, body={"act": "store"}),
    Row("api-supplier", "GET", COSTS),
    Row("api-supplier", "PATCH", EDITORS, body={"contact": "by telephone"}),
    Row("api-offer", "PATCH", EDITORS, body={"is_withdrawn": True}),
    Row("api-price-lists", "GET", EDITORS),
    Row("api-price-lists", "POST", EDITORS, 400),
    Row("api-price-list", "GET", EDITORS),
    Row("api-price-list", "PATCH", EDITORS, body={}),
    Row("api-price-list-accept", "POST", EDITORS),
    Row("api-price-list-take-back", "POST", EDITORS, named={"list_id": "stored_list_id"}),
]


def things(farm, owner):
    supplier = add_supplier(property=farm, name="Hill mill")
    oats = add_species(property=farm, user=owner, common_name="Hill oats", group="cool_grass")
    answer_names(property=farm, answers={"Hill oats": oats})
    lists = [receive_list(property=farm, user=owner, supplier=supplier, text=TABLE) for _ in range(2)]
    store_list(price_list=lists[1])
    return {"supplier_id": supplier.pk, "list_id": lists[0].pk, "stored_list_id": lists[1].pk}
