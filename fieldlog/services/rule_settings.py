"""Rules as a property has them: its own thresholds, and whether they speak."""

from dataclasses import dataclass

from django.db import transaction

from config.errors import Refused
from fieldlog.models import Rule as Changed
from fieldlog.rules import RULES
from fieldlog.rules.described import Rule
from plots.services.earlier import keep_earlier
from plots.services.rows import save_clean


@dataclass(frozen=True)
class RuleHere:
    """A rule with a property's own thresholds; `changed` is the row that says so, if there is one."""

    rule: Rule
    thresholds: dict
    is_on: bool
    changed: Changed | None


def rules_of(property_id):
    """The rules of a property, as it has them.

    Returns
    -------
    dict
        {key: RuleHere}, in one query.
    """
    rows = {
        row.key: row for row in Changed.objects.filter(property_id=property_id).select_related("changed_by")
    }
    return {key: _here(rule, rows.get(key)) for key, rule in RULES.items()}


@transaction.atomic
def save_rule(*, property, key, user, thresholds, is_on):
    """Keep a property's own thresholds of a rule; what they were before is kept beside them.

    Readings that are already here stay as they were considered.

    Raises
    ------
    Refused
        A threshold that cannot be; `fields` says which.
    """
    rule = RULES[key]
    kept, wrong = rule.read(thresholds)
    if wrong:
        raise Refused(" ".join(wrong.values()), fields={name: [said] for name, said in wrong.items()})
    row = Changed.objects.select_for_update(of=("self",)).filter(property=property, key=key).first()
    if row is None:
        if kept == rule.defaults and is_on:
            return _here(rule, None)
        row = Changed(property=property, key=key, thresholds=rule.defaults, is_on=True)
    row.changed_by = user
    if keep_earlier(row, user, {"thresholds": kept, "is_on": is_on}):
        save_clean(row)
    return _here(rule, row)


def _here(rule, row):
    if row is None:
        return RuleHere(rule, rule.defaults, True, None)
    kept, _ = rule.read(row.thresholds)
    return RuleHere(rule, kept, row.is_on, row)
