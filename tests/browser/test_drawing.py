"""Drawing and correcting a boundary on the map: by mouse, by touch, by keyboard; alone and with somebody else."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect
from shapely.geometry import MultiPolygon, Polygon, box

from plots.calc.geodesy import geodesic_area_perimeter
from plots.calc.units import M2_PER_ACRE
from plots.models import Overlap, Plot
from plots.services.boundaries import set_boundary

SCREENS = pytest.mark.parametrize("screen", ["phone", "desktop"])
LON, LAT, SIDE = -92.0, 38.0, 0.001
SQUARE = MultiPolygon([box(LON, LAT, LON + SIDE, LAT + SIDE)])


class Hand:
    """A person in front of the page: a mouse on the desktop, a finger on the phone."""

    def __init__(self, page, screen):
        self.page, self.has_touch = page, screen == "phone"
        self.map = page.locator("[data-editor-map]")
        self._cdp = page.context.new_cdp_session(page) if self.has_touch else None

    def tap(self, x, y):
        (self.page.touchscreen.tap if self.has_touch else self.page.mouse.click)(x, y)

    def at(self, across, down):
        """A place on the screen by shares of the map's box."""
        frame = self.map.bounding_box()
        return frame["x"] + across * frame["width"], frame["y"] + down * frame["height"]

    def tap_map(self, across, down):
        self.tap(*self.at(across, down))

    def corners(self):
        return self.page.locator(".draw-corner")

    def where(self, handle):
        frame = handle.bounding_box()
        return frame["x"] + frame["width"] / 2, frame["y"] + frame["height"] / 2

    def corner_near(self, across, down):
        """The handle that is nearest to a place on the map."""
        x, y = self.at(across, down)
        handles = self.corners().all()
        return min(
            handles, key=lambda each: sum((a - b) ** 2 for a, b in zip(self.where(each), (x, y), strict=True))
        )

    def drag(self, start, *stops, steps=8, lets_go=True):
        ways, here = [], start
        for stop in stops:
            ways += [
                tuple(a + (b - a) * i / steps for a, b in zip(here, stop, strict=True))
                for i in range(1, steps + 1)
            ]
            here = stop
        if not self.has_touch:
            mouse = self.page.mouse
            mouse.move(*start)
            mouse.down()
            for x, y in ways:
                mouse.move(x, y)
            if lets_go:
                mouse.up()
            return
        self.fingers("touchStart", start)
        for place in ways:
            self.fingers("touchMove", place)
        if lets_go:
            self.fingers("touchEnd")

    def fingers(self, kind, *places):
        points = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(places)]
        self._cdp.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def zoom_out(self):
        self.press("Zoom out")
        self.page.wait_for_timeout(400)  # the zoom is drawn

    def press(self, name):
        button = self.page.get_by_role("button", name=name, exact=True)
        button.tap() if self.has_touch else button.click()


@pytest.fixture
def square(make_plot):
    return make_plot("North Bench", geometry=SQUARE, acres=2.4)


@pytest.fixture
def editor(browse, owner, farm):
    """editor(plot=None, screen, user): the drawing page, ready, and the person's hand."""

    def editor(plot=None, screen="desktop", user=None, **options):
        page = browse(user or owner, screen, **options)
        route = ("boundary-edit", [farm.slug, plot.pk]) if plot else ("boundary-draw", [farm.slug])
        page.goto(reverse(route[0], args=route[1]))
        ready(page)
        return page, Hand(page, screen)

    return editor


def ready(page):
    page.wait_for_selector("[data-editor][data-ready]")


def measured(page):
    """The acres that the server has given, as they are shown."""
    expect(page.locator("[data-figures-said]")).to_contain_text("Measured by the server.")
    return page.locator("[data-acres]").inner_text()


def save(page):
    page.locator("[data-save]").click()
    page.wait_for_url(re.compile(r"/plots/\d+/$"))


def current(plot):
    plot = Plot.objects.select_related("boundary").get(pk=plot.pk)
    return plot.boundary


def shown(outline):
    area_m2, _ = geodesic_area_perimeter(outline)
    return f"{float(area_m2) / M2_PER_ACRE:.2f} ac"


@SCREENS
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_are_accessible(editor, assert_accessible, square, screen, scheme):
    page, hand = editor(square, screen, color_scheme=scheme)
    measured(page)
    assert_accessible(page)
    hand.tap(*hand.where(hand.corners().first))
    assert_accessible(page)


@pytest.mark.parametrize("is_new", [True, False])
def test_nothing_runs_over_the_edge_of_a_small_screen(editor, square, is_new):
    page, _ = editor(None if is_new else square, "phone", viewport={"width": 320, "height": 640})
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


@SCREENS
def test_a_plot_is_drawn_corner_by_corner(editor, square, farm, screen):
    page, hand = editor(screen=screen)
    for place in [(0.3, 0.2), (0.7, 0.2), (0.7, 0.8), (0.3, 0.8)]:
        hand.tap_map(*place)
    expect(page.locator("[data-acres-words]")).to_have_text("inside it so far")
    # the first corner closes it
    hand.tap(*hand.where(hand.corners().first))
    expect(page.locator("[data-acres-words]")).to_have_text("inside it")
    acres = measured(page)
    page.get_by_label("Name").fill("Powerline Strip")
    save(page)
    plot = Plot.objects.get(name="Powerline Strip")
    assert plot.property == farm
    assert plot.boundary.how == "drawn"
    assert len(plot.boundary.geometry.geoms[0].exterior.coords) == 5
    assert shown(plot.boundary.geometry) == acres


@SCREENS
def test_a_corner_is_dragged_and_the_map_stays(editor, square, screen):
    page, hand = editor(square, screen)
    still = hand.where(hand.corner_near(0.1, 0.9))
    measured(page)
    start = hand.where(hand.corner_near(0.9, 0.1))
    end = (start[0] - 40, start[1] + 30)
    hand.drag(start, end, lets_go=False)
    expect(page.locator("[data-acres]")).to_contain_text("about ")
    if hand.has_touch:
        hand.fingers("touchEnd")
    else:
        page.mouse.up()
    acres = measured(page)
    assert "about" not in acres
    places = [hand.where(each) for each in hand.corners().all()]
    assert any(place == pytest.approx(end, abs=1.5) for place in places)
    assert any(place == pytest.approx(still, abs=0.1) for place in places)
    save(page)
    assert shown(current(square).geometry) == acres
    moved = set(current(square).geometry.geoms[0].exterior.coords) - set(SQUARE.geoms[0].exterior.coords)
    assert len(moved) == 1


def test_a_second_finger_lets_the_corner_go_and_zooms(editor, square):
    page, hand = editor(square, "phone")
    ring = page.locator(".leaflet-draw-pane path.draw-edge").first
    before = ring.bounding_box()["width"]
    start = hand.where(hand.corner_near(0.9, 0.9))
    hand.drag(start, (start[0] - 40, start[1]), lets_go=False)
    first, second = (start[0] - 40, start[1]), hand.at(0.3, 0.3)
    hand.fingers("touchStart", first, second)
    for i in range(1, 9):
        hand.fingers(
            "touchMove", (first[0] - 8 * i, first[1] - 8 * i), (second[0] + 8 * i, second[1] + 8 * i)
        )
    hand.fingers("touchEnd")
    expect(page.get_by_role("button", name="Undo", exact=True)).to_have_attribute("aria-disabled", "true")
    page.wait_for_function(
        "(width) => document.querySelector('.leaflet-draw-pane path.draw-edge').getBoundingClientRect().width < width * 0.9",
        arg=before,
    )


@SCREENS
def test_a_corner_is_moved_by_two_taps(editor, square, screen):
    page, hand = editor(square, screen)
    hand.tap(*hand.where(hand.corner_near(0.9, 0.1)))
    expect(page.locator(".draw-corner[aria-pressed=true]")).to_have_count(1)
    hand.tap_map(0.5, 0.5)
    assert any(hand.where(each) == pytest.approx(hand.at(0.5, 0.5), abs=1.5) for each in hand.corners().all())
    expect(hand.corners()).to_have_count(4)
    expect(page.locator(".draw-corner[aria-pressed=true]")).to_have_count(0)


@SCREENS
def test_corners_are_put_in_and_taken_away_and_every_step_taken_back(editor, square, screen):
    page, hand = editor(square, screen)
    # in the middle of a long edge there is a handle; beside it the edge itself takes a tap
    hand.tap(*hand.where(page.locator(".draw-middle").first))
    expect(hand.corners()).to_have_count(5)
    hand.press("Remove corner")
    expect(hand.corners()).to_have_count(4)
    hand.press("Undo")
    expect(hand.corners()).to_have_count(5)
    hand.press("Undo")
    expect(hand.corners()).to_have_count(4)
    hand.press("Redo")
    expect(hand.corners()).to_have_count(5)
    page.keyboard.press("Control+z")
    expect(hand.corners()).to_have_count(4)
    page.keyboard.press("Control+Shift+Z")
    expect(hand.corners()).to_have_count(5)


def test_an_outline_keeps_three_corners(editor, square):
    page, hand = editor(square)
    for _ in range(2):
        hand.tap(*hand.where(hand.corners().first))
        page.keyboard.press("Delete")
        page.keyboard.press("Escape")
    expect(hand.corners()).to_have_count(3)
    hand.tap(*hand.where(hand.corners().first))
    page.keyboard.press("Delete")
    expect(page.locator(".draw-said")).to_have_text(re.compile("needs three corners"))
    expect(hand.corners()).to_have_count(3)


@SCREENS
def test_holes_and_parts_are_added_and_removed(editor, square, screen):
    page, hand = editor(square, screen)
    whole = measured(page)
    hand.press("Add a hole")
    hand.tap_map(0.02, 0.5)
    expect(page.locator(".draw-said")).to_have_text(re.compile("lies inside the plot"))
    for place in [(0.45, 0.4), (0.6, 0.4), (0.6, 0.6)]:
        hand.tap_map(*place)
    hand.press("Close the hole")
    with_hole = measured(page)
    assert float(with_hole.split()[0]) < float(whole.split()[0])
    hand.zoom_out()
    hand.press("Add a part")
    for place in [(0.04, 0.35), (0.2, 0.35), (0.2, 0.6)]:
        hand.tap_map(*place)
    hand.press("Close the outline")
    expect(page.get_by_role("button", name="Remove this part")).to_be_visible()
    measured(page)
    hand.press("Remove this part")
    assert measured(page) == with_hole
    hand.press("Undo")
    measured(page)
    save(page)
    geometry = current(square).geometry
    assert [len(part.interiors) for part in geometry.geoms] == [1, 0]


def test_a_plot_is_drawn_by_the_keyboard_alone(editor, square):
    page, hand = editor()
    hand.map.focus()
    page.keyboard.press("Enter")
    for key in ["ArrowRight", "ArrowDown"]:
        page.keyboard.press(key)
        page.wait_for_timeout(400)  # the map glides
        page.keyboard.press("Enter")
    expect(hand.corners()).to_have_count(3)
    # from the corners on, Escape leads out to the buttons
    page.locator(".draw-corner[tabindex='0']").focus()
    page.keyboard.press("Tab")
    expect(page.locator(".draw-corner[aria-pressed=true]")).to_have_attribute("aria-label", "Corner 2 of 3")
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.textContent") == "Add corner here"
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    measured(page)
    page.get_by_label("Name").focus()
    page.keyboard.type("Gate Plot")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/plots/\d+/$"))
    assert Plot.objects.get(name="Gate Plot").boundary.area_m2 > 0


def test_arrow_keys_push_the_chosen_corner_by_a_step_of_ground(editor, square):
    page, hand = editor(square)
    hand.corners().first.focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Shift+Tab")
    for _ in range(4):
        page.keyboard.press("ArrowUp")
    page.keyboard.press("Shift+ArrowUp")
    measured(page)
    save(page)
    before = set(SQUARE.geoms[0].exterior.coords)
    [moved] = set(current(square).geometry.geoms[0].exterior.coords) - before
    [left] = before - set(current(square).geometry.geoms[0].exterior.coords)
    assert moved[0] == left[0]
    # four steps of half a metre and one of five, to the centimetre of a coordinate
    assert (moved[1] - left[1]) * 111_000 == pytest.approx(7.0, abs=0.1)


def test_an_outline_that_crosses_itself_has_no_figure(editor, square):
    page, hand = editor(square)
    measured(page)
    hand.tap(*hand.where(hand.corner_near(0.9, 0.1)))
    hand.tap_map(0.02, 0.5)  # across the western edge
    expect(page.locator("[data-findings] .is-problem")).to_be_visible()
    expect(page.locator("[data-acres]")).to_have_text("–")
    page.keyboard.press("Control+z")
    measured(page)
    expect(page.locator("[data-findings]")).to_be_hidden()


@pytest.fixture
def neighbours(make_plot):
    """A square, and to the east of it across 9 m of nothing a plot with a bent edge."""
    west = make_plot("North Bench", geometry=SQUARE, acres=2.4)
    bent = Polygon(
        [
            (LON + 0.0011, LAT), (LON + 0.0020, LAT), (LON + 0.0020, LAT + SIDE),
            (LON + 0.0011, LAT + SIDE), (LON + 0.0013, LAT + 0.0007), (LON + 0.00115, LAT + 0.0004),
        ]
    )  # fmt: skip
    return west, make_plot("Creek Bottom", geometry=MultiPolygon([bent]), acres=2.0)


@SCREENS
def test_shared_edges_snap_and_follow_so_that_no_sliver_stays(editor, neighbours, screen):
    west, east = neighbours
    page, hand = editor(west, screen)
    expect(page.locator("path.beside")).to_have_count(1)
    hand.zoom_out()
    on_screen = ground(hand)
    for lat in (LAT, LAT + SIDE):
        x, y = on_screen(LON + 0.0011, lat)
        # on a phone the gap is narrower than what a finger strays, so the corner comes from further away
        hand.drag(on_screen(LON + SIDE, lat), (x - 30, y + 4), (x - 5, y + 4))
        expect(page.locator(".draw-cue")).to_have_count(1)
    hand.press("Follow the shared edge")
    expect(page.locator(".draw-said")).to_have_text(
        "The edge now follows Creek Bottom: 2 corners taken over."
    )
    measured(page)
    expect(page.locator("[data-findings]")).to_be_hidden()
    save(page)
    mine, theirs = current(west).geometry, current(east).geometry
    assert mine.intersection(theirs).area == 0
    # the whole of the bent edge is common, so nothing lies between the two
    assert mine.boundary.intersection(theirs.boundary).length == pytest.approx(
        sum(((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5 for a, b in bent_edge(theirs)), rel=1e-9
    )
    assert not Overlap.objects.exists()


def bent_edge(outline):
    """The four corners between the two ends of the western edge, pair by pair."""
    west = sorted(
        (c for c in set(outline.geoms[0].exterior.coords) if c[0] < LON + 0.0015), key=lambda c: c[1]
    )
    return list(zip(west, west[1:], strict=False))


def ground(hand):
    """A function that says where a place on the ground lies on the screen: the square is in view with its corners."""
    at = [hand.where(each) for each in hand.corners().all()]
    west, east = min(x for x, _ in at), max(x for x, _ in at)
    south, north = max(y for _, y in at), min(y for _, y in at)
    return lambda lon, lat: (
        west + (lon - LON) / SIDE * (east - west),
        south + (lat - LAT) / SIDE * (north - south),
    )


def test_snapping_can_be_turned_off_and_overlaps_are_said(editor, neighbours):
    page, hand = editor(neighbours[0])
    expect(page.locator("path.beside")).to_have_count(1)
    page.get_by_label("Snap to the plots beside it").uncheck()
    hand.zoom_out()
    corner, goal = (ground(hand)(LON + each, LAT + SIDE) for each in (SIDE, 0.0014))
    hand.drag(corner, goal)
    expect(page.locator("[data-findings]")).to_contain_text(
        re.compile(r"Shares 0\.\d\d ac with Creek Bottom\.")
    )
    expect(page.locator("path.beside.is-shared")).to_have_count(1)


def test_alt_lets_a_corner_pass_the_neighbour(editor, neighbours):
    page, hand = editor(neighbours[0])
    expect(page.locator("path.beside")).to_have_count(1)
    hand.zoom_out()
    corner, goal = (ground(hand)(LON + each, LAT + SIDE) for each in (SIDE, 0.0011))
    page.keyboard.down("Alt")
    hand.drag(corner, (goal[0] - 5, goal[1] + 4))
    page.keyboard.up("Alt")
    measured(page)
    save(page)
    assert (LON + 0.0011, LAT + SIDE) not in current(neighbours[0]).geometry.geoms[0].exterior.coords


class TestTwoPeople:
    """The manager saves while the owner is drawing."""

    THEIRS = MultiPolygon([box(LON, LAT, LON + 0.0015, LAT + SIDE)])

    @pytest.fixture
    def met(self, editor, browse, square, manager):
        page, hand = editor(square)
        hand.tap(*hand.where(hand.corner_near(0.9, 0.1)))
        hand.tap_map(0.5, 0.4)
        mine = measured(page)
        set_boundary(plot=Plot.objects.get(pk=square.pk), geometry=self.THEIRS, user=manager, how="drawn")
        page.locator("[data-save]").click()
        expect(page.locator("[data-two]")).to_be_visible()
        browse.errors.clear()  # the browser logs the 409
        return page, hand, mine

    def test_both_are_shown(self, met, square, assert_accessible):
        page, _, mine = met
        expect(page.locator("[data-two]")).to_contain_text("manager")
        expect(page.locator("[data-two-mine]")).to_have_text(mine)
        expect(page.locator("[data-two-theirs]")).to_contain_text(shown(self.THEIRS))
        expect(page.locator("path.editor-theirs:not([d='M2 10H30'])")).to_have_count(1)
        assert square.boundaries.count() == 2
        assert_accessible(page)

    def test_mine_is_saved_as_the_newest(self, met, square):
        page, _, mine = met
        page.get_by_role("button", name="Save mine as the newest").click()
        page.wait_for_url(re.compile(r"/plots/\d+/$"))
        assert square.boundaries.count() == 3
        assert shown(current(square).geometry) == mine

    def test_theirs_is_taken_and_mine_can_be_brought_back(self, met, browse):
        page, _, mine = met
        page.get_by_role("button", name="Take theirs").click()
        assert measured(page) == shown(self.THEIRS)
        page.get_by_role("button", name="Bring it back").click()
        assert measured(page) == mine
        # it began from the boundary before theirs, so saving it asks again
        page.locator("[data-save]").click()
        expect(page.locator("[data-two]")).to_be_visible()
        browse.errors.clear()


@SCREENS
def test_what_was_drawn_is_brought_back_with_its_steps(editor, square, screen):
    page, hand = editor(square, screen)
    hand.tap(*hand.where(page.locator(".draw-middle").first))
    page.get_by_label("Why it changes").fill("The wet corner is given up")
    expect(hand.corners()).to_have_count(5)
    page.reload()
    ready(page)
    expect(hand.corners()).to_have_count(4)
    hand.press("Bring it back")
    expect(hand.corners()).to_have_count(5)
    expect(page.get_by_label("Why it changes")).to_have_value("The wet corner is given up")
    hand.press("Undo")
    expect(hand.corners()).to_have_count(4)
    hand.press("Redo")
    save(page)
    assert current(square).why == "The wet corner is given up"
    page.go_back()
    page.reload()
    ready(page)
    expect(page.locator("[data-kept]")).to_be_hidden()


def test_what_was_drawn_can_be_discarded(editor, square):
    page, hand = editor(square)
    hand.tap(*hand.where(page.locator(".draw-middle").first))
    page.reload()
    ready(page)
    page.get_by_role("button", name="Discard it").click()
    page.reload()
    ready(page)
    expect(page.locator("[data-kept]")).to_be_hidden()


def test_a_place_far_from_the_other_plots_is_questioned(editor, browse, square, farm):
    page, hand = editor()
    page.get_by_text("Go to a place").click()
    page.get_by_label("Latitude and longitude").fill("38.9, -92.0")
    page.get_by_role("button", name="Show it").click()
    for place in [(0.3, 0.2), (0.7, 0.2), (0.7, 0.8)]:
        hand.tap_map(*place)
    hand.press("Close the outline")
    expect(page.locator("[data-findings]")).to_contain_text("Is that meant?")
    page.get_by_label("Name").fill("Far Draw")
    page.locator("[data-save]").click()
    expect(page.locator("[data-questioned]")).to_contain_text("Is that meant?")
    browse.errors.clear()  # the browser logs the 409
    assert not Plot.objects.filter(name="Far Draw").exists()
    page.get_by_role("button", name="Save it all the same").click()
    page.wait_for_url(re.compile(r"/plots/\d+/$"))
    assert Plot.objects.filter(property=farm, name="Far Draw").exists()


def test_a_place_that_is_none_is_said(editor, square):
    page, _ = editor()
    page.get_by_text("Go to a place").click()
    page.get_by_label("Latitude and longitude").fill("138, 7")
    page.get_by_role("button", name="Show it").click()
    expect(page.locator("[data-place-wrong]")).to_contain_text("“138, 7” is no place")


def test_a_name_that_is_taken_is_said_at_the_name(editor, browse, square):
    page, hand = editor()
    for place in [(0.7, 0.3), (0.8, 0.3), (0.8, 0.5)]:
        hand.tap_map(*place)
    hand.press("Close the outline")
    page.locator("[data-save]").click()
    expect(page.locator("[data-name-wrong]")).to_have_text("Give the plot a name.")
    page.get_by_label("Name").fill(square.name)
    page.locator("[data-save]").click()
    expect(page.locator("[data-name-wrong]")).to_contain_text(square.name)
    browse.errors.clear()  # the browser logs the 400


def test_signed_out_nothing_is_lost(editor, browse, square):
    page, hand = editor(square)
    hand.tap(*hand.where(page.locator(".draw-middle").first))
    page.context.clear_cookies()
    page.locator("[data-save]").click()
    expect(page.locator("[data-signed-out]")).to_be_visible()
    expect(hand.corners()).to_have_count(5)
    browse.errors.clear()  # the browser logs the 401


def test_without_a_connection_the_figure_stays_rough_and_the_drawing_is_kept(editor, browse, square):
    page, hand = editor(square)
    measured(page)
    page.context.set_offline(True)
    hand.tap(*hand.where(page.locator(".draw-middle").first))
    expect(page.locator("[data-figures-said]")).to_contain_text("could not be reached")
    expect(page.locator("[data-acres]")).to_contain_text("about ")
    page.locator("[data-save]").click()
    expect(page.locator("[data-refused]")).to_contain_text("Nothing is lost")
    page.context.set_offline(False)
    save(page)
    browse.errors.clear()  # the browser logs what it could not fetch


def test_a_device_that_keeps_nothing_says_so_and_holds_the_page(editor, square):
    page, hand = editor(square)
    page.evaluate("() => { Storage.prototype.setItem = () => { throw new Error('full'); }; }")
    hand.tap(*hand.where(page.locator(".draw-middle").first))
    expect(page.locator("[data-saved-words]")).to_contain_text("could not keep what you have drawn")
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    page.get_by_role("link", name="Cancel").click(no_wait_after=True)
    page.wait_for_timeout(500)
    assert asked == ["beforeunload"]
    # once it is saved nothing holds the page
    save(page)
    assert asked == ["beforeunload"]


def test_nothing_is_drawn_while_the_answer_is_under_way(editor, square):
    """It would be left behind with the page."""
    page, hand = editor(square)
    hand.tap(*hand.where(page.locator(".draw-middle").first))
    corners = page.locator(".draw-corner").count()
    middle = hand.where(page.locator(".draw-middle").first)
    held = []
    page.route("**/boundary/", lambda route: held.append(route))
    page.locator("[data-save]").click()
    expect(page.locator("[data-saved-words]")).to_have_text("Saving …")
    hand.tap(*middle)
    expect(page.locator(".draw-corner")).to_have_count(corners)
    held[0].continue_()
    page.wait_for_url(re.compile(r"/plots/\d+/$"))
    assert len(current(square).geometry.geoms[0].exterior.coords) == corners + 1


def test_an_older_answer_never_takes_the_place_of_a_newer_one(editor, square):
    """The first question is answered last."""
    page, hand = editor(square)
    whole = measured(page)
    held = []
    page.route("**/measure/", lambda route: held.append(route) if len(held) == 0 else route.continue_())
    hand.tap(*hand.where(hand.corner_near(0.9, 0.1)))
    hand.tap_map(0.5, 0.5)
    expect(page.locator("[data-acres]")).to_contain_text("about ")
    page.wait_for_timeout(400)  # the first question has been sent
    assert len(held) == 1
    page.keyboard.press("Control+z")
    assert measured(page) == whole
    held[0].abort()
    assert measured(page) == whole
