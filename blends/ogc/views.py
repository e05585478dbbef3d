"""The addresses below /ogc/: each answers with the document of the standard, as JSON or as a page."""

import json

import numpy as np
import shapely
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse, HttpResponseNotAllowed, JsonResponse
from django.shortcuts import render
from django.utils.decorators import method_decorator
from django.views import View
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt

from blends.ogc import documents, openapi
from blends.ogc.asking import GEOJSON, JSON, Asked, NotSignedIn, wants_html
from blends.ogc.collections import collection_for, collections_for
from blends.ogc.filters import CRS84, PARAMETERS, wanted_from
from config.errors import SwardbookError
from plots.geojson import collection_text, compact


# Nothing is changed here, so that no form needs guarding; who asks is found out by `Asked`.
@method_decorator([csrf_exempt, login_not_required, never_cache], name="dispatch")
class Resource(View):
    """What all of them share: who asks, what they may say, and errors as the standard has them."""

    http_method_names = ["get", "head", "options"]
    parameters = frozenset()
    media_type = JSON
    section = ""

    def dispatch(self, request, *args, **kwargs):
        try:
            self.asked = Asked(request)
            if request.method.lower() not in self.http_method_names:
                return self._not_allowed(request)
            self.asked.check_names(self.parameters)
            answer = super().dispatch(request, *args, **kwargs)
        except SwardbookError as error:
            answer = _error(request, error.http_status, error.code, error.sentence)
            if isinstance(error, NotSignedIn):
                answer["WWW-Authenticate"] = (
                    'Basic realm="Swardbook", charset="UTF-8", Bearer realm="Swardbook"'
                )
        except Http404:
            answer = _error(request, 404, "not_found", "There is nothing here that you can see.")
        except PermissionDenied as error:
            answer = _error(request, 403, "not_allowed", str(error))
        answer["Vary"] = "Accept, Authorization, Cookie"
        return answer

    def answer(self, template, document, **facts):
        """The document as JSON, or the page that shows it."""
        if self.asked.wants_html:
            return self.page(template, document, **facts)
        return JsonResponse(document, content_type=self.media_type)

    def page(self, template, document, **facts):
        links = {link["rel"].replace("-", "_"): link["href"] for link in reversed(document["links"])}
        facts |= {"document": document, "links": links, "home": self.asked.href("ogc-landing")}
        return render(self.request, f"blends/ogc/{template}.html", facts)

    def _not_allowed(self, request):
        answer = HttpResponseNotAllowed([method.upper() for method in self.http_method_names])
        answer["Content-Type"] = JSON
        answer.content = compact(
            {"code": "method_not_allowed", "description": f"{request.method} is not answered here; GET is."}
        )
        return answer


class Landing(Resource):
    def get(self, request):
        return self.answer("landing", documents.landing(self.asked))


class Conformance(Resource):
    def get(self, request):
        return self.answer("conformance", documents.conformance(self.asked))


class Api(Resource):
    media_type = documents.OPENAPI

    def get(self, request):
        document = openapi.document(self.asked.href("ogc-landing").partition("?")[0])
        if self.asked.wants_html:
            return self.page("api", {"links": []}, api=document, described=openapi.PARAMETERS)
        return JsonResponse(document, content_type=self.media_type)


class Collections(Resource):
    def get(self, request):
        found = collections_for(self.asked.user)
        return self.answer("collections", documents.collections(self.asked, found))


class OneCollection(Resource):
    def get(self, request, collection_id):
        one = collection_for(self.asked.user, collection_id, with_extent=True)
        return self.answer("collection", documents.collection(self.asked, one))


class Items(Resource):
    parameters = PARAMETERS

    def get(self, request, collection_id):
        one = collection_for(self.asked.user, collection_id)
        wanted = wanted_from(self.asked.values)
        matched, features = one.matching(wanted)
        members = documents.items_members(self.asked, one, wanted, matched, len(features))
        if self.asked.wants_html:
            rows = [
                (self.asked.href("ogc-item", collection_id=one.id, feature_id=each.id), each)
                for each in features
            ]
            first = wanted.offset + 1
            return self.page(
                "items", members, collection=one, rows=rows, first=first, last=wanted.offset + len(rows)
            )
        text = collection_text(
            _drawn([each.geometry for each in features]),
            [compact(each.facts) for each in features],
            [compact(each.id) for each in features],
            members,
        )
        return _geojson(text)


class Item(Resource):
    def get(self, request, collection_id, feature_id):
        one = collection_for(self.asked.user, collection_id)
        feature = one.feature(feature_id)
        (drawn,) = _drawn([feature.geometry])
        document = {
            "type": "Feature",
            "id": feature.id,
            "geometry": drawn and json.loads(drawn),
            "properties": feature.facts,
            "links": documents.item_links(self.asked, one, feature.id),
        }
        if self.asked.wants_html:
            return self.page("item", document, collection=one, geometry=drawn)
        return _geojson(compact(document))


class Nothing(Resource):
    """Every other address below /ogc/."""

    def get(self, request, rest):
        raise Http404


def _drawn(geometries):
    """GeoJSON geometries with every digit: a bbox chooses by the same figures as are sent. None stays None."""
    return shapely.to_geojson(np.array(geometries, dtype=object)).tolist()


def _geojson(text):
    return HttpResponse(text, content_type=GEOJSON, headers={"Content-Crs": f"<{CRS84}>"})


def _error(request, status, code, sentence):
    if wants_html(request):
        return render(
            request, "blends/ogc/refused.html", {"sentence": sentence, "status": status}, status=status
        )
    return JsonResponse({"code": code, "description": sentence}, status=status)
