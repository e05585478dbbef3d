"""The pages of machines, and the same by the API."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from blends.models import Calibration, Machine
from blends.services.machines import record_calibration, save_machine, set_boxes
from tests.blends.pages import signed_in, words

TYPED = {
    "name": "Old drill",
    "kind": "drill",
    "openers": "12",
    "spacing_in": "7.5",
    "main_box_ft3": "12",
    "small_box_ft3": "2",
    "setting_low": "0",
    "setting_high": "80",
    "course_ft": "150",
}
CAUGHT = {
    "seed": "", "box": "main", "setting": "30", "gear": "", "course_ft": "150", "rows_per_catch": "1",
    "calibrated_on": "2024-09-01", "catch-0": "38", "catch-1": "40", "catch-2": "42", "catch-3": "",
}  # fmt: skip
MOST_QUERIES = 26


@pytest.fixture
def drill(farm, owner):
    values = {name: Decimal(text) for name, text in TYPED.items() if name not in ("name", "kind")}
    return save_machine(property=farm, user=owner, name="Old drill", kind="drill", **values)


@pytest.fixture
def catch(drill, owner):
    def make(setting, grams, **values):
        return record_calibration(
            machine=drill,
            user=owner,
            setting=Decimal(setting),
            caught_g=[grams],
            course_ft=Decimal(150),
            **values,
        )

    return make


@pytest.fixture
def see(farm):
    def see(person, route, *args, query=""):
        response = signed_in(person).get(reverse(route, args=[farm.slug, *args]) + query)
        assert response.status_code == 200
        return response

    return see


@pytest.fixture
def post(farm):
    def post(person, route, *args, **body):
        return signed_in(person).post(reverse(route, args=[farm.slug, *args]), body, follow=True)

    return post


def test_without_a_machine_the_page_says_what_one_is_for(see, viewer, manager):
    assert "No machine yet" in words(see(viewer, "machines"))
    assert "Add a machine" not in words(see(viewer, "machines"))
    assert "Add a machine" in words(see(manager, "machines"))


def test_a_machine_is_added_and_changed(post, see, manager):
    page = words(post(manager, "machine-new", **TYPED))
    machine = Machine.objects.get()
    assert "Old drill is kept." in page
    assert "12 openers 7.5 in apart" in page
    form = see(manager, "machine-edit", machine.pk).content.decode()
    assert 'value="7.5"' in form
    assert "is kept" in words(post(manager, "machine-edit", machine.pk, **TYPED | {"openers": "13"}))
    machine.refresh_from_db()
    assert machine.openers == 13


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"name": ""}, "The machine needs a name."),
        ({"openers": "many"}, "many is not accepted; a whole number from 1 to 200 is."),
        ({"swath_ft": "20"}, "a drill's width comes from its openers"),
        ({"setting_low": "90"}, "accepted is above the lowest, 90."),
    ],
)
def test_what_a_machine_cannot_be_is_said_and_stays_typed(post, manager, values, said):
    page = post(manager, "machine-new", **TYPED | {"note": "Greased in March"} | values)
    assert said in words(page)
    assert "Greased in March" in page.content.decode()
    assert not Machine.objects.exists()


def test_put_away_and_taken_back(post, see, manager, drill):
    assert "is put away" in words(post(manager, "machine-edit", drill.pk, act="archive"))
    assert "Old drill" not in words(see(manager, "machines"))
    assert "Old drill" in words(see(manager, "machines", query="?archived"))
    assert "is in use again" in words(post(manager, "machine-edit", drill.pk, act="unarchive"))


def test_an_intern_calibrates_and_strikes_only_their_own(post, see, recorder, drill, catch):
    theirs = catch(20, 30)
    page = words(post(recorder, "calibrate", drill.pk, act="save", **CAUGHT))
    assert "Kept: setting 30 delivered 41.0 lb/ac." in page
    row = drill.calibrations.get(created_by=recorder)
    assert row.caught_g == ["38.00", "40.00", "42.00"]
    strikes = see(recorder, "machine", drill.pk).content.decode()
    assert reverse("calibration", args=[drill.property.slug, drill.pk, row.pk]) in strikes
    assert reverse("calibration", args=[drill.property.slug, drill.pk, theirs.pk]) not in strikes
    assert "is struck: it stays" in words(post(recorder, "calibration", drill.pk, row.pk, act="strike"))
    assert "counts again" in words(post(recorder, "calibration", drill.pk, row.pk, act="unstrike"))


def test_figures_follow_the_typing_and_nothing_is_kept(post, recorder, drill):
    said = words(post(recorder, "calibrate-figures", drill.pk, **CAUGHT | {"wanted": "50"}))
    assert "Delivered, mean of 3 41.0 lb/ac" in said
    assert "−18 % of the 50.0 wanted" in said
    assert "Catches apart 10 % 38.9 to 43.0 lb/ac" in said
    assert "A catch should weigh 48.8 g" in said  # 50 × 0.976 g for each lb/ac at 7.5 in over 150 ft
    assert not Calibration.objects.exists()


def test_catches_far_apart_are_warned_of(post, recorder, drill):
    said = words(post(recorder, "calibrate-figures", drill.pk, **CAUGHT | {"catch-2": "0"}))
    assert "Look for a plugged, worn or leaking opener" in said


def test_the_next_setting_counts_what_was_just_caught(post, recorder, drill, species):
    seed = f"species:{species('oats').pk}"
    said = words(post(recorder, "calibrate-figures", drill.pk, **CAUGHT | {"wanted": "61.45", "seed": seed}))
    assert "Try next 45.0" in said
    assert "not known from one setting" in said


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"catch-0": "", "catch-1": "", "catch-2": ""}, "No catch is given"),
        ({"catch-1": "lots"}, "lots is not accepted"),
        ({"setting": "81"}, "Old drill takes 0 to 80."),
        ({"calibrated_on": "2999-01-01"}, "accepted is today or a day before"),
        ({"course_ft": ""}, "A number from 1 to 5280 with at most 1 decimals is needed."),
    ],
)
def test_a_calibration_that_cannot_be_is_said_and_stays_typed(post, recorder, drill, values, said):
    page = post(recorder, "calibrate", drill.pk, act="save", **CAUGHT | {"note": "Windy"} | values)
    assert said in words(page)
    assert "Windy" in page.content.decode()
    assert not Calibration.objects.exists()


def test_more_catches_are_given_and_keep_what_was_typed(post, recorder, drill):
    page = post(recorder, "calibrate", drill.pk, act="more", **CAUGHT).content.decode()
    assert 'name="catch-7"' in page
    assert 'value="42"' in page


def test_catching_again_keeps_the_seed(post, recorder, drill, species):
    seed = f"species:{species('oats').pk}"
    page = post(recorder, "calibrate", drill.pk, again="yes", **CAUGHT | {"seed": seed, "gear": "high"})
    assert (
        page.request["QUERY_STRING"]
        == f"seed=species%3A{species('oats').pk}&box=main&gear=high&rows_per_catch=1"
    )
    assert Calibration.objects.count() == 1


def test_the_next_blend_shows_setting_range_and_catch(see, viewer, drill, catch, make_mixed, species):
    for setting, grams in ((20, 30), (40, 62), (60, 89)):
        catch(setting, grams, species=species("oats"))
    grain = make_mixed("Grain", {"oats": ("60", None), "crimson_clover": ("5", None)})
    page = words(see(viewer, "machine", drill.pk, query=f"?blend={grain.pk}"))
    assert "To deliver 72.03 bulk lb/ac" in page
    assert "One row catches 70.3 g in 150 ft" in page
    assert "9 times in 10 between" in page
    assert "From 3 calibrations, by cubic feet of any seed in this box." in page
    assert "No calibration of this box can be used for it" in page  # the small-seed box
    assert "Catch it" not in page  # a viewer does not record
    assert "Treated seed: gloves on" in page
    assert "Engine off, machine blocked" in page


def test_the_picture_tells_what_it_draws(see, viewer, drill, catch, species):
    for setting, grams in ((20, 30), (40, 62), (60, 89)):
        catch(setting, grams, species=species("oats"))
    page = see(viewer, "machine", drill.pk).content.decode()
    assert "Setting 20 delivered 30.7 lb/ac; setting 40 delivered 63.5 lb/ac" in page
    assert page.count("<svg") == 1


def test_boxes_are_chosen(post, see, manager, drill, species):
    clover = species("crimson_clover")
    page = words(post(manager, "machine-boxes", drill.pk, **{f"species-{clover.pk}-box": "main"}))
    assert "Boxes are kept: 1 changed." in page
    assert "Crimson clover: seed box" in page
    assert "Boxes are kept: 1 changed." in words(post(manager, "machine-boxes", drill.pk))


def test_names_and_notes_are_escaped(post, see, manager, drill, catch):
    post(manager, "machine-edit", drill.pk, **TYPED | {"name": "<b>Drill</b>", "note": "<script>1</script>"})
    catch(20, 30, note="<script>2</script>", gear="<i>")
    page = see(manager, "machine", drill.pk).content.decode()
    assert "<script>1" not in page
    assert "<script>2" not in page
    assert "<i>" not in page


def test_a_blend_of_another_property_is_not_found(viewer, farm, elsewhere, drill, make_mixed):
    theirs = make_mixed("Theirs", {"oats": ("60", None)}, property=elsewhere)
    page = signed_in(viewer).get(reverse("machine", args=[farm.slug, drill.pk]) + f"?blend={theirs.pk}")
    assert page.status_code == 200
    assert "Theirs" not in page.content.decode()
    api = signed_in(viewer).get(
        reverse("api-machine-settings", args=[farm.slug, drill.pk]) + f"?blend={theirs.pk}"
    )
    assert api.status_code == 404


def test_pages_ask_no_more_for_more(farm, manager, drill, catch, make_mixed, species):
    client = signed_in(manager)
    grain = make_mixed("Grain", {"oats": ("60", None), "crimson_clover": ("5", None)})
    addresses = [
        reverse("machines", args=[farm.slug]),
        reverse("machine", args=[farm.slug, drill.pk]) + f"?blend={grain.pk}",
        reverse("calibrate", args=[farm.slug, drill.pk]),
        reverse("machine-boxes", args=[farm.slug, drill.pk]),
    ]
    counts = []
    for number in range(2):
        for setting in range(10, 70, 5):
            catch(setting, setting + number, blend=grain, box="main" if setting % 2 else "small")
        save_machine(property=farm, user=manager, name=f"Drill {number}", kind="drill")
        asked = []
        for address in addresses:
            with CaptureQueriesContext(connection) as found:
                client.get(address)
            asked.append(len(found))
        counts.append(asked)
    assert counts[0] == counts[1]
    assert max(counts[1]) <= MOST_QUERIES


# --- the API ------------------------------------------------------------------------------------------------------


def test_the_api_does_what_the_pages_do(farm, manager, species, make_mixed):
    client = signed_in(manager)

    def ask(method, route, *args, query="", body=None):
        address = reverse(route, args=[farm.slug, *args]) + query
        return getattr(client, method)(address, body, content_type="application/json")

    made = ask("post", "api-machines", body=TYPED)
    assert made.status_code == 201
    machine = made.json()
    assert machine["width_ft"] == 7.5
    oats, clover = species("oats"), species("crimson_clover")
    for setting, grams in (("20", "30"), ("40", "62"), ("60", "89")):
        body = {"setting": setting, "course_ft": "150", "caught_g": [grams], "species_id": oats.pk}
        assert ask("post", "api-calibrations", machine["id"], body=body).status_code == 201
    grain = make_mixed("Grain", {"oats": ("60", None), "crimson_clover": ("5", None)})
    found = ask("get", "api-machine-settings", machine["id"], query=f"?blend={grain.pk}").json()["results"]
    assert [box["box"] for box in found] == ["main", "small"]
    assert found[0]["fitted"]["low"] < found[0]["fitted"]["setting"] < found[0]["fitted"]["high"]
    assert found[1]["fitted"] is None
    chosen = ask("put", "api-machine-boxes", machine["id"], body=[{"species_id": clover.pk, "box": "main"}])
    assert chosen.json() == [
        {"species_id": clover.pk, "species": "Crimson clover", "box": "main", "is_chosen": True}
    ]
    latest = ask("get", "api-calibrations", machine["id"]).json()["results"][0]
    assert float(latest["lb_per_acre"]) == pytest.approx(89 / 0.97624, abs=0.01)  # g of one row at 1 lb/ac
    struck = ask("patch", "api-calibration", machine["id"], latest["id"], body={"is_struck": True})
    assert struck.json()["is_struck"] is True
    away = ask("patch", "api-machine", machine["id"], body={"is_archived": True})
    assert away.json()["is_archived"] is True
    assert ask("get", "api-machines").json()["results"] == []


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ({"setting": "30", "course_ft": "150", "caught_g": []}, "No catch is given"),
        ({"setting": "30", "course_ft": "150", "caught_g": ["x"]}, "valid number"),
        (
            {"setting": "30", "course_ft": "150", "caught_g": ["4"], "blend_id": 999},
            "Blend 999 is not one that",
        ),
        ({"setting": "99", "course_ft": "150", "caught_g": ["4"]}, "Old drill takes 0 to 80."),
    ],
)
def test_the_api_says_what_is_wrong_in_the_one_shape(farm, recorder, drill, body, said):
    address = reverse("api-calibrations", args=[farm.slug, drill.pk])
    answer = signed_in(recorder).post(address, body, content_type="application/json")
    assert answer.status_code == 400
    assert said in answer.json()["error"]["message"]


def test_a_setting_for_no_blend_is_refused_in_words(farm, viewer, drill):
    address = reverse("api-machine-settings", args=[farm.slug, drill.pk])
    answer = signed_in(viewer).get(address, {"blend": "rye"})
    assert (answer.status_code, "blend is “rye”" in answer.json()["error"]["message"]) == (400, True)


def test_set_boxes_with_nothing_changes_nothing(drill):
    set_boxes(machine=drill, choices={})
    assert not drill.seed_boxes.exists()
