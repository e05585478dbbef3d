"""The list of calculators, and one of them."""

from django.http import Http404
from django.shortcuts import render
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_safe

from config.pages import section
from fieldlog.calculations import calculation_named, calculations
from fieldlog.forms.arithmetic import CalculationFilter, Calculator, example_query
from plots.access import property_for
from plots.calc.described import TOPICS


@section("arithmetic")
@require_safe
def arithmetic(request, slug):
    property = property_for(request.user, slug)
    form = CalculationFilter(request.GET)
    every = calculations()
    found = form.found(every) if form.is_valid() else every
    topics = [(key, label, [each for each in found if each.topic == key]) for key, label in TOPICS.items()]
    return render(
        request,
        "fieldlog/arithmetic.html",
        {
            "property": property,
            "form": form,
            "topics": [(key, label, rows) for key, label, rows in topics if rows],
            "found": len(found),
            "total": len(every),
        },
    )


@section("arithmetic")
@require_safe
def calculator(request, slug, calculation):
    """One calculator; its address is the question. htmx is given the answer and the sentences at the fields."""
    property = property_for(request.user, slug)
    described = calculation_named(calculation)
    if described is None:
        raise Http404
    is_part = request.htmx and not request.htmx.history_restore_request
    calculator = Calculator(described, request.GET)
    context = {
        "property": property,
        "calculation": described,
        "calculator": calculator,
        "answered": calculator.answered,
        "is_part": is_part,
    }
    if not is_part:
        context |= {
            "topic": TOPICS[described.topic],
            "example": example_query(described),
            "complaints": calculator.complaints,
        }
    response = render(request, f"fieldlog/{'_calculator_part' if is_part else 'calculator'}.html", context)
    patch_vary_headers(response, ["HX-Request"])
    return response
