"""The cautions, and the heat as a phone looks it up."""

import numpy as np
import pytest
from django.urls import reverse

from fieldlog.calc.heat import BANDS, heat_index_f
from fieldlog.kinds import KINDS
from fieldlog.models import WorkItem
from fieldlog.safety import BY_KEY, CAUTIONS, FOR_WORK, heat_known, safety_known


def test_every_caution_says_when_what_and_what_it_rests_on():
    assert len(BY_KEY) == len(CAUTIONS)
    for each in CAUTIONS:
        assert all([each.title, each.when, each.says, each.sources])
        assert all(sentence.endswith(".") and len(sentence) < 260 for sentence in each.says), each.key


def test_kinds_of_reading_and_of_work_name_cautions_that_are_there():
    named = {key for kind in KINDS.values() for key in kind.cautions}
    named |= {key for keys in FOR_WORK.values() for key in keys}
    assert named <= set(BY_KEY)
    assert set(FOR_WORK) <= set(WorkItem.Kind.values)


def test_a_phone_never_looks_up_less_than_the_formula_gives():
    table = heat_known()
    temps, damp = np.array(table["temps_f"]), np.array(table["humidities_pct"])
    index = np.array(table["index_f"])
    assert index.shape == (len(temps), len(damp))
    rng = np.random.default_rng(7)
    for temp, humidity in zip(rng.uniform(70, 120, 400), rng.uniform(0, 100, 400), strict=True):
        looked_up = index[np.argmax(temps >= temp), np.argmax(damp >= humidity)]
        assert looked_up >= heat_index_f(temp, humidity)


def test_the_table_rises_with_the_air_and_the_damp():
    index = np.array(heat_known()["index_f"])
    assert (np.diff(index, axis=0) >= 0).all()
    assert (np.diff(index, axis=1) >= 0).all()


def test_the_phone_is_given_the_bands_and_the_work_of_each_caution():
    known = {each["key"]: each for each in safety_known()}
    assert [band["key"] for band in known["heat"]["table"]["bands"]] == [band.key for band in BANDS]
    assert "pull" in known["skin"]["work"]
    assert "table" not in known["ticks"]


@pytest.mark.parametrize("caution", CAUTIONS, ids=lambda each: each.key)
def test_the_page_shows_each_with_its_source(client, farm, viewer, caution):
    client.force_login(viewer)
    page = client.get(reverse("safety", args=[farm.slug])).content.decode()
    assert f'id="{caution.key}"' in page
    assert caution.sources[0].title in page
