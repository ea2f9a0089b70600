"""Stopping all letters, a test letter, and an address that is no good."""

from typing import Any

from django import forms

from schedules.committee_forms.entry import EntryForm, words_field

WHY = 200


class StopForm(EntryForm):
    why = words_field(
        "Why no letter may leave",
        most=WHY,
        missing="Say why, so that the rest of the committee knows.",
        help_text="It stands on this page until letters go out again.",
    )


class TestLetterForm(EntryForm):
    __test__ = False  # the name is no sign of a test

    address = forms.EmailField(
        label="E-mail address",
        max_length=254,
        error_messages={
            "required": "Enter the address that the test letter goes to.",
            "invalid": "This is not an e-mail address; write it like name@place.example.",
        },
    )

    def __init__(self, *args: Any, address: str = "", **kwargs: Any) -> None:
        kwargs["initial"] = {"address": address}
        super().__init__(*args, **kwargs)


class BouncedForm(EntryForm):
    why = words_field(
        "What came back",
        most=WHY,
        missing="Say what came back, for example: mailbox full since March.",
        help_text="No weekly letter or notice goes to the address until it is changed or trusted again.",
    )
