"""The field log on a phone in a real browser: by touch, with signal and without."""

import io
import re
import time

import pytest
from django.urls import reverse
from PIL import Image
from playwright.sync_api import expect
from shapely.geometry import MultiPolygon, Polygon, box

from fieldlog.models import PhotoPoint, Protocol, Reading, Visit

NORTH = (-92.0, 38.0)
DAY_MS = 24 * 3600 * 1000
STORED = """async (name) => {
    const db = await new Promise((done) => {
        const asked = indexedDB.open("swardbook-field");
        asked.onsuccess = () => done(asked.result);
    });
    let rows; // a write waits for the one before, so reading twice behind all that writes has both
    for (let turn = 0; turn < 3; turn += 1) {
        rows = await new Promise((done) => {
            const asked = db.transaction(name, "readwrite").objectStore(name).getAll();
            asked.transaction.oncomplete = () => done(asked.result);
        });
    }
    db.close();
    return rows.map(({ bytes, ...row }) => ({ ...row, ...(bytes ? { first: [...new Uint8Array(bytes).slice(0, 4)] } : {}) }));
}"""


class Phone:
    """A page on a phone, and the hand that holds it."""

    def __init__(self, page, farm):
        self.page, self.farm = page, farm

    def open(self, behind=""):
        self.page.goto(reverse("field", args=[self.farm.slug]) + behind)
        self.page.wait_for_selector("[data-screen]:not([hidden]):not([data-loading])")

    def at(self, screen):
        return self.page.locator(f'[data-screen="{screen}"]')

    def press(self, name, screen):
        self.at(screen).get_by_role("button", name=name, exact=True).tap()

    def stand(self, lon, lat, accuracy=5):
        self.page.context.set_geolocation({"longitude": lon, "latitude": lat, "accuracy": accuracy})

    def lose_signal(self):
        """Once the page and its last module are kept."""
        self.page.evaluate(
            """async () => {
                const { serviceWorker } = navigator;
                if (!serviceWorker.controller) await new Promise((done) => serviceWorker.addEventListener("controllerchange", done));
            }"""
        )
        self.page.context.set_offline(True)

    def begin(self, plot="North Bench"):
        self.at("home").get_by_role("link", name=re.compile(plot)).first.tap()
        expect(self.at("plot").get_by_role("heading", name=plot)).to_be_visible()
        self.press("Begin the visit", "plot")
        expect(self.at("visit")).to_be_visible()

    def ask_for(self, protocol):
        self.at("visit").locator(
            ".field-link", has=self.page.locator("strong", has_text=protocol)
        ).first.tap()
        expect(self.at("step")).to_be_visible()

    def type(self, number):
        for key in str(number):
            self.at("step").get_by_role("button", name={".": "Point"}.get(key, key), exact=True).tap()

    def next(self, words="Next"):
        self.press(words, "step")

    def asked(self, label):
        expect(self.at("step").get_by_role("heading", name=label, exact=True)).to_be_visible()

    def finish(self):
        self.at("visit").get_by_role("link", name="Finish").tap()
        self.press("Save on the phone", "end")
        expect(self.at("saved")).to_be_visible()

    def stored(self, name="records"):
        return self.page.evaluate(STORED, name)

    def draft(self):
        """The visit, once every tap is kept."""
        self.page.wait_for_timeout(60)
        [record] = [each for each in self.stored() if each["kind"] == "visit"]
        return record

    def values(self, kind):
        [reading] = [each for each in self.draft()["readings"] if each["kind"] == kind]
        return reading["values"]


@pytest.fixture
def ground(make_plot):
    """A square plot, one with a hole and a second part, and one whose outline nobody drew."""
    lon, lat = NORTH
    square = MultiPolygon([box(lon, lat, lon + 0.001, lat + 0.001)])
    ring = box(lon + 0.01, lat, lon + 0.013, lat + 0.003)
    hole = box(lon + 0.011, lat + 0.001, lon + 0.012, lat + 0.002)
    part = box(lon + 0.02, lat, lon + 0.021, lat + 0.001)
    parts = MultiPolygon([Polygon(ring.exterior.coords, [hole.exterior.coords]), part])
    return {
        "north": make_plot("North Bench", geometry=square),
        "creek": make_plot("Creek", geometry=parts),
        "nowhere": make_plot("Nowhere", acres=None),
    }


@pytest.fixture
def phone(browse, farm):
    """phone(user, **options) -> Phone whose browser may know where it is"""

    def phone(user, screen="phone", permissions=("geolocation",), **options):
        return Phone(browse(user, screen, permissions=list(permissions), **options), farm)

    return phone


@pytest.fixture
def hand(phone, recorder, ground):
    hand = phone(recorder)
    hand.stand(NORTH[0] + 0.0005, NORTH[1] + 0.0005)
    hand.open()
    return hand


@pytest.fixture
def protocol(farm, owner):
    """protocol(key, **settings): what the property changed of a protocol"""

    def protocol(key, **settings):
        return Protocol.objects.create(
            property=farm, key=key, kind=key, name=key.capitalize(), settings=settings, changed_by=owner
        )

    return protocol


def picture(width=800, height=600, *, turned=None, name="a.jpg"):
    """A photograph as a camera writes it; `turned` is the number of EXIF's orientation."""
    image = Image.new("RGB", (width, height), "white")
    image.paste("black", (0, 0, width // 2, height // 2))
    exif = Image.Exif()
    if turned:
        exif[0x0112] = turned
    exif[0x010F] = "Camera that writes its name"
    file = io.BytesIO()
    image.save(file, "JPEG", exif=exif)
    return {"name": name, "mimeType": "image/jpeg", "buffer": file.getvalue()}


def test_a_number_that_was_typed_but_not_added_counts_too(hand):
    hand.begin()
    hand.ask_for("Stand count")
    hand.type(14)
    hand.press("Add it", "step")
    hand.type(11)
    assert hand.values("stand")["plants"] == [14, 11]  # kept before anything is pressed
    hand.next()
    hand.asked("Where plants are missing")
    hand.press("Back", "step")
    expect(hand.at("step")).to_contain_text("14 · 11")
    hand.type(7)
    hand.press("Delete the last figure", "step")
    assert hand.values("stand")["plants"] == [14, 11]


@pytest.mark.parametrize(("height", "protocol"), [(844, "Stand count"), (844, "Soil"), (664, "Stand count")])
def test_keys_and_what_adds_a_number_stay_above_the_bar(phone, recorder, ground, height, protocol):
    hand = phone(recorder, viewport={"width": 390, "height": height})
    hand.open()
    hand.begin()
    hand.at("visit").locator("strong", has_text=re.compile(f"^{protocol}$")).tap()
    expect(hand.at("step")).to_be_visible()
    add = hand.at("step").get_by_role("button", name="Add it", exact=True).bounding_box()
    bar = hand.at("step").locator(".main-act").bounding_box()
    assert add["y"] + add["height"] <= bar["y"]


def test_the_dials_of_the_heat_fit_on_a_narrow_phone(phone, recorder, ground):
    hand = phone(recorder, viewport={"width": 320, "height": 568})
    hand.open("#heat")
    expect(hand.at("heat")).to_be_visible()
    assert hand.page.evaluate("document.documentElement.scrollWidth") == 320


def test_a_whole_visit_without_signal_goes_when_there_is(browse, hand, protocol, recorder):
    """Each way of asking once: numbers, choice, flag, rows, species, points, number, text and a pin."""
    hand.lose_signal()
    hand.page.reload()
    expect(hand.at("home")).to_contain_text("You are in North Bench")
    hand.begin()
    hand.ask_for("Stand count")
    for count in (12, 9):
        hand.type(count)
        hand.press("Add it", "step")
    expect(hand.at("step")).to_contain_text("12 · 9 (2, mean 10.5)")
    hand.next()
    hand.press("Crusted ground", "step")
    hand.next("Done")
    hand.ask_for("Stage and height")
    hand.page.get_by_label("Its name").fill("Cereal rye")
    hand.press("Heading or bud", "step")
    hand.at("step").get_by_role("button", name=re.compile("^Height")).tap()
    hand.type("24.5")
    hand.next("Done")
    hand.ask_for("Residue cover")
    for tap in "YYNY":
        hand.press("Yes" if tap == "Y" else "No", "step")
    hand.press("Undo", "step")
    expect(hand.at("step")).to_contain_text("3 of 100 · 67 % yes")
    hand.next()
    hand.next("Skip")
    hand.ask_for("Dry matter")
    hand.press("Yes", "step")
    hand.next()
    hand.next("Skip")
    hand.next("Skip")
    hand.ask_for("Temperature")
    hand.type("101.5")
    hand.next()
    for _ in range(3):
        hand.next("Skip")
    hand.ask_for("As found")
    hand.press("Deer seen", "step")
    hand.next()
    hand.type(3)
    hand.next()
    hand.at("step").get_by_role("textbox").fill("Two does, one fawn")
    hand.next("Done")
    hand.ask_for("Weeds")
    hand.press("Horseweed", "step")
    for words in ("Next", *["Skip"] * 8):
        hand.next(words)
    hand.press("Where I stand", "step")
    hand.next("Done")
    hand.at("visit").get_by_role("link", name="Note").tap()
    hand.page.get_by_label("What else was seen at North Bench").fill("Wet at the low end.")
    hand.press("Done", "note")
    hand.finish()
    expect(hand.at("saved")).to_contain_text("There is no signal")
    assert not Visit.objects.exists()
    hand.page.context.set_offline(False)
    expect(hand.at("saved")).to_contain_text("Sent: 1 visit")
    visit = Visit.objects.get()
    assert (visit.plot.name, visit.note, visit.recorded_by) == (
        "North Bench",
        "Wet at the low end.",
        recorder,
    )
    assert (visit.lon, visit.lat, visit.accuracy_m) == (pytest.approx(-91.9995), pytest.approx(38.0005), 5)
    assert {each.kind: each.values for each in visit.readings.all()} == {
        "stand": {"plants": [12, 9], "trouble": "crust"},
        "growth": {
            "plants": [{"species": {"id": None, "name": "Cereal rye"}, "stage": "heading", "height_in": 24.5}]
        },
        "cover": {"lines": ["110"]},
        "dry_matter": {"frames": [{"is_empty": True}]},
        "temperature": {"surface_f": 101.5},
        "found": {"what": "deer", "count": 3, "words": "Two does, one fawn"},
        "weeds": {"species": {"id": None, "name": "Horseweed"}},
    }
    weeds = visit.readings.get(kind="weeds")
    assert (weeds.lon, weeds.lat) == (pytest.approx(-91.9995), pytest.approx(38.0005))
    browse.errors.clear()


def test_every_tap_is_kept_when_the_page_is_killed(hand):
    hand.begin()
    hand.ask_for("Temperature")
    hand.type("98")
    hand.page.wait_for_timeout(60)
    context = hand.page.context
    hand.page.close()
    hand.page = context.new_page()
    hand.open()
    expect(hand.at("home")).to_contain_text("A visit to North Bench, begun")
    hand.at("home").get_by_role("link", name="Go on with it").tap()
    expect(hand.at("visit")).to_contain_text("Top of the mulch: 98 °F")
    hand.ask_for("Temperature")
    hand.asked("Ground under the mulch")
    hand.press("Back", "step")
    expect(hand.at("step").locator("output")).to_have_text("98")


def test_a_visit_goes_on_on_another_day_and_readings_keep_their_time(hand):
    hand.begin()
    hand.ask_for("Temperature")
    hand.type("98")
    taken_at = hand.draft()["readings"][0]["taken_at"]
    hand.page.clock.install(time=time.time() + 2 * 24 * 3600)
    hand.page.reload()
    expect(hand.at("step")).to_be_visible()
    hand.next()
    hand.type("70")
    [reading] = hand.draft()["readings"]
    assert (reading["values"], reading["taken_at"]) == ({"surface_f": 98, "under_f": 70}, taken_at)


def test_back_of_the_phone_and_of_the_page_lose_nothing(hand):
    hand.begin()
    hand.ask_for("Temperature")
    hand.type("98")
    hand.next()
    hand.type("70")
    hand.page.go_back()
    hand.asked("Top of the mulch")
    hand.press("Back", "step")
    expect(hand.at("visit")).to_contain_text("Top of the mulch: 98 °F · Ground under the mulch: 70 °F")


def test_what_is_odd_is_questioned_and_taken_at_a_word(browse, hand):
    hand.begin()
    hand.ask_for("Temperature")
    hand.type("170")
    hand.next()
    expect(hand.at("step")).to_contain_text("Top of the mulch at 170 °F?")
    hand.press("Change it", "step")
    hand.press("Delete the last figure", "step")
    hand.next()
    hand.asked("Ground under the mulch")
    hand.type("171")
    hand.next()
    hand.press("Yes, really", "step")
    hand.asked("A leaf in the sun")
    hand.press("Back", "step")
    hand.next()
    hand.asked("A leaf in the sun")
    [reading] = hand.draft()["readings"]
    assert (reading["values"], reading["sure_of"]) == ({"surface_f": 17, "under_f": 171}, ["under_f"])
    hand.press("Back", "step")
    hand.press("Delete the last figure", "step")
    assert hand.draft()["readings"][0]["sure_of"] == []


def test_what_cannot_be_is_told_and_can_be_left_out(hand):
    hand.begin()
    hand.ask_for("Temperature")
    hand.type("300")
    hand.next()
    expect(hand.at("step").get_by_role("alert")).to_contain_text(
        "Top of the mulch is 300 °F; a number from -60 to 250 °F is accepted."
    )
    hand.press("Leave it out", "step")
    hand.asked("Ground under the mulch")
    assert hand.values("temperature") == {}


def test_a_step_that_hangs_on_a_setting_is_asked_by_it(hand, protocol):
    protocol("cover", method="estimate")
    hand.page.reload()
    hand.begin()
    hand.ask_for("Cover")
    hand.asked("How much of the ground is covered?")
    hand.press("25 to 50 %", "step")
    hand.next()
    assert hand.values("cover") == {"cover_class": "25_50"}


def test_stems_are_tallied_row_by_row(hand, protocol):
    protocol("browse", method="stems")
    hand.page.reload()
    hand.begin()
    hand.ask_for("Browse")
    hand.page.get_by_label("Its name").fill("Clover")
    for _ in range(3):
        hand.press("Bitten: one more", "step")
    hand.press("Bitten: one less", "step")
    hand.press("Not bitten: one more", "step")
    hand.press("Done with this one", "step")
    hand.press("Add another", "step")
    hand.press("Not bitten: one more", "step")
    hand.press("Done with this one", "step")
    expect(hand.at("step")).to_contain_text("1. Clover, bitten 2, not bitten 1")
    assert hand.values("browse") == {
        "stems": [{"species": {"id": None, "name": "Clover"}, "bitten": 2, "whole": 1}, {"whole": 1}]
    }


def test_the_watch_of_the_ring_runs_on_over_a_reload(hand):
    hand.page.clock.install()
    hand.begin()
    hand.ask_for("Soil")
    hand.press("Start the watch", "step")
    hand.page.clock.run_for(30_000)
    hand.page.wait_for_timeout(100)
    hand.page.reload()
    hand.page.clock.run_for(60_000)
    hand.press("Stop", "step")
    expect(hand.at("step").locator("output")).to_have_text(re.compile(r"1\.5\d?"))
    hand.press("Add it", "step")
    [minutes] = hand.values("soil")["minutes"]
    assert minutes == pytest.approx(1.5, abs=0.1)


def test_a_visit_with_nothing_in_it_is_not_kept_and_nothing_is_asked(hand):
    hand.begin()
    hand.at("visit").get_by_role("link", name="All plots").tap()
    expect(hand.at("home")).to_be_visible()
    hand.page.wait_for_timeout(100)
    assert hand.stored() == []


def test_another_tab_does_not_take_the_visit(hand):
    hand.begin()
    other = Phone(hand.page.context.new_page(), hand.farm)
    other.open()
    other.at("home").get_by_role("link", name="Go on with it").tap()
    expect(other.page.locator("[data-banners]")).to_contain_text("This visit is open in another tab")
    expect(other.at("home")).to_be_visible()


def test_a_picture_is_turned_made_small_and_rid_of_what_the_camera_wrote(hand):
    """Orientation 6: taken upright, stored lying; what is black above left is above right once turned."""
    hand.begin()
    hand.at("visit").get_by_role("link", name="Pictures").tap()
    hand.at("photos").get_by_label("Take a picture").set_input_files(picture(3000, 2000, turned=6))
    expect(hand.at("photos").locator("canvas")).to_be_visible()
    hand.page.get_by_label("What it shows").fill("The low end")
    [photo] = hand.draft()["photos"]
    assert (photo["width"], photo["height"], photo["type"]) == (1333, 2000, "image/jpeg")
    assert (photo["place"]["lon"], photo["caption"]) == (pytest.approx(-91.9995), "The low end")
    [kept] = hand.stored("photos")
    assert kept["sha256"] == photo["sha256"]
    found = hand.page.evaluate(
        """async (id) => {
            const db = await new Promise((done) => {
                const asked = indexedDB.open("swardbook-field");
                asked.onsuccess = () => done(asked.result);
            });
            const { bytes, type } = await new Promise((done) => {
                const asked = db.transaction("photos").objectStore("photos").get(id);
                asked.onsuccess = () => done(asked.result);
            });
            db.close();
            const digest = [...new Uint8Array(await crypto.subtle.digest("SHA-256", bytes))].map((each) => each.toString(16).padStart(2, "0")).join("");
            const bitmap = await createImageBitmap(new Blob([bytes], { type }));
            const canvas = Object.assign(document.createElement("canvas"), { width: bitmap.width, height: bitmap.height });
            const drawn = canvas.getContext("2d");
            drawn.drawImage(bitmap, 0, 0);
            const tone = (x, y) => drawn.getImageData(x * bitmap.width, y * bitmap.height, 1, 1).data[0];
            return { digest, text: new TextDecoder("latin1").decode(bytes), tones: [tone(.25, .25), tone(.75, .25), tone(.25, .75)] };
        }""",
        photo["id"],
    )
    assert found["digest"] == photo["sha256"]
    assert "Exif" not in found["text"]
    assert "Camera that writes" not in found["text"]
    assert [each > 128 for each in found["tones"]] == [True, False, True]


def test_a_picture_of_a_reading_goes_with_it_and_one_that_is_thrown_away_does_not(hand, settings):
    hand.begin()
    hand.ask_for("Temperature")
    hand.type("98")
    hand.press("Take a picture", "step")
    hand.at("photos").get_by_label("Take a picture").set_input_files(picture())
    expect(hand.at("photos").locator("canvas")).to_have_count(1)
    hand.page.get_by_label("Choose from the phone").set_input_files([picture(400, 300, name="b.jpg")])
    expect(hand.at("photos").locator("canvas")).to_have_count(2)
    second = hand.at("photos").get_by_role("button", name="Throw this picture away").last
    second.tap()
    hand.press("Throw it away for good?", "photos")
    expect(hand.at("photos").locator("canvas")).to_have_count(1)
    assert len(hand.stored("photos")) == 1
    hand.press("Done", "photos")
    hand.asked("Top of the mulch")
    hand.next()
    hand.page.evaluate("history.go(-1)")
    hand.page.evaluate(f"location.hash = 'visit-{hand.draft()['id']}'")
    hand.finish()
    expect(hand.at("saved")).to_contain_text("Sent: 1 visit")
    photo = Visit.objects.get().photos.get()
    assert photo.reading == Reading.objects.get(kind="temperature")
    assert photo.arrived_at is not None
    assert hand.stored("photos") == []


def test_a_file_that_is_no_picture_is_told(hand):
    hand.begin()
    hand.at("visit").get_by_role("link", name="Pictures").tap()
    wrong = {"name": "deed.pdf", "mimeType": "image/jpeg", "buffer": b"%PDF-1.4 no picture"}
    hand.at("photos").get_by_label("Take a picture").set_input_files(wrong)
    expect(hand.at("photos").get_by_role("alert")).to_contain_text(
        re.compile(r"deed\.pdf is not a picture that this browser can read.*JPEG, PNG or WebP is accepted")
    )
    assert hand.draft()["photos"] == []


def test_a_photo_point_says_where_to_stand_and_where_to_look(hand, ground, owner):
    point = PhotoPoint.objects.create(
        plot=ground["north"], name="Gate", lon=-91.9995, lat=38.0008, bearing_deg=90, created_by=owner
    )
    hand.page.reload()
    hand.begin()
    hand.at("visit").get_by_role("link", name="Pictures").tap()
    hand.page.get_by_text("From a photo point").tap()
    hand.press("Gate", "photos")
    expect(hand.at("photos")).to_contain_text("Stand at Gate: 110 ft north of you. Look east (90°).")
    hand.at("photos").get_by_label("Take a picture").set_input_files(picture())
    expect(hand.at("photos").locator("canvas")).to_have_count(1)
    [photo] = hand.draft()["photos"]
    assert (photo["point_id"], photo["bearing_deg"]) == (point.pk, 90)


def test_a_pin_is_set_by_a_tap_and_moved_by_buttons(hand):
    hand.begin()
    hand.ask_for("Weeds")
    for _ in range(9):
        hand.next("Skip")
    drawing = hand.at("step").locator("svg.field-pin-map")
    size = drawing.bounding_box()
    drawing.tap(position={"x": size["width"] / 2, "y": size["height"] / 2})
    expect(hand.at("step")).to_contain_text("Pinned where the drawing was tapped.")
    [first] = [each["place"] for each in hand.draft()["readings"]]
    assert (first["lon"], first["lat"]) == (
        pytest.approx(-91.9995, abs=2e-5),
        pytest.approx(38.0005, abs=2e-5),
    )
    assert first["accuracy_m"] is None
    hand.page.get_by_text("Move the pin with buttons").tap()
    hand.press("A little north", "step")
    [second] = [each["place"] for each in hand.draft()["readings"]]
    assert second["lat"] > first["lat"]
    assert second["lon"] == pytest.approx(first["lon"])


def test_the_plot_is_found_by_where_one_stands(hand):
    expect(hand.at("home").get_by_role("heading", name="You are in North Bench")).to_be_visible()
    expect(hand.at("home")).to_contain_text("within 16 ft")
    hand.stand(NORTH[0] + 0.0115, NORTH[1] + 0.0015)  # in the hole
    expect(hand.at("home").get_by_role("heading", name="You are in no plot")).to_be_visible()
    expect(hand.at("home")).to_contain_text(re.compile(r"Creek is 1\d0 ft (east|west)"))
    hand.stand(NORTH[0] + 0.0205, NORTH[1] + 0.0005)  # in the second part
    expect(hand.at("home").get_by_role("heading", name="You are in Creek")).to_be_visible()
    hand.stand(NORTH[0] + 0.0005, NORTH[1] + 0.00105, 30)
    expect(hand.at("home")).to_contain_text("North Bench is 18 ft south. You may be in it")


def test_without_a_position_a_plot_is_chosen(phone, recorder, ground):
    hand = phone(recorder, permissions=())
    hand.open()
    expect(hand.at("home").get_by_role("heading", name="Which plot?")).to_be_visible()
    hand.begin("Nowhere")
    assert hand.draft()["place"] is None


def test_somebody_else_who_was_here_today_is_told(hand, ground, manager):
    Visit.objects.create(
        plot=ground["north"], visited_at="2000-01-01T00:00Z", recorded_by=manager, note="long ago"
    )
    hand.page.reload()
    hand.at("home").get_by_role("link", name=re.compile("North Bench")).first.tap()
    expect(hand.at("plot")).not_to_contain_text("was here today")
    Visit.objects.update(visited_at=Visit.objects.get().received_at)
    hand.open()
    hand.at("home").get_by_role("link", name=re.compile("North Bench")).first.tap()
    expect(hand.at("plot")).to_contain_text("manager was here today")


def test_a_plot_says_that_you_were_there_today_before_and_after_it_is_sent(browse, hand):
    hand.lose_signal()
    hand.begin()
    hand.finish()
    hand.page.evaluate("location.hash = ''")
    row = hand.at("home").locator("[data-plots] a", has_text="North Bench")
    expect(row).to_contain_text("you were here today")
    expect(row).to_contain_text("waits to be sent")
    hand.page.context.set_offline(False)  # and it goes by itself
    expect(row).not_to_contain_text("waits to be sent")
    expect(row).to_contain_text("you were here today")
    row.tap()
    expect(hand.at("plot").get_by_text("You were here today")).to_have_count(1)
    hand.open()  # with what the server knows of it now
    hand.at("home").locator("[data-plots] a", has_text="North Bench").tap()
    expect(hand.at("plot").get_by_text("here today")).to_have_count(1)
    browse.errors.clear()  # what the browser says of requests without signal


def test_a_reading_that_was_refused_is_put_right_and_sent_again(browse, hand, monkeypatch):
    hand.begin()
    hand.ask_for("Temperature")
    hand.type("98")
    hand.draft()
    hand.page.evaluate(f"location.hash = 'visit-{hand.draft()['id']}'")
    hand.ask_for("Rain")
    hand.type("1.5")
    # The phone of an older release may know other bounds than the server.
    hand.page.wait_for_timeout(60)
    hand.page.evaluate(
        """async () => {
            const db = await new Promise((done) => {
                const asked = indexedDB.open("swardbook-field");
                asked.onsuccess = () => done(asked.result);
            });
            const change = db.transaction("records", "readwrite").objectStore("records");
            change.getAll().onsuccess = ({ target: { result: [record] } }) => {
                record.readings.find(({ kind }) => kind === "rain").values.gauge_in = 99;
                change.put(record);
            };
            await new Promise((done) => (change.transaction.oncomplete = done));
            db.close();
        }"""
    )
    hand.page.reload()
    hand.page.evaluate(f"location.hash = 'visit-{hand.draft()['id']}'")
    hand.finish()
    expect(hand.at("saved")).to_contain_text(
        "Rain in the gauge is 99 in; a number from 0 to 60 in is accepted"
    )
    visit = Visit.objects.get()
    assert [each.kind for each in visit.readings.all()] == ["temperature"]
    hand.at("saved").get_by_role("link", name="Put it right").first.tap()
    expect(hand.at("visit")).to_contain_text("Rain in the gauge is 99 in")
    hand.ask_for("Rain")
    hand.press("Delete the last figure", "step")
    hand.next()
    hand.page.evaluate("location.hash = location.hash.split('/')[0]")
    hand.finish()
    expect(hand.at("saved")).to_contain_text("Sent: 1 visit")
    assert visit.readings.get(kind="rain").values == {"gauge_in": 9}
    browse.errors.clear()


def test_numbers_are_typed_on_a_keyboard_too(hand):
    hand.begin()
    hand.ask_for("Temperature")
    for key in ("1", "0", "1", ".", "5", "Backspace", "7"):
        hand.page.keyboard.press(key)
    assert hand.values("temperature") == {"surface_f": 101.7}
    hand.page.keyboard.press("Tab")
    assert hand.page.evaluate("document.activeElement.textContent") == "⌫"


def test_who_may_only_look_cannot_begin_a_visit(phone, viewer, ground):
    hand = phone(viewer)
    hand.open()
    hand.at("home").get_by_role("link", name=re.compile("North Bench")).first.tap()
    expect(hand.at("plot")).to_contain_text("A visit asks for")
    expect(hand.at("plot").get_by_role("button", name="Begin the visit")).to_be_hidden()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_screen_can_be_read_by_everybody(phone, recorder, ground, assert_accessible, scheme):
    hand = phone(recorder, color_scheme=scheme)
    hand.stand(NORTH[0] + 0.0005, NORTH[1] + 0.0005)
    hand.open()

    def check():
        """At the end of the page, where the bar with the main button covers nothing."""
        hand.page.evaluate("scrollTo(0, document.body.scrollHeight)")
        assert_accessible(hand.page)

    check()
    hand.at("home").get_by_role("link", name=re.compile("North Bench")).first.tap()
    expect(hand.at("plot")).to_be_visible()
    check()
    hand.press("Begin the visit", "plot")
    expect(hand.at("visit")).to_be_visible()
    check()
    visit = hand.page.url.split("#")[1]
    for protocol in ("Stand count", "Stage and height", "Residue cover", "Temperature", "Moisture", "Weeds"):
        hand.page.evaluate(f"location.hash = '{visit}'")
        hand.ask_for(protocol)
        check()
    while hand.at("step").get_by_role("heading").inner_text() != "Where is it?":
        hand.next("Skip")
    check()
    hand.page.evaluate(f"location.hash = '{visit}/photos'")
    hand.at("photos").get_by_label("Take a picture").set_input_files(picture())
    expect(hand.at("photos").locator("canvas")).to_have_count(1)
    check()
    for name in ("note", "end"):
        hand.page.evaluate(f"location.hash = '{visit}/{name}'")
        expect(hand.at(name)).to_be_visible()
        check()
