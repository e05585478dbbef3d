"""How a phone is connected, and a look at the phone itself."""

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from blends.ogc.asking import public_origin
from config.pages import section
from fieldlog.queries.connecting import authority_known, codes, reaches, way_of
from plots.access import id_in, properties_for


@section("")
@require_safe
def connect(request):
    """`?on=phone` is for the phone itself; `?at=1` shows the code of the second address."""
    found = reaches(public_origin(request))
    position = id_in(request.GET.get("at", "")) or 0
    reach = found[position] if position < len(found) else found[0]
    facts = {
        "on_phone": request.GET.get("on") == "phone",
        "reaches": found,
        "reach": reach,
        "way": way_of(reach),
        "codes": codes(reach),
        "authority": authority_known(),
        "properties": properties_for(request.user),
    }
    return render(request, "fieldlog/connect.html", facts)


@require_safe
@login_not_required
def authority(request):
    """The private authority's certificate: no secret, and wanted before a phone should be told a password.

    Without a name to save it under, so that iOS offers to install it.
    """
    known = authority_known()
    if known is None:
        raise Http404
    answer = HttpResponse(known["der"], content_type="application/x-x509-ca-cert")
    answer["Cache-Control"] = "no-cache"
    return answer
