"""Reads, always starting from a property, a season or an order."""

from blends.queries.blends import blend_figures, draft_of, figures_of_blends
from blends.queries.orders import offers_by_item, order_costs, order_lines, order_notes, order_plots
from blends.queries.seasons import blends_to_assign, season_rows, season_sums, seasons_for
from blends.queries.species import override_history, species_facts

__all__ = [
    "blend_figures",
    "blends_to_assign",
    "draft_of",
    "figures_of_blends",
    "offers_by_item",
    "order_costs",
    "order_lines",
    "order_notes",
    "order_plots",
    "override_history",
    "season_rows",
    "season_sums",
    "seasons_for",
    "species_facts",
]
