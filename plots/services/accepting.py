"""The second step of an import: outlines become plots, or new boundaries of plots."""

from django.db import transaction
from django.db.models import OuterRef, Subquery

from config.errors import Conflict, Refused
from plots.formats.attributes import clean_text
from plots.models import Boundary, BoundaryImport, Plot
from plots.services import jobs
from plots.services.locking import lock_property
from plots.services.measuring import tell_acreage_changed

_NAME_ROOM = Plot._meta.get_field("name").max_length


@transaction.atomic
def accept_import(*, boundary_import, user, accepted, send=True):
    """Store the chosen outlines and start measuring them. A second call stores nothing more.

    Parameters
    ----------
    accepted : list of dict
        {"position": int, "name": str, "plot_id": int or None}; with a `plot_id` the outline becomes
        the new boundary of that plot, which keeps its own name.
    send : bool
        False: the caller runs the returned job in place.

    Returns
    -------
    Job
        The one that measures; of an import stored before, the job of that time.

    Raises
    ------
    Refused
        `fields` has keys such as '3.name' for the outline at position 3.
    Conflict
        The file still needs an answer or cannot be used.
    """
    # The row is locked, so that of two presses one stores and the other finds it stored.
    row = BoundaryImport.objects.select_for_update().get(pk=boundary_import.pk)
    if row.state == BoundaryImport.State.STORED and row.job:
        return row.job
    if row.state != BoundaryImport.State.PREVIEW:
        raise Conflict(f"“{row.file_name}” has no outlines waiting: {row.get_state_display().lower()}.")
    lock_property(row.property_id)
    plots, outlines = _targets(row, accepted)
    Plot.objects.bulk_create([plot for plot in plots if plot.pk is None], batch_size=500)
    Boundary.objects.bulk_create(
        [
            Boundary(
                plot=plot,
                geometry=outline.geometry,
                how=Boundary.How.IMPORTED,
                why=f"From {row.file_name}"[:300],
                repairs=outline.notes,
                source_import=row,
                created_by=user,
            )
            for plot, outline in zip(plots, outlines, strict=True)
        ],
        batch_size=500,
    )
    theirs = Boundary.objects.filter(plot=OuterRef("pk"), source_import=row)
    Plot.objects.filter(boundaries__source_import=row).update(boundary=Subquery(theirs.values("pk")[:1]))
    tell_acreage_changed([plot.pk for plot in plots])
    row.job = jobs.start_job(
        property=row.property, kind=jobs.MEASURE, user=user, steps_total=len(plots), send=send
    )
    row.state = BoundaryImport.State.STORED
    row.save(update_fields=["state", "job"])
    boundary_import.state, boundary_import.job = row.state, row.job
    return row.job


def _targets(row, accepted):
    """The plot of each accepted outline (new ones unsaved) and the outlines, or Refused with all complaints."""
    if not accepted:
        raise Refused("No outline is chosen; choose at least one to store.")
    outlines = {outline.position: outline for outline in row.outlines.all()}
    chosen = _Chosen(row.property)
    for item in accepted:
        if item["position"] not in outlines:
            raise Refused(f"The file has no outline {item['position']}; there are 1 to {len(outlines)}.")
        chosen.take(item["position"], item["name"], item.get("plot_id"))
    if chosen.complaints:
        raise Refused(
            " ".join(text for texts in chosen.complaints.values() for text in texts), fields=chosen.complaints
        )
    return chosen.plots, [outlines[item["position"]] for item in accepted]


class _Chosen:
    """Collects the plots of an import; complains where two would be one, or one is not there."""

    def __init__(self, property):
        self.property, self.plots, self.complaints = property, [], {}
        standing = list(Plot.objects.filter(property=property).select_for_update().order_by("pk"))
        self._by_name = {plot.name.lower(): plot for plot in standing}
        self._by_id = {plot.pk: plot for plot in standing if not plot.is_archived}
        self._names, self._replaced, self._positions = set(), set(), set()

    def take(self, position, name, plot_id):
        if position in self._positions:
            self._complain(position, "name", f"Outline {position} is chosen twice; choose it once.")
        elif plot_id is not None:
            self._replace(position, plot_id)
        else:
            self._add(position, " ".join(clean_text(name).split()))
        self._positions.add(position)

    def _replace(self, position, plot_id):
        plot = self._by_id.get(plot_id)
        if plot is None:
            self._complain(position, "plot_id", f"There is no plot {plot_id} on {self.property}.")
        elif plot_id in self._replaced:
            self._complain(
                position,
                "plot_id",
                f"“{plot}” would get two boundaries; choose one, or store the other as new.",
            )
        else:
            self._replaced.add(plot_id)
            self.plots.append(plot)

    def _add(self, position, name):
        there = self._by_name.get(name.lower())
        if not name:
            self._complain(position, "name", "A name is missing; each new plot needs one.")
        elif len(name) > _NAME_ROOM:
            self._complain(
                position, "name", f"The name has {len(name)} characters; at most {_NAME_ROOM} are accepted."
            )
        elif there is not None and there.is_archived:
            self._complain(
                position,
                "name",
                f"An archived plot is called “{there}”; give another name, or restore that plot.",
            )
        elif there is not None:
            self._complain(
                position,
                "name",
                f"There is a plot “{there}”; give another name, or make this its new boundary.",
            )
        elif name.lower() in self._names:
            self._complain(position, "name", f"The name “{name}” comes twice; each plot needs its own.")
        else:
            self._names.add(name.lower())
            self.plots.append(Plot(property=self.property, name=name))

    def _complain(self, position, field, sentence):
        self.complaints.setdefault(f"{position}.{field}", []).append(sentence)
