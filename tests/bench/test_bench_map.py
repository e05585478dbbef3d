"""The map of a large property: what it transfers, what the server takes for a view, how it pans, what an edit costs.

    .venv/bin/pytest tests/bench/test_bench_map.py --override-ini addopts= -s

Goals: 1,000 plots under 300 kB compressed and panned at 50 frames a second on a processor slowed four times; of 20,000
plots a view under 1.5 MB before and 500 kB after compression; editing one of 5,000 within 1.2 times one of ten.
"""

import gzip
import json
import time
from statistics import quantiles

import pytest
import shapely
from django.db import connection
from django.urls import reverse
from shapely.affinity import translate

from plots.models import Boundary, Membership, Overlap
from tests.bench.clock import best_of, count_rows, said
from tests.browser.conftest import _requests_in_turn, browse, chromium  # noqa: F401
from tests.conftest import person
from tests.scenery import lay_out, planted_property

MANY, VERY_MANY = 1000, 20_000
MOST_KB_OF_MANY, MOST_KB_OF_A_VIEW, MOST_RAW_KB_OF_A_VIEW = 300, 500, 1500
ROUNDS = 3
DRAGS, DRAG_STEPS = 6, 60
LEAST_FRAMES_A_SECOND = 50
MOST_TO_EDIT = 1.2
# A desk's map with the ground around it that the page asks for too. [pixels]
VIEW_PX = (2 * 690, 2 * 540)


def kb(body):
    """Kilobytes as they are, and compressed as the view does it."""
    return len(body) / 1000, len(gzip.compress(body, 6)) / 1000


def outlines_of(client, property, **query):
    answer = client.get(
        reverse("overview-outlines", args=[property.slug]), query, headers={"Accept-Encoding": "identity"}
    )
    assert answer.status_code == 200
    return answer.content


def view_around(place, zoom):
    """The bbox of a map's view around a place, at a zoom."""
    degrees_a_pixel = 360 / (256 * 2**zoom)
    half = VIEW_PX[0] / 2 * degrees_a_pixel, VIEW_PX[1] / 2 * degrees_a_pixel * 0.79
    return ",".join(
        f"{side:.6f}" for side in (place.x - half[0], place.y - half[1], place.x + half[0], place.y + half[1])
    )


@pytest.fixture
def signed_in(client, farm, owner):
    client.force_login(owner)
    return client


@pytest.mark.django_db
def test_outlines_of_a_thousand_plots_are_small(signed_in, farm):
    planted_property(farm, MANY)
    middle = shapely.box(
        *shapely.total_bounds(list(Boundary.objects.values_list("geometry", flat=True)))
    ).centroid
    print(f"\n{MANY:,} plots, kB as they are and compressed")
    for words, query in [
        ("all of them", {}),
        *(
            (f"in view at zoom {z}", {"bbox": view_around(middle, z), "zoom": z})
            for z in (12, 13, 14, 15, 17)
        ),
    ]:
        raw, compressed = kb(outlines_of(signed_in, farm, **query))
        print(f"  {words:20}{raw:10,.0f}{compressed:10,.0f}")
        assert compressed < MOST_KB_OF_MANY


@pytest.mark.django_db
def test_a_view_of_twenty_thousand_plots_is_small_and_soon_there(signed_in, farm):
    planted_property(farm, VERY_MANY)
    count_rows()
    middle = shapely.box(
        *shapely.total_bounds(list(Boundary.objects.values_list("geometry", flat=True)))
    ).centroid
    print(
        f"\n{VERY_MANY:,} plots on {connection.vendor}: kB as they are and compressed, features, server time"
    )
    for zoom in (9, 10, 11, 12, 13, 14, 15, 16, 17):
        for colour in ("planted", "visits") if zoom == 11 else ("planted",):
            query = {"bbox": view_around(middle, zoom), "zoom": zoom, "colour": colour}
            body = outlines_of(signed_in, farm, **query)
            raw, compressed = kb(body)
            features = json.loads(body)["features"]
            points = sum(len(each["properties"].get("ids", [])) for each in features)
            [times] = best_of(ROUNDS, lambda query=query: outlines_of(signed_in, farm, **query))
            print(
                f"  zoom {zoom:2} {colour:8}{raw:8,.0f}{compressed:8,.0f}"
                f"{len(features):8,} drawn{points:8,} points   {times}"
            )
            assert raw < MOST_RAW_KB_OF_A_VIEW
            assert compressed < MOST_KB_OF_A_VIEW
    page = reverse("overview", args=[farm.slug])
    for query in ({}, {"colour": "visits"}, {"colour": "acres"}, {"q": "plot 01"}):
        [times] = best_of(ROUNDS, lambda query=query: signed_in.get(page, query))
        print(f"  page {query}   {times}")


OBSERVE = """
window.frames_ms = [];
let before = null;
const tick = (now) => { if (before !== null) frames_ms.push(now - before); before = now; requestAnimationFrame(tick); };
requestAnimationFrame(tick);
"""


def dragged(page, x, y):
    """[(frames a second, [ms of each frame]) of each drag from there], the worst first; and the longest frame of all."""
    devtools = page.context.new_cdp_session(page)
    devtools.send("Emulation.setCPUThrottlingRate", {"rate": 4})
    page.evaluate(OBSERVE)
    drags = []
    for drag in range(DRAGS):
        turn = 1 if drag % 2 else -1
        page.mouse.move(x, y)
        page.mouse.down()
        started = page.evaluate("frames_ms.length")
        for step in range(1, DRAG_STEPS + 1):
            page.mouse.move(x + turn * step * 2.5, y + turn * step)
            time.sleep(1 / 120)
        ended = page.evaluate("frames_ms.length")
        page.mouse.up()
        frames_ms = page.evaluate(f"frames_ms.slice({started}, {ended})")
        drags.append((1000 * len(frames_ms) / sum(frames_ms), frames_ms))
        page.wait_for_timeout(400)
    return sorted(drags), page.evaluate("Math.max(...frames_ms)")


@pytest.mark.parametrize("views", ["wide", "near"])
@pytest.mark.django_db(transaction=True)
def test_a_thousand_plots_pan_at_fifty_frames_a_second(browse, owner, farm, views):  # noqa: F811
    planted_property(farm, MANY)
    page = browse(owner)
    page.goto(reverse("overview", args=[farm.slug]))
    page.wait_for_selector("[data-map][data-ready]")
    page.locator("[data-map]").scroll_into_view_if_needed()
    if views == "near":
        for _ in range(3):
            page.get_by_role("button", name="Zoom in").click()
            page.wait_for_timeout(500)
    box = page.locator("[data-map]").bounding_box()
    drags, longest_ms = dragged(page, box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    # Other work on the machine only ever adds time: the best drag is the page's own.
    rate, best = drags[-1]
    cuts = quantiles(best, n=100)
    print(
        f"\n{MANY:,} plots, {views}, processor slowed four times: {rate:.0f} frames/s in the best of {DRAGS} drags "
        f"(p50 {cuts[49]:.1f} ms, p95 {cuts[94]:.1f} ms, longest {max(best):.0f} ms), {drags[0][0]:.0f} in the worst; "
        f"longest frame of all, with the redrawing after a drag: {longest_ms:.0f} ms"
    )
    page.goto(reverse("property-new"))
    empty, _ = dragged(page, 20, 200)
    print(
        f"a page without a map, at the same time: {empty[-1][0]:.0f} in the best, {empty[0][0]:.0f} in the worst"
    )
    assert rate >= LEAST_FRAMES_A_SECOND


@pytest.mark.django_db
def test_editing_one_plot_of_5000_costs_what_editing_one_of_ten_does(client, farm, elsewhere):
    user = person("owner", farm, Membership.Role.OWNER)
    Membership.objects.create(user=user, property=elsewhere, role=Membership.Role.OWNER)
    client.force_login(user)
    plots = {
        property: lay_out(property, count, columns=max(4, round(count**0.5)))[count // 2]
        for property, count in ((farm, 10), (elsewhere, 5000))
    }
    count_rows()

    def edit(property):
        plot = plots[property]
        address = reverse("api-boundary", args=[property.slug, plot.pk])
        moved = iter(range(1, 1000))

        def put():
            # Never the same outline twice, and never far from where it was.
            outline = translate(plot.boundary.geometry, next(moved) * 1e-7, 0)
            body = {
                "geometry": json.loads(shapely.to_geojson(outline)),
                "how": "drawn",
                "why": "Edge cleared",
            }
            answer = client.put(address, body, content_type="application/json")
            assert answer.status_code < 300, answer.content

        return put

    of_ten, of_many = best_of(15, edit(farm), edit(elsewhere))
    print(f"\nputting one boundary, on {connection.vendor}; overlaps stored: {Overlap.objects.count()}")
    print(said("of 10 plots", of_ten, of_ten))
    print(said("of 5,000 plots", of_many, of_ten))
    assert min(of_many.ratio_to(of_ten)) < MOST_TO_EDIT
