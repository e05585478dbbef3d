"""The order of 10,000 plots and 12-species blends against one SQL aggregate over the same rows.

    .venv/bin/pytest tests/bench/test_bench_order_calc.py --override-ini addopts= -s

The aggregate only adds up pounds; ours also rounds packs and splits every cent among the plots. Goal: 3 or less.
"""

import sqlite3
from decimal import Decimal

import numpy as np
import pytest

from blends.calc.needs import Components, Items, Plantings, seed_order
from tests.bench.clock import best_of, said

PLOTS, RECIPES, SPECIES_PER_RECIPE, ITEMS, ROUNDS, GOAL = 10_000, 20, 12, 49, 7, 3

AGGREGATE = """
    SELECT component.item, sum(planting.acres * component.lb_per_acre / item.pure_live_fraction)
    FROM planting JOIN component USING (recipe) JOIN item ON item.id = component.item
    GROUP BY component.item ORDER BY component.item
"""


@pytest.fixture(scope="module")
def inputs():
    random = np.random.default_rng(5)
    contents = [random.choice(ITEMS, SPECIES_PER_RECIPE, replace=False) for _ in range(RECIPES)]
    return (
        Plantings(random.uniform(0.3, 9, PLOTS), random.integers(0, RECIPES, PLOTS)),
        Components(
            np.repeat(np.arange(RECIPES), SPECIES_PER_RECIPE),
            np.concatenate(contents),
            random.uniform(1, 30, RECIPES * SPECIES_PER_RECIPE),
        ),
        Items(
            random.uniform(0.5, 0.95, ITEMS), np.zeros(ITEMS), np.full(ITEMS, 50), [Decimal("61.25")] * ITEMS
        ),
    )


@pytest.fixture(scope="module")
def database(inputs):
    plantings, components, items = inputs
    connection = sqlite3.connect(":memory:")
    connection.executescript(
        """
        CREATE TABLE planting (acres REAL, recipe INTEGER);
        CREATE TABLE component (recipe INTEGER, item INTEGER, lb_per_acre REAL);
        CREATE TABLE item (id INTEGER PRIMARY KEY, pure_live_fraction REAL);
        CREATE INDEX component_recipe ON component (recipe);
        """
    )
    tables = {
        "planting": (plantings.acres, plantings.recipe),
        "component": (components.recipe, components.item, components.lb_per_acre),
        "item": (np.arange(ITEMS), items.pure_live_fraction),
    }
    for table, columns in tables.items():
        marks = ", ".join("?" * len(columns))
        rows = zip(*(column.tolist() for column in columns), strict=True)
        connection.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)
    yield connection
    connection.close()


def test_order_against_one_aggregate(inputs, database, benchmark):
    def aggregate():
        return database.execute(AGGREGATE).fetchall()

    def order():
        return seed_order(*inputs, overage_fraction=0.1)

    base, ours = best_of(ROUNDS, aggregate, order)
    print(
        f"\nThe calculation alone, {PLOTS:,} plots × {SPECIES_PER_RECIPE} species; one aggregate takes {base}"
    )
    print(said("rows in memory to order and cents", ours, base))
    benchmark.extra_info["ratio_to_one_aggregate"] = ours.ratio_to(base)
    benchmark.pedantic(order, rounds=ROUNDS)
    planted = order().items.planted_lb
    assert planted[planted > 0] == pytest.approx([lb for _, lb in aggregate()])
    assert min(ours.ratio_to(base)) <= GOAL
