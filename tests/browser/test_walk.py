"""Walking an edge in a real browser, with a scripted position, with signal and without."""

import re
import time

import pytest
import shapely
from django.urls import reverse
from playwright.sync_api import expect

from plots.models import Membership, Walk
from tests.browser.conftest import session_cookie
from tests.conftest import person
from tests.walking import PLANE, way_round

CORNERS_M = [(0, 0), (90, 0), (90, 90), (0, 90)]
STEP_M = 20


def places(count=None):
    """Longitude and latitude on the way round the square."""
    found = shapely.get_coordinates(PLANE.to_degrees(shapely.points(way_round(CORNERS_M, step_m=STEP_M))))
    return found[:count].tolist()


class Phone:
    """A page on a phone, and the hand that holds it."""

    def __init__(self, page, farm):
        self.page, self.farm = page, farm

    def open(self, query=""):
        self.page.goto(reverse("walk", args=[self.farm.slug]) + query)
        self.page.wait_for_selector("[data-screen]:not([hidden]):not([data-loading])")

    def at(self, screen):
        return self.page.locator(f'[data-screen="{screen}"]')

    def kept_for_no_signal(self):
        self.wait_until(lambda: self.page.evaluate("navigator.serviceWorker.controller !== null"))

    def press(self, name, screen=None):
        scope = self.page if screen is None else self.at(screen)
        scope.get_by_role("button", name=name, exact=True).click()

    def stand(self, lon, lat, accuracy=4):
        self.page.context.set_geolocation({"longitude": lon, "latitude": lat, "accuracy": accuracy})

    def start(self, plot=None):
        """From the choice of the plot to the first recorded point."""
        expect(self.at("choose")).to_be_visible()
        self.page.get_by_text(plot or "A new plot", exact=True).click()
        self.stand(*places(1)[0])
        self.press("Next")
        expect(self.at("ready").locator("[data-accuracy]")).to_contain_text("Good")
        self.press("Start")
        expect(self.at("walk")).to_be_visible()

    def go(self, way, accuracy=4):
        """Each place is waited for: the browser tells of one only when it is another than the last."""
        for lon, lat in way:
            before = self.seen()
            self.stand(lon, lat, accuracy)
            self.wait_until(lambda before=before: self.seen() > before)

    def wait_until(self, is_so):
        """By looking again: a condition as text is evaluated in the page, whose policy forbids it."""
        deadline = time.monotonic() + 10
        while not is_so():
            assert time.monotonic() < deadline, "It did not come about within ten seconds."
            self.page.wait_for_timeout(20)

    def seen(self):
        return sum(int(self.page.locator(f"[data-{each}]").inner_text()) for each in ("points", "left"))

    def walk_round(self, plot=None):
        self.start(plot)
        self.go(places()[1:])
        self.press("Stop")
        expect(self.at("look")).to_be_visible()

    def save(self):
        self.press("Save on the phone")
        expect(self.at("saved")).to_be_visible()

    def waiting(self):
        """What is on the device and not with the server: [[record, entries], …]."""
        return self.page.evaluate(
            """async () => {
                const db = await new Promise((done) => {
                    const asked = indexedDB.open("swardbook-field");
                    asked.onsuccess = () => done(asked.result);
                });
                const all = (name) => new Promise((done) => {
                    const asked = db.transaction(name).objectStore(name).getAll();
                    asked.onsuccess = () => done(asked.result);
                });
                const [records, entries] = [await all("records"), await all("entries")];
                db.close();
                return records.filter(({ state }) => state !== "sent")
                    .map((record) => [record, entries.filter((each) => each.record === record.id).map(({ value }) => value)]);
            }"""
        )


@pytest.fixture
def phone(browse, farm):
    """phone(user, **options) -> Phone whose browser may know where it is"""

    def phone(user, screen="phone", permissions=("geolocation",), **options):
        return Phone(browse(user, screen, permissions=list(permissions), **options), farm)

    return phone


@pytest.fixture
def hand(phone, recorder, make_plot):
    """The recorder's phone on the page of a property with two plots."""
    make_plot("North Bench")
    make_plot("Creek", lon=-91.99)
    hand = phone(recorder)
    hand.open()
    return hand


def test_an_edge_is_walked_with_a_pause_and_poor_points_and_sent(hand, recorder):
    hand.start("Creek")
    way = places()
    hand.go(way[1:6])
    hand.go([(way[6][0] + 0.0001, way[6][1])], accuracy=40)
    expect(hand.at("walk").locator("[data-accuracy]")).to_contain_text("Too poor: left out")
    expect(hand.page.locator("[data-left]")).to_have_text("1")
    hand.press("Pause")
    expect(hand.page.locator("[data-state]")).to_have_text("Paused")
    seen = hand.seen()
    hand.stand(*way[7])
    hand.page.wait_for_timeout(300)
    assert hand.seen() == seen
    hand.press("Go on", "walk")
    expect(hand.page.locator("[data-points]")).to_have_text("7")  # where it goes on from
    hand.go(way[8:])
    hand.press("Stop")
    expect(hand.at("look").locator("[data-rough]")).to_contain_text(
        re.compile(r"about [12]\.\d\d ac ± 0\.\d\d")
    )
    hand.page.get_by_label("Why it changed").fill("cleared")
    hand.save()
    expect(hand.at("saved").locator("[data-queue]")).to_contain_text(
        re.compile(r"Creek 1?2?\.\d\d ac ± 0\.\d\d, sent")
    )
    walk = Walk.objects.get()
    assert (walk.plot.name, walk.note, walk.created_by) == ("Creek", "cleared", recorder)
    stretches = [fix[4] for fix in walk.fixes]
    assert (stretches[0], stretches[-1]) == (0, 1)
    assert [fix[2] for fix in walk.fixes].count(40) == 1
    assert [fix[:2] for fix in walk.fixes if fix[2] == 4] == [
        pytest.approx(each) for each in way[:6] + way[7:]
    ]
    assert hand.waiting() == []


def test_saved_without_signal_it_is_there_after_the_page_was_opened_anew_and_goes_when_there_is(browse, hand):
    hand.kept_for_no_signal()
    hand.page.context.set_offline(True)
    hand.walk_round("North Bench")
    hand.save()
    expect(hand.at("saved")).to_contain_text("There is no signal")
    [[record, fixes]] = hand.waiting()
    hand.page.reload()
    expect(hand.at("choose")).to_contain_text("1 walk waits to be sent")
    expect(hand.at("choose")).to_contain_text("Creek")  # plots are known without signal
    assert hand.waiting() == [[record, fixes]]
    assert not Walk.objects.exists()
    hand.page.context.set_offline(False)
    expect(hand.at("choose")).to_contain_text("Sent: 1 walk")
    walk = Walk.objects.get()
    assert (str(walk.pk), walk.fixes) == (record["id"], fixes)
    assert hand.waiting() == []
    browse.errors.clear()


def test_an_answer_that_was_lost_makes_one_walk(browse, hand):
    lost = []

    def lose(route):
        route.fetch()  # the server has stored it
        lost.append(route.request.url)
        route.abort()

    hand.page.context.route("**/api/v1/**", lose, times=1)
    hand.walk_round()
    hand.save()
    expect(hand.at("saved")).to_contain_text("There is no signal")
    assert len(lost) == Walk.objects.count() == len(hand.waiting()) == 1
    hand.press("Send now", "saved")
    expect(hand.at("saved")).to_contain_text("Sent: 1 walk")
    assert Walk.objects.count() == 1
    assert hand.waiting() == []
    browse.errors.clear()


def test_a_page_that_is_killed_while_walking_loses_nothing(hand):
    hand.start("Creek")
    hand.go(places()[1:7])
    context = hand.page.context
    hand.page.close()
    hand.page = context.new_page()
    hand.open()
    expect(hand.at("open")).to_contain_text("Your walk round Creek is not finished")
    expect(hand.at("open")).to_contain_text("7 points")
    hand.press("Go on", "open")
    expect(hand.page.locator("[data-points]")).to_have_text("8")  # where it goes on from
    hand.go(places()[7:])
    hand.press("Stop")
    hand.save()
    expect(hand.at("saved")).to_contain_text("Sent: 1 walk")
    walk = Walk.objects.get()
    way = places()
    assert [fix[:2] for fix in walk.fixes] == [pytest.approx(each) for each in way[:7] + way[6:]]
    assert [fix[4] for fix in walk.fixes][6:8] == [0, 1]


def test_points_that_the_phone_did_not_take_are_kept_with_later_ones_or_when_it_is_saved(hand):
    hand.page.evaluate(
        """() => {
            const { put } = IDBObjectStore.prototype;
            window.fill = () => {
                IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError"); };
            };
            window.makeRoom = () => { IDBObjectStore.prototype.put = put; };
        }"""
    )
    told = hand.page.get_by_text("This phone did not keep the last points.")
    hand.start("Creek")
    hand.page.evaluate("window.fill()")
    hand.go(places()[1:4])
    expect(told).to_be_visible()
    hand.page.evaluate("window.makeRoom()")
    hand.go(places()[4:6])
    expect(told).to_have_count(0)
    [[_, kept]] = hand.waiting()
    assert [fix[:2] for fix in kept] == [pytest.approx(each) for each in places()[:6]]
    hand.page.evaluate("window.fill()")
    hand.go(places()[6:9])
    hand.press("Stop")
    hand.press("Save on the phone")
    expect(hand.page.get_by_text("NOT SAVED: this phone did not keep it (full).")).to_be_visible()
    hand.page.evaluate("window.makeRoom()")
    hand.save()
    expect(hand.at("saved")).to_contain_text("Sent: 1 walk")
    assert [fix[:2] for fix in Walk.objects.get().fixes] == [pytest.approx(each) for each in places()[:9]]


def test_a_walk_is_recorded_in_one_tab_only(hand):
    hand.start("Creek")
    other = Phone(hand.page.context.new_page(), hand.farm)
    other.open()
    other.press("Go on", "open")
    expect(other.page.locator("[data-banners]")).to_contain_text("recorded in another tab")
    expect(other.at("open")).to_be_visible()


def test_two_tabs_send_a_walk_once(browse, hand):
    hand.page.context.set_offline(True)
    hand.walk_round()
    hand.save()
    hand.page.context.set_offline(False)
    other = Phone(hand.page.context.new_page(), hand.farm)
    other.open()
    expect(other.at("choose")).to_contain_text("Sent: 1 walk")
    expect(hand.at("saved")).to_contain_text("Sent: 1 walk")
    assert Walk.objects.count() == 1
    browse.errors.clear()


def test_whoever_is_signed_out_meanwhile_signs_in_and_loses_nothing(browse, hand, recorder, live_server):
    hand.walk_round()
    hand.page.context.clear_cookies()
    hand.save()
    expect(hand.at("saved")).to_contain_text("Sign in, and it is sent. Nothing is lost.")
    assert len(hand.waiting()) == 1
    hand.at("saved").get_by_role("link", name="Sign in").click()
    hand.page.get_by_label("User name").fill("recorder")
    hand.page.get_by_label("Password").fill("correct horse battery")
    hand.page.get_by_role("button", name="Sign in").click()
    expect(hand.at("choose")).to_contain_text("Sent: 1 walk")
    assert Walk.objects.get().created_by == recorder
    browse.errors.clear()


def test_another_person_on_the_same_phone_does_not_send_it_as_their_own(browse, hand, farm, live_server):
    hand.page.context.set_offline(True)
    hand.walk_round()
    hand.save()
    second = person("second", farm, Membership.Role.RECORDER)
    hand.page.context.add_cookies([session_cookie(second, live_server.url)])
    hand.page.context.set_offline(False)
    hand.open()
    expect(hand.at("choose")).to_contain_text("Walked by recorder, who alone can send it")
    assert not Walk.objects.exists()
    assert len(hand.waiting()) == 1
    browse.errors.clear()


def test_signing_out_over_an_unsent_walk_is_told_and_forgets_the_plots(browse, hand):
    hand.page.context.set_offline(True)
    hand.walk_round()
    hand.page.context.set_offline(False)
    hand.page.goto(reverse("account"))
    expect(hand.page.locator(".messages")).to_contain_text("1 walk on this device not sent yet")
    hand.press("Sign out")
    expect(hand.page.get_by_role("alert")).to_contain_text("only the person who recorded it can send it")
    hand.press("Sign out all the same")
    expect(hand.page).to_have_url(re.compile("/sign-in/"))
    assert len(hand.waiting()) == 1
    ground = """() => new Promise((done) => {
        const asked = indexedDB.open("swardbook-field");
        asked.onsuccess = () => {
            const all = asked.result.transaction("ground").objectStore("ground").getAll();
            all.onsuccess = () => done(all.result.length);
        };
    })"""
    assert hand.page.evaluate(ground) == 0
    browse.errors.clear()


def test_signing_out_with_nothing_unsent_asks_nothing(hand):
    hand.page.goto(reverse("account"))
    hand.press("Sign out")
    expect(hand.page).to_have_url(re.compile("/sign-in/"))


def test_a_browser_that_may_not_know_the_place_is_told_what_to_do(phone, recorder):
    hand = phone(recorder, permissions=())
    hand.open()
    hand.page.get_by_text("A new plot", exact=True).click()
    hand.press("Next")
    expect(hand.page.locator("[data-banners]")).to_contain_text("Allow the location for this site")
    expect(hand.page.get_by_role("button", name="Start")).to_be_disabled()


def test_a_walk_can_be_taken_off_the_phone_as_a_file(browse, hand):
    hand.page.context.set_offline(True)
    hand.walk_round("Creek")
    hand.save()
    for kind, mark in (("JSON", '"fixes"'), ("GPX", "<trkpt")):
        with hand.page.expect_download() as handed:
            hand.press(f"Save as {kind}", "saved")
        text = handed.value.path().read_text("utf-8")
        assert mark in text
        assert handed.value.suggested_filename.endswith(kind.lower())
    browse.errors.clear()


def test_a_link_from_a_plot_begins_with_that_plot(hand, farm):
    plot = farm.plots.get(name="Creek")
    hand.open(f"?plot={plot.pk}")
    expect(hand.at("ready")).to_contain_text("Stand at the edge of Creek")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("screen", ["phone", "desktop"])
def test_every_screen_is_accessible_and_fits(phone, recorder, make_plot, assert_accessible, scheme, screen):
    make_plot("North Bench")
    narrow = {"viewport": {"width": 320, "height": 640}} if screen == "phone" else {}
    hand = phone(recorder, screen, color_scheme=scheme, **narrow)
    hand.open()

    def check():
        assert_accessible(hand.page)
        assert hand.page.evaluate("document.documentElement.scrollWidth <= innerWidth")

    check()
    hand.start("North Bench")
    check()
    hand.go(places()[1:])
    hand.press("Stop")
    check()
    hand.save()
    expect(hand.at("saved")).to_contain_text("Sent: 1 walk")
    check()


def test_the_page_can_be_worked_by_the_keyboard(hand):
    hand.stand(*places(1)[0])
    hand.page.get_by_role("radio", name="Creek").focus()
    hand.page.keyboard.press("Space")
    hand.page.keyboard.press("Enter")
    expect(hand.at("ready").locator("h1")).to_be_focused()
    expect(hand.at("ready").locator("[data-accuracy]")).to_contain_text("Good")
    hand.page.get_by_role("button", name="Start").focus()
    hand.page.keyboard.press("Enter")
    expect(hand.at("walk").locator("h1")).to_be_focused()


@pytest.mark.parametrize("screen", ["phone", "desktop"])
def test_a_walk_is_looked_at_and_made_a_boundary(browse, hand, manager, farm, assert_accessible, screen):
    hand.walk_round("Creek")
    hand.save()
    expect(hand.at("saved")).to_contain_text("Sent: 1 walk")
    desk = browse(manager, screen)
    desk.goto(reverse("walk-review", args=[farm.slug, Walk.objects.get().pk]))
    desk.wait_for_selector("[data-walk-map][data-ready]")
    expect(desk.locator("[data-walk-map] path.outline.walked")).to_have_count(1)
    assert_accessible(desk)
    desk.get_by_label("Thin the line to within").select_option("5.0")
    desk.get_by_role("button", name="Look again").click()
    desk.wait_for_selector("[data-walk-map][data-ready]")
    expect(desk.get_by_label("Thin the line to within")).to_have_value("5.0")
    # `Creek` lies 0.01 degrees away from the walk, which nobody takes for a mistake.
    desk.get_by_role("button", name="Save as boundary").click()
    expect(desk.get_by_text("Creek has the boundary that was walked.")).to_be_visible()
    plot = farm.plots.get(name="Creek")
    assert (plot.boundary.how, plot.boundary.accuracy_m) == ("walked", 4)


PLAIN_HTTP = """
    Object.defineProperty(window, "isSecureContext", { value: false });
    for (const name of ["locks", "serviceWorker", "geolocation", "wakeLock"]) delete Navigator.prototype[name];
    delete Crypto.prototype.randomUUID;
"""


def test_over_plain_http_the_page_says_why_nothing_can_be_walked(phone, recorder, make_plot):
    """What a browser withholds there: W3C "Secure Contexts", 2023, and the documents of each interface."""
    make_plot("North Bench")
    hand = phone(recorder)
    hand.page.add_init_script(PLAIN_HTTP)
    hand.open()
    hand.page.get_by_text("North Bench", exact=True).click()
    hand.press("Next")
    expect(hand.page.get_by_text("This page was not opened over https")).to_be_visible()
    expect(hand.page.get_by_role("button", name="Start", exact=True)).to_be_disabled()
