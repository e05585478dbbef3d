"""What someone sees whose sign-in has ended while a page is open."""

import pytest


@pytest.mark.django_db
def test_a_page_leads_to_the_sign_in_page(client, farm):
    response = client.get(f"/p/{farm.slug}/")
    assert response.status_code == 302
    assert response["Location"].startswith("/sign-in/?next=/p/")


@pytest.mark.django_db
def test_a_part_of_an_open_page_says_so_and_leaves_the_rest(client, farm):
    response = client.post(f"/p/{farm.slug}/blends/figures/", headers={"HX-Request": "true"})
    assert response.status_code == 401
    assert "What you typed is still here" in response.text
    assert "<html" not in response.text
