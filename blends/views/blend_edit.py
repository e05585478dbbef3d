"""The page on which a blend is put together, and its figures as they follow the typing."""

import json
import re
from dataclasses import dataclass
from urllib.parse import urlencode

from django.contrib import messages
from django.db.models import prefetch_related_objects
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from blends.access import blend_for, blend_in_use_for, species_rows
from blends.forms.bench import JudgedForm, ScaleForm
from blends.forms.blends import BlendForm, component_rows
from blends.models import Blend
from blends.queries import draft_of
from blends.queries.scaling import scaled_to_budget, scaled_to_full_rates
from blends.services.blends import save_blend
from blends.views.bench import bench_context
from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.access import COSTS, EDIT, id_in, property_for

ROW_FIELDS = [
    "species_id",
    "drilled_pls_lb_per_acre",
    "broadcast_pls_lb_per_acre",
    "tag_pct_by_weight",
    "tag_germination_pct",
]
MORE_ROWS = 5
BAG_RATES = ["drilled_bulk_lb_per_acre", "broadcast_bulk_lb_per_acre"]
MOST_SAID = (
    2  # sentences about what was typed; the bar that holds them must leave room for the rows on a phone
)


@dataclass
class Typed:
    """A blend as it stands in the form: the head, the rows, and what they come to."""

    form: BlendForm
    rows: object
    blend: Blend | None

    @property
    def is_valid(self):
        return all([self.form.is_valid(), self.rows.is_valid()])

    @property
    def draft(self):
        """For `blend_figures`: what was typed, whether or not it can be saved."""
        self.is_valid  # noqa: B018  runs the cleaning; what cannot be read is left out and said at its field
        head = self.form.cleaned_data
        return {
            "kind": head.get("kind"),
            "blend": self.blend,
            "drilled_bulk_lb_per_acre": head.get("drilled_bulk_lb_per_acre"),
            "broadcast_bulk_lb_per_acre": head.get("broadcast_bulk_lb_per_acre"),
            "components": self.rows.values,
        }

    def save(self, property, user):
        return save_blend(
            property=property,
            user=user,
            blend=self.blend,
            components=self.rows.values,
            **self.form.cleaned_data,
        )

    def show_refusal(self, error):
        """`components.2.rate` belongs to the third row that has a species; the rest to the head."""
        head = {}
        for name, texts in error.fields.items():
            where = name.split(".")
            if where[0] == "components" and len(where) == 3:
                for text in texts:
                    self.rows.with_species[int(where[1])].add_error(where[2], text)
            else:
                head[name] = texts
        if head or not error.fields:
            error.fields = head
            show_refusal(self.form, error)


def _typed(property, data, blend, spare):
    species = species_rows(property)
    if data is not None:
        return Typed(BlendForm(data), component_rows(species, data), blend)
    if blend is None:
        return Typed(
            BlendForm(initial={"kind": Blend.Kind.MIXED_HERE}), component_rows(species, spare=6), None
        )
    head = {name: getattr(blend, name) for name in BlendForm.Meta.fields}
    rows = [{name: getattr(row, name) for name in ROW_FIELDS} for row in blend.components.all()]
    return Typed(BlendForm(initial=head), component_rows(species, initial=rows, spare=spare), blend)


@section("blends")
@require_http_methods(["GET", "HEAD", "POST"])
def blend_edit(request, slug, blend_id=None):
    """A new blend, or a change of one.

    `act` is save, figures (work it out), more (rows), budget or full (scale), or unscale.
    """
    if blend_id is None:
        property, row = property_for(request.user, slug, EDIT), None
    else:
        row = blend_in_use_for(request.user, slug, blend_id, EDIT)
        property = row.property
        prefetch_related_objects([row], "components")
    data = request.POST.copy() if request.method == "POST" else None
    act = request.POST.get("act", "save") if data is not None else None
    if act == "more" and (rows := id_in(data.get("row-TOTAL_FORMS", ""))) is not None:
        data["row-TOTAL_FORMS"] = rows + MORE_ROWS
    scale, before, said = ScaleForm(data), {}, None
    if act in ("budget", "full"):
        before, said = _scale(property, data, row, scale)
    if act == "unscale":
        said = _unscale(data)
    typed = _typed(property, data, row, spare=2)
    if act == "save" and typed.is_valid:
        try:
            saved = typed.save(property, request.user)
        except SwardbookError as error:
            typed.show_refusal(error)
        else:
            messages.success(request, _saved_words(row, saved))
            return redirect(_as_asked(data, reverse("blend", args=[slug, saved.pk])))

    if data is not None:
        draft = typed.draft
    else:
        draft = {"kind": Blend.Kind.MIXED_HERE, "components": []} if row is None else draft_of(row)
    return render(
        request,
        "blends/blend_edit.html",
        {
            "property": property,
            "blend": row,
            "form": typed.form,
            "rows": typed.rows,
            "scale": scale if act in ("budget", "full") else ScaleForm(),
            "before": json.dumps(before) if before else "",
            "scale_said": said,
            **bench_context(property, draft, request.GET if data is None else data),
            "planted": row.planted_count if row else 0,
            "planned": row.planned_count if row else 0,
            "complaints": complaints(typed.form, typed.rows) if act == "save" else [],
            "figures_address": _figures_address(slug, row),
            "is_changed": data is not None,
        },
    )


# --- scaling ----------------------------------------------------------------------------------------------------

_RATE_FIELD = re.compile(r"(row-[0-9]+-)?(drilled|broadcast)_(pls|bulk)_lb_per_acre")


def _scale(property, data, blend, form):
    """Write scaled rates into what was posted; ({field: what it was}, a sentence about it)."""
    typed = _typed(property, data, blend, spare=0)
    judgement = bench_context(property, typed.draft, data)["bench"].judgement
    figures, method = judgement.figures, judgement.method
    try:
        if data["act"] == "full":
            scaled = scaled_to_full_rates(figures, method)
        elif COSTS not in property.allowed or not form.is_valid():
            return {}, None
        elif form.cleaned_data["budget_usd_per_acre"] is None:
            form.add_error("budget_usd_per_acre", "Type what an acre of seed may cost.")
            return {}, None
        else:
            scaled = scaled_to_budget(figures, method, form.cleaned_data["budget_usd_per_acre"])
    except SwardbookError as error:
        form.add_error(None, error.sentence)
        return {}, None
    new = {f"{method}_bulk_lb_per_acre": scaled.bag_lb_per_acre} if scaled.bag_lb_per_acre else {}
    for row in typed.rows.with_species:
        rate = scaled.by_species.get(row.cleaned_data["species_id"])
        if rate is not None:
            new[row.add_prefix(f"{method}_pls_lb_per_acre")] = rate
    before = {name: data.get(name, "") for name in new}
    for name, rate in new.items():
        data[name] = f"{rate.normalize():f}"
    return before, f"{scaled.sentence} Not saved yet."


def _unscale(data):
    """Write the rates before the scaling back into what was posted."""
    try:
        before = json.loads(data.get("before", ""))
        known = {name: str(value) for name, value in before.items() if _RATE_FIELD.fullmatch(name)}
    except (ValueError, AttributeError):
        return None
    for name, value in known.items():
        data[name] = value
    return "The rates are back to what they were before scaling." if known else None


def _figures_address(slug, row):
    address = reverse("blend-figures", args=[slug])
    return address if row is None else f"{address}?blend={row.pk}"


def _as_asked(data, address):
    """The blend's page, judged for what was asked beside the form."""
    asked = {name: data[name] for name in JudgedForm.base_fields if data.get(name)}
    return f"{address}?{urlencode(asked)}" if asked else address


def _saved_words(before, after):
    if before is None or before.pk == after.pk:
        return f"{after} is saved."
    return f"{after} is saved as a new version; {before} stays as it was planted."


@section("blends")
@require_POST
def figures(request, slug):
    """What the blend that is being typed comes to, as a fragment."""
    property = property_for(request.user, slug, EDIT)
    asked = id_in(request.GET.get("blend", ""))
    row = None if asked is None else blend_for(request.user, slug, asked, EDIT)
    typed = _typed(property, request.POST, row, spare=0)
    context = {
        "property": property,
        "is_fragment": True,
        **bench_context(property, typed.draft, request.POST),
    }
    context["unread"] = _unread(typed, context["bench"].asked)
    return render(request, "blends/_blend_typed.html", context)


def _unread(typed, asked):
    """What was typed and cannot be used, so that the figures go without it; a missing name changes none."""
    rates = {typed.form[name].id_for_label for name in BAG_RATES}
    head = [each for each in complaints(typed.form) if each.target in rates]
    return [*head, *complaints(typed.rows, asked)][:MOST_SAID]
