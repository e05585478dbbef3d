from datetime import date
from decimal import Decimal

import pytest

from blends.models import Blend
from blends.services.blends import archive_blend, copy_blend, new_version, save_blend
from blends.services.orders import choose
from blends.services.seasons import assign, open_season, record_planted
from blends.services.species import add_species
from config.errors import Conflict, Refused


def rates(blend):
    return {row.species.key: row.drilled_pls_lb_per_acre for row in blend.components.all()}


def plan(season, owner, plot, blend):
    assign(season=season, user=owner, assignments=[{"plot_id": plot.pk, "blend_id": blend.pk}])
    return season.plantings.get(plot=plot)


@pytest.fixture
def planted(season, owner, make_plot, make_mixed):
    """A blend that was planted on one plot and is planned on another."""
    blend = make_mixed("Grain", {"oats": ("60", None)})
    record_planted(planting=plan(season, owner, make_plot("North"), blend), on=date(2024, 9, 1), acres=2)
    plan(season, owner, make_plot("South", lon=-92.1), blend)
    return blend


def test_blend_that_was_not_planted_is_changed_in_place(make_mixed):
    blend = make_mixed("Grain", {"oats": ("60", None)})
    changed = make_mixed("Grain", {"cereal_rye": ("50", None)}, blend=blend)
    assert (changed.pk, changed.version, rates(changed)) == (blend.pk, 1, {"cereal_rye": 50})


def test_blend_that_was_planted_stays_and_a_next_version_is_made(planted, make_mixed):
    changed = make_mixed("Grain", {"oats": ("50", None)}, blend=planted)
    assert (changed.version, changed.previous, rates(changed)) == (2, planted, {"oats": 50})
    assert rates(Blend.objects.get(pk=planted.pk)) == {"oats": 60}


def test_next_version_takes_over_what_is_still_planned(planted, season, make_mixed):
    changed = make_mixed("Grain", {"oats": ("50", None)}, blend=planted)
    by_plot = {row.plot.name: row.blend for row in season.plantings.all()}
    assert by_plot == {"North": planted, "South": changed}


def test_saving_a_planted_blend_without_a_change_makes_no_version(planted, make_mixed):
    assert make_mixed("Grain", {"oats": ("60", None)}, blend=planted) == planted
    assert Blend.objects.count() == 1


def test_blend_that_has_a_newer_version_is_not_changed(planted, make_mixed):
    make_mixed("Grain", {"oats": ("50", None)}, blend=planted)
    with pytest.raises(Conflict, match="followed by version 2"):
        make_mixed("Grain", {"oats": ("40", None)}, blend=planted)


def test_next_version_of_a_bought_mix_keeps_the_offer_chosen_for_it(
    season, owner, make_plot, make_bought, make_offer
):
    tag = {"chicory": ("50", "80")}
    bag = make_bought("Bag", "20", tag)
    record_planted(planting=plan(season, owner, make_plot("North"), bag), on=date(2024, 9, 1), acres=2)
    plan(season, owner, make_plot("South", lon=-92.1), bag)
    offer = make_offer(bag, "10", "35.00")
    choose(order=season.order, blend=bag, offer=offer, on_hand_lb=Decimal(3))

    changed = make_bought("Bag", "25", tag, blend=bag)

    choice = season.order.orderchoices.get(blend=changed)
    assert (choice.offer, choice.on_hand_lb) == (offer, 3)


def test_name_of_another_blend_is_refused_whatever_its_case_or_version(planted, make_mixed):
    other = make_mixed("Clover", {"white_clover": ("4", None)})
    for blend in (None, other):
        with pytest.raises(Refused, match="called “grain”"):
            make_mixed("grain", {"oats": ("50", None)}, blend=blend)


def test_species_twice_is_refused(farm, owner, species):
    oats = {"species_id": species("oats").pk}
    with pytest.raises(Refused, match="Oats is in the blend twice"):
        save_blend(property=farm, user=owner, name="Grain", kind="mixed", components=[oats, oats])


def test_shares_of_a_bag_above_100_pct_are_refused(make_bought):
    with pytest.raises(Refused, match=r"add up to 100\.5 %"):
        make_bought("Bag", "20", {"chicory": ("60.5", "80"), "oats": ("40", "90")})


def test_rate_below_zero_is_refused_at_its_field(make_mixed):
    with pytest.raises(Refused) as refused:
        make_mixed("Grain", {"oats": ("60", "-1")})
    assert "Oats, broadcast (PLS lb/ac), is “-1”" in refused.value.sentence
    assert list(refused.value.fields) == ["components.0.broadcast_pls_lb_per_acre"]


def test_another_propertys_species_is_refused(farm, elsewhere, owner, stranger):
    theirs = add_species(property=elsewhere, user=stranger, common_name="Their millet", group="warm_grass")
    with pytest.raises(Refused, match="not in this property's list"):
        save_blend(
            property=farm,
            user=owner,
            name="Grain",
            kind="mixed",
            components=[{"species_id": theirs.pk, "drilled_pls_lb_per_acre": 9}],
        )
    assert not Blend.objects.exists()


def test_another_propertys_blend_is_refused(elsewhere, make_mixed):
    theirs = make_mixed("Grain", {"oats": ("60", None)}, property=elsewhere)
    with pytest.raises(Refused, match="another property"):
        make_mixed("Grain", {"oats": ("50", None)}, blend=theirs)


def test_copy_holds_the_same_under_another_name(owner, make_mixed):
    blend = make_mixed("Grain", {"oats": ("60", "75")})
    copy = copy_blend(blend=blend, user=owner, name="Grain, thin")
    assert (copy.name, copy.version, rates(copy)) == ("Grain, thin", 1, {"oats": 60})


def test_archived_blend_is_not_assigned_any_more(season, owner, make_plot, make_mixed):
    blend = make_mixed("Grain", {"oats": ("60", None)})
    archive_blend(blend=blend)
    with pytest.raises(Refused, match="archived"):
        plan(season, owner, make_plot(), blend)


def test_mark_is_made_from_the_name(make_mixed):
    assert make_mixed("Fall grain", {}).mark == "FG"


def test_opening_a_season_twice_gives_the_same_one(farm, season):
    assert open_season(property=farm, year=2027, kind="cool") == season


def test_next_version_of_an_unplanted_blend_is_the_same_and_leaves_it(make_mixed, owner):
    blend = make_mixed("Grain", {"oats": ("60", None), "cereal_rye": ("20", None)})
    made = new_version(blend=blend, user=owner)
    assert (made.name, made.version, made.previous, made.mark, made.tint) == (
        "Grain",
        2,
        blend,
        "GR",
        blend.tint,
    )
    assert rates(made) == rates(blend) == {"oats": 60, "cereal_rye": 20}


def test_next_version_takes_the_planned_plots_and_leaves_the_planted(planted, season, owner):
    made = new_version(blend=planted, user=owner)
    assert [row.plot.name for row in season.plantings.filter(blend=made)] == ["South"]
    assert [row.plot.name for row in season.plantings.filter(blend=planted)] == ["North"]


def test_version_that_was_followed_gets_no_second_next(make_mixed, owner):
    blend = make_mixed("Grain", {"oats": ("60", None)})
    new_version(blend=blend, user=owner)
    with pytest.raises(Conflict, match="followed by version 2"):
        new_version(blend=blend, user=owner)
