"""Forms about log-ins, in the house's words: a label above each line, and faults that say what to do."""

from typing import Any, NamedTuple

from allauth.account import forms as allauth_forms
from allauth.account.adapter import get_adapter
from django.http import HttpRequest


class Words(NamedTuple):
    label: str
    missing: str
    help: str = ""


EMAIL = Words("E-mail address", "Enter your e-mail address.")
FIELDS = {
    "login": EMAIL,
    "email": EMAIL,
    "password": Words("Password", "Enter your password."),
    "oldpassword": Words("Your password now", "Enter the password you use now."),
    "password1": Words(
        "New password",
        "Choose a password.",
        "At least 12 characters. A few unconnected words do well, and so does what a password keeper makes.",
    ),
    "password2": Words("The new password once more", "Enter the new password a second time."),
}
NO_ADDRESS = "This is not an e-mail address; write it like name@place.example."


class HouseWords:
    """Puts the house's words on a form's fields."""

    fields: dict[str, Any]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            words = FIELDS[name]
            field.label, field.help_text = words.label, words.help
            field.error_messages |= {"required": words.missing, "invalid": NO_ADDRESS}
            field.widget.attrs.pop("placeholder", None)


class LogInForm(HouseWords, allauth_forms.LoginForm):
    """E-mail and password. Its one error says the same whether or not the account exists."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["login"].widget.attrs |= {"autocomplete": "username", "inputmode": "email"}


class ForgottenForm(HouseWords, allauth_forms.ResetPasswordForm):
    """Asks for a letter with a link. The answer is the same whether or not an account exists."""

    def save(self, request: HttpRequest, **kwargs: Any) -> str:
        email: str = self.cleaned_data["email"]
        get_adapter(request).send_password_letters(self.users, email)
        return email


class NewPasswordForm(HouseWords, allauth_forms.ResetPasswordKeyForm):
    """The new password after a forgotten one."""


class ChangePasswordForm(HouseWords, allauth_forms.ChangePasswordForm):
    """A new password by whoever knows the present one."""


class AddAddressForm(HouseWords, allauth_forms.AddEmailForm):
    """Another address to log in with; it counts once it is confirmed."""


class PasswordAgainForm(HouseWords, allauth_forms.ReauthenticateForm):
    """Asked for before what matters is changed."""


class InvitationForm(HouseWords, allauth_forms.SetPasswordForm):
    """The password that makes an account of an invitation."""
