"""What the house decides about log-ins. The room of time adds the letters."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest
from django.urls import reverse

from society.addresses import address_of
from society.models import Account

MISMATCH = (
    "This e-mail address and password do not belong together. "
    "Check both; the address may be written in capitals or small letters."
)


class HouseAdapter(DefaultAccountAdapter):
    """Accounts come by invitation only; pages speak the house's words; nobody is told who exists."""

    error_messages = {
        **DefaultAccountAdapter.error_messages,
        "email_password_mismatch": MISMATCH,
        "incorrect_password": "This is not your password. Enter the one you log in with.",
        "enter_current_password": "This is not your password. Enter the one you use now.",
        "duplicate_email": "This address is on your account already. Enter another one.",
        "max_email_addresses": "An account has at most %d addresses. Take one away first.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False

    def is_ajax(self, request: HttpRequest) -> bool:
        return False

    def get_client_ip(self, request: HttpRequest) -> str:
        return address_of(request)

    def authenticate(self, request: HttpRequest, **credentials: Any) -> Account | None:
        """A closed account is refused like a wrong password: in the same words, on the same page."""
        account: Account | None = super().authenticate(request, **credentials)
        return account if account is not None and account.is_active else None

    def get_password_change_redirect_url(self, request: HttpRequest) -> str:
        return reverse("account")

    def get_email_verification_redirect_url(self, email_address: Any) -> str:
        return reverse("account" if self.request.user.is_authenticated else "account_login")
