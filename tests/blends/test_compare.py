"""Blends side by side."""

import re
from html import unescape

import pytest
from django.urls import reverse

from blends.services.blends import archive_blend, save_blend
from tests.blends.pages import signed_in, words


@pytest.fixture
def blends(make_mixed):
    return [
        make_mixed("Grain", {"cereal_rye": ("45", "75"), "oats": ("50", None)}),
        make_mixed("Clover", {"cereal_rye": ("20", None), "crimson_clover": ("10", None)}),
        make_mixed("Vetch", {"hairy_vetch": ("20", None)}),
        make_mixed("Peas", {"austrian_winter_pea": ("50", None)}),
        make_mixed("Roots", {"forage_radish": ("8", None)}),
    ]


def compare(user, farm, blends, **query):
    query = {"blend": [getattr(blend, "pk", blend) for blend in blends]} | query
    return signed_in(user).get(reverse("blends-compare", args=[farm.slug]), query)


def row_of(response, head):
    """The cells of a row of the comparison."""
    text = response.content.decode()
    row = next(part for part in text.split("<tr")[1:] if f'<th scope="row">{head}</th>' in part)
    return [" ".join(words_of(cell).split()) for cell in row.split("<td")[1:]]


def words_of(html):
    return unescape(re.sub(r"<[^>]*>", " ", html.split(">", 1)[1]))


def test_figures_stand_side_by_side_in_the_order_asked(owner, farm, blends):
    """By hand: 45 ÷ 90 + 50 ÷ 100 = 100 %; 20 ÷ 90 + 10 ÷ 16.5 = 83 %."""
    response = compare(owner, farm, [blends[1], blends[0]])
    assert row_of(response, "Of full rates") == ["83 %", "100 %"]
    assert row_of(response, "Pure live seed") == ["30.00 lb/ac", "95.00 lb/ac"]


def test_species_that_only_some_have_are_told_apart(owner, farm, blends):
    response = compare(owner, farm, blends[:2])
    assert row_of(response, "Oats")[1] == "without"
    assert row_of(response, "Crimson clover")[0] == "without"
    html = response.content.decode()
    differing = [part.split("</th>")[0].rsplit(">", 1)[1] for part in html.split('class="differs"')[1:]]
    assert differing == ["Crimson clover", "Oats"]


def test_species_without_a_rate_is_said_to_have_none(owner, farm, make_mixed):
    blend = make_mixed("Half", {"oats": ("50", None), "cereal_rye": (None, None)})
    response = compare(owner, farm, [blend])
    assert row_of(response, "Cereal rye") == ["rate not known"]
    assert row_of(response, "Pure live seed") == ["– not known"]


def test_no_more_than_four_are_shown_and_that_is_said(owner, farm, blends):
    response = compare(owner, farm, blends)
    assert [column.blend for column in response.context["columns"]] == blends[:4]
    assert "1 more was chosen; 4 are shown." in words(response)


def test_nothing_chosen_asks_what_to_compare(owner, farm, blends):
    assert "Choose what to compare" in words(compare(owner, farm, []))


def test_one_blend_asks_for_another(owner, farm, blends):
    assert "Choose another to set beside it." in words(compare(owner, farm, blends[:1]))


def test_blend_of_another_property_is_passed_over(owner, farm, elsewhere, stranger, blends, species):
    theirs = save_blend(
        property=elsewhere,
        user=stranger,
        name="Secret",
        kind="mixed",
        components=[{"species_id": species("oats").pk}],
    )
    response = compare(owner, farm, [blends[0], theirs])
    assert "Secret" not in response.content.decode()


@pytest.mark.parametrize("asked", ["x", "-1", "999999999999999999", ""])
def test_what_is_no_blend_is_passed_over(owner, farm, blends, asked):
    response = compare(owner, farm, [asked, blends[0]])
    assert [column.blend for column in response.context["columns"]] == blends[:1]


def test_blend_that_was_put_away_can_still_be_compared(owner, farm, blends):
    archive_blend(blend=blends[0])
    response = compare(owner, farm, blends[:2])
    assert row_of(response, "Of full rates") == ["100 %", "83 %"]
    assert f'value="{blends[0].pk}" checked' in response.content.decode()


def test_objective_moves_the_zone_for_all(owner, farm, blends):
    text = words(compare(owner, farm, blends[:2], objective="hold_weeds"))
    assert "Hold weeds wants above 30" in text
    assert text.count("what holds weeds (above 30)") == 2


def test_recorder_compares_without_costs(recorder, farm, small_property):
    text = compare(recorder, farm, farm.blends.all()).content.decode().lower()
    assert "$" not in text
    assert "cost" not in text


def test_every_picture_has_an_id_of_its_own(owner, farm, blends):
    ids = re.findall(r'\bid="([^"]+)"', compare(owner, farm, blends[:4]).content.decode())
    assert len(ids) == len(set(ids))


def test_list_offers_to_compare(owner, farm, blends):
    text = words(signed_in(owner).get(reverse("blends", args=[farm.slug])))
    assert "Compare Grain" in text
    assert "Compare what is ticked up to 4" in text
