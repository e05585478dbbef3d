"""A boundary file on its way in: received, answered, accepted once."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from shapely.geometry import MultiPolygon, box

from config.errors import Conflict, Refused
from plots.models import Boundary, BoundaryImport, Job, Plot
from plots.services import imports, jobs
from plots.services.imports import accept_import, answer_import, discard_import, receive_file

SIDE = 0.001  # degrees


def square(lon=-92.0, lat=38.0, side=SIDE):
    west, south, east, north = lon, lat, lon + side, lat + side
    return [[west, south], [east, south], [east, north], [west, north], [west, south]]


def geojson(*named_rings, crs=None):
    features = [
        {
            "type": "Feature",
            "properties": {"name": name},
            "geometry": {"type": "Polygon", "coordinates": [ring]},
        }
        for name, ring in named_rings
    ]
    return json.dumps({"type": "FeatureCollection", "features": features} | ({"crs": crs} if crs else {}))


def upload(text, name="plots.geojson"):
    return SimpleUploadedFile(name, text.encode())


def wkt_csv(*rows):
    return "\n".join(["name,wkt", *(f'{name},"{shape}"' for name, shape in rows)])


@pytest.fixture
def receive(farm, owner):
    def receive(text, name="plots.geojson", **answers):
        return receive_file(property=farm, user=owner, upload=upload(text, name), **answers)

    return receive


@pytest.fixture
def two(receive):
    return receive(geojson(("North Bench", square()), ("Creek Bottom", square(-91.99))))


def all_of(row):
    return [{"position": each.position, "name": each.name, "plot_id": None} for each in row.outlines.all()]


# receiving


def test_receiving_stores_outlines_and_no_plot(two):
    assert two.state == "preview"
    assert [outline.name for outline in two.outlines.all()] == ["North Bench", "Creek Bottom"]
    assert not Plot.objects.exists()


def test_the_original_is_kept_byte_for_byte(receive):
    text = geojson(("North Bench", square()))
    row = receive(text)
    assert row.original.read() == text.encode()


def test_an_unreadable_file_is_kept_with_the_sentence(receive):
    row = receive("this is no map", "plots.kml")
    assert row.state == "refused"
    assert row.report["sentence"].endswith(".")
    assert not row.outlines.exists()


def test_a_file_that_is_too_large_is_refused_before_it_is_kept(farm, owner, monkeypatch):
    monkeypatch.setattr(imports, "MAX_FILE_BYTES", 10)
    with pytest.raises(Refused) as refusal:
        receive_file(property=farm, user=owner, upload=upload("more than ten"))
    assert "larger than" in refusal.value.fields["file"][0]
    assert not BoundaryImport.objects.exists()


def test_an_answer_refused_with_the_file_leaves_no_file_behind(receive, settings):
    with pytest.raises(Refused):
        receive(geojson(("A", square())), name_field="not there")
    assert [path for path in settings.MEDIA_ROOT.rglob("*") if path.is_file()] == []


def test_the_folder_in_a_file_name_is_dropped(receive):
    assert receive("x", "..\\..\\secret/plots.kml").file_name == "plots.kml"


def test_a_repaired_outline_says_so(receive):
    bow_tie = [[-92, 38], [-91.999, 38.001], [-91.999, 38], [-92, 38.001], [-92, 38]]
    outline = receive(geojson(("Bow", bow_tie))).outlines.get()
    assert outline.is_repaired
    assert outline.notes


def test_what_is_left_out_is_reported(receive):
    collection = json.loads(geojson(("North Bench", square())))
    point = {"type": "Point", "coordinates": [-92, 38]}
    collection["features"].append({"type": "Feature", "properties": {"name": "Gate"}, "geometry": point})
    row = receive(json.dumps(collection))
    assert "Gate" in row.report["left_out"][0]["what"]


def test_names_longer_than_a_plots_stay_apart_when_cut(receive):
    long = "x" * 85
    row = receive(geojson((long + "a", square()), (long + "b", square(-91.9))))
    names = [outline.name for outline in row.outlines.all()]
    assert len(set(names)) == 2
    assert max(map(len, names)) <= 80


# overlap with what is there


def test_shared_ground_is_measured_geodesically(receive, make_plot):
    make_plot("Old", geometry=MultiPolygon([box(-92.0, 38.0, -91.9995, 38.001)]))
    overlap = receive(geojson(("New", square()))).outlines.get().overlaps[0]
    half = receive(geojson(("Half", square()))).outlines.get().area_m2 / 2
    assert overlap["plot"] == "Old"
    assert overlap["area_m2"] == pytest.approx(half, rel=1e-6)


def test_a_common_edge_is_no_overlap(receive, make_plot):
    make_plot("Neighbour", lon=-91.999, lat=38.0)
    assert receive(geojson(("New", square()))).outlines.get().overlaps == []


def test_archived_plots_and_other_properties_are_not_overlapped(receive, make_plot, elsewhere):
    plot = make_plot("Gone")
    plot.is_archived = True
    plot.save()
    make_plot("Theirs", property=elsewhere)
    assert receive(geojson(("New", square()))).outlines.get().overlaps == []


def test_outlines_far_from_the_other_plots_raise_a_question(receive, make_plot):
    make_plot(lon=-80.0)
    one, two = ("New", square()), ("Newer", square(lon=-91.99))
    assert any("“New” would lie" in note for note in receive(geojson(one)).report["notes"])
    [note] = receive(geojson(one, two)).report["notes"]
    assert note.startswith("These outlines lie about 65")
    assert note.endswith("miles from the plots that are there. Is the coordinate system right?")


# answering


def test_a_file_without_crs_is_asked_about_and_read_with_the_answer(receive):
    square_m = "POLYGON((500000 4200000, 500100 4200000, 500100 4200100, 500000 4200100, 500000 4200000))"
    row = receive(wkt_csv(("North Bench", square_m)), "plots.csv")
    assert (row.state, row.report["needs"]) == ("asking", "crs")
    assert "EPSG:26915" in dict(row.report["likely_crs"])
    row = answer_import(boundary_import=row, crs="26915", layer="", swap_axes=False, name_field="")
    assert (row.state, row.crs) == ("preview", "EPSG:26915")
    # 1 ha at the zone's central meridian, where the scale is 0.9996 (EPSG method 9807)
    assert row.outlines.get().area_m2 == pytest.approx(10_000 / 0.9996**2, rel=1e-5)


@pytest.mark.parametrize(("crs", "said"), [("Texas", "EPSG:26915"), ("EPSG:999999", "999999")])
def test_an_answer_that_cannot_be_meant_changes_nothing(two, crs, said):
    with pytest.raises(Refused, match=said):
        answer_import(boundary_import=two, crs=crs, layer="", swap_axes=False, name_field="")
    two.refresh_from_db()
    assert (two.state, two.crs, two.outlines.count()) == ("preview", "", 2)


def test_another_attribute_can_be_the_name(receive):
    collection = json.loads(geojson(("North Bench", square())))
    collection["features"][0]["properties"]["code"] = "NB-1"
    row = receive(json.dumps(collection))
    assert row.report["name_fields"][:1] == ["name"]
    row = answer_import(boundary_import=row, crs="", layer="", swap_axes=False, name_field="code")
    assert row.outlines.get().name == "NB-1"


def test_an_attribute_that_is_not_there_is_refused_at_its_field(two):
    with pytest.raises(Refused) as refusal:
        answer_import(boundary_import=two, crs="", layer="", swap_axes=False, name_field="owner")
    assert "owner" in refusal.value.fields["name_field"][0]


# accepting


def test_accepting_stores_plots_whose_acreage_is_unknown_until_measured(two, owner):
    job = accept_import(boundary_import=two, user=owner, accepted=all_of(two))
    assert {plot.name: plot.mapped_acres for plot in Plot.objects.all()} == {
        "North Bench": None,
        "Creek Bottom": None,
    }
    assert (job.state, job.steps_total) == ("waiting", 2)
    jobs.run_job(job.pk)
    outline = two.outlines.first()
    assert Plot.objects.get(name="North Bench").mapped_acres == pytest.approx(outline.acres, rel=1e-12)


def test_the_boundary_remembers_file_person_and_repairs(receive, owner):
    bow_tie = [[-92, 38], [-91.999, 38.001], [-91.999, 38], [-92, 38.001], [-92, 38]]
    row = receive(geojson(("Bow", bow_tie)))
    accept_import(boundary_import=row, user=owner, accepted=all_of(row))
    boundary = Plot.objects.get().boundary
    assert (boundary.source_import, boundary.created_by, boundary.how) == (row, owner, "imported")
    assert boundary.repairs == row.outlines.get().notes


def test_accepting_a_part_leaves_the_rest_out(two, owner):
    accept_import(boundary_import=two, user=owner, accepted=all_of(two)[1:])
    assert Plot.objects.get().name == "Creek Bottom"


def test_characters_that_cannot_be_stored_are_dropped_from_a_typed_name(two, owner):
    accept_import(
        boundary_import=two, user=owner, accepted=[{"position": 1, "name": "A\x00\u202eB", "plot_id": None}]
    )
    assert Plot.objects.get().name == "AB"


def test_a_second_press_stores_no_second_set(two, owner):
    first = accept_import(boundary_import=two, user=owner, accepted=all_of(two))
    second = accept_import(boundary_import=two, user=owner, accepted=all_of(two)[:1])
    assert first == second
    assert (Plot.objects.count(), Boundary.objects.count(), Job.objects.count()) == (2, 2, 1)


def test_two_presses_at_once_store_one_set(at_once, farm, owner):
    row = receive_file(property=farm, user=owner, upload=upload(geojson(("North Bench", square()))))
    accepted = all_of(row)

    def press():
        return accept_import(boundary_import=row, user=owner, accepted=accepted, send=False).pk

    assert len(set(at_once(press, press))) == 1
    assert (Plot.objects.count(), Job.objects.count()) == (1, 1)


def test_an_outline_can_become_the_new_boundary_of_a_plot(receive, owner, make_plot):
    plot = make_plot("North Bench", acres=2.0)
    before = plot.boundary
    row = receive(geojson(("Other name", square())))
    accept_import(
        boundary_import=row, user=owner, accepted=[{"position": 1, "name": "Other name", "plot_id": plot.pk}]
    )
    plot.refresh_from_db()
    assert (plot.name, plot.mapped_acres) == ("North Bench", None)
    assert list(plot.boundaries.values_list("pk", flat=True)) == [plot.boundary_id, before.pk]


@pytest.mark.parametrize(
    ("accepted", "field", "said"),
    [
        ([], None, "at least one"),
        ([{"position": 9, "name": "x", "plot_id": None}], None, "no outline 9"),
        ([{"position": 1, "name": " ", "plot_id": None}], "1.name", "missing"),
        ([{"position": 1, "name": "x" * 81, "plot_id": None}], "1.name", "at most 80"),
        ([{"position": 1, "name": "old oak", "plot_id": None}], "1.name", "There is a plot “Old Oak”"),
        ([{"position": 1, "name": "Gone", "plot_id": None}], "1.name", "archived"),
        ([{"position": 1, "name": "x", "plot_id": 987654}], "1.plot_id", "no plot 987654"),
        ([{"position": 1, "name": "A", "plot_id": None}] * 2, "1.name", "chosen twice"),
        (
            [{"position": 1, "name": "A", "plot_id": None}, {"position": 2, "name": "a", "plot_id": None}],
            "2.name",
            "comes twice",
        ),
    ],
)
def test_what_cannot_be_accepted_is_said_at_its_row_and_stores_nothing(
    two, owner, make_plot, accepted, field, said
):
    make_plot("Old Oak", lon=-91)
    gone = make_plot("Gone", lon=-91)
    gone.is_archived = True
    gone.save()
    with pytest.raises(Refused, match=said) as refusal:
        accept_import(boundary_import=two, user=owner, accepted=accepted)
    assert list(refusal.value.fields) == ([field] if field else [])
    assert Plot.objects.count() == 2


def test_an_outline_cannot_become_the_boundary_of_another_propertys_plot(two, owner, make_plot, elsewhere):
    theirs = make_plot("Theirs", property=elsewhere)
    with pytest.raises(Refused, match="There is no plot"):
        accept_import(
            boundary_import=two, user=owner, accepted=[{"position": 1, "name": "x", "plot_id": theirs.pk}]
        )
    assert theirs.boundaries.count() == 1


def test_two_outlines_cannot_become_one_boundary(two, owner, make_plot):
    plot = make_plot(lon=-91)
    accepted = [{"position": position, "name": "x", "plot_id": plot.pk} for position in (1, 2)]
    with pytest.raises(Refused, match="two boundaries"):
        accept_import(boundary_import=two, user=owner, accepted=accepted)


def test_a_file_that_still_needs_an_answer_cannot_be_accepted(receive, owner):
    row = receive(wkt_csv(("A", "POLYGON((1 1, 2 1, 2 2, 1 1))")), "plots.csv")
    with pytest.raises(Conflict):
        accept_import(
            boundary_import=row, user=owner, accepted=[{"position": 1, "name": "A", "plot_id": None}]
        )


# afterwards


def test_a_stored_import_can_neither_be_answered_nor_discarded(two, owner):
    accept_import(boundary_import=two, user=owner, accepted=all_of(two))
    with pytest.raises(Conflict):
        answer_import(boundary_import=two, crs="", layer="", swap_axes=False, name_field="")
    with pytest.raises(Conflict):
        discard_import(boundary_import=two)
    assert two.outlines.count() == 2


def test_discarding_forgets_the_file_too(two, django_capture_on_commit_callbacks):
    storage, name = two.original.storage, two.original.name
    with django_capture_on_commit_callbacks(execute=True):
        discard_import(boundary_import=two)
    assert not BoundaryImport.objects.exists()
    assert not storage.exists(name)
