"""Coming in, going out, passwords and addresses: allauth's views behind the house's doors."""

from allauth.account import views as allauth_views
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse_lazy
from django.utils.decorators import method_decorator
from django.views.decorators.http import require_http_methods, require_safe

from society import clock
from society.account_forms import LogInForm
from society.addresses import address_of
from society.asking import who_asks
from society.log_in_limits import log_in_succeeded, log_in_try

# Asked before anything else, so that another method neither counts as a try nor leads to the log-in.
read_or_send = method_decorator(require_http_methods(["GET", "HEAD", "POST"]), name="dispatch")


@read_or_send
class LogIn(allauth_views.LoginView):
    def post(self, request: HttpRequest, *args: str, **kwargs: object) -> HttpResponse:
        wait_s = log_in_try(email=self._typed(), address=address_of(request), now=clock.now())
        if wait_s:
            return self._asked_to_wait(wait_s)
        answer: HttpResponse = super().post(request, *args, **kwargs)
        return answer

    def form_valid(self, form: LogInForm) -> HttpResponse:
        log_in_succeeded(email=form.cleaned_data["login"], address=address_of(self.request))
        answer: HttpResponse = super().form_valid(form)
        return answer

    def _typed(self) -> str:
        return str(self.request.POST.get("login", ""))[:254]

    def _asked_to_wait(self, wait_s: int) -> HttpResponse:
        form = LogInForm(request=self.request, initial={"login": self._typed()})
        context = self.get_context_data(form=form, wait_s=wait_s)
        page: HttpResponse = self.render_to_response(context, status=429)
        page["Retry-After"] = str(wait_s)
        return page


class LogOut(allauth_views.LogoutView):
    http_method_names = ["post"]

    def post(self, request: HttpRequest, *args: str, **kwargs: object) -> HttpResponseBase:
        answer: HttpResponseBase = super().post(request, *args, **kwargs)
        if request.is_secure():  # browsers heed it on secure addresses only
            answer["Clear-Site-Data"] = '"cache", "storage"'
        return answer


@read_or_send
class PasswordForgotten(allauth_views.PasswordResetView):
    """Asks for the letter with a link."""


class PasswordForgottenSent(allauth_views.PasswordResetDoneView):
    http_method_names = ["get", "head"]


@read_or_send
class PasswordNew(allauth_views.PasswordResetFromKeyView):
    """The link from the letter. Opening it changes nothing; it is used up by the new password."""

    success_url = reverse_lazy("account_login")

    def render_to_response(self, context: dict[str, object], **kwargs: object) -> HttpResponseBase:
        status = 410 if context.get("token_fail") else 200
        answer: HttpResponseBase = super().render_to_response(context, status=status, **kwargs)
        return answer


@read_or_send
class PasswordChange(allauth_views.PasswordChangeView):
    """Ends every other session of the account."""


@read_or_send
class Addresses(allauth_views.EmailView):
    """The addresses of the account: added, confirmed, made the first, taken away."""


@read_or_send
class AddressConfirm(allauth_views.ConfirmEmailView):
    """The link from the letter. Opening it changes nothing; the button does."""

    def render_to_response(self, context: dict[str, object], **kwargs: object) -> HttpResponseBase:
        status = 200 if context["can_confirm"] else 410
        answer: HttpResponseBase = super().render_to_response(context, status=status, **kwargs)
        return answer


@read_or_send
class PasswordAgain(allauth_views.ReauthenticateView):
    """The password once more, before addresses are changed."""


@require_safe
@login_required
def account(request: HttpRequest) -> HttpResponse:
    """For whom one acts, and the ways to what one may set."""
    return render(request, "account/account.html", {"asker": who_asks(request)})
