"""How often the pages of properties and imports ask the database."""

from django.urls import reverse


def test_a_page_asks_once_what_the_person_may_do(client, farm, viewer, make_plot, django_assert_num_queries):
    client.force_login(viewer)
    address = reverse("plot", args=[farm.slug, make_plot().pk])
    with django_assert_num_queries(6) as queries:
        client.get(address)
    assert sum("plots_membership" in query["sql"] for query in queries) == 1
