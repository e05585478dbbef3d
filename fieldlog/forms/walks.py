"""How a walk is looked at, and what is made of it."""

from django import forms

from plots.calc.units import m_to_ft
from plots.forms import PlainForm
from plots.models import Boundary, Plot
from plots.queries import live_names

NEW = "new"
_WORST_M = (3, 5, 8, 10, 15, 25, 50)
_TOLERANCE_M = (0.5, 1, 2, 3, 5)


class LookForm(PlainForm):
    """What the page shows; nothing is stored. Left out, it is as the walk came."""

    plot = forms.ChoiceField(label="Whose edge it is", required=False)
    worst = forms.TypedChoiceField(label="Leave out points worse than", coerce=float, required=False)
    tolerance = forms.TypedChoiceField(label="Thin the line to within", coerce=float, required=False)

    def __init__(self, data, *, walk, **kwargs):
        self._meant = {
            "plot": str(walk.plot_id) if walk.plot_id else NEW,
            "worst": walk.worst_accuracy_m,
            "tolerance": walk.tolerance_m,
        }
        typed = {name: data.get(name) or f"{meant}" for name, meant in self._meant.items()}
        super().__init__(typed, **kwargs)
        plots = live_names(walk.property)
        if walk.plot_id:
            plots[walk.plot_id] = walk.plot.name  # it may have been archived since
        names = sorted(plots.items(), key=lambda plot: plot[1].casefold())
        self.fields["plot"].choices = [(NEW, "A new plot"), *((str(pk), name) for pk, name in names)]
        self.fields["worst"].choices = _lengths(_WORST_M, walk.worst_accuracy_m)
        self.fields["tolerance"].choices = _lengths(_TOLERANCE_M, walk.tolerance_m)

    @property
    def wanted(self):
        """(id of the plot or None, worst accuracy [m], tolerance [m]); of what cannot be used, as the walk came."""
        self.is_valid()
        chosen = {name: self.cleaned_data.get(name) or meant for name, meant in self._meant.items()}
        plot_id = None if chosen["plot"] == NEW else int(chosen["plot"])
        return plot_id, chosen["worst"], chosen["tolerance"]


class AcceptForm(PlainForm):
    new_name = forms.CharField(
        label="Name of the new plot", max_length=Plot._meta.get_field("name").max_length, required=False
    )
    why = forms.CharField(
        label="Why it changed",
        max_length=Boundary._meta.get_field("why").max_length,
        required=False,
        help_text="It stands in the record of the plot's boundaries.",
    )
    is_sure = forms.BooleanField(label="It is meant to lie there", required=False)


def _lengths(usual_m, own_m):
    """[('10.0', '33 ft (10 m)'), …], with the walk's own value among them."""
    return [
        (
            f"{float(each)}",
            f"{m_to_ft(each):,.0f} ft ({each:g} m)" if each >= 1 else f"{m_to_ft(each):.1f} ft ({each:g} m)",
        )
        for each in sorted({*map(float, usual_m), own_m})
    ]
