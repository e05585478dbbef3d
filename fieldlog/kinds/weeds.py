"""A patch of weeds: what, where, how far on, how large."""

from fieldlog.calc.patches import COVER_NOTE, rectangle_ft2, share_of_plot_pct
from fieldlog.kinds.answers import CHOICE
from fieldlog.kinds.described import Choice, Kind, Step
from fieldlog.kinds.parts import choice_label, count, figure, known, reckoned, species_step
from plots.calc.described import COMMON_PRACTICE, DEFINITION

STAGES = (
    Choice("seedling", "Seedling"),
    Choice("leafy", "Leafy"),
    Choice("bud", "In bud or heading"),
    Choice("bloom", "In bloom"),
    Choice("seed", "In seed"),
    Choice("dead", "Dead"),
)
SEED_SET = (
    Choice("none", "No seed yet"),
    Choice("green", "Seed is forming, green"),
    Choice("ripe", "Ripe seed on the plant"),
    Choice("shed", "Seed has dropped"),
)
WHERE = (
    Choice("inside", "Inside the plot"),
    Choice("edge", "On its edge"),
    Choice("beside", "Beside the plot"),
)
AMOUNT = (
    Choice("single", "A few plants"),
    Choice("scattered", "Scattered, ground shows everywhere"),
    Choice("patchy", "Thick in places"),
    Choice("solid", "A closed patch"),
)

COMMON = (
    *(
        "Pigweed",
        "Lambsquarters",
        "Ragweed",
        "Horseweed",
        "Smartweed",
        "Velvetleaf",
        "Cocklebur",
        "Morningglory",
    ),
    *(
        "Pokeweed",
        "Curly dock",
        "Thistle",
        "Foxtail",
        "Crabgrass",
        "Barnyardgrass",
        "Johnsongrass",
        "Nutsedge",
    ),
    *(
        "Tall fescue",
        "Bermudagrass",
        "Chickweed",
        "Henbit",
        "Wild mustard",
        "Sericea lespedeza",
        "Multiflora rose",
    ),
)
"""Names to tap where no weed was seen yet; any other can be written. Common names, from memory."""


def figures(values, settings, facts):
    """Size of the patch, its share of the plot, height and whether it makes seed. [ft², %, in]"""
    length, width = values.get("patch_length_ft"), values.get("patch_width_ft")
    area, why = reckoned(rectangle_ft2, length, width)
    area = known(area)
    unmeasured = "" if area is not None else why or "the patch was not measured"
    found = [
        figure("patch_ft2", "Patch", area, "ft²", remark=unmeasured),
        figure("height_in", "Height", values.get("height_in"), "in"),
        figure("plants", "Plants", values.get("plants")),
    ]
    if area is not None and facts.acres and values.get("where") == "inside":
        share, _ = reckoned(share_of_plot_pct, area, facts.acres)
        found.append(figure("share_of_plot_pct", "Of the plot", share, "%", decimals=1, remark=COVER_NOTE))
    found.append(figure("seed_set", "Seed", choice_label(SEED_SET, values.get("seed_set")) or None))
    return found


def _feet(name, label):
    return Step(
        name, label, unit="ft", least=0, most=20_000, doubt_above=1000, doubt=f"{label}: {{value}} ft?"
    )


WEEDS = Kind(
    key="weeds",
    title="Weeds",
    summary="What grows that should not: where, how far on, how large the patch.",
    instructions="Stand in the patch and set the pin. Pace its length and its width at the widest. Look for seed on the "
    "tallest plants: what has seed is pulled first. Where you do not know the name, take a picture and write what it looks "
    "like.",
    pin="ask",
    is_many=True,
    is_always=True,
    steps=(
        species_step("Which weed"),
        Step("stage", "How far on", ask=CHOICE, choices=STAGES),
        Step("seed_set", "Seed", ask=CHOICE, choices=SEED_SET),
        Step(
            "height_in",
            "How tall",
            unit="in",
            least=0,
            most=400,
            doubt_above=180,
            doubt="{value} in tall?",
        ),
        Step("where", "Where", ask=CHOICE, choices=WHERE),
        Step("amount", "How many", ask=CHOICE, choices=AMOUNT),
        count("plants", "Plants, if you can count them", most=1_000_000, doubt_above=5000),
        _feet("patch_length_ft", "Length of the patch"),
        _feet("patch_width_ft", "Width of the patch"),
    ),
    figures=figures,
    cautions=("heat", "ticks", "skin"),
    sources=(DEFINITION, COMMON_PRACTICE),
)
