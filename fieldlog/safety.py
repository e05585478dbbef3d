"""What can hurt somebody at this work, and the usual caution against it: short, in place, and never the last word.

A caution defers to the label, to local rules and to whoever is licensed or trained. `Kind.cautions` of
fieldlog/kinds/described.py names them by their keys.
"""

from dataclasses import dataclass

from fieldlog.calc.heat import BANDS, DEFERS, EMERGENCY, MEASURES, SUN_ADDS_F, heat_table
from plots.calc.described import COMMON_PRACTICE, Source

_QUOTED = "Seen as a quotation, not on the page."
_TICKS = Source(
    "Stop ticks to avoid Lyme and other tickborne diseases",
    "US Centers for Disease Control and Prevention",
    "2018",
    note=_QUOTED,
)
_TREATED = Source(
    "Safe handling of treated seed starts with gloves",
    "University of Nebraska Extension, carried by agupdate.com",
    "2020",
    "https://www.agupdate.com/illinoisfarmertoday/news/crop/safe-handling-of-treated-seed-starts-with-gloves/"
    "article_8556c9d0-8a31-11ea-8ea2-6f70bc8aac0f.html",
    note="The year is that of its address, from memory.",
)
_REENTRY = Source(
    "Worker Protection Standard, 40 CFR 170, entry restrictions",
    "US Code of Federal Regulations",
    "2007",
    "http://edocket.access.gpo.gov/cfr_2007/julqtr/40cfr170.112.htm",
    note="That edition was read; later ones have other numbers.",
)
_SHAFT = Source(
    "Power take-off safety",
    "University of Wisconsin Extension",
    "no year",
    "https://fyi.extension.wisc.edu/agsafety/tractors-and-machinery/power-take-off-safety/",
)
_BELT = Source(
    "Wear that seat belt!",
    "Louisiana State University AgCenter",
    "no year",
    "https://www.lsuagcenter.com/topics/lawn_garden/commercial_horticulture/equipment/compact%20tractors/wear-that-seatbelt",
)
_SAP = Source(
    "Exercise caution around caustic weeds",
    "Review Atlas, with University of Illinois Extension",
    "2016",
    "https://www.reviewatlas.com/news/20160708/exercise-caution-around-caustic-weeds",
)
_WASH = Source(
    "Wild parsnip",
    "University of Wisconsin Extension, Florence County",
    "no year",
    "https://florence.extension.wisc.edu/wild-parsnip/",
)
_THUNDER = Source(
    "When thunder roars, go indoors",
    "US National Weather Service",
    "no year",
    note=_QUOTED,
)


@dataclass(frozen=True)
class Caution:
    """One thing that can hurt.

    Attributes
    ----------
    key : str
        By which kinds of reading, kinds of work and pages name it.
    title : str
    says : tuple of str
        Sentences, the one that matters most first.
    when : str
        When it is for.
    sources : tuple of Source
    """

    key: str
    title: str
    says: tuple
    when: str
    sources: tuple = (COMMON_PRACTICE,)


CAUTIONS = (
    Caution(
        "heat",
        "Heat",
        (
            EMERGENCY,
            "Water, shade and rest come before the work. Look up the heat index before you start, and again at noon.",
            DEFERS,
        ),
        "from about 80 °F, in damp air or full sun sooner",
        (MEASURES, COMMON_PRACTICE),
    ),
    Caution(
        "alone",
        "Working alone",
        (
            "Tell a person where you go and by when you are back, before you go. A check-in here is no alarm: without signal "
            "nobody hears of it.",
            "Agree what that person does when you are late, and whom they call.",
            "Leave work with machinery, heights, water or spray for when somebody is with you.",
        ),
        "whenever nobody is in sight or hearing",
    ),
    Caution(
        "reentry",
        "After a spray",
        (
            "Keep out of a sprayed plot until the label's re-entry interval has passed, unless you wear what the label asks of "
            "those who go in early and may go in at all.",
            "An interval that nobody typed in is not over: ask whoever sprayed, and read the label. It is the law.",
            "Only whoever is licensed for it, or directly supervised by them, uses restricted products.",
        ),
        "on a plot that was sprayed",
        (_REENTRY,),
    ),
    Caution(
        "treated_seed",
        "Treated seed",
        (
            "Read the tag: it says which gloves and clothing, and how long to keep livestock off.",
            "Chemical-resistant gloves, long sleeves and long trousers; cotton and leather soak it up.",
            "Never feed or eat it. Cover or pick up what is spilled. Wash before you eat, drink or smoke.",
        ),
        "when you fill, empty or clean a drill, or find seed on the ground",
        (_TREATED,),
    ),
    Caution(
        "machinery",
        "Machinery",
        (
            "Stop the engine and take the key before you clear, adjust or unhitch. Nobody near a turning shaft, and every "
            "shield on.",
            "Roll bar up and belt on. Nobody rides along. Keep off steep banks.",
            "Only whoever was shown how works a machine; its handbook goes before this.",
        ),
        "with a tractor, drill, mower, crimper or sprayer",
        (_SHAFT, _BELT),
    ),
    Caution(
        "skin",
        "Plants that burn or poison",
        (
            "Gloves, long sleeves and long trousers. Know the plant before you touch it: the sap of wild parsnip burns skin in "
            "the sun, and some, such as poison hemlock and poison ivy, are dangerous to handle.",
            "Sap on the skin: wash it off with soap and water at once and keep the place out of the sun. In the eyes: rinse "
            "with water and see a doctor. Never burn poison ivy, or what you do not know.",
            "Bag seed heads. Lift with your legs, and rest your back.",
        ),
        "when you pull, cut or bag plants",
        (_SAP, _WASH, COMMON_PRACTICE),
    ),
    Caution(
        "ticks",
        "Ticks",
        (
            "Trousers in socks, and a repellent that is registered for ticks, used by its label.",
            "Look yourself over when you come in: knees, waist, armpits, hairline. Pull a tick straight out with fine tweezers.",
            "Fever or a rash after a bite: see a doctor, and say that it was a tick.",
        ),
        "in grass and brush, whenever it is not frozen",
        (_TICKS,),
    ),
    Caution(
        "drying",
        "Drying samples",
        (
            "Stay with a sample in a microwave: dry plants catch fire. Short spells, a cup of water beside it, and stop when it "
            "smells scorched.",
            "Use no appliance that food goes into, and air the room. Dry nothing that was sprayed, or that you do not know.",
        ),
        "when you dry clippings with heat",
    ),
    Caution(
        "lightning",
        "Lightning",
        (
            "Thunder means now: go indoors or into a hard-topped vehicle. Not under a tree, not in an open shed.",
            "Come out 30 minutes after the last thunder.",
        ),
        "when you hear thunder",
        (_THUNDER,),
    ),
    Caution(
        "hunting",
        "Hunting season",
        (
            "Find out who hunts here today and where, and tell them where you will be. Wear blaze orange where and when the "
            "state asks for it, and better always.",
            "Never walk up to a stand unannounced.",
        ),
        "while any season is open here or next door",
    ),
)
BY_KEY = {each.key: each for each in CAUTIONS}

FOR_WORK = {
    "pull": ("skin", "ticks"),
    "recount": ("ticks",),
    "overseed": ("treated_seed", "machinery"),
    "calibrate": ("machinery", "treated_seed"),
    "drill": ("machinery", "treated_seed"),
    "terminate": ("reentry", "machinery"),
    "soil_test": ("ticks",),
    "visit": ("ticks",),
}
"""Keys of the cautions that go with a kind of work; heat and working alone go with all that is outdoors."""

_TEMPS_F = range(70, 121, 2)
_HUMIDITIES_PCT = range(0, 101, 5)


def safety_known():
    """The cautions as a phone keeps them, the worst first.

    Returns
    -------
    list of dict
        {"key", "title", "says": [sentence, …], "when"}; "heat" has "table" too, see `heat_known`; "work" has the kinds of
        work that it belongs to.
    """
    return [_as_json(each) for each in CAUTIONS]


def heat_known():
    """The heat index as a phone looks it up without signal: it is reckoned here alone.

    Returns
    -------
    dict
        {"temps_f", "humidities_pct", "index_f": a row a temperature, rounded up, "sun_f", "bands": [{"from_f", "key",
        "title", "does"}, the mildest first]}. A pair in between is that of the worse neighbour.
    """
    return {
        "temps_f": list(_TEMPS_F),
        "humidities_pct": list(_HUMIDITIES_PCT),
        "index_f": heat_table(_TEMPS_F, _HUMIDITIES_PCT),
        "sun_f": SUN_ADDS_F,
        "bands": [
            {"from_f": max(band.from_f, 0), "key": band.key, "title": band.title, "does": band.does}
            for band in BANDS
        ],
    }


def _as_json(caution):
    said = {
        "key": caution.key,
        "title": caution.title,
        "says": list(caution.says),
        "when": caution.when,
        "work": [kind for kind, keys in FOR_WORK.items() if caution.key in keys],
    }
    return said | {"table": heat_known()} if caution.key == "heat" else said
