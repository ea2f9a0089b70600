"""The read-only admin site. To whoever is no administrator it does not exist."""

from collections.abc import Callable, Iterable
from functools import wraps
from typing import TYPE_CHECKING, Any

from django.apps import apps
from django.conf import settings
from django.contrib import admin
from django.contrib.auth.views import redirect_to_login
from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.http.response import HttpResponseBase
from django.shortcuts import redirect

from society.account_views import LogOut
from society.models import Account
from society.permissions import can_open_admin

View = Callable[..., HttpResponseBase]

# Whoever reads a session can be that person; the permission tables are not what the house goes by.
NOT_SHOWN = {
    "sessions.session",
    "auth.permission",
    "auth.group",
    "contenttypes.contenttype",
    "admin.logentry",
}
SECRET_FIELDS = ("password", "token_hash", "key")


if TYPE_CHECKING:
    ModelAdmin = admin.ModelAdmin[Model]
else:  # at run time the class takes no parameter
    ModelAdmin = admin.ModelAdmin


class LookOnly(ModelAdmin):
    """Any model, as a list and as a page, without what would let a reader in."""

    actions = None
    list_per_page = 50
    show_full_result_count = False

    def get_fields(self, request: HttpRequest, obj: Model | None = None) -> list[Any]:
        fields = [*self.opts.concrete_fields, *self.opts.many_to_many]
        return [field.name for field in fields if field.name not in SECRET_FIELDS]

    def has_view_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return self.admin_site.has_permission(request)

    def has_module_permission(self, request: HttpRequest) -> bool:
        return self.admin_site.has_permission(request)

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False


class ReadOnlySite(admin.AdminSite):
    site_header = site_title = "Commonrow: the database, to look at"
    index_title = "Nothing can be changed here; the pages and commands do that"
    enable_nav_sidebar = False

    def register(self, model_or_iterable: Any, admin_class: Any = None, **options: Any) -> None:
        """Whatever another package asks for, a model is shown and never changed."""
        models: Iterable[Any] = (
            [model_or_iterable] if isinstance(model_or_iterable, type) else model_or_iterable
        )
        for model in models:
            if model._meta.label_lower not in NOT_SHOWN and not self.is_registered(model):
                super().register(model, LookOnly)

    def register_all(self) -> None:
        self.register(model for model in apps.get_models() if not model._meta.swapped)

    def has_permission(self, request: HttpRequest) -> bool:
        return isinstance(request.user, Account) and can_open_admin(request.user)

    def admin_view(self, view: View, cacheable: bool = False) -> Any:
        guarded = super().admin_view(view, cacheable)

        @wraps(view)
        def answer(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            if not self.has_permission(request):
                raise Http404
            if request.method not in {"GET", "HEAD"} and view != self.logout:
                return HttpResponseNotAllowed(["GET", "HEAD"])
            return guarded(request, *args, **kwargs)

        return answer

    def login(self, request: HttpRequest, extra_context: Any = None) -> HttpResponse:
        """There is one log-in to the house, and this is not it."""
        return redirect(settings.LOGIN_URL)

    def logout(self, request: HttpRequest, extra_context: Any = None) -> Any:
        return LogOut.as_view()(request)

    def password_change(self, request: HttpRequest, extra_context: Any = None) -> Any:
        return redirect("account_change_password")

    def password_change_done(self, request: HttpRequest, extra_context: Any = None) -> Any:
        return redirect("account")
