"""Forms of the people's room."""

from django import forms
from django.contrib.auth.forms import AuthenticationForm


class LogInForm(AuthenticationForm):
    """E-mail and password. Its one error says the same whether or not the account exists."""

    error_messages = {
        "invalid_login": (
            "This e-mail address and password do not belong together. "
            "Check both; the address may be written in capitals or small letters."
        ),
        "inactive": "This e-mail address and password do not belong together.",
    }

    username = forms.EmailField(
        label="E-mail address",
        max_length=254,
        error_messages={
            "required": "Enter your e-mail address.",
            "invalid": "This is not an e-mail address; write it like name@place.example.",
        },
        widget=forms.EmailInput(attrs={"autocomplete": "username", "inputmode": "email"}),
    )
    password = forms.CharField(
        label="Password",
        strip=False,
        error_messages={"required": "Enter your password."},
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
