"""Every kind of reading that the tool comes with, in the order in which a visit asks for them.

What stands in `Reading.values` (by steps) and in `Reading.figures` (by name). A figure of one species has its id, or its
name in small letters, after a colon: `emergence_pct:12`. An asterisk marks those.

============ ======================================================= ==============================================
key          values                                                  figures
============ ======================================================= ==============================================
stand        plants, species_counts [place, species, plants],        plants_per_ft2*, plants_per_acre, counts,
             trouble                                                 emergence_pct*
browse       heights [caged_in, open_in], weights [caged_g, open_g], use_pct (weights), height_removed_pct,
             weighed (dry, fresh), stems [species, bitten, whole],   caged_height_in, open_height_in, bitten_pct*
             species (eaten first)
cover        lines, cover_class, covered_by                          cover_pct, cover_lines, cover_points
temperature  surface_f, under_f, leaf_f, bare_f                      mulch_gap_f, bare_gap_f, leaf_gap_f
moisture     depth_in, texture, feel                                 available_pct, depletion_in_per_ft (low, high)
dry_matter   frames [fresh_g, tare_g, dry_g, is_empty], stage,       dry_lb_per_acre, dry_matter_pct, frames,
             species                                                 dry_lb_on_plot
growth       plants [species, stage, height_in]                      tallest_in, height_in*, stage* (text)
weeds        species, stage (seedling, leafy, bud, bloom, seed,      patch_ft2, height_in, plants,
             dead), seed_set (none, green, ripe, shed), height_in,   share_of_plot_pct (inside alone),
             where (inside, edge, beside), amount (single,           seed_set (text)
             scattered, patchy, solid), plants, patch_length_ft,
             patch_width_ft
soil         minutes, worms, slake (0 to 6)                          infiltration_in_per_h, worms_per_spade,
                                                                     worms_per_ft2, slake_class
rain         gauge_in, days, high_f, low_f                           rain_in, rain_in_per_day, high_f, low_f
found        what, count, how_much, words                            found (text), seen
============ ======================================================= ==============================================

Use is measured in one of three ways, which are not the same thing: `use_pct` is of weight, `height_removed_pct` of
height, `bitten_pct` of stems. Of every list of steps in brackets a value is a list of rows.
"""

from fieldlog.kinds.browse import BROWSE
from fieldlog.kinds.cover import COVER
from fieldlog.kinds.dry_matter import DRY_MATTER
from fieldlog.kinds.found import FOUND
from fieldlog.kinds.growth import GROWTH
from fieldlog.kinds.moisture import MOISTURE
from fieldlog.kinds.rain import RAIN
from fieldlog.kinds.soil import SOIL
from fieldlog.kinds.stand import STAND
from fieldlog.kinds.temperature import TEMPERATURE
from fieldlog.kinds.weeds import WEEDS

KINDS = {
    each.key: each
    for each in (
        *(STAND, GROWTH, BROWSE, COVER, TEMPERATURE, MOISTURE, SOIL, DRY_MATTER, RAIN),
        *(WEEDS, FOUND),
    )
}
