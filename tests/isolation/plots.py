"""People, properties, imports, jobs; plots and boundaries by the API."""

from django.core.files.base import ContentFile
from shapely.geometry import MultiPolygon, box

from plots.models import Boundary, BoundaryImport, ImportedOutline, Job, Plot
from plots.services.people import make_api_token
from tests.isolation import EDITORS, MEMBERS, PEOPLE, Row

SIGNED_IN = [person for person in PEOPLE if person != "nobody"]
RING = [[-92, 38], [-91.99, 38], [-91.99, 38.01], [-92, 38.01], [-92, 38]]

ROWS = [
    # A member of one property is led straight to it; the others are, too.
    Row("home", "GET", SIGNED_IN, 302),
    # Somebody who is signed in already is led home.
    Row("sign-in", "GET", SIGNED_IN, 302, but={"nobody": 200}),
    Row("sign-in", "POST", SIGNED_IN, 302, but={"nobody": 200}),
    Row("sign-out", "POST", SIGNED_IN, 302),
    # Once there is a user, no link opens anything.
    Row("welcome", "GET", PEOPLE, 404),
    Row("welcome", "POST", PEOPLE, 404),
    Row("account", "GET", SIGNED_IN),
    Row("account", "POST", SIGNED_IN),
    # The token is the owner's own.
    Row("token-end", "POST", ["owner"], 302, but=dict.fromkeys(["viewer", "recorder", "manager"], 404)),
    Row("property-new", "GET", SIGNED_IN),
    Row("property-new", "POST", SIGNED_IN),
    Row("property-settings", "GET", EDITORS),
    Row("property-settings", "POST", EDITORS),
    Row("import-new", "GET", EDITORS),
    Row("import-new", "POST", EDITORS),
    Row("import", "GET", EDITORS),
    Row("import", "POST", EDITORS, 302, body={"act": "accept", "use-1": "on", "name-1": "Creek"}),
    Row("import-outlines", "GET", EDITORS),
    Row("import-original", "GET", EDITORS),
    Row("job", "GET", MEMBERS),
    Row("plots-export", "GET", MEMBERS),
    Row("plots-export-file", "GET", MEMBERS, query="?plot={plot_id}"),
    Row("api-plots-export", "GET", MEMBERS, query="?as=kml&plot={plot_id}"),
    Row("api-schema", "GET", SIGNED_IN),
    Row("api-properties", "GET", SIGNED_IN),
    Row("api-properties", "POST", SIGNED_IN, 201, body={"name": "Another"}),
    Row("api-property", "GET", MEMBERS),
    Row("api-property", "PATCH", EDITORS, body={"last_frost_on": "04-20"}),
    Row("api-plots", "GET", MEMBERS),
    Row("api-plot", "GET", MEMBERS),
    Row("api-plot", "PATCH", EDITORS, body={"name": "Renamed"}),
    Row("api-boundary", "GET", MEMBERS),
    Row("api-boundary", "PUT", EDITORS, body={"type": "Polygon", "coordinates": [RING]}),
    Row("api-boundaries", "GET", MEMBERS),
    Row("api-imports", "GET", EDITORS),
    Row("api-imports", "POST", EDITORS, 415),
    Row("api-import", "GET", EDITORS),
    Row("api-import", "PATCH", EDITORS, 400, body={"crs": "nonsense"}),
    Row("api-import", "DELETE", EDITORS, 204),
    Row("api-import-accept", "POST", EDITORS, 202),
    Row("api-job", "GET", MEMBERS),
]


def things(farm, owner):
    outline = MultiPolygon([box(-92, 38, -91.999, 38.001)])
    plot = Plot.objects.create(property=farm, name="North Bench")
    plot.boundary = Boundary.objects.create(
        plot=plot, geometry=outline, how=Boundary.How.IMPORTED, area_m2=9_700, perimeter_m=397
    )
    plot.save()
    row = BoundaryImport.objects.create(
        property=farm,
        file_name="plots.geojson",
        original=ContentFile(b"{}", "plots.geojson"),
        state=BoundaryImport.State.PREVIEW,
        report={"sentence": None, "needs": None},
    )
    ImportedOutline.objects.create(
        boundary_import=row, position=1, name="Creek", geometry=outline, area_m2=9_700, perimeter_m=397
    )
    token, _ = make_api_token(user=owner, name="Script")
    return {
        "slug": farm.slug,
        "token": "x" * 43,
        "token_id": token.pk,
        "plot_id": plot.pk,
        "import_id": row.pk,
        "job_id": Job.objects.create(property=farm, kind="measure").pk,
    }
