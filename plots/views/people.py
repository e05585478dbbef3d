"""Signing in and out, the first owner's welcome, and the account page."""

from django.contrib import messages
from django.contrib.auth import login, views
from django.contrib.auth.decorators import login_not_required
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.forms import TokenForm, WelcomeForm
from plots.queries import properties_with_totals
from plots.services import people


class SignIn(views.LoginView):
    section = ""
    http_method_names = ["get", "head", "post"]
    template_name = "plots/sign_in.html"
    redirect_authenticated_user = True


class SignOut(views.LogoutView):
    section = ""


@section("")
@login_not_required
@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def welcome(request, token):
    """The one-time link of a new installation. A link that opens nothing says the same always."""
    if not people.is_open_link(token):
        return render(request, "plots/welcome_closed.html", {"sentence": people.NO_SUCH_LINK}, status=404)
    form = WelcomeForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            user = people.claim_first_owner(secret=token, **form.cleaned_data)
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            login(request, user, backend="django.contrib.auth.backends.ModelBackend")
            messages.success(request, "Your account and your property are made.")
            return redirect("home")
    return render(request, "plots/welcome.html", {"form": form, "complaints": complaints(form)})


@section("")
@never_cache
@require_http_methods(["GET", "POST"])
def account(request):
    """Who I am, where I belong, and my tokens. A new token's secret is in this answer and nowhere else."""
    form, secret = TokenForm(request.POST if request.method == "POST" else None), None
    if request.method == "POST" and form.is_valid():
        _, secret = people.make_api_token(user=request.user, name=form.cleaned_data["name"])
        form = TokenForm()
    facts = {
        "form": form,
        "complaints": complaints(form),
        "secret": secret,
        "tokens": request.user.api_tokens.order_by("-created_at"),
        "properties": properties_with_totals(request.user),
    }
    return render(request, "plots/account.html", facts)


@section("")
@require_POST
def token_end(request, token_id):
    people.end_api_token(user=request.user, token_id=token_id)
    messages.success(request, "The token is ended. Programs that use it can no longer sign in.")
    return redirect("account")
