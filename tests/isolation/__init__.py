"""Who may do what: one row for each route and method. Every app's rows stand in a module of this package.

A module has `ROWS`, and `things(farm, owner)`, which makes what the routes' arguments name and gives them by the
argument's name: {"plot_id": 1, …}. tests/test_isolation.py does the rest.
"""

from dataclasses import dataclass, field

PEOPLE = ["nobody", "stranger", "viewer", "recorder", "manager", "owner"]

MEMBERS = ["viewer", "recorder", "manager", "owner"]
COSTS = ["viewer", "manager", "owner"]
RECORDERS = ["recorder", "manager", "owner"]
EDITORS = ["manager", "owner"]
OWNERS = ["owner"]

SIGN_IN = 302  # a page leads to the sign-in page; the API answers 401


@dataclass(frozen=True)
class Row:
    """A route and method: who gets `status`; other members get 403, the stranger 404, nobody must sign in.

    `but` has the people who get something else. `body` is posted, as a form to pages and as JSON to the API.
    `query` may name things in braces. `named` gives an argument the thing of another name; `is_shared` says that it belongs to every property.
    """

    route: str
    method: str
    who: list
    status: int = 200
    body: dict = field(default_factory=dict)
    but: dict = field(default_factory=dict)
    named: dict = field(default_factory=dict)
    query: str = ""
    is_shared: bool = False

    @property
    def is_api(self):
        return self.route.startswith("api-")

    def expected(self, person):
        if person in self.but:
            return self.but[person]
        if person in self.who:
            return self.status
        return {"nobody": 401 if self.is_api else SIGN_IN, "stranger": 404}.get(person, 403)
