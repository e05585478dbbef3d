"""What a phone keeps and how it is sent, by the page's own modules: the store's upgrade, refusals, people, room, time."""

import io
import json
import re
import zipfile
from uuid import uuid4

import pytest
from django.contrib.sessions.models import Session
from django.urls import reverse
from playwright.sync_api import expect

from fieldlog.models import Phone, Photo, Reading, Visit
from fieldlog.services.phones import end_phone, let_phone_in
from plots.access import property_for
from tests.browser.conftest import OneAtATime, session_cookie
from tests.browser.kept_phone import MODULE, READY, RECORD, SHOWN, WAITING

OLD_STORE = """async () => {
    indexedDB.deleteDatabase("swardbook-field");
    const db = await new Promise((done, failed) => {
        const asked = indexedDB.open("swardbook-field", 1);
        asked.onupgradeneeded = () => {
            asked.result.createObjectStore("records", { keyPath: "id" });
            asked.result.createObjectStore("entries", { keyPath: ["record", "n"] });
            asked.result.createObjectStore("ground", { keyPath: "slug" });
        };
        asked.onsuccess = () => done(asked.result);
        asked.onerror = () => failed(asked.error);
    });
    const transaction = db.transaction(["records", "entries"], "readwrite");
    transaction.objectStore("records").put({ id: "a", kind: "walk", slug: "tally", state: "open", startedAt: "2026-11-01T10:00:00Z", newName: "Old" });
    transaction.objectStore("entries").put({ record: "a", n: 1, value: [1, 2, 3, 4, 0] });
    await new Promise((done) => (transaction.oncomplete = done));
    db.close();
}"""


class Page:
    """The field log of a person, and the hand that holds it."""

    def __init__(self, page, farm):
        self.page, self.farm = page, farm

    def open(self):
        self.page.goto(reverse("field", args=[self.farm.slug]))
        self.page.wait_for_selector(SHOWN)
        self.page.evaluate(READY)

    def run(self, code, *values):
        """`code` in the page, as the body of a function of `values`, with moduleOf(name)."""
        return self.page.evaluate(f"async (values) => {{ {MODULE} {code} }}", list(values))

    def record(self, start, count, pictures=2):
        return self.page.evaluate(RECORD, [start, count, pictures])

    def waiting(self):
        return self.page.evaluate(WAITING)

    def send(self):
        self.page.evaluate("dispatchEvent(new Event('online'))")

    def until(self, is_so):
        for _ in range(600):
            if found := is_so():
                return found
            self.page.wait_for_timeout(50)
        raise AssertionError("It did not come about within half a minute.")

    def until_empty(self):
        self.until(lambda: not self.waiting()["records"])

    @property
    def origin(self):
        return self.page.evaluate("location.origin")

    @property
    def queue(self):
        return self.page.locator('[data-screen="home"] [data-queue]')


@pytest.fixture
def hold(browse, farm, make_plot):
    """hold(user) -> Page on the field log of a property with two plots"""
    make_plot("North Bench")
    make_plot("Creek", lon=-91.99)

    def hold(user, **options):
        held = Page(browse(user, screen="phone", **options), farm)
        held.open()
        return held

    yield hold
    # No signal and refusals are what these tests are about.
    browse.errors[:] = [each for each in browse.errors if not each.startswith("Failed to load resource")]


def test_a_store_of_the_release_before_keeps_what_waits(browse, recorder, farm):
    page = browse(recorder)
    page.goto("/api/schema/?format=json")  # a page without a store of its own
    page.evaluate(OLD_STORE)
    held = Page(page, farm)
    held.open()
    found = held.run(
        "const { recordOf, entries, picturesLeft } = await moduleOf('store');"
        "return [await recordOf('a'), await entries('a'), await picturesLeft()];"
    )
    assert found[0]["newName"] == "Old"
    assert found[1:] == [[[1, 2, 3, 4, 0]], []]
    browse.errors.clear()  # of the page of which only the origin was wanted


def test_a_page_of_an_earlier_release_opens_a_later_store(hold, recorder):
    held = hold(recorder)
    held.record(0, 1, 0)
    found = held.run(
        "const { allRecords } = await moduleOf('store');"
        "await new Promise((done) => { const asked = indexedDB.open('swardbook-field', 3); asked.onsuccess = () => { asked.result.close(); done(); }; });"
        "return (await allRecords()).length;"
    )
    assert found == 1


DRAFT = """
const { Draft } = await moduleOf("draft");
const { recordOf } = await moduleOf("store");
const draft = new Draft(() => null);
await draft.take({ id: "a", kind: "other", slug: "tally", user: null, state: "open", startedAt: "" });
"""


def test_what_was_typed_is_on_disk_once_the_typing_rests(hold, recorder):
    held = hold(recorder)
    found = held.run(
        DRAFT
        + """
        const seen = [];
        const real = IDBDatabase.prototype.transaction;
        IDBDatabase.prototype.transaction = function (names, mode, how) {
            if (mode === "readwrite") seen.push(how?.durability);
            return real.call(this, names, mode, how);
        };
        draft.change({ note: "a" });
        draft.change({ note: "ab" });
        for (let tries = 0; tries < 200 && seen.length < 2; tries += 1) await new Promise((later) => setTimeout(later, 50));
        draft.change({ note: "abc" });
        await draft.letGo();
        return [seen, (await recordOf("a")).note];
        """
    )
    assert found == [["relaxed", "strict"] * 2, "abc"]


def test_a_position_that_comes_while_a_visit_is_saved_leaves_it_ready(hold, recorder):
    held = hold(recorder)
    found = held.run(
        DRAFT
        + """
        const real = IDBObjectStore.prototype.put;
        IDBObjectStore.prototype.put = function (record, ...rest) {
            if (record.state === "ready" && !record.place) draft.change({ place: { lon: 1, lat: 2 } });
            return real.call(this, record, ...rest);
        };
        const isKept = await draft.finish({ note: "done" });
        const { state, note, place } = await recordOf("a");
        return [isKept, state, note, place.lon, draft.record];
        """
    )
    assert found == [True, "ready", "done", 1, None]


def test_readings_go_before_pictures_and_many_at_once(hold, recorder):
    held = hold(recorder)
    held.page.context.set_offline(True)
    made = held.record(0, 7)
    asked = []
    held.page.on(
        "request", lambda each: each.method in ("PUT", "POST") and asked.append((each.method, each.url))
    )
    held.page.context.set_offline(False)
    held.until_empty()
    asked = [(method, url.split("/")[7]) for method, url in asked if "/properties/" in url]
    assert asked == [("POST", "visits"), *[("PUT", "photos")] * 14]
    assert {str(each) for each in Visit.objects.values_list("pk", flat=True)} == {each["id"] for each in made}
    assert Photo.objects.filter(arrived_at__isnull=False).count() == 14
    phone = Phone.objects.get()
    assert set(Visit.objects.values_list("phone", flat=True)) == {phone.pk}
    expect(held.queue).to_contain_text("Sent: 7 visits")
    held.until(lambda: Phone.objects.get().waiting == [])


def test_one_refused_reading_keeps_the_rest_and_says_which(hold, recorder):
    held = hold(recorder)
    held.page.context.set_offline(True)
    [made] = held.record(0, 1)
    held.run(
        "const { recordOf, keep } = await moduleOf('store'); const record = await recordOf(values[0]);"
        "const bad = { ...record.readings[0], id: values[1], values: { gauge_in: 900 } };"
        "await keep({ ...record, readings: [...record.readings, bad] });",
        made["id"],
        str(uuid4()),
    )
    held.page.context.set_offline(False)
    held.send()
    held.until(lambda: Photo.objects.filter(arrived_at__isnull=False).count() == 2)
    expect(held.queue).to_contain_text("1 of 2 readings was not taken; the rest is with the server.")
    expect(held.queue).to_contain_text("900 in")
    assert [str(each) for each in Reading.objects.values_list("pk", flat=True)] == [made["reading"]]
    [record] = held.waiting()["records"]
    assert [each["state"] for each in record["readings"]] == ["sent", "refused"]
    held.until(lambda: "not taken" in str(Phone.objects.get().waiting))
    held.queue.get_by_role("button", name="Throw it away").click()
    held.queue.get_by_role("button", name="Throw it away for good?").click()
    held.until_empty()
    assert Reading.objects.count() == 1


def test_an_expired_session_keeps_everything_and_asks_to_sign_in(hold, recorder, browse):
    held = hold(recorder)
    OneAtATime.wait_until_quiet()  # an answer under way shares the database's one connection
    Session.objects.all().delete()
    held.record(0, 2)
    held.send()
    expect(held.queue).to_contain_text("Sign in, and it is sent. Nothing is lost.")
    assert len(held.waiting()["pictures"]) == 4
    held.page.context.add_cookies([session_cookie(recorder, held.origin)])
    held.send()
    held.until_empty()
    assert (Visit.objects.count(), Photo.objects.count()) == (2, 4)
    browse.errors.clear()


def test_a_session_that_ends_between_two_pictures_sends_the_rest_later(hold, recorder, browse):
    held = hold(recorder)
    sent = []

    def end_session(route):
        sent.append(route.request.url)
        if len(sent) == 3:
            Session.objects.all().delete()
        route.continue_()

    held.page.route("**/photos/**", end_session)
    held.record(0, 3)
    held.send()
    expect(held.queue).to_contain_text("Sign in")
    held.page.unroute("**/photos/**")
    left = len(held.waiting()["pictures"])
    assert 0 < left < 6
    held.page.context.add_cookies([session_cookie(recorder, held.origin)])
    held.send()
    held.until_empty()
    assert Photo.objects.filter(arrived_at__isnull=False).count() == 6
    browse.errors.clear()


def test_another_person_on_the_phone_sends_nothing_of_the_first(hold, recorder, manager, browse):
    held = hold(recorder)
    held.page.context.set_offline(True)
    held.record(0, 1)
    held.page.context.clear_cookies()
    held.page.context.set_offline(False)
    held.page.context.add_cookies([session_cookie(manager, held.origin)])
    held.open()
    expect(held.queue).to_contain_text(f"Recorded by {recorder.shown_name}, who alone can send it")
    assert Visit.objects.count() == 0
    assert Phone.objects.get(user=manager).waiting == []
    held.page.context.add_cookies([session_cookie(recorder, held.origin)])
    held.open()
    held.until_empty()
    assert Visit.objects.get().recorded_by == recorder
    browse.errors.clear()


def test_two_people_at_one_plot_have_a_visit_each(hold, recorder, manager):
    for user in (recorder, manager):
        held = hold(user)
        held.page.context.set_offline(True)
        held.record(0, 1)
        held.page.context.set_offline(False)
        held.send()
        held.until_empty()
    visits = Visit.objects.all()
    assert {each.recorded_by for each in visits} == {recorder, manager}
    assert len({each.plot_id for each in visits}) == 1
    assert Photo.objects.count() == 4


def test_a_phone_whose_access_was_ended_is_told_so_and_let_in_again(hold, recorder, owner, farm, browse):
    held = hold(recorder)
    held.until(Phone.objects.exists)
    property = property_for(owner, farm.slug)
    end_phone(phone=Phone.objects.get(), by=owner, property=property)
    held.page.context.add_cookies(
        [session_cookie(recorder, held.origin)]
    )  # who knows the password signs in again
    held.record(0, 1)
    held.send()
    expect(held.queue).to_contain_text("This phone’s access was ended")
    assert Visit.objects.count() == 0
    held.until(lambda: len(Phone.objects.get().waiting) == 1)
    let_phone_in(phone=Phone.objects.get(), by=owner, property=property)
    held.send()
    held.until_empty()
    assert Visit.objects.count() == 1
    browse.errors.clear()


@pytest.mark.parametrize("hours", [24, -24])
def test_a_clock_that_is_a_day_off_is_put_right(hold, recorder, hours):
    held = hold(recorder)
    held.page.add_init_script(
        f"const real = Date.now; Date.now = () => real() + {hours} * 3600e3;"
        f"globalThis.Date = class extends Date {{ constructor(...given) {{ given.length ? super(...given) : super(real() + {hours} * 3600e3); }} }};"
    )
    held.open()
    held.record(0, 1, 0)
    held.send()
    held.until(Visit.objects.exists)
    visit = Visit.objects.get()
    assert visit.clock_ahead_s == pytest.approx(hours * 3600, abs=60)
    assert abs((visit.visited_at - visit.received_at).total_seconds()) < 60
    assert abs((visit.said_at - visit.received_at).total_seconds()) == pytest.approx(24 * 3600, abs=60)
    held.until(
        lambda: (
            Phone.objects.get().clock_ahead_s is not None and abs(Phone.objects.get().clock_ahead_s) > 80_000
        )
    )


def test_a_full_phone_says_so_and_keeps_neither_half(browse, recorder, farm, make_plot):
    make_plot("Creek")
    held = Page(browse(recorder, screen="phone"), farm)
    held.page.goto("/sign-in/?next=/account/")
    devtools = held.page.context.new_cdp_session(held.page)
    room = {"origin": held.origin, "quotaSize": 4_000_000}
    devtools.send("Storage.overrideQuotaForOrigin", room)  # before anything is kept, or it does not count
    held.open()
    [made] = held.record(0, 1, 0)
    found = held.run(
        """
        const { keepWithPhoto, recordOf, picturesLeft } = await moduleOf("store");
        const { notSaved, roomWarning } = await moduleOf("room");
        const record = { ...(await recordOf(values[0])), note: "with a picture" };
        const whole = new Uint8Array(6_000_000); // of chance, which a browser cannot press together
        for (let at = 0; at < whole.length; at += 60_000) crypto.getRandomValues(whole.subarray(at, at + 60_000));
        let said = null; // the browser measures now and then, so a few may fit
        let kept = 0;
        for (; !said && kept < 12; kept += said ? 0 : 1) {
            const photo = { id: `p${kept}`, sha256: "a".repeat(64), type: "image/jpeg", bytes: whole.buffer };
            said = await keepWithPhoto({ ...record, note: `picture ${kept}` }, photo).then(() => null, notSaved);
        }
        const { note } = await recordOf(values[0]);
        const isWhole = note === (kept ? `picture ${kept - 1}` : "Visit 0") && (await picturesLeft()).length === kept;
        navigator.storage.estimate = async () => ({ usage: 9_000_000, quota: 10_000_000 });
        return [said, isWhole, await roomWarning()];
        """,
        made["id"],
    )
    assert found[0].startswith("NOT SAVED: this phone has no room left.")
    assert found[1] is True
    assert found[2].startswith("This phone has little room left")
    assert "9 MB of 10 MB" in found[2]


def test_what_waits_is_saved_as_a_file_with_its_pictures(hold, recorder, browse):
    held = hold(recorder)
    held.page.context.set_offline(True)
    [made] = held.record(0, 1)
    held.send()
    with held.page.expect_download() as download:
        held.queue.get_by_role("button", name="Save with pictures").click()
    with zipfile.ZipFile(io.BytesIO(download.value.path().read_bytes())) as kept:
        assert kept.testzip() is None
        [record] = json.loads(kept.read("not-sent.json"))
        assert record["id"] == made["id"]
        names = {f"pictures/{photo['id']}.jpeg" for photo in record["photos"]}
        assert set(kept.namelist()) == {"not-sent.json", *names}
        assert all(kept.read(name).startswith(b"\xff\xd8") for name in names)
    browse.errors.clear()


def test_signing_out_warns_of_pictures_that_are_left(hold, recorder, browse):
    held = hold(recorder)
    held.page.route("**/photos/**", lambda route: route.abort())
    held.record(0, 1)
    held.send()
    held.until(lambda: (held.waiting()["records"] or [{}])[0].get("heardAt"))
    held.page.goto(reverse("account"))
    held.page.get_by_role("button", name="Sign out").click()
    expect(held.page.get_by_role("alert")).to_contain_text(
        "1 visit with 2 pictures on this device not sent yet"
    )
    browse.errors.clear()


def test_signing_out_takes_along_what_was_sent(hold, recorder):
    held = hold(recorder)
    held.record(0, 2, pictures=0)
    held.send()
    held.until_empty()
    held.page.goto(reverse("account"))
    held.page.get_by_role("button", name="Sign out").click()
    expect(held.page).to_have_url(re.compile("/sign-in/"))
    left = held.page.evaluate(
        """() => new Promise((done) => {
            indexedDB.open("swardbook-field").onsuccess = ({ target: { result: db } }) =>
                (db.transaction("records").objectStore("records").count().onsuccess = ({ target }) => done(target.result));
        })"""
    )
    assert left == 0


def test_the_field_log_can_be_installed(hold, recorder):
    held = hold(recorder)
    devtools = held.page.context.new_cdp_session(held.page)
    manifest = devtools.send("Page.getAppManifest")
    assert manifest["errors"] == []
    assert json.loads(manifest["data"])["start_url"] == reverse("field", args=[held.farm.slug])
    held.until(lambda: held.page.evaluate("navigator.serviceWorker.controller !== null"))
    assert devtools.send("Page.getInstallabilityErrors")["installabilityErrors"] in (
        [],
        [{"errorId": "in-incognito", "errorArguments": []}],
    )
