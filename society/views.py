"""Coming in, going out, and whether the process is alive."""

from django.conf import settings
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from society import clock
from society.forms import LogInForm
from society.log_in_limits import log_in_succeeded, log_in_try


def address_of(request: HttpRequest) -> str:
    """The address that a request came from; behind a trusted proxy, the one that the proxy saw."""
    forwarded = request.headers.get("X-Forwarded-For", "")
    if forwarded and getattr(settings, "SECURE_PROXY_SSL_HEADER", None):
        return forwarded.rpartition(",")[2].strip()
    return str(request.META.get("REMOTE_ADDR", ""))


class LogIn(LoginView):
    template_name = "society/log_in.html"
    authentication_form = LogInForm
    http_method_names = ["get", "head", "post"]

    def post(self, request: HttpRequest, *args: str, **kwargs: object) -> HttpResponse:
        wait_s = log_in_try(
            email=request.POST.get("username", "")[:254], address=address_of(request), now=clock.now()
        )
        return self._asked_to_wait(wait_s) if wait_s else super().post(request, *args, **kwargs)

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        log_in_succeeded(email=form.cleaned_data["username"], address=address_of(self.request))
        return super().form_valid(form)

    def _asked_to_wait(self, wait_s: int) -> HttpResponse:
        form = LogInForm(self.request, initial={"username": self.request.POST.get("username", "")[:254]})
        page = self.render_to_response(self.get_context_data(form=form, wait_s=wait_s), status=429)
        page["Retry-After"] = str(wait_s)
        return page


class LogOut(LogoutView):
    http_method_names = ["post"]

    def post(self, request: HttpRequest, *args: str, **kwargs: object) -> HttpResponse:
        answer = super().post(request, *args, **kwargs)
        if request.is_secure():  # browsers heed it on secure addresses only
            answer["Clear-Site-Data"] = '"cache", "storage"'
        return answer


@require_safe
def healthz(request: HttpRequest) -> HttpResponse:
    """The process answers. Touches no database, so a database that is away never restarts the process."""
    return HttpResponse("ok\n", content_type="text/plain", headers={"Cache-Control": "no-store"})
