"""Whatever else was there: deer, damage, a gate left open."""

from fieldlog.kinds.answers import CHOICE, TEXT
from fieldlog.kinds.described import Choice, Kind, Step
from fieldlog.kinds.parts import choice_label, count, figure

WHAT = (
    Choice("deer", "Deer seen"),
    Choice("turkey", "Turkeys or other birds"),
    Choice("tracks", "Tracks, droppings, beds"),
    Choice("rooting", "Ground rooted up"),
    Choice("insects", "Insects eating"),
    Choice("disease", "Spots, mold, wilting"),
    Choice("gate_open", "Gate open"),
    Choice("fence_down", "Fence down"),
    Choice("tree_down", "Tree or limb down"),
    Choice("water", "Standing water"),
    Choice("washed", "Ground washed away"),
    Choice("drift", "Spray drift or burned leaves"),
    Choice("people", "People, vehicles, trash"),
    Choice("other", "Something else"),
)
HOW_MUCH = (
    Choice("little", "A little"),
    Choice("some", "Some"),
    Choice("much", "A lot"),
)
_COUNTED = ("deer", "turkey")


def figures(values, settings, facts):
    """What it was, and how many where they were counted."""
    what = values.get("what")
    found = [
        figure("found", "Found", choice_label(WHAT, what) or None, remark="" if what else "what was not said")
    ]
    if what in _COUNTED:
        remark = "" if "count" in values else "not counted"
        found.append(figure("seen", "Seen", values.get("count"), remark=remark))
    return found


FOUND = Kind(
    key="found",
    title="As found",
    summary="Deer seen, damage, a gate open, and anything else.",
    instructions="Note what the next person should know. A pin and a picture say most.",
    pin="may",
    is_many=True,
    is_always=True,
    steps=(
        Step("what", "What", ask=CHOICE, choices=WHAT),
        count("count", "How many", most=10_000, doubt_above=200, when=("what", _COUNTED)),
        Step(
            "how_much",
            "How much",
            ask=CHOICE,
            choices=HOW_MUCH,
            when=("what", tuple(each.value for each in WHAT if each.value not in _COUNTED)),
        ),
        Step("words", "In words", ask=TEXT, longest=500),
    ),
    figures=figures,
)
