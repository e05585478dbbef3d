"""Protocols: the tool's, what an owner changes of them, the owner's own, and when they are due."""

from datetime import date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from config.errors import Refused
from fieldlog.kinds import KINDS
from fieldlog.models import Protocol, Reading, Visit
from fieldlog.queries.protocols import (
    due_known,
    last_read,
    protocol_of,
    protocols_known,
    protocols_of,
)
from fieldlog.services.protocols import add_protocol, change_protocol, reset_protocol


@pytest.fixture
def change(farm, owner):
    """change(key, **what differs) -> the protocol as it then counts"""

    def change(key, **said):
        now = protocol_of(farm, key)
        stays = {
            name: getattr(now, name)
            for name in ("name", "instructions", "settings", "is_on", "plot_ids", "every_days")
        }
        return change_protocol(property=farm, user=owner, key=key, **stays | said)

    return change


@pytest.fixture
def read(owner):
    """read(plot, kind, day, protocol="") -> a reading of that day"""

    def read(plot, kind, day, protocol="", **more):
        at = timezone.make_aware(datetime(day.year, day.month, day.day, 12))
        visit = Visit.objects.create(plot=plot, visited_at=at, recorded_by=owner)
        return Reading.objects.create(
            visit=visit,
            kind=kind,
            protocol_key=protocol,
            values={"gauge_in": 1},
            taken_at=at,
            recorded_by=owner,
            **more,
        )

    return read


def test_without_a_change_they_are_as_the_tool_has_them(farm):
    rows = protocols_of(farm)
    assert [row.key for row in rows] == list(KINDS)
    assert not any(row.is_changed or row.is_own or row.row for row in rows)
    assert rows[0].settings == KINDS["stand"].defaults


def test_a_change_keeps_what_was_before_with_who_and_when(farm, owner, change):
    change("stand", settings={"row_ft": "5", "method": "row"}, every_days=14)
    now = change("stand", settings={"method": "frame", "frame_ft2": 2})
    assert (now.settings["method"], now.settings["frame_ft2"], now.settings["row_ft"]) == ("frame", 2, 3)
    assert now.is_changed
    first, second = now.row.earlier
    assert (first["by"], first["was"]["settings"]["row_ft"], first["was"]["every_days"]) == (
        owner.shown_name,
        3,
        None,
    )
    assert second["was"]["settings"]["row_ft"] == 5


def test_saving_what_is_there_already_leaves_no_row_and_no_trace(farm, change):
    change("stand")
    assert not Protocol.objects.exists()
    change("stand", every_days=7)
    assert len(change("stand", every_days=7).row.earlier) == 1


def test_plots_that_it_was_for_are_kept_by_name(farm, change, make_plot):
    heron, alder = make_plot("Heron Bench"), make_plot("Alder Creek", lon=-91.99)
    change("rain", plot_ids=[heron.pk, alder.pk])
    now = change("rain", plot_ids=[alder.pk])
    assert now.plot_ids == {alder.pk}
    assert now.row.earlier[-1]["was"] == {"plots": "Alder Creek, Heron Bench"}
    assert change("rain", plot_ids=None).plot_ids is None


def test_taken_back_it_is_the_tools_and_remembers(farm, owner, change):
    change("cover", settings={"method": "estimate"}, is_on=False, name="Residue")
    now = reset_protocol(property=farm, user=owner, key="cover")
    assert not now.is_changed
    assert now.is_on
    assert now.row.earlier[-1]["was"]["settings"]["method"] == "estimate"


def test_an_own_one_stands_beside_the_tools(farm, owner):
    first = add_protocol(property=farm, user=owner, kind="rain", name="Far gauge", every_days=1)
    second = add_protocol(property=farm, user=owner, kind="rain", name="Far  gauge")
    assert (first.key, second.key, second.name) == ("far-gauge", "far-gauge-2", "Far gauge")
    assert [row.key for row in protocols_of(farm)] == [*KINDS, "far-gauge", "far-gauge-2"]
    with pytest.raises(Refused, match="your own"):
        reset_protocol(property=farm, user=owner, key="far-gauge")


def test_no_key_is_taken_for_the_address_of_another_page(farm, owner):
    assert add_protocol(property=farm, user=owner, kind="rain", name="New").key == "new-2"
    assert add_protocol(property=farm, user=owner, kind="rain", name="Rain").key == "rain-2"


@pytest.mark.parametrize(
    ("said", "field", "sentence"),
    [
        ({"name": "  "}, "name", "The name has 0 characters; 1 to 80 are accepted."),
        (
            {"settings": {"row_ft": 0.1}},
            "settings.row_ft",
            "Length of row is 0.1 ft; a number from 0.5 to 100 ft is accepted.",
        ),
        ({"settings": {"method": "guess"}}, "settings.method", "Count is 'guess'; accepted are row, frame."),
        ({"settings": {"size": 3}}, "settings.size", "Stand count does not ask for 'size'"),
        ({"every_days": 0}, "every_days", "How often is every 0 days; every 1 to 366 are accepted."),
        ({"plot_ids": [987654]}, "plots", "There is no plot 987654 here"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(change, said, field, sentence):
    with pytest.raises(Refused) as refused:
        change("stand", **said)
    assert refused.value.fields[field][0].startswith(sentence)
    assert not Protocol.objects.exists()


def test_a_plot_of_another_property_cannot_be_named(change, elsewhere, make_plot):
    with pytest.raises(Refused):
        change("stand", plot_ids=[make_plot("Across", property=elsewhere).pk])


def test_what_is_off_is_not_asked(farm, change):
    change("soil", is_on=False)
    assert "soil" not in {each["key"] for each in protocols_known(protocols_of(farm))}


def test_a_phone_gets_instructions_only_where_they_are_not_the_kinds(farm, change):
    change("rain", instructions="Read it at the barn first.")
    known = {each["key"]: each["instructions"] for each in protocols_known(protocols_of(farm))}
    assert known.pop("rain") == "Read it at the barn first."
    assert set(known.values()) == {""}


def test_the_steps_follow_the_settings(farm, change):
    assert [step.name for step in protocol_of(farm, "browse").steps] == ["heights", "species"]
    now = change("browse", settings={"method": "weight"})
    assert [step.name for step in now.steps] == ["weights", "weighed", "species"]
    assert "count" in [step.name for step in protocol_of(farm, "found").steps]


TODAY = date(2026, 7, 20)


def test_due_is_what_was_not_read_for_so_many_days(farm, change, make_plot, read):
    heron, alder, cedar = (
        make_plot(name, lon=-92 + n / 50) for n, name in enumerate(("Heron", "Alder", "Cedar"))
    )
    change("rain", every_days=7)
    change("soil", every_days=30, plot_ids=[alder.pk])
    read(heron, "rain", TODAY - timedelta(days=6))
    read(cedar, "rain", TODAY - timedelta(days=7))
    assert due_known(farm, protocols_of(farm), TODAY) == {alder.pk: ["soil", "rain"], cedar.pk: ["rain"]}


def test_a_reading_of_one_gauge_is_none_of_the_other(farm, owner, change, make_plot, read):
    plot = make_plot()
    change("rain", every_days=7)
    far = add_protocol(property=farm, user=owner, kind="rain", name="Far gauge", every_days=7)
    read(plot, "rain", TODAY, protocol="rain")
    assert due_known(farm, protocols_of(farm), TODAY) == {plot.pk: [far.key]}
    assert last_read(farm) == {(plot.pk, "rain"): TODAY}


def test_a_struck_reading_leaves_it_due(farm, change, make_plot, read):
    plot = make_plot()
    change("rain", every_days=7)
    read(plot, "rain", TODAY, struck_at=timezone.now())
    assert due_known(farm, protocols_of(farm), TODAY) == {plot.pk: ["rain"]}


def test_more_plots_and_protocols_take_no_more_queries(farm, owner, make_plot):
    def count():
        with CaptureQueriesContext(connection) as asked:
            due_known(farm, protocols_of(farm), TODAY)
        return len(asked)

    plots = [make_plot(f"Plot {n}", lon=-92 + n / 50) for n in range(6)]
    add_protocol(property=farm, user=owner, kind="rain", name="A", every_days=3, plot_ids=[plots[0].pk])
    few = count()
    for name in "BCDE":
        ids = [plot.pk for plot in plots]
        add_protocol(property=farm, user=owner, kind="rain", name=name, every_days=3, plot_ids=ids)
    assert count() == few <= 4


# --- pages --------------------------------------------------------------------------------------------------


@pytest.fixture
def post(client, farm, owner):
    def post(key, **said):
        client.force_login(owner)
        form = {"name": "Stand count", "where": "all", "is_on": "on", "set_method": "row"} | said
        return client.post(reverse("protocol-edit", args=[farm.slug, key]), form)

    return post


def test_the_list_says_what_each_asks_and_lets_the_owner_change_it(client, farm, owner, viewer, change):
    change("soil", is_on=False)
    client.force_login(owner)
    page = client.get(reverse("protocols", args=[farm.slug])).text
    assert all(kind.title in page for kind in KINDS.values())
    assert "Minutes until the water had gone in" in page
    assert reverse("protocol-edit", args=[farm.slug, "soil"]) in page
    client.force_login(viewer)
    page = client.get(reverse("protocols", args=[farm.slug])).text
    assert "Stand count" in page
    assert "/protocols/soil/" not in page


def test_the_form_changes_settings_plots_and_days(post, farm, make_plot):
    plot = make_plot()
    answer = post(
        "stand",
        set_method="frame",
        set_frame_ft2="2,5",
        set_by_species="on",
        where="some",
        plots=[plot.pk],
        every_days="10",
    )
    assert answer.status_code == 302
    now = protocol_of(farm, "stand")
    assert (now.settings["frame_ft2"], now.settings["by_species"]) == (2.5, True)
    assert (now.plot_ids, now.every_days) == ({plot.pk}, 10)
    assert now.instructions == KINDS["stand"].instructions


def test_what_was_typed_wrongly_stays_with_its_sentence(post):
    answer = post("stand", set_row_ft="9999", name="Ours")
    assert answer.status_code == 200
    assert "Length of row is 9999 ft; a number from 0.5 to 100 ft is accepted." in answer.text
    assert 'value="9999"' in answer.text
    assert 'value="Ours"' in answer.text


def test_some_plots_means_at_least_one(post):
    assert "No plot is ticked" in post("stand", where="some").text


def test_the_button_takes_it_back(post, farm, change):
    change("stand", every_days=7)
    assert post("stand", act="reset").status_code == 302
    assert not protocol_of(farm, "stand").is_changed


def test_the_page_says_in_words_what_it_was_before(client, farm, owner, change):
    change("stand", settings={"method": "frame"})
    client.force_login(owner)
    page = client.get(reverse("protocol-edit", args=[farm.slug, "stand"])).text
    assert "count was <q>Along a length of row</q>" in page


def test_a_protocol_that_is_not_there_is_not_found(client, farm, owner):
    client.force_login(owner)
    assert client.get(reverse("protocol-edit", args=[farm.slug, "nothing"])).status_code == 404
    assert client.get(reverse("protocol-new", args=[farm.slug]) + "?kind=nothing").status_code == 302


# --- API ----------------------------------------------------------------------------------------------------


def test_the_api_changes_what_is_sent_and_leaves_the_rest(client, farm, owner, change):
    change("rain", every_days=7, name="Gauge at the barn")
    client.force_login(owner)
    address = reverse("api-protocol", args=[farm.slug, "rain"])
    answer = client.put(address, {"every_days": None}, content_type="application/json")
    assert answer.status_code == 200
    said = answer.json()
    assert (said["name"], said["every_days"], said["plot_ids"], said["is_changed"]) == (
        "Gauge at the barn",
        None,
        None,
        True,
    )
    assert said["asks"] == ["Rain in the gauge", "Days since it was emptied", "High", "Low"]


def test_the_api_refuses_in_its_shape(client, farm, owner):
    client.force_login(owner)
    address = reverse("api-protocol", args=[farm.slug, "stand"])
    answer = client.put(address, {"settings": {"row_ft": "far"}}, content_type="application/json")
    assert answer.status_code == 400
    error = answer.json()["error"]
    assert error["fields"] == {
        "settings.row_ft": ["Length of row is 'far'; a number from 0.5 to 100 ft is accepted."]
    }


def test_the_api_adds_one(client, farm, owner):
    client.force_login(owner)
    address = reverse("api-protocols", args=[farm.slug])
    answer = client.post(address, {"kind": "rain", "name": "Far gauge"}, content_type="application/json")
    assert (answer.status_code, answer.json()["key"]) == (201, "far-gauge")
    assert client.get(address).json()["count"] == len(KINDS) + 1
    nameless = client.post(address, {"name": "Far gauge"}, content_type="application/json")
    assert nameless.status_code == 400
    assert "The kind of reading is ''" in nameless.json()["error"]["message"]
