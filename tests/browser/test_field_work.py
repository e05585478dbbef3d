"""Work, the heat and being out alone on a phone, with signal and without."""

import io
import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from playwright.sync_api import expect

from fieldlog.models import CheckIn, Photo, WorkItem, WorkReport
from fieldlog.services.check_ins import end_check_in
from fieldlog.services.work import add_work

HERE = {"longitude": -91.9995, "latitude": 38.0005, "accuracy": 5}  # inside North Bench
OPENED = "[data-screen]:not([hidden]):not([data-loading])"
RECORDS = """async () => {
    const db = await new Promise((done) => {
        const asked = indexedDB.open("swardbook-field");
        asked.onsuccess = () => done(asked.result);
    });
    const all = await new Promise((done) => {
        const asked = db.transaction("records").objectStore("records").getAll();
        asked.onsuccess = () => done(asked.result);
    });
    db.close();
    return all;
}"""


class Hand:
    """The page on a phone, and the hand that holds it."""

    def __init__(self, page, farm):
        self.page, self.farm = page, farm

    def open(self, where=""):
        self.page.goto(reverse("field", args=[self.farm.slug]) + where)
        self.page.wait_for_selector(OPENED)

    def to(self, where):
        self.page.evaluate("(where) => { location.hash = where; }", where)

    def at(self, screen):
        return self.page.locator(f'[data-screen="{screen}"]')

    def press(self, name, screen):
        self.at(screen).get_by_role("button", name=name, exact=True).click()

    def records(self, kind):
        return [each for each in self.page.evaluate(RECORDS) if each["kind"] == kind]

    def wait_for(self, is_so, seconds=30):
        for _ in range(seconds * 20):
            if is_so():
                return
            self.page.wait_for_timeout(50)
        raise AssertionError(f"It did not come about within {seconds} seconds.")

    def kept_for_no_signal(self):
        self.wait_for(lambda: self.page.evaluate("navigator.serviceWorker.controller !== null"))

    def leave_the_signal(self):
        self.kept_for_no_signal()
        self.page.context.set_offline(True)


@pytest.fixture
def plots(make_plot):
    return {"near": make_plot("North Bench"), "far": make_plot("Creek", lon=-91.98)}


@pytest.fixture
def work(farm, owner, plots):
    """Three things to do: one far and overdue, one near, one of another person."""
    today = timezone.localdate()
    late = {
        "kind": "pull",
        "title": "Pull pigweed",
        "plot_id": plots["far"].pk,
        "lon": -91.9795,
        "lat": 38.0005,
    }
    late |= {"due_on": today - timedelta(days=3), "tools": "Gloves, bags", "how": "With the root."}
    near = {"kind": "soil_test", "title": "Test soil", "plot_id": plots["near"].pk}
    mine = {"title": "Fix the gate", "assigned_to_id": owner.pk}
    return {
        name: add_work(property=farm, user=owner, said=said)[0]
        for name, said in {"late": late, "near": near, "others": mine}.items()
    }


@pytest.fixture
def hand(browse, farm, recorder):
    """The recorder's phone, which may know where it is."""

    def hand(**options):
        page = browse(recorder, "phone", permissions=["geolocation"], geolocation=HERE, **options)
        return Hand(page, farm)

    yield hand
    browse.errors[:] = [said for said in browse.errors if "ERR_INTERNET_DISCONNECTED" not in said]


def picture():
    file = io.BytesIO()
    Image.effect_noise((1200, 900), 60).convert("RGB").save(file, "JPEG")
    return {"name": "done.jpg", "mimeType": "image/jpeg", "buffer": file.getvalue()}


def titles(hand):
    return hand.at("work").locator(".field-link strong").all_inner_texts()


def test_the_list_has_what_is_overdue_before_the_nearest_and_others_work_only_when_asked(hand, work):
    phone = hand()
    phone.open("#work")
    expect(phone.at("work").locator(".field-link")).to_have_count(2)
    assert titles(phone) == ["Pull pigweed", "Test soil"]
    expect(phone.at("work").locator("[data-lists]")).to_contain_text("Overdue")
    expect(phone.at("work").locator(".field-link").last).to_contain_text("here")
    phone.press("All", "work")
    expect(phone.at("work").locator(".field-link")).to_have_count(3)


def test_the_nearest_goes_first_where_somebody_walks(hand, work, farm, owner):
    add_work(property=farm, user=owner, said={"title": "At the creek", "lon": -91.9795, "lat": 38.0006})
    phone = hand()
    phone.open("#work")
    expect(phone.at("work").locator(".field-link")).to_have_count(3)
    assert titles(phone)[1:] == ["Test soil", "At the creek"]
    phone.page.context.set_geolocation({"longitude": -91.9795, "latitude": 38.0005, "accuracy": 5})
    phone.wait_for(lambda: titles(phone)[1:] == ["At the creek", "Test soil"])


def test_work_done_without_signal_counts_at_once_and_comes_with_its_picture(hand, work, recorder):
    phone = hand()
    phone.open()
    phone.leave_the_signal()
    phone.to("#work")
    phone.at("work").get_by_text("Pull pigweed").click()
    item = phone.at("work-item")
    expect(item).to_contain_text("Gloves, bags")
    expect(item).to_contain_text("With the root.")
    expect(item.get_by_text("Plants that burn or poison")).to_be_visible()
    phone.press("It is done", "work-item")
    phone.press("30", "work-report")
    phone.press("Five minutes more", "work-report")
    phone.at("work-report").locator("[data-camera]").set_input_files(picture())
    expect(phone.at("work-report").locator("canvas")).to_be_visible()
    phone.press("Save on the phone", "work-report")
    expect(item).to_contain_text("waits to be sent")
    phone.to("#work")
    expect(phone.at("work").locator("[data-lists]")).to_contain_text("Done on this phone")
    phone.page.context.set_offline(False)
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_for(lambda: Photo.objects.filter(arrived_at__isnull=False).exists())
    report = WorkReport.objects.get()
    assert (report.minutes, report.is_finished, report.reported_by) == (35, True, recorder)
    assert report.photos.get().width_px == 1200
    assert WorkItem.objects.get(pk=work["late"].pk).state == WorkItem.State.DONE
    assert (report.lon, report.lat) == (HERE["longitude"], HERE["latitude"])


def test_what_was_said_of_work_survives_a_reload_and_its_watch_goes_on(hand, work):
    phone = hand()
    phone.open(f"#work-{work['near'].pk}")
    phone.press("Only a part", "work-item")
    phone.press("60", "work-report")
    phone.press("Start the watch", "work-report")
    phone.wait_for(lambda: phone.records("work") and phone.records("work")[0]["timing"])
    phone.page.reload()
    phone.page.wait_for_selector(OPENED)
    report = phone.at("work-report")
    expect(report.locator("[data-minutes]")).to_have_text("60 min")
    expect(report.get_by_role("button", name="Stop", exact=True)).to_be_visible()
    expect(report.get_by_role("button", name="Only a part")).to_have_attribute("aria-pressed", "true")
    phone.to("#work")
    expect(phone.at("work")).to_contain_text("is not finished")


def test_work_that_nobody_touched_is_not_kept(hand, work):
    phone = hand()
    phone.open(f"#work-{work['near'].pk}")
    phone.press("It is done", "work-item")
    expect(phone.at("work-report")).to_be_visible()
    phone.to("#work")
    expect(phone.at("work")).to_be_visible()
    assert phone.records("work") == []


def test_something_found_without_signal_is_on_the_list_and_goes_with_its_pin(hand, work, plots, recorder):
    phone = hand()
    phone.open()
    phone.leave_the_signal()
    phone.to("#work-new")
    at = phone.at("work-new")
    phone.press("Save on the phone", "work-new")
    expect(at.locator("[data-wrong]")).to_have_text("Nothing is chosen; choose what needs doing.")
    at.get_by_text("Something else").click()
    at.get_by_label("In a few words").fill("Tree on the fence")
    phone.press("3 days", "work-new")
    at.get_by_text("I do it myself").click()
    phone.press("Save on the phone", "work-new")
    expect(phone.at("work").locator(".field-link", has_text="Tree on the fence")).to_be_visible()
    phone.page.context.set_offline(False)
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_for(lambda: WorkItem.objects.filter(title="Tree on the fence").exists())
    item = WorkItem.objects.get(title="Tree on the fence")
    assert (item.plot, item.assigned_to, item.lon) == (plots["near"], recorder, HERE["longitude"])
    assert item.due_on == timezone.localdate() + timedelta(days=3)


def test_something_found_survives_a_reload_before_it_is_saved(hand, work):
    phone = hand()
    phone.open("#work-new")
    at = phone.at("work-new")
    at.get_by_text("Something else").click()
    at.get_by_label("In a few words").fill("Tree on the fence")
    phone.press("3 days", "work-new")
    phone.wait_for(lambda: [each["work"]["due_on"] for each in phone.records("workitem")] not in ([], [None]))
    phone.page.reload()
    phone.page.wait_for_selector(OPENED)
    expect(at.get_by_label("In a few words")).to_have_value("Tree on the fence")
    expect(at.get_by_label("Something else")).to_be_checked()
    expect(at.get_by_role("button", name="3 days")).to_have_attribute("aria-pressed", "true")
    phone.to("#work")
    expect(phone.at("work")).to_contain_text("Something that needs doing, “Tree on the fence”, begun")
    assert "Tree on the fence" not in titles(phone)
    phone.at("work").get_by_role("link", name="Go on with it").click()
    phone.press("Throw away", "work-new")
    phone.press("Throw this away for good?", "work-new")
    phone.wait_for(lambda: phone.records("workitem") == [])
    phone.to("#work-new")
    expect(at.get_by_label("In a few words")).to_have_value("")
    phone.to("#work")
    expect(phone.at("work")).to_be_visible()
    assert phone.records("workitem") == []  # nothing was said


def test_work_found_here_goes_before_what_was_done_on_it(hand, plots, recorder):
    phone = hand()
    phone.open()
    phone.leave_the_signal()
    # ids in an order that is not that of the day
    phone.page.evaluate(
        "ids => { const made = crypto.randomUUID.bind(crypto); crypto.randomUUID = () => ids.shift() ?? made(); }",
        ["ffffffff-ffff-4fff-bfff-ffffffffffff", "00000000-0000-4000-8000-000000000000"],
    )
    phone.to("#work-new")
    at = phone.at("work-new")
    at.get_by_text("Something else").click()
    at.get_by_label("In a few words").fill("Tree on the fence")
    phone.press("Save on the phone", "work-new")
    phone.at("work").locator(".field-link", has_text="Tree on the fence").click()
    phone.press("It is done", "work-item")
    phone.press("30", "work-report")
    phone.press("Save on the phone", "work-report")
    phone.wait_for(lambda: [each["state"] for each in phone.records("work")] == ["ready"])
    [item], [report] = phone.records("workitem"), phone.records("work")
    assert report["id"] < item["id"]
    refused = []
    phone.page.on("response", lambda each: refused.append(each.url) if each.status >= 400 else None)
    phone.page.context.set_offline(False)
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_for(WorkReport.objects.exists)
    assert refused == []
    assert WorkItem.objects.get(title="Tree on the fence").state == WorkItem.State.DONE


def test_out_alone_is_said_put_off_and_ended_without_signal_and_then_sent(hand, plots, recorder):
    phone = hand()
    phone.open()
    phone.leave_the_signal()
    phone.to("#checkin")
    at = phone.at("checkin")
    expect(at).to_contain_text("First tell a person")
    phone.press("30 min", "checkin")
    expect(at.locator("[data-left]")).to_have_text(re.compile(r"^(30:00|29:5\d)$"))
    expect(at).to_contain_text("Nobody can see this yet")
    phone.press("15 more minutes", "checkin")
    expect(at.locator("[data-left]")).to_have_text(re.compile(r"^(45:00|44:5\d)$"))
    phone.to("#work")
    expect(phone.page.locator("[data-banners]")).to_contain_text("Back by")
    phone.page.context.set_offline(False)
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.wait_for(CheckIn.objects.exists)
    check_in = CheckIn.objects.get()
    assert check_in.back_by - check_in.began_at == timedelta(minutes=45)
    assert (check_in.plot, check_in.ended_at) == (plots["near"], None)
    phone.to("#checkin")
    phone.press("I am back", "checkin")
    expect(at).to_contain_text("First tell a person")
    phone.wait_for(lambda: CheckIn.objects.get().ended_at is not None)
    phone.wait_for(lambda: phone.records("checkin")[0]["state"] == "sent")


def test_being_back_is_not_lost_while_going_out_is_being_sent(hand, plots):
    phone = hand()
    phone.open("#checkin")
    phone.page.evaluate(
        """() => {
            globalThis.ends = [];
            const put = IDBObjectStore.prototype.put;
            IDBObjectStore.prototype.put = function (record, ...rest) {
                if (record.kind === "checkin") ends.push(Boolean(record.endedAt));
                return put.call(this, record, ...rest);
            };
        }"""
    )
    held = []
    phone.page.route("**/check-ins/**", lambda route: held.append(route) if not held else route.continue_())
    phone.press("1 hour", "checkin")
    phone.wait_for(lambda: held)
    phone.press("I am back", "checkin")
    phone.wait_for(lambda: phone.records("checkin")[0]["endedAt"])
    held[0].continue_()
    phone.wait_for(lambda: CheckIn.objects.filter(ended_at__isnull=False).exists())
    assert CheckIn.objects.count() == 1
    phone.wait_for(lambda: phone.records("checkin")[0]["state"] == "sent")
    ends = phone.page.evaluate("ends")
    assert ends == sorted(ends)  # once it was said it stood


def test_who_is_late_is_told_on_every_screen_and_survives_a_reload(hand, plots):
    phone = hand()
    phone.page.clock.install()
    phone.open("#checkin")
    phone.press("30 min", "checkin")
    phone.wait_for(lambda: phone.records("checkin"))
    phone.page.reload()
    phone.page.wait_for_selector(OPENED)
    expect(phone.at("checkin").locator("[data-out]")).to_be_visible()
    phone.to("#")
    phone.page.clock.fast_forward("31:00")
    expect(phone.page.locator("[data-banners]")).to_contain_text("You were to be back by")
    phone.to("#checkin")
    expect(phone.at("checkin")).to_contain_text("late: are you back?")


def test_a_time_that_nobody_chose_is_asked_for(hand, plots):
    phone = hand()
    phone.open("#checkin")
    phone.press("Go", "checkin")
    expect(phone.at("checkin").locator("[data-wrong]")).to_contain_text("No time is chosen")
    assert phone.records("checkin") == []


def test_the_heat_is_looked_up_without_signal_and_nothing_is_said_before_it_is_known(hand, plots):
    phone = hand()
    phone.open()
    phone.leave_the_signal()
    phone.to("#heat")
    said = phone.at("heat").locator("[data-heat]")
    expect(said).to_have_text("Tap temperature and humidity.")
    phone.press("Two degrees more", "heat")
    phone.press("Five percent more", "heat")
    expect(said).to_contain_text("Danger")  # 90 °F and 50 %: 95 in the shade, up to 110 in the sun
    expect(said).to_contain_text("in the sun up to 110 °F")
    phone.press("Shade", "heat")
    expect(said).to_contain_text("Extreme caution")
    expect(phone.at("heat")).to_contain_text("Call 911")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_screen_is_accessible(hand, work, assert_accessible, scheme):
    phone = hand(color_scheme=scheme)
    screens = {"work": "work", f"work-{work['late'].pk}": "work-item", "work-new": "work-new"}
    screens |= {"safety": "safety", "heat": "heat", "checkin": "checkin"}
    phone.open()
    for where, screen in screens.items():
        phone.to(f"#{where}")
        expect(phone.at(screen)).to_be_visible()
        for fold in phone.at(screen).locator("summary").all():
            fold.click()
        assert_accessible(phone.page)
    phone.press("30 min", "checkin")
    expect(phone.at("checkin").locator("[data-out]")).to_be_visible()
    assert_accessible(phone.page)
    phone.to(f"#work-{work['late'].pk}")
    phone.press("It is done", "work-item")
    expect(phone.at("work-report")).to_be_visible()
    assert_accessible(phone.page)


def test_who_is_late_stands_out_at_the_desk(browse, farm, manager, recorder, assert_accessible):
    began_at = timezone.now() - timedelta(hours=2)
    check_in = CheckIn.objects.create(
        property=farm,
        user=recorder,
        began_at=began_at,
        back_by=began_at + timedelta(hours=1),
        lon=-92,
        lat=38,
    )
    page = browse(manager)
    page.goto(reverse("overview", args=[farm.slug]))
    page.get_by_role("link", name="Who is out").click()
    expect(page.get_by_text("should be back")).to_be_visible()
    assert_accessible(page)
    page.get_by_role("button", name="recorder is back").click()
    expect(page.get_by_text("Nobody has said that they work alone now")).to_be_visible()
    assert end_check_in(check_in=check_in, user=manager).ended_by == manager
